// Package edition numbers the prints of limited editions: 4/25 is the fourth of 25. A
// number is given once, and gaps are allowed.
//
// The ledger of all numbers is one text file in the studio, which a person can read and
// keep. A line is written before the print that bears its number is begun:
//
//	given  4/25  2026-03-14 02:11:04  A2  "Marsh exhibition"  "marsh"  20260314-...
//
// That is the number, when it was given, the print's size, the job, the picture's name and
// the claim that it was given to, with tabs between. A line that begins with "free" takes
// a number back that came to no print, or whose print is spoiled and gone. Of two lines on
// a number the later holds. Lines that begin with # are for people.
package edition

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"sizewright/internal/filename"
	"sizewright/internal/plural"
	"sizewright/internal/remedy"
)

// File is the ledger's name in a studio.
const File = "editions.txt"

const header = "# The numbers of this studio's editions. sizewright reads this file and adds to it; keep it.\n"

// Picture is what has an edition: a picture by its name, in its job. It is the same
// edition in all sizes that have the same number of prints; and in one size, whatever
// that number was before.
type Picture struct {
	Job  string // "" for none
	Name string // of the file, without its extension
	Size string // of the print, as A2
	Of   int    // how many prints the edition has
}

// shares tells whether two are of one edition. Names that a share takes for one are one.
func (p Picture) shares(q Picture) bool {
	return folded(p.Job) == folded(q.Job) && folded(p.Name) == folded(q.Name) && (p.Of == q.Of || p.Size == q.Size)
}

func folded(name string) string { return filename.Fold(string([]rune(name))) }

// Line is one line of the ledger.
type Line struct {
	Picture
	Number int
	At     time.Time
	Claim  string // "" in a line that was restored from a record
	Free   bool
}

// Ledger is the file.
type Ledger struct {
	lines []Line
	text  []byte
}

// Parse reads a ledger; nothing is an empty one. A line that is not understood is an
// error, since a number might be given twice for it.
func Parse(data []byte) (*Ledger, error) {
	l := &Ledger{text: data}
	for i, text := range strings.Split(string(data), "\n") {
		if text = strings.TrimSuffix(text, "\r"); strings.TrimSpace(text) == "" || strings.HasPrefix(text, "#") {
			continue
		}
		line, ok := parseLine(text)
		if !ok {
			return nil, remedy.Errorf("correct the line, or put a # before it if it gives no number", "%s:%d: %q is no line that sizewright writes", File, i+1, text)
		}
		l.lines = append(l.lines, line)
	}
	return l, nil
}

const timeForm = time.DateTime

func parseLine(text string) (l Line, ok bool) {
	f := strings.Split(text, "\t")
	if len(f) != 7 || strings.ContainsAny(text, "\r\n") || f[0] != "given" && f[0] != "free" {
		return l, false
	}
	number, of, _ := strings.Cut(f[1], "/")
	var errs [5]error
	l.Free, l.Size, l.Claim = f[0] == "free", f[3], f[6]
	l.Number, errs[0] = strconv.Atoi(number)
	l.Of, errs[1] = strconv.Atoi(of)
	l.At, errs[2] = time.ParseInLocation(timeForm, f[2], time.Local)
	l.Job, errs[3] = strconv.Unquote(f[4])
	l.Name, errs[4] = strconv.Unquote(f[5])
	return l, errs == [5]error{} && l.Number > 0 && l.Of > 0
}

func (l *Ledger) add(line Line) {
	if len(l.text) == 0 {
		l.text = []byte(header)
	}
	if l.text[len(l.text)-1] != '\n' {
		l.text = append(l.text, '\n')
	}
	l.text = append(l.text, line.text()+"\n"...)
	l.lines = append(l.lines, line)
}

func (l Line) text() string {
	word := "given"
	if l.Free {
		word = "free"
	}
	return fmt.Sprintf("%s\t%s\t%s\t%s\t%q\t%q\t%s", word, Text(l.Number, l.Of), l.At.Local().Format(timeForm), l.Size, l.Job, l.Name, l.Claim)
}

// Text is a number as a print bears it: 4/25.
func Text(number, of int) string { return fmt.Sprintf("%d/%d", number, of) }

// Bytes is the ledger's file.
func (l *Ledger) Bytes() []byte { return l.text }

// Restore adds the numbers that are given and that the ledger knows nothing of. What no
// record of ours says, such as the number 0, is passed over.
func (l *Ledger) Restore(given []Line) {
	id := func(x Line) string { return fmt.Sprint(x.Number, "\n", folded(x.Job), "\n", folded(x.Name)) }
	byID := map[string][]Line{}
	for _, x := range l.lines {
		byID[id(x)] = append(byID[id(x)], x)
	}
	for _, g := range given {
		known := slices.ContainsFunc(byID[id(g)], func(x Line) bool { return x.shares(g.Picture) })
		if _, sound := parseLine(g.text()); sound && !known {
			l.add(g)
			byID[id(g)] = append(byID[id(g)], g)
		}
	}
}

// UsedUpError means that an edition has fewer numbers left than are asked for.
type UsedUpError struct {
	Picture
	Left, Asked int
}

func (e *UsedUpError) Error() string {
	if e.Left == 0 {
		return fmt.Sprintf("no number of its edition of %d is left", e.Of)
	}
	return fmt.Sprintf("%s of its edition of %d, and %d are asked for", plural.Count(e.Left, "number is left", "numbers are left"), e.Of, e.Asked)
}

// Next are the numbers that come next, rising: those that are free again, and then those
// after the last. The error is an [UsedUpError].
func (l *Ledger) Next(p Picture, count int) ([]int, error) {
	state, last := map[int]bool{}, 0 // whether a number is free
	for _, x := range l.lines {
		if x.shares(p) {
			state[x.Number], last = x.Free, max(last, x.Number)
		}
	}
	var next []int
	for n := 1; n <= p.Of && len(next) < count; n++ {
		if free, ever := state[n]; free || !ever && n > last {
			next = append(next, n)
		}
	}
	if len(next) < count {
		return nil, &UsedUpError{p, len(next), count}
	}
	return next, nil
}

// Give gives the next numbers to a claim.
func (l *Ledger) Give(p Picture, count int, claim string, now time.Time) ([]Line, error) {
	numbers, err := l.Next(p, count)
	var given []Line
	for _, n := range numbers {
		given = append(given, Line{Picture: p, Number: n, At: now, Claim: claim})
		l.add(given[len(given)-1])
	}
	return given, err
}

// Free takes back the numbers of a claim that came to no print, and tells whether there
// were any.
func (l *Ledger) Free(claim string, now time.Time) (any bool) {
	for i, x := range slices.Clone(l.lines) {
		if x.Claim != claim || x.Free {
			continue
		}
		later := slices.ContainsFunc(l.lines[i+1:], func(y Line) bool { return y.Number == x.Number && y.shares(x.Picture) })
		if !later {
			any = true
			x.Free, x.At = true, now
			l.add(x)
		}
	}
	return any
}

// FreeNumber takes back a number whose print is spoiled and gone.
func (l *Ledger) FreeNumber(p Picture, number int, now time.Time) {
	l.add(Line{Picture: p, Number: number, At: now, Free: true})
}
