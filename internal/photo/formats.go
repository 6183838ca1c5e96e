package photo

import (
	"bytes"
	"io"
	"path/filepath"
	"slices"
	"strings"
)

// format is one line of the table of formats. A format that is read has suffixes, identify
// and whole; any other has a hold.
type format struct {
	name     string   // as in Info.Format: "JPEG"
	magics   []magic  // any of them identifies it
	suffixes []string // of file names, in small letters

	identify func(*Info, *io.SectionReader, Limits) (decoder, error) // reads the header, and gives what decodes the rest
	whole    func(*io.SectionReader, Limits) error                   // see [Ended]

	held *Error // why it makes no print, if it is known and not read
}

// magic is the bytes that a file of a format has at an offset.
type magic struct {
	at    int
	bytes string
	also  string // if not "", must be anywhere in the first sniffBytes
}

// decoder decodes a picture whose header is within the limits.
type decoder func(*Photo) error

// Formats that are read, as they appear in Info.Format.
const (
	formatJPEG = "JPEG"
	formatPNG  = "PNG"
	formatTIFF = "TIFF"
	formatWebP = "WebP"
	formatPSD  = "PSD"
	formatHEIF = "HEIF"
	formatAVIF = "AVIF"
)

// formats is the one table of formats. Where several magics match, the longest counts,
// so that a raw file which begins as a TIFF is not taken for one.
var formats = []format{
	{name: formatJPEG, magics: start("\xff\xd8\xff"), suffixes: []string{".jpg", ".jpeg", ".jpe", ".jfif"},
		identify: identifyJPEG, whole: endedJPEG},
	{name: formatPNG, magics: start("\x89PNG\r\n\x1a\n"), suffixes: []string{".png"},
		identify: identifyPNG, whole: endedPNG},
	{name: formatTIFF, magics: start("II*\x00", "MM\x00*", "II+\x00", "MM\x00+"), suffixes: []string{".tif", ".tiff"},
		identify: identifyTIFF, whole: endedTIFF},
	{name: formatWebP, magics: []magic{{bytes: "RIFF", also: "WEBP"}}, suffixes: []string{".webp"},
		identify: identifyWebP, whole: endedWebP},
	{name: formatPSD, magics: start("8BPS"), suffixes: []string{".psd", ".psb"},
		identify: identifyPSD, whole: endedPSD},
	{name: formatAVIF, magics: []magic{{at: 4, bytes: "ftypavif"}, {at: 4, bytes: "ftypavis"}, {at: 4, bytes: "ftypmif1", also: "avif"}},
		suffixes: []string{".avif"}, identify: identifyHEIF, whole: endedHEIF},
	{name: formatHEIF, magics: []magic{{at: 4, bytes: "ftyphei"}, {at: 4, bytes: "ftyphev"}, {at: 4, bytes: "ftypmif1"}, {at: 4, bytes: "ftypmsf1"}},
		suffixes: []string{".heic", ".heif", ".hif"}, identify: identifyHEIF, whole: endedHEIF},
	{name: "camera raw", held: rawFile(), magics: append(
		start("II*\x00\x10\x00\x00\x00CR", "IIRO", "IIRS", "MMOR", "IIU\x00", "FUJIFILMCCD-RAW", "FOVb", "\x00MRM"),
		magic{at: 4, bytes: "ftypcrx "})},
	{name: "GIF", held: notRead("a GIF", remedyExport), magics: start("GIF8")},
	{name: "JPEG 2000", held: notRead("a JPEG 2000", remedyExport), magics: start("\x00\x00\x00\x0cjP  ")},
	{name: "JPEG XL", held: notRead("a JPEG XL", remedyExport), magics: start("\x00\x00\x00\x0cJXL ", "\xff\x0a")},
	{name: "OpenEXR", held: notRead("an OpenEXR picture", remedyExport), magics: start("v/1\x01")},
	{name: "PDF", held: notRead("a PDF", remedyPixels), magics: start("%PDF-")},
	{name: "SVG", held: notRead("an SVG drawing", remedyPixels), magics: append(start("<svg"), magic{bytes: "<?xml", also: "<svg"})},
}

const remedyPixels = "export it as a TIFF or JPEG of as many pixels as the size needs"

// notRead is for a format that is not read here.
func notRead(what, remedy string) *Error {
	return unsupported("is "+what+", which is not read here", remedy)
}

// rawFile is for a camera raw file. Some are found only by their TIFF tags.
func rawFile() *Error {
	return wrong(Undeveloped, nil, "is a camera raw file, which must be developed first")
}

func start(magics ...string) (all []magic) {
	for _, m := range magics {
		all = append(all, magic{bytes: m})
	}
	return all
}

// formatOf is a line of the table by its name.
func formatOf(name string) *format {
	return &formats[slices.IndexFunc(formats, func(f format) bool { return f.name == name })]
}

// sniffBytes is how many bytes are read to identify a format.
const sniffBytes = 1024

// sniff identifies a file's format by its first bytes. It returns an error for one that
// is not read here.
func sniff(src io.ReaderAt) (*format, error) {
	head := make([]byte, sniffBytes)
	n, err := src.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return nil, err
	}
	f := formatBy(head[:n])
	switch {
	case f == nil:
		return nil, wrong(NotAnImage, nil, "is not a picture that is read here")
	case f.identify == nil:
		held := *f.held // a copy, because [named] writes to it
		return nil, &held
	}
	return f, nil
}

func formatBy(head []byte) (found *format) {
	longest := 0
	for i := range formats {
		for _, m := range formats[i].magics {
			if len(m.bytes) > longest && m.fits(head) {
				found, longest = &formats[i], len(m.bytes)
			}
		}
	}
	return found
}

func (m magic) fits(head []byte) bool {
	return len(head) >= m.at && bytes.HasPrefix(head[m.at:], []byte(m.bytes)) && bytes.Contains(head, []byte(m.also))
}

// checkSuffix cautions when the file's name says another format than its bytes.
func (in *Info) checkSuffix(file string) {
	suffix := filepath.Ext(file)
	if slices.Contains(formatOf(in.Format).suffixes, strings.ToLower(suffix)) {
		return
	}
	if suffix == "" {
		in.caution(CautionWrongSuffix, "The file's name has no suffix; it is a "+in.Format+" and was read as one.")
		return
	}
	in.caution(CautionWrongSuffix, "The file's name ends in "+cleanText([]byte(suffix), 16)+", but it is a "+in.Format+" and was read as one.")
}
