//go:build linux

package faults

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// odd are unusual names for a file, from its number and suffix. None is a name that file
// managers and copy programs use for hidden or temporary files.
var odd = []func(n int, suffix string) string{
	func(n int, s string) string { return fmt.Sprintf("marsh %d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("two\nlines %d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("-rf %d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("--studio=%d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("mar\xe9e %d%s", n, s) }, // Latin-1
	func(n int, s string) string { return fmt.Sprintf("mare\u0301e %d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("mar\u00e9e %d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("%d%s%s", n, strings.Repeat("_reed", 49-len(s)/2), s) },
	func(n int, s string) string {
		return strings.Repeat("x", 255-len(s)-len(fmt.Sprint(n))) + fmt.Sprint(n) + s
	},
	func(n int, s string) string { return fmt.Sprintf("a..%%2f..\\%d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("$(touch out) `%d`;%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("tab\tand bell\a %d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf(" %d %s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("no suffix %d", n) },
	func(n int, s string) string { return fmt.Sprintf("a record, by its name %d.json", n) },
	func(n int, s string) string { return fmt.Sprintf("marsh %d.preview.jpg", n) },
	func(n int, s string) string { return fmt.Sprintf("wrong suffix %d.DAT", n) },
	func(n int, s string) string { return fmt.Sprintf("con.%d%s", n, s) }, // Windows cannot open these: see package filename
	func(n int, s string) string { return fmt.Sprintf("COM\u00b9.%d%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("a:b*c? <%d>%s", n, s) },
	func(n int, s string) string { return fmt.Sprintf("a_b_c_ _%d_%s", n, s) }, // what the name above becomes
	func(n int, s string) string { return fmt.Sprintf("%d%s.", n, s) },
	func(n int, s string) string { return fmt.Sprintf("\u202e%d\x1b[2J%s", n, s) },
}

// oddName returns a name for the n-th file. Some come in pairs: n and n+1 then differ only in
// upper and lower case or in their suffix.
func oddName(r *rand.Rand, n int, suffix string) string {
	switch r.IntN(4) {
	case 0:
		return fmt.Sprintf([]string{"Heron %d%s", "hERON %d%s"}[n%2], n/2, suffix)
	case 1:
		return fmt.Sprintf("egret %d%s", n/2, []string{suffix, ".Jpeg"}[n%2])
	}
	return odd[r.IntN(len(odd))](n, suffix)
}
