package colour

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"syscall"

	"github.com/kovidgoyal/imaging/prism/meta/icc"

	"sizewright/internal/remedy"
)

// OpenDestination reads a profile that prints are converted to: of an output device, a
// display or a colour space, in grey, RGB or CMYK. The error names the file, the fault
// and the remedy.
func OpenDestination(path string) (*Profile, error) {
	data, err := readProfile(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	p, err := ParseProfile(data)
	if err == nil {
		err = p.isDestination()
	}
	if err != nil {
		return nil, remedy.Errorf("choose the profile made for this paper and printer", "%s: %w", filepath.Base(path), err)
	}
	return p, nil
}

func readProfile(path string) ([]byte, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|syscall.O_NONBLOCK, 0) // a named pipe must not block
	if err != nil {
		return nil, fmt.Errorf("the ICC profile cannot be opened (%w): put it there, or correct the path", err)
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%w: it is not a regular file", errProfile)
	case info.Size() > maxProfileBytes:
		return nil, fmt.Errorf("%w: it has %d MB, more than any profile", errProfile, info.Size()>>20)
	}
	return io.ReadAll(io.LimitReader(f, maxProfileBytes))
}

// isDestination returns an error if colours cannot be converted to the profile.
func (p *Profile) isDestination() (err error) {
	defer recoverError(&err)
	switch p.icc.Header.DeviceClass {
	case icc.DeviceClassOutput, icc.DeviceClassDisplay, icc.DeviceClassColorSpace:
	case icc.DeviceClassInput:
		return fmt.Errorf("%w for prints: it is an input profile, for a camera or scanner", errProfile)
	case icc.DeviceClassLink:
		return fmt.Errorf("%w for prints: it is a device link, which has a fixed source", errProfile)
	default:
		return fmt.Errorf("%w for prints: it is an abstract or named-colour profile", errProfile)
	}
	if p.Channels == 4 && p.icc.Header.DeviceClass == icc.DeviceClassDisplay {
		return fmt.Errorf("%w: it is for a display but has four channels", errProfile)
	}
	back, err := p.fromXYZ(Relative)
	if err != nil {
		return fmt.Errorf("%w for prints: it has no conversion from colours to device values, or a damaged one", errProfile)
	}
	back(make([]float64, 4), XYZ(D50))
	return nil
}

// WorkingSpace returns a built-in space by its name in a configuration: "srgb", "a98"
// or "romm".
func WorkingSpace(name string) (*Profile, error) {
	switch name {
	case "srgb":
		return BuiltInSRGB(), nil
	case "a98":
		return BuiltInA98(), nil
	case "romm":
		return BuiltInROMM(), nil
	}
	return nil, fmt.Errorf("working space %q is not known: choose srgb, a98 or romm", name)
}
