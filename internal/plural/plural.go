// Package plural formats a number with its noun, such as "1 order" and "2 orders".
package plural

import (
	"strconv"
	"strings"
)

// Count returns a number in digits and its noun: "1 order", "2 orders", "0 orders".
func Count[N int | int64](n N, one, many string) string {
	return strconv.FormatInt(int64(n), 10) + " " + Noun(n, one, many)
}

// Noun returns one if n is 1, and many otherwise.
func Noun[N int | int64](n N, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// List joins words as one speaks: "a, b and c", with "and", "or" or another word before
// the last.
func List(words []string, before string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " " + before + " " + words[last]
}
