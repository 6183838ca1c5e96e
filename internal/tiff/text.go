package tiff

import (
	"strings"

	"sizewright/internal/plaintext"
)

// cleanText makes s valid for a tag. A NUL would end the text for every reader. Tags
// are shown on terminals, so characters that [plaintext.Safe] rejects are escaped. Line
// ends and tabs become spaces.
func cleanText(s string) string {
	s = strings.Trim(s, " \t\r\n\x00")
	return plaintext.Line(strings.NewReplacer("\n", " ", "\r", " ", "\t", " ").Replace(s))
}
