package studio

import (
	"errors"
	"os"
	"path"

	"golang.org/x/sys/unix"
)

// write gives rel the content data, and returns once the data is on disk. The name is
// not yet durable, and a crash can leave the file short, so rel must be a temporary name.
func (t *tree) write(rel string, data []byte) error {
	return t.create(rel, data, t.flush)
}

// create writes a file, and calls done before it is closed.
func (t *tree) create(rel string, data []byte, done func(f *os.File, rel string) error) error {
	return t.in(rel, func(dir *os.File, name string) error {
		if err := t.step("create", rel, ""); err != nil {
			return err
		}
		f, err := openAt(dir, name, unix.O_WRONLY|unix.O_CREAT|unix.O_TRUNC, fileMode)
		if err != nil {
			return fault(rel, "cannot write it", err)
		}
		err = t.fill(f, rel, data)
		if err == nil {
			err = done(f, rel)
		}
		return errors.Join(err, f.Close())
	})
}

func (t *tree) fill(f *os.File, rel string, data []byte) error {
	if err := t.step("write", rel, ""); err != nil {
		return err
	}
	if _, err := f.Write(data); err != nil {
		return fault(rel, "cannot write it", err)
	}
	return nil
}

// syncFile makes a file's content durable.
func (t *tree) syncFile(rel string) error {
	return t.in(rel, func(dir *os.File, name string) error {
		f, err := openAt(dir, name, unix.O_RDONLY, 0)
		if err != nil {
			return fault(rel, "cannot open it", err)
		}
		defer f.Close()
		return t.flush(f, rel)
	})
}

func (t *tree) flush(f *os.File, rel string) error {
	if err := t.step("sync", rel, ""); err != nil {
		return err
	}
	if err := f.Sync(); err != nil {
		return fault(rel, "cannot bring it safely to disk", err)
	}
	return nil
}

// syncDir makes the names in a directory durable. Some network and FUSE file
// systems refuse fsync on a directory; there is nothing better to do there, so
// that refusal is not an error.
func (t *tree) syncDir(rel string) error {
	dir, err := t.openDir(rel)
	if err != nil {
		return err
	}
	defer dir.Close()
	if err := t.step("syncdir", rel, ""); err != nil {
		return err
	}
	if err := dir.Sync(); err != nil && !errors.Is(err, unix.EINVAL) && !errors.Is(err, unix.ENOTSUP) {
		return fault(rel, "cannot bring the directory safely to disk", err)
	}
	return nil
}

// replace gives rel new content in one step: whoever reads it finds all of the
// old or all of the new. temp must be on the same file system and is gone
// afterwards. Only ever used on files that sizewright itself writes.
func (t *tree) replace(rel, temp string, data []byte) error {
	if err := t.write(temp, data); err != nil {
		return errors.Join(err, t.discard(temp))
	}
	if err := t.rename(temp, rel); err != nil {
		return errors.Join(err, t.discard(temp))
	}
	return t.syncDir(path.Dir(rel))
}

// replaceLoosely is replace for what a power cut may take: nothing is synced.
func (t *tree) replaceLoosely(rel, temp string, data []byte) error {
	err := t.create(temp, data, func(*os.File, string) error { return nil })
	if err == nil {
		err = t.rename(temp, rel)
	}
	if err != nil {
		return errors.Join(err, t.discard(temp))
	}
	return nil
}

// discard removes a file if it is there.
func (t *tree) discard(temp string) error {
	if err := t.unlink(temp); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	return nil
}
