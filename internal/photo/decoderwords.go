package photo

import (
	"fmt"
	"regexp"
	"strings"
)

// decoderWords are parts of the libraries' error messages, and what they mean to a
// photographer. The first that matches counts.
var decoderWords = []struct{ said, means string }{
	{"flate:", "its compressed data are damaged"},
	{"zlib:", "its compressed data are damaged"},
	{"lzw:", "its compressed data are damaged"},
	{"EOF", "it ends too early"},
	{"invalid checksum", "the checksum of one of its parts is wrong"},
	{"not enough pixel data", "it has fewer pixels than its header says"},
	{"too much pixel data", "it has more pixels than its header says"},
	{"chunk out of order", "its parts are in the wrong order"},
	{"Huffman", "its compressed data are damaged"},
	{"Bad chunk length", "the length of one of its parts is wrong"},
	{"subsampling ratio", "its colour has a resolution of an unusual kind"},
	{"precision", "its samples have another depth than 8 bits"},
	{"excessive DC component", "its values lie outside what a picture has"},
	{"components", "it has an unusual number of channels"},
	{"color model", "it has four channels and does not say which"},
	{"bit depth", "its depth and its colours do not go together"},
	{"dimension overflow", "it is larger than can be read"},
	{"unknown marker", "it has parts of an unknown kind"},
}

// byLibrary matches the beginning of a library's error message.
var byLibrary = regexp.MustCompile(`^(png|tiff|gzip|bufio|invalid JPEG format|unsupported JPEG feature): `)

// inOurWords is an error's message, in brackets. Our own is unchanged, a library's is put
// into plain words, or left out if there are none for it.
func inOurWords(err error) string {
	said := err.Error()
	for _, w := range decoderWords {
		if strings.Contains(said, w.said) {
			return fmt.Sprintf(" (%s)", w.means)
		}
	}
	if byLibrary.MatchString(said) {
		return ""
	}
	return fmt.Sprintf(" (%s)", said)
}
