package photo

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"

	"sizewright/internal/system"
)

// No decoder of HEVC or AV1 in Go runs where memory may not be both written and executed,
// as under the service's unit, or is fast enough without. So libheif's own program decodes,
// started by the process that package isolate makes, whose limits it inherits. It gets the
// picture and gives its pixels in files in memory: it needs no access to any other.
//
// Most of its time went into packing a PNG. From libheif 1.16 on it does not when told so.
// Earlier versions give a picture of 8 bits and coarse chroma as Y4M instead: luma and
// chroma of full range by ITU-R BT.601, whatever the file's own, and unpacked. (They make RGB
// of it first, turn and cut that, and average the chroma of two by two pixels, which are the
// four that have the same.) Here the chroma is then enlarged smoothly; in their PNG it is
// repeated. Every other picture comes as a PNG.

// heifPrograms are libheif's program, by its newer and its older name, where systems have it.
// The search path is not asked, so that every command finds the same.
var heifPrograms = []string{"/usr/local/bin/heif-dec", "/usr/bin/heif-dec", "/usr/bin/heif-convert", "/opt/homebrew/bin/heif-dec"}

// heifDecoder is the path of libheif's program, "" if it is not installed. Tests replace it.
var heifDecoder = func() string {
	for _, path := range heifPrograms {
		if st, err := os.Stat(path); err == nil && st.Mode().IsRegular() && st.Mode()&0o111 != 0 {
			return path
		}
	}
	return ""
}

// HEIFDecoder reports whether a program is installed that decodes HEIF, or what to install.
func HEIFDecoder() error {
	if heifDecoder() == "" {
		return wrong(NoDecoder.With(installDecoder), nil, "HEIF pictures (HEIC, AVIF) will be held: no program is installed that decodes them")
	}
	return nil
}

// ErrKilled means that the system ended the program that decodes a HEIF, as it does when
// memory runs out.
var ErrKilled = errors.New("the system ended the program that decodes it")

// decodeHEIF has the picture decoded and adopts it. It stands upright already.
func (p *Photo) decodeHEIF(f *heifFile, tiles []*heifItem, lim Limits) error {
	picture := f.item(f.primary)
	if err := p.checkCoded(f, append(tiles, f.alphaOf(picture)...)); err != nil {
		return err
	}
	in, err := f.copyOfMain(picture)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := system.MemoryFile("decoded HEIF")
	if err != nil {
		return err
	}
	defer out.Close()
	if err := runHEIFDecoder(in, out, lim, ".png", "--png-compression-level", "0"); err != nil {
		return err
	}
	st, err := out.Stat()
	switch {
	case err != nil:
		return err
	case st.Size() > 0:
		return p.adoptPNG(out)
	case p.Subsampling != "": // an earlier version, which only told of its options
		err = runHEIFDecoder(in, out, lim, ".y4m")
		if err == nil {
			err = p.adoptY4M(out)
		}
		return err
	}
	if err := runHEIFDecoder(in, out, lim, ".png"); err != nil {
		return err
	}
	return p.adoptPNG(out)
}

// copyOfMain copies the file to memory, with every other picture hidden, so that the program
// decodes the main one alone.
func (f *heifFile) copyOfMain(picture *heifItem) (mem *os.File, err error) {
	if mem, err = system.MemoryFile("HEIF"); err != nil {
		return nil, err
	}
	_, err = io.Copy(mem, io.NewSectionReader(f.src, 0, f.src.Size()))
	for _, i := range f.others(picture) {
		if err == nil {
			_, err = mem.WriteAt([]byte{1}, i.flagsAt)
		}
	}
	if err != nil {
		mem.Close()
		return nil, err
	}
	return mem, nil
}

// runHEIFDecoder runs the program. It reads and writes the files in memory by the names of
// their descriptors; the second has one with a suffix, by which the program knows the format.
func runHEIFDecoder(in, out *os.File, lim Limits, suffix string, options ...string) error {
	const name = "/dev/fd/"
	folder, err := os.MkdirTemp("", "sizewright-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	made := filepath.Join(folder, "picture"+suffix)
	if err := os.Symlink(name+"4", made); err != nil {
		return err
	}
	size, err := in.Seek(0, io.SeekEnd)
	if err != nil {
		return err
	}
	timed, stop := context.WithTimeout(context.Background(), lim.TimeFor(size))
	defer stop()
	cmd := exec.CommandContext(timed, heifDecoder(), append(options, name+"3", made)...)
	cmd.Env, cmd.Dir = []string{}, "/"
	cmd.ExtraFiles = []*os.File{in, out} // fds 3 and 4
	said := &firstBytes{}
	cmd.Stdout, cmd.Stderr = said, said
	cmd.SysProcAttr = system.KilledWithParent()
	runtime.LockOSThread() // it is killed when the thread that started it ends
	defer runtime.UnlockOSThread()
	return heifFault(cmd.Run(), timed.Err() != nil, said.String())
}

// firstBytes keeps the first bytes that a program prints.
type firstBytes struct{ strings.Builder }

func (f *firstBytes) Write(b []byte) (int, error) {
	const enough = 1 << 10
	f.Builder.Write(b[:min(len(b), max(0, enough-f.Len()))])
	return len(b), nil
}

// heifFault is why the program failed.
func heifFault(err error, late bool, said string) error {
	if err == nil {
		return nil
	}
	cause := fmt.Errorf("%w: %s", err, cleanText([]byte(said), 300))
	var exit *exec.ExitError
	switch {
	case late:
		return wrong(TooLarge.With("open it in an editor and export it again"), cause, "took too long to decode and was stopped")
	case !errors.As(err, &exit):
		return wrong(NoDecoder, cause, "is a HEIF picture, and the program that decodes it cannot be started")
	case strings.Contains(said, "bad_alloc"), strings.Contains(said, "Memory allocation"), strings.Contains(said, "ecurity limit"):
		return wrong(TooLarge, cause, "would need more memory to decode than is allowed")
	case strings.Contains(said, "nsupported codec"), strings.Contains(said, "o decoding plugin"):
		return wrong(NoDecoder, cause, "is a HEIF picture, and the program that decodes it lacks the part for its coding")
	case exit.Sys().(syscall.WaitStatus).Signal() == syscall.SIGKILL:
		return wrong(Unreadable.With("give sizewright more memory, and drop it again"), ErrKilled, "was not decoded")
	}
	return wrong(Damaged, cause, "is damaged: its HEIF cannot be decoded")
}

// adoptPNG adopts the decoded picture, after a look at its size.
func (p *Photo) adoptPNG(f *os.File) error {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	cfg, err := png.DecodeConfig(bufio.NewReader(f))
	if err != nil {
		return damaged(noPicture, err)
	}
	if err := p.checkSize(cfg.Width, cfg.Height); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	img, err := png.Decode(bufio.NewReader(f))
	if err != nil {
		return err
	}
	return p.adopt(img)
}

const noPicture = "is damaged: no picture came from its decoder"

// checkSize refuses a decoded picture of another size than the file says.
func (p *Photo) checkSize(width, height int) error {
	if w, h := p.storedSize(); width != w || height != h {
		return damaged(fmt.Sprintf("is damaged: it says that it is %d x %d pixels and is %d x %d", w, h, width, height), nil)
	}
	return nil
}

// adoptY4M adopts a decoded picture that came as a line of text and three planes, of which
// the second and third have half the width and height.
func (p *Photo) adoptY4M(f *os.File) error {
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	b, err := io.ReadAll(f)
	if err != nil {
		return err
	}
	var w, h int
	head, pix, _ := bytes.Cut(b, []byte("\nFRAME\n"))
	if _, err := fmt.Sscanf(string(head), "YUV4MPEG2 W%d H%d ", &w, &h); err != nil {
		return damaged(noPicture, err)
	}
	if err := p.checkSize(w, h); err != nil {
		return err
	}
	m := &image.YCbCr{YStride: w, CStride: ceilDiv(w, 2), SubsampleRatio: image.YCbCrSubsampleRatio420, Rect: image.Rect(0, 0, w, h)}
	luma, chroma := w*h, m.CStride*ceilDiv(h, 2)
	if len(pix) != luma+2*chroma {
		return damaged(noPicture, errors.New("it is not whole"))
	}
	m.Y, m.Cb, m.Cr = pix[:luma], pix[luma:][:chroma], pix[luma+chroma:]
	return p.adopt(m)
}
