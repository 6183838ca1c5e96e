package studio

import (
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// WriteFile gives a generated file new content in one step, making the
// directories it needs; a reader finds all of the old or all of the new. rel
// is relative to the studio and must be under outbox/morning or .sizewright:
// these hold nothing of the user's. Claims, the lock and the status are not for
// writing. If several commands write one page, the last one wins; each page is
// whole.
func (s *Studio) WriteFile(rel string, data []byte) error {
	if err := checkGenerated(rel); err != nil {
		return err
	}
	top, _, _ := strings.Cut(rel, "/")
	if err := s.tree.ensureDir(top); err != nil {
		return err
	}
	if err := s.tree.ensureDirs(path.Dir(rel)); err != nil {
		return err
	}
	return s.tree.replace(rel, tempName(), data)
}

// WriteLarge is WriteFile for content that write writes to a new file.
func (s *Studio) WriteLarge(rel string, write func(*os.File) error) error {
	if err := checkGenerated(rel); err != nil {
		return err
	}
	if err := s.tree.ensureDirs(path.Dir(rel)); err != nil {
		return err
	}
	temp := tempName()
	err := s.tree.create(temp, nil, func(f *os.File, temp string) error {
		if err := write(f); err != nil {
			return err
		}
		return s.tree.flush(f, temp)
	})
	if err == nil {
		err = s.tree.rename(temp, rel)
	}
	if err != nil {
		return errors.Join(err, s.tree.discard(temp))
	}
	return s.tree.syncDir(path.Dir(rel))
}

// RemoveFile removes a generated file that WriteFile may write, and its name for good. One
// that is not there is no error.
func (s *Studio) RemoveFile(rel string) error {
	if err := checkGenerated(rel); err != nil {
		return err
	}
	if err := s.tree.discard(rel); err != nil {
		return err
	}
	return s.tree.syncDir(path.Dir(rel))
}

func checkGenerated(rel string) error {
	under := func(dir string) bool { return strings.HasPrefix(rel, dir+"/") }
	ours := under(morningDir) || under(stateDir)
	for _, own := range []string{claimsDir, tempDir, interruptedDir, lockName, statusName, formatName, turnName} {
		ours = ours && rel != own && !under(own)
	}
	if !ours || rel != path.Clean(rel) || !filepath.IsLocal(rel) {
		return fmt.Errorf("%s: only pages under %s and files under %s are written here", show(rel), morningDir, stateDir)
	}
	return nil
}

// tempName is a new name for a file being written. It has at least 128 random
// bits, so no two processes ever choose the same.
func tempName() string { return tempDir + "/" + rand.Text() }
