// Package plural makes nouns agree with their number: every sentence that counts
// comes here, or sooner or later somebody reads of "1 orders".
package plural

import "strconv"

// Count is a number in figures and its noun: "1 order", "2 orders", "0 orders".
func Count[N int | int64](n N, one, many string) string {
	return strconv.FormatInt(int64(n), 10) + " " + Noun(n, one, many)
}

// Noun is one where n is 1, and many for every other number.
func Noun[N int | int64](n N, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}
