package report

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"slices"

	"sizewright/internal/plaintext"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
)

// pageScript is all the script there is: it hides the orders that are not asked
// for. Without it the page is whole and the form for asking stays hidden.
//
//go:embed page.js
var pageScript string

// scriptSource is pageScript for a content security policy: no other will run.
func scriptSource() string {
	sum := sha256.Sum256([]byte(pageScript))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// keys are what an order is found by. They stand in the page as data-
// attributes; Status is a word of ours, the rest is as in the record.
type keys struct{ Name, Size, Stock, Status string }

// States an order is shown in, by their word in data-status.
const (
	isHeld      = "held"
	isFault     = "fault"
	isCautioned = "caution"
	isReady     = "ready"
	isAgain     = "again"
)

// states are those words for people.
var states = map[string]string{
	isHeld: "held", isFault: "went wrong", isCautioned: "ready with cautions", isReady: "ready", isAgain: "made before",
}

func keysOf(r *record.Record) keys {
	k := keys{r.Source.Name, r.Order.Size, r.Order.Stock, isReady}
	switch {
	case r.Status == record.Held:
		k.Status = isHeld
	case r.RepeatOf != "":
		k.Status = isAgain
	case r.Status == record.ReadyWithCautions:
		k.Status = isCautioned
	}
	return k
}

// keysOfFault reads the size from the folder's name, as the order would have.
func keysOfFault(f record.Fault) keys {
	k := keys{Name: plaintext.Line(f.Name), Status: isFault}
	if p, err := printsize.ParsePath(f.Folder); err == nil {
		k.Size, k.Stock = p.Size.Name, p.Stock
	}
	return k
}

// option is one choice of a list. What is asked for is its Key with a letter
// before it, so that an order of no stock can be asked for too.
type option struct{ Key, Text string }

// choice is a list to choose from.
type choice struct {
	ID, Label string
	Options   []option
}

// finder is the form.
type finder struct {
	Script  template.JS
	Choices []choice
	All     int // orders there are
}

// newFinder offers what there is on the page, in the page's order; nil where
// there is too little to look for.
func newFinder(all []keys) *finder {
	if len(all) < 2 {
		return nil
	}
	var sizes, stocks, found []option
	add := func(to *[]option, key, text string) {
		if text == "" {
			text = "none named"
		}
		if o := (option{key, text}); !slices.Contains(*to, o) {
			*to = append(*to, o)
		}
	}
	for _, k := range all {
		add(&sizes, k.Size, k.Size)
		add(&stocks, k.Stock, k.Stock)
		add(&found, k.Status, states[k.Status])
	}
	f := &finder{Script: template.JS(pageScript), All: len(all)}
	for _, c := range []choice{{"size", "Size", sizes}, {"stock", "Paper", stocks}, {"status", "Status", found}} {
		if len(c.Options) > 1 {
			f.Choices = append(f.Choices, c)
		}
	}
	return f
}
