package tiff

import (
	"strings"

	"sizewright/internal/plaintext"
)

// cleanText is s as a tag can hold it: a NUL would end the text for every reader, and
// tags are read on terminals, so what [plaintext.Safe] is not is shown by its code.
// Words parted by a line end or a tab stay parted.
func cleanText(s string) string {
	s = strings.Trim(s, " \t\r\n\x00")
	return plaintext.Line(strings.NewReplacer("\n", " ", "\r", " ", "\t", " ").Replace(s))
}
