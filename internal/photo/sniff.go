package photo

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"
)

// Formats that are read, as they appear in Info.Format.
const (
	formatJPEG = "JPEG"
	formatPNG  = "PNG"
	formatTIFF = "TIFF"
)

// signature ties the first bytes of a file to what it is. A readable format has
// an empty refusal; of the rest the refusal completes "marsh.cr3 is ...".
type signature struct {
	offset  int
	magic   string
	format  string
	refusal string
}

// sniffBytes is enough for the longest signature at its offset.
const sniffBytes = 32

const (
	rawFile  = "a raw camera file, which must be developed first"
	heicFile = "a HEIF picture (HEIC or AVIF), which is not read here"
)

// signatures are tried in order: those inside a TIFF header stand before TIFF.
var signatures = []signature{
	{0, "II*\x00\x10\x00\x00\x00CR", "", rawFile},
	{0, "IIRO", "", rawFile},
	{0, "IIRS", "", rawFile},
	{0, "MMOR", "", rawFile},
	{0, "IIU\x00", "", rawFile},
	{0, "FUJIFILMCCD-RAW", "", rawFile},
	{0, "FOVb", "", rawFile},
	{0, "\x00MRM", "", rawFile},
	{4, "ftypcrx ", "", rawFile},
	{4, "ftyphei", "", heicFile},
	{4, "ftyphev", "", heicFile},
	{4, "ftypmif1", "", heicFile},
	{4, "ftypmsf1", "", heicFile},
	{4, "ftypavif", "", heicFile},
	{4, "ftypavis", "", heicFile},
	{0, "\xff\xd8\xff", formatJPEG, ""},
	{0, "\x89PNG\r\n\x1a\n", formatPNG, ""},
	{0, "II*\x00", formatTIFF, ""},
	{0, "MM\x00*", formatTIFF, ""},
	{0, "II+\x00", "", "a BigTIFF, which is not read here"},
	{0, "MM\x00+", "", "a BigTIFF, which is not read here"},
	{8, "WEBP", "", "a WebP picture, which is not read here"},
	{0, "8BPS", "", "a layered PSD or PSB picture, which is not read here"},
	{0, "GIF8", "", "a GIF, which is not read here"},
	{0, "\x00\x00\x00\x0cjP  ", "", "a JPEG 2000, which is not read here"},
	{0, "\x00\x00\x00\x0cJXL ", "", "a JPEG XL, which is not read here"},
	{0, "\xff\x0a", "", "a JPEG XL, which is not read here"},
	{0, "v/1\x01", "", "an OpenEXR picture, which is not read here"},
	{0, "%PDF-", "", "a PDF, which is not read here"},
}

// sniff names the format of the file by its first bytes, or says why it is not
// one that is read.
func sniff(src io.ReaderAt) (string, error) {
	var head [sniffBytes]byte
	n, err := src.ReadAt(head[:], 0)
	if err != nil && err != io.EOF {
		return "", err
	}
	for _, s := range signatures {
		if n < s.offset || !bytes.HasPrefix(head[s.offset:n], []byte(s.magic)) {
			continue
		}
		if s.refusal != "" {
			return "", unsupported("is "+s.refusal, remedyExport)
		}
		return s.format, nil
	}
	return "", wrong(NotAnImage, nil, "is not a picture that is read here")
}

// suffixes are the file name endings in use for each format.
var suffixes = map[string]string{
	".jpg": formatJPEG, ".jpeg": formatJPEG, ".jpe": formatJPEG, ".jfif": formatJPEG,
	".png": formatPNG,
	".tif": formatTIFF, ".tiff": formatTIFF,
}

// checkSuffix cautions when the file's name says another format than its bytes.
func (in *Info) checkSuffix(file string) {
	suffix := filepath.Ext(file)
	if suffixes[strings.ToLower(suffix)] == in.Format {
		return
	}
	if suffix == "" {
		in.caution(CautionWrongSuffix, "The file's name has no suffix; it is a "+in.Format+" and was read as one.")
		return
	}
	in.caution(CautionWrongSuffix, "The file's name ends in "+cleanText([]byte(suffix), 16)+", but it is a "+in.Format+" and was read as one.")
}
