package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"slices"
	"time"

	"sizewright/internal/plaintext"
)

// Mark is a person's word about what was put on paper.
type Mark struct {
	At      time.Time `json:"at"`
	Number  int       `json:"number,omitempty"`  // of the edition; 0 for all that the order asked
	Spoiled bool      `json:"spoiled,omitempty"` // what came out is not to be used: it is to be printed again
	Free    bool      `json:"free,omitempty"`    // of a spoiled number: its TIFF is gone, so another print may get it
	File    string    `json:"file,omitempty"`    // where the TIFF was moved to, from the studio's root: printed/A2/marsh.tif
}

// OnPaper is how far an order has come on paper.
type OnPaper string

// How far it can have come. A held order asks for no paper, nor does one that was dropped
// again while its print waited.
const (
	NotAsked  OnPaper = ""
	ToPrint   OnPaper = "waiting"
	Printed   OnPaper = "printed"
	Reprinted OnPaper = "reprinted" // it was printed before, and again
)

// Words says it to people; "" where no paper is asked for.
func (o OnPaper) Words() string {
	if o == ToPrint {
		return "waiting to print"
	}
	return string(o)
}

// OnPaper is how far the order has come, by its marks. It waits until all of its numbers
// are printed.
func (r *Record) OnPaper() OnPaper {
	if r.Status == Held || r.Print == nil || r.RepeatOf != "" && !r.Reprint {
		return NotAsked
	}
	numbers, state := r.numbers(), Reprinted
	if len(numbers) == 0 {
		return NotAsked
	}
	for _, n := range numbers {
		switch times := r.timesPrinted(n); {
		case times == 0:
			return ToPrint
		case times == 1 && !r.Reprint:
			state = Printed
		}
	}
	return state
}

// numbers are those of the edition that the order has and keeps; 0 alone without one.
func (r *Record) numbers() (all []int) {
	for _, t := range r.Print.TIFFs() {
		freed := slices.ContainsFunc(r.Marks, func(m Mark) bool { return m.Free && m.Number == t.Number })
		if !freed {
			all = append(all, t.Number)
		}
	}
	return all
}

// EditionNumbers are those that the order has and keeps; none without an edition.
func (r *Record) EditionNumbers() (all []int) {
	for _, line := range r.Numbers() {
		all = append(all, line.Number)
	}
	return all
}

// ToPrint are the numbers of the edition that wait to be printed; 0 for a print without one.
func (r *Record) ToPrint() (waiting []int) {
	if r.OnPaper() != ToPrint {
		return nil
	}
	for _, n := range r.numbers() {
		if r.timesPrinted(n) == 0 {
			waiting = append(waiting, n)
		}
	}
	return waiting
}

// Spoiled are those of them that wait because what came out is not to be used.
func (r *Record) Spoiled() []int {
	return slices.DeleteFunc(r.ToPrint(), func(n int) bool {
		return !slices.ContainsFunc(r.Marks, func(m Mark) bool { return m.Spoiled && (m.Number == 0 || m.Number == n) })
	})
}

// timesPrinted is how often a number was put on paper, since it was spoiled last.
func (r *Record) timesPrinted(number int) (times int) {
	for _, m := range r.Marks {
		switch {
		case m.Number != 0 && m.Number != number:
		case m.Spoiled:
			times = 0
		default:
			times++
		}
	}
	return times
}

// PrintedAt is when the order was last put on paper, zero for never.
func (r *Record) PrintedAt() (at time.Time) {
	for _, m := range r.Marks {
		if !m.Spoiled && m.At.After(at) {
			at = m.At
		}
	}
	return at
}

// NumberPrintedAt is when a number (0 without an edition) was last put on paper; zero where
// it waits for that, or is spoiled.
func (r *Record) NumberPrintedAt(number int) (at time.Time) {
	if r.timesPrinted(number) == 0 {
		return at
	}
	for _, m := range r.Marks {
		if !m.Spoiled && (m.Number == 0 || m.Number == number) && m.At.After(at) {
			at = m.At
		}
	}
	return at
}

// Removal is a TIFF that was removed once its print was on paper. Dropping the original
// again makes it again.
type Removal struct {
	At    time.Time `json:"at"`
	File  string    `json:"file"` // where it was, from the studio's root
	Bytes int64     `json:"bytes"`
}

// Remove returns a record's file with a removal, as Mark does.
func (r *Record) Remove(data []byte, x Removal) ([]byte, error) {
	r.Removed = append(r.Removed, x)
	return with(data, "removed", r.Removed)
}

// Mark returns a record's file with more marks. All else in it stays as it is: it may be
// of another version.
func (r *Record) Mark(data []byte, marks ...Mark) ([]byte, error) {
	r.Marks = append(r.Marks, marks...)
	return with(data, "printed", r.Marks)
}

// with returns a JSON object with one member set, at its end.
func with(data []byte, name string, value any) ([]byte, error) {
	dec := json.NewDecoder(bytes.NewReader(data))
	if open, err := dec.Token(); err != nil || open != json.Delim('{') {
		return nil, errors.New("not a JSON object")
	}
	var b bytes.Buffer
	b.WriteString("{")
	for dec.More() {
		var raw json.RawMessage
		key, err := dec.Token()
		if err == nil {
			err = dec.Decode(&raw)
		}
		if err != nil {
			return nil, err
		}
		if key != name {
			member(&b, key, raw)
		}
	}
	set, err := json.MarshalIndent(value, "  ", "  ")
	if err != nil {
		return nil, err
	}
	member(&b, name, plaintext.JSON(set))
	b.WriteString("\n}\n")
	return b.Bytes(), nil
}

// member adds one to an object.
func member(b *bytes.Buffer, key any, raw []byte) {
	if b.Len() > 1 {
		b.WriteString(",")
	}
	name, _ := json.Marshal(key) // a string
	b.WriteString("\n  ")
	b.Write(name)
	b.WriteString(": ")
	b.Write(raw)
}

// IsRemoved tells whether one of a print's TIFFs was removed, or is being removed, from where
// it was made.
func (e Entry) IsRemoved() bool {
	return slices.ContainsFunc(e.Record.Removed, func(x Removal) bool {
		return slices.ContainsFunc(e.Record.Print.TIFFs(), func(t Numbered) bool { return e.Beside(t.File) == x.File })
	})
}
