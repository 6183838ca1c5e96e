package photo

import (
	"errors"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
)

// Kind says what sort of thing is wrong with a file. A Kind is itself an error,
// so that callers can write errors.Is(err, photo.Damaged).
type Kind string

// The kinds of fault. The values are stable: they are written to records.
const (
	Unreadable  Kind = "unreadable"   // the file system would not give it: missing, not permitted, a disk fault
	NotAFile    Kind = "not-a-file"   // a directory, link, pipe or device
	Empty       Kind = "empty"        // zero bytes
	NotAnImage  Kind = "not-an-image" // bytes of no picture format known here
	Damaged     Kind = "damaged"      // cut short, or inconsistent with its own header
	TooLarge    Kind = "too-large"    // beyond a limit of Limits
	Unsupported Kind = "unsupported"  // a picture, but of a sort that is not read here
	Stopped     Kind = "stopped"      // its decoding took too long or too much memory, or crashed; see package apart
)

// Error makes a Kind usable as the target of errors.Is.
func (k Kind) Error() string { return string(k) }

// Error is why a file could not be used, in words for a printmaker. It reads as
// one sentence: the file, the fault, and what to do.
type Error struct {
	Kind   Kind   // what sort of fault
	File   string // base name of the file
	Fault  string // follows the file's name: "is cut short: ..."
	Remedy string // an instruction: "copy it again from the card"
	Err    error  // what the decoder or the system said, or nil
}

// Error returns the sentence: "marsh.jpg is cut short: the JPEG ends before its
// last line; copy it again from the card".
func (e *Error) Error() string { return e.File + " " + e.Fault + "; " + e.Remedy }

// Unwrap makes both errors.Is(err, Damaged) and errors.Is(err, fs.ErrNotExist)
// work.
func (e *Error) Unwrap() []error {
	if e.Err == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Err}
}

const remedyCopy = "copy it again from the card or export it again"

func damaged(fault string, err error) *Error {
	return &Error{Kind: Damaged, Fault: fault, Remedy: remedyCopy, Err: err}
}

// cutShort is the commonest damage by far: a copy that stopped.
func cutShort(format string, err error) *Error {
	return &Error{Kind: Damaged, Err: err,
		Fault:  "is cut short: the " + format + " ends before its last line",
		Remedy: "copy it again from the card"}
}

func unsupported(fault, remedy string) *Error {
	return &Error{Kind: Unsupported, Fault: fault, Remedy: remedy}
}

const remedyExport = "export it as an ordinary TIFF or JPEG"

// decodeFault words what a decoder of the named format said of the bytes. A
// fault of the file system is passed on as it is.
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
		return &Error{Kind: Unsupported, Fault: "is a sort of " + format + " that is not read here (" + err.Error() + ")",
			Remedy: remedyExport, Err: err}
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return cutShort(format, err)
	}
	return damaged("is damaged: the "+format+" cannot be decoded ("+err.Error()+")", err)
}

// named gives err the file's name. Anything that is not yet an *Error came from
// the file system half way through reading.
func named(file string, err error) error {
	var e *Error
	if !errors.As(err, &e) {
		e = &Error{Kind: Unreadable, Fault: "cannot be read (" + err.Error() + ")",
			Remedy: "check the disk and its permissions, and drop it again", Err: err}
	}
	e.File = file
	return e
}
