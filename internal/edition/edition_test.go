package edition

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

var day = time.Date(2026, 3, 14, 2, 11, 4, 0, time.Local)

func parse(t *testing.T, text []byte) *Ledger {
	t.Helper()
	l, err := Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func give(t *testing.T, l *Ledger, p Picture, count int, claim string) (numbers []int) {
	t.Helper()
	given, err := l.Give(p, count, claim, day)
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range given {
		numbers = append(numbers, g.Number)
	}
	return numbers
}

// The edition is of a picture's name in its job: of another job, name, or size with another
// number of prints there is another one.
func TestAnEditionIsOfAPicturesNameInItsJob(t *testing.T) {
	l := parse(t, nil)
	for i, x := range []struct {
		Picture
		want string
	}{
		{Picture{"", "marsh", "A2", 25}, "[1]"},
		{Picture{"Reeds", "marsh", "A2", 25}, "[1]"},
		{Picture{"", "heron", "A2", 25}, "[1]"},
		{Picture{"", "marsh", "A2", 25}, "[2]"},
		{Picture{"", "Marsh", "A2", 25}, "[3]"},      // as a share has it
		{Picture{"", "marsh", "A4", 25}, "[4]"},      // told to be of the same edition
		{Picture{"", "marsh", "A4", 10}, "[5]"},      // a number of prints that was changed
		{Picture{"", "marsh", "A5", 10}, "[6]"},      //
		{Picture{"", "marsh", "60x40mm", 5}, "[1]"},  // another edition
		{Picture{"", "a\tb\nc\xff", "A2", 9}, "[1]"}, // a name with anything in it
		{Picture{"", "a\tb\nc\xff", "A2", 9}, "[2]"},
	} {
		if got := fmt.Sprint(give(t, l, x.Picture, 1, "")); got != x.want {
			t.Errorf("%d: %+v gets %s, want %s", i, x.Picture, got, x.want)
		}
		l = parse(t, l.Bytes())
	}
}

func TestAUsedUpEditionGivesNothing(t *testing.T) {
	l, p := parse(t, nil), Picture{"", "marsh", "A2", 3}
	if got := give(t, l, p, 2, "first"); !slices.Equal(got, []int{1, 2}) {
		t.Fatal(got)
	}
	before := slices.Clone(l.Bytes())
	_, err := l.Give(p, 2, "second", day)
	var full *UsedUpError
	if !errors.As(err, &full) || full.Left != 1 || err.Error() != "1 number is left of its edition of 3, and 2 are asked for" || !bytes.Equal(before, l.Bytes()) {
		t.Errorf("%v, and the ledger is %s", err, l.Bytes())
	}
	l.Free("first", day)
	if got := give(t, parse(t, l.Bytes()), p, 3, ""); !slices.Equal(got, []int{1, 2, 3}) {
		t.Errorf("%v, want the numbers that came to no print, and then the next", got)
	}
}

// What a person spoils is told by its line, and nothing is guessed.
func TestALineThatIsNotUnderstoodIsAnError(t *testing.T) {
	good := string(parse(t, nil).Bytes())
	l := parse(t, []byte("# mine\n\n"+good))
	give(t, l, Picture{"", "marsh", "A2", 25}, 1, "c")
	if _, err := Parse(append(l.Bytes(), "given\t2/25\t2026"...)); err == nil || err.Error()[:14] != "editions.txt:4" {
		t.Errorf("%v", err)
	}
	unended := bytes.TrimSuffix(l.Bytes(), []byte("\n"))
	l = parse(t, unended)
	if got := give(t, l, Picture{"", "marsh", "A2", 25}, 1, ""); got[0] != 2 {
		t.Errorf("after a last line without its end: %v", got)
	}
	parse(t, l.Bytes())
}

// A record that somebody forged does not spoil the ledger.
func TestWhatIsNoLineIsNotRestored(t *testing.T) {
	l := parse(t, nil)
	l.Restore([]Line{{Picture: Picture{Name: "marsh", Size: "A2\nfree", Of: 25}, Number: 1}, {Picture: Picture{Name: "marsh", Size: "A2", Of: 25}}, {Picture: Picture{Name: "marsh", Size: "A2", Of: 25}, Number: 3}})
	if got := give(t, parse(t, l.Bytes()), Picture{"", "marsh", "A2", 25}, 1, ""); got[0] != 4 || bytes.Count(l.Bytes(), []byte("\n")) != 2 {
		t.Errorf("%v, and the ledger is %s", got, l.Bytes())
	}
}

// However numbers are given, taken back, lost with the ledger and restored from the prints,
// no two prints that stay have the same.
func TestNoNumberIsGivenTwice(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	pictures := []Picture{{"", "marsh", "A2", 40}, {"", "marsh", "A4", 40}, {"Reeds", "marsh", "A2", 40}}
	for range 40 {
		var text []byte
		var made []Line
		for step := range 30 {
			l := parse(t, text)
			l.Restore(made)
			claim := fmt.Sprint(step)
			given, err := l.Give(pictures[r.IntN(3)], 1+r.IntN(3), claim, day)
			if err != nil {
				continue
			}
			switch r.IntN(4) {
			case 0: // it came to no print
				l.Free(claim, day)
			case 1: // nor did it, and nobody said so
			default:
				made = append(made, given...)
			}
			if text = l.Bytes(); r.IntN(6) == 0 {
				text = nil // lost
			}
		}
		for i, x := range made {
			for _, y := range made[i+1:] {
				if x.Number == y.Number && x.shares(y.Picture) {
					t.Fatalf("%+v and %+v", x, y)
				}
			}
		}
	}
}
