// Package plural formats a number with its noun, such as "1 order" and "2 orders".
package plural

import "strconv"

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
