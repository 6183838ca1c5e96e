package photo

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// Identify reads what the file at path says of itself, decoding no pixel. Its
// Info equals that of [Open] except for cautions that only decoding can find
// (see CautionAlpha and CautionUnfinished). The error is an [*Error].
func Identify(path string, lim Limits) (*Info, error) {
	var in *Info
	err := withFile(path, lim, func(src *io.SectionReader, file string) (err error) {
		in, _, err = identify(src, file, lim)
		return err
	})
	if err != nil {
		return nil, err
	}
	return in, nil
}

// Open decodes the file at path. The file is closed again when Open returns;
// the picture is whole in memory. The error is an [*Error].
func Open(path string, lim Limits) (*Photo, error) {
	var p *Photo
	err := withFile(path, lim, func(src *io.SectionReader, file string) (err error) {
		p, err = decode(src, file, lim)
		return err
	})
	if err != nil {
		return nil, err
	}
	return p, nil
}

// withFile opens path for use, refusing what is not a regular file of a
// reasonable size, and names the file in whatever error comes back.
func withFile(path string, lim Limits, use func(src *io.SectionReader, file string) error) error {
	file := filepath.Base(path)
	f, size, err := openRegular(path, lim)
	if err != nil {
		return named(file, err)
	}
	defer f.Close()
	if err := guard(func() error { return use(io.NewSectionReader(f, 0, size), file) }); err != nil {
		return named(file, err)
	}
	return nil
}

// openRegular opens path without following a link and without waiting on a
// pipe, and checks what it got through the open file, so that nothing can be
// swapped in between.
func openRegular(path string, lim Limits) (*os.File, int64, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NOFOLLOW|syscall.O_NONBLOCK, 0)
	switch {
	case errors.Is(err, syscall.ELOOP):
		return nil, 0, notAFile("a link")
	case errors.Is(err, syscall.ENXIO): // a socket
		return nil, 0, notAFile("not an ordinary file")
	case errors.Is(err, fs.ErrNotExist):
		return nil, 0, &Error{Kind: Unreadable, Fault: "is no longer there", Remedy: "drop it again", Err: err}
	case errors.Is(err, fs.ErrPermission):
		return nil, 0, &Error{Kind: Unreadable, Fault: "may not be read by this account",
			Remedy: "give it read permission and drop it again", Err: err}
	case err != nil:
		return nil, 0, err
	}
	size, err := checkRegular(f, lim)
	if err != nil {
		f.Close()
		return nil, 0, err
	}
	return f, size, nil
}

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
		return 0, &Error{Kind: Empty, Fault: "is empty: it has no bytes at all", Remedy: "copy it again from the card"}
	case st.Size() > lim.MaxFileBytes:
		return 0, &Error{Kind: TooLarge,
			Fault: fmt.Sprintf("is %.1f GiB, more than the %.1f GiB that are read here",
				float64(st.Size())/(1<<30), float64(lim.MaxFileBytes)/(1<<30)),
			Remedy: "export it smaller or compressed"}
	}
	return st.Size(), nil
}

func notAFile(what string) *Error {
	return &Error{Kind: NotAFile, Fault: "is " + what, Remedy: "drop the picture file itself"}
}

// guard turns a panic of a decoder into a damaged file. One bad picture must
// not end the night for the rest.
func guard(use func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = damaged("is damaged in a way that stopped its decoder", fmt.Errorf("panic: %v", r))
		}
	}()
	return use()
}

// decoder makes the picture whose header has been read and found within limits.
type decoder func(*Photo) error

// identify reads the header of src and returns the decoder that fits it.
func identify(src *io.SectionReader, file string, lim Limits) (*Info, decoder, error) {
	format, err := sniff(src)
	if err != nil {
		return nil, nil, err
	}
	in := &Info{Format: format, Orientation: 1}
	in.checkSuffix(file)
	var dec decoder
	switch format {
	case formatJPEG:
		dec, err = identifyJPEG(in, src, lim)
	case formatPNG:
		dec, err = identifyPNG(in, src, lim)
	case formatTIFF:
		dec, err = identifyTIFF(in, src, lim)
	}
	if err != nil {
		return nil, nil, decodeFault(format, err)
	}
	in.hintFromEXIF()
	return in, dec, nil
}

// decode reads header and pixels of src and stands the picture upright.
func decode(src *io.SectionReader, file string, lim Limits) (*Photo, error) {
	in, dec, err := identify(src, file, lim)
	if err != nil {
		return nil, err
	}
	p := &Photo{Info: *in}
	if err := dec(p); err != nil {
		return nil, decodeFault(in.Format, err)
	}
	p.standUpright()
	return p, nil
}
