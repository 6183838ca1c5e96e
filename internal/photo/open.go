package photo

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// Identify reads the header of the file at path and decodes no pixel. Its Info equals
// that of [Open], but lacks the cautions that only decoding finds, such as CautionAlpha
// and CautionUnfinished. The error is an [*Error].
func Identify(path string, lim Limits) (*Info, error) {
	f, err := OpenFile(path, lim)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return identifyFile(f, filepath.Base(path), lim)
}

func identifyFile(f *os.File, name string, lim Limits) (*Info, error) {
	return guarded(f, name, lim, func(src *io.SectionReader, file string) (*Info, error) {
		in, _, err := identify(src, file, lim)
		return in, err
	})
}

// Open decodes the file at path. The whole picture is in memory when it returns. The
// error is an [*Error].
func Open(path string, lim Limits) (*Photo, error) {
	f, err := OpenFile(path, lim)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return Decode(f, filepath.Base(path), lim, nil)
}

// OpenFile opens the file at path for [Decode]. It refuses what is not a regular file
// within lim.MaxFileBytes. The error is an [*Error].
func OpenFile(path string, lim Limits) (*os.File, error) {
	f, err := openRegular(path)
	if err != nil {
		return nil, named(filepath.Base(path), err)
	}
	if _, err := checkRegular(f, lim); err != nil {
		f.Close()
		return nil, named(filepath.Base(path), err)
	}
	return f, nil
}

// Decode decodes an open file; name is its base name. Pixels that are too much for memory
// go to room; nil is for memory all the same. The error is an [*Error].
func Decode(f *os.File, name string, lim Limits, room *Room) (*Photo, error) {
	return guarded(f, name, lim, func(src *io.SectionReader, file string) (*Photo, error) {
		return decode(src, file, lim, room)
	})
}

// guarded calls use with the bytes of an open file. It turns a panic into an error, and
// every error names the file.
func guarded[T any](f *os.File, file string, lim Limits, use func(*io.SectionReader, string) (*T, error)) (made *T, err error) {
	size, err := checkRegular(f, lim)
	if err == nil {
		err = guard(func() (err error) {
			made, err = use(io.NewSectionReader(f, 0, size), file)
			return err
		})
	}
	if err != nil {
		return nil, named(file, err)
	}
	return made, nil
}

// openRegular opens path without following a link and without waiting on a pipe.
// checkRegular then checks the open file, so that nothing can be swapped in between.
func openRegular(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NOFOLLOW|syscall.O_NONBLOCK, 0)
	switch {
	case errors.Is(err, syscall.ELOOP):
		return nil, notAFile("a link")
	case errors.Is(err, syscall.ENXIO): // a socket
		return nil, notAFile("not an ordinary file")
	case errors.Is(err, fs.ErrNotExist):
		return nil, wrong(Unreadable.With("drop it again"), err, "is no longer there")
	case errors.Is(err, fs.ErrPermission):
		return nil, wrong(Unreadable.With("give it read permission and drop it again"), err, "may not be read by this account")
	}
	return f, err
}

// checkRegular returns the size of an open file, or why it is not to be read.
func checkRegular(f *os.File, lim Limits) (size int64, err error) {
	st, err := f.Stat()
	switch {
	case err != nil:
		return 0, err
	case st.IsDir():
		return 0, notAFile("a folder")
	case !st.Mode().IsRegular():
		return 0, notAFile("not an ordinary file")
	case st.Size() == 0:
		return 0, wrong(Unfinished, nil, "is unfinished: it is empty as yet")
	case st.Size() > lim.MaxFileBytes:
		return 0, wrong(TooLarge.With("export it smaller or compressed"), nil, "is %.1f GiB, more than the %.1f GiB that are read here",
			float64(st.Size())/(1<<30), float64(lim.MaxFileBytes)/(1<<30))
	}
	return st.Size(), nil
}

func notAFile(what string) *Error {
	return wrong(NotAFile, nil, "is %s", what)
}

// guard turns a panic of a decoder into an error, so that one bad picture does not stop
// the others.
func guard(use func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = damaged("is damaged in a way that stopped its decoder", fmt.Errorf("panic: %v", r))
		}
	}()
	return use()
}

// identify reads the header of src and returns its decoder.
func identify(src *io.SectionReader, file string, lim Limits) (*Info, decoder, error) {
	format, err := sniff(src)
	if err != nil {
		return nil, nil, err
	}
	in := &Info{Format: format.name, Orientation: 1}
	in.checkSuffix(file)
	dec, err := format.identify(in, src, lim)
	if err != nil {
		return nil, nil, decodeFault(format.name, err)
	}
	in.coloursFromEXIF()
	return in, dec, nil
}

// fromStart reads the whole of src, whatever was read before.
func fromStart(src *io.SectionReader) *bufio.Reader {
	return bufio.NewReaderSize(io.NewSectionReader(src, 0, src.Size()), 64<<10)
}

// decode reads the header and the pixels of src and stands the picture upright.
func decode(src *io.SectionReader, file string, lim Limits, room *Room) (*Photo, error) {
	in, dec, err := identify(src, file, lim)
	if err != nil {
		return nil, err
	}
	p := &Photo{Info: *in, room: room}
	if err := dec(p); err != nil {
		return nil, decodeFault(in.Format, err)
	}
	p.standUpright()
	return p, nil
}
