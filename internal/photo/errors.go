package photo

import (
	"errors"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"

	"sizewright/internal/hold"
)

// The holds of a file.
var (
	Unreadable  = hold.New("unreadable", "check the disk and its permissions, and drop it again") // a fault of the file system: missing, not permitted, a disk fault
	NotAFile    = hold.New("not-a-file", "drop the picture file itself")                          // a directory, link, pipe or device
	Unfinished  = hold.New("unfinished", "copy it again, or move it out of the drop folder")      // not whole, perhaps a copy that stopped half way
	NotAnImage  = hold.New("not-an-image", "drop a JPEG, a PNG or a TIFF")                        // bytes of no picture format known here
	Damaged     = hold.New("damaged", "copy it again from the card or export it again")           // cut short, or inconsistent with its own header
	TooLarge    = hold.New("too-large", "export it smaller")                                      // beyond a limit of Limits
	Unsupported = hold.New("unsupported", remedyExport)                                           // a picture, but of a sort that is not read here
	Undeveloped = hold.New("camera-raw", "develop it in a raw converter and export it as a TIFF or JPEG")
)

// Error is why a file could not be used: a hold that names the file, and its cause.
type Error struct {
	hold.Hold       // the text begins with the file's base name: "marsh.jpg is cut short: ..."
	Err       error // what the decoder or the system said, or nil
}

// Unwrap finds the cause, such as fs.ErrNotExist, and the [hold.Hold].
func (e *Error) Unwrap() []error {
	if e.Err == nil {
		return []error{&e.Hold}
	}
	return []error{&e.Hold, e.Err}
}

// wrong is an error without the file's name, "is damaged". [named] adds the name.
func wrong(k hold.Kind, err error, format string, args ...any) *Error {
	return &Error{*k.Say(format, args...), err}
}

func damaged(fault string, err error) *Error { return wrong(Damaged, err, "%s", fault) }

// cutShort is the most common damage: a copy that stopped.
func cutShort(format string, err error) *Error {
	return wrong(Damaged.With("copy it again from the card"), err, "is cut short: the %s ends before its last line", format)
}

func unsupported(fault, remedy string) *Error {
	return wrong(Unsupported.With(remedy), nil, "%s", fault)
}

const remedyExport = "export it as an ordinary TIFF or JPEG"

// decodeFault turns a decoder's error into an [*Error]. A fault of the file system is
// returned as it is.
func decodeFault(format string, err error) error {
	var (
		known  *Error
		disk   *fs.PathError
		inJPEG jpeg.UnsupportedError
		inPNG  png.UnsupportedError
	)
	switch {
	case errors.As(err, &known):
		return known
	case errors.As(err, &disk):
		return err
	case errors.As(err, &inJPEG), errors.As(err, &inPNG):
		return wrong(Unsupported, err, "is a sort of %s that is not read here%s", format, inOurWords(err))
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return cutShort(format, err)
	}
	return wrong(Damaged, err, "is damaged: the %s cannot be decoded%s", format, inOurWords(err))
}

// named adds the file's name to err. An error that is not yet an *Error is a fault of the
// file system.
func named(file string, err error) error {
	var e *Error
	if !errors.As(err, &e) {
		e = wrong(Unreadable, err, "cannot be read (%v)", err)
	}
	e.Text = file + " " + e.Text
	return e
}
