package studio

import (
	"errors"
	"io/fs"
	"os"
)

// Init lays out a studio at dir: its own directories, the drop folders, and
// sizewright.toml with the given content, none if toml is nil. In a studio
// that exists it adds what is missing; it never alters or replaces a file. A
// drop folder that is there in other letter case counts as there.
func Init(dir string, toml []byte, folders []string) error {
	for _, folder := range folders {
		if err := checkFolder(folder); err != nil {
			return err
		}
	}
	if err := os.MkdirAll(dir, dirMode); err != nil {
		return fault(dir, "cannot make the studio", err)
	}
	s, err := openRoot(dir)
	if err != nil {
		return err
	}
	defer s.Close()
	_, err = s.tree.lstat(dropDir)
	isNew := errors.Is(err, fs.ErrNotExist)
	if err := s.makeOwnDirs(); err != nil {
		return err
	}
	if isNew { // the daemon takes over any other, and says so
		if err := s.writeFormat(); err != nil {
			return err
		}
	}
	present, err := s.namesIn(dropDir)
	if err != nil {
		return err
	}
	for _, folder := range folders {
		if !present.addAll(folder) {
			continue
		}
		if err := s.tree.ensureDir(dropPath(folder)); err != nil {
			return err
		}
	}
	if toml == nil {
		return nil
	}
	return s.writeNew(configName, toml)
}

// writeNew writes a file unless there is one of its name.
func (s *Studio) writeNew(rel string, data []byte) error {
	if _, err := s.tree.lstat(rel); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	temp := tempName()
	if err := s.tree.write(temp, data); err != nil {
		return errors.Join(err, s.tree.discard(temp))
	}
	if err := s.tree.move(temp, rel); err != nil {
		err = errors.Join(err, s.tree.discard(temp))
		if errors.Is(err, fs.ErrExist) {
			return nil // somebody was quicker
		}
		return err
	}
	return s.tree.syncDir(".")
}
