package record

import (
	"net/url"
	"strings"
	"unicode/utf8"
)

// A file's name on Linux is any bytes but "/" and zero, and JSON holds text only: of a
// byte that is not UTF-8, "\ufffd" is left. So a record that could not say what its
// original was called, or where it is, says it a second time, as a URL would.

// jsonText is a name as JSON has it.
func jsonText(name string) string { return string([]rune(name)) }

// escaped is such a path, percent-encoded (RFC 3986), "" where it is text.
func escaped(path string) string {
	if utf8.ValidString(path) {
		return ""
	}
	parts := strings.Split(path, "/")
	for i, p := range parts {
		parts[i] = url.PathEscape(p)
	}
	return strings.Join(parts, "/")
}

// unescaped is the path of which a record gives the text and the escaped form, which is
// not believed where it is of another path.
func unescaped(text, escaped string) string {
	path, err := url.PathUnescape(escaped)
	if err != nil || jsonText(path) != text {
		return text
	}
	return path
}
