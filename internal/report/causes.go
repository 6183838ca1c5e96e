package report

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"sizewright/internal/order"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
	"sizewright/internal/record"
)

// cause is what one or several pictures wait for, and the one thing to do about it.
type cause struct {
	code, size string

	Held        bool
	Job         string
	Title, ToDo string
	Each        bool // the one thing is said of one, and there are several
	Cards       []card
}

// causeWords are why pictures wait, of one and of several, to follow their number. {size}
// is the size that was asked for, or "its size" where several were.
var causeWords = map[string][2]string{
	"too-few-pixels":       {"is too small for {size}", "are too small for {size}"},
	"too-little-detail":    {"is too soft for {size}", "are too soft for {size}"},
	tooLargeForPaper:       {"is larger than its paper", "are larger than their paper"},
	"damaged":              {"is damaged", "are damaged"},
	"unfinished":           {"is not whole", "are not whole"},
	"unreadable":           {"could not be read", "could not be read"},
	"not-an-image":         {"is no picture", "are no pictures"},
	"unsupported":          {"is of a sort that is not read", "are of a sort that is not read"},
	"camera-raw":           {"is a camera\u2019s raw file", "are cameras\u2019 raw files"},
	"out-of-gamut":         {"has colours that its paper does not hold", "have colours that their paper does not hold"},
	"low-resolution":       {"asks for a closer look", "ask for a closer look"},
	"made-smaller":         {"was made smaller than asked", "were made smaller than asked"},
	"no-profile":           {"came without a profile", "came without a profile"},
	"out-of-working-space": {"has colours outside the working space", "have colours outside the working space"},
}

const tooLargeForPaper = "too-large-for-paper"

// causesOf puts together what waits in one job for one and the same cause, in the page's
// order.
func causesOf(entries []record.Entry, cards []card, settled map[int]string) (all []cause) {
	at := map[[2]string]int{}
	for i, e := range entries {
		r := &e.Record
		if r.RepeatOf != "" || r.Status == record.Ready || settled[i] != "" || r.Status != record.Held && r.Status != record.ReadyWithCautions {
			continue
		}
		code := r.Code
		if r.Status != record.Held {
			c, _ := r.Asks()
			code = "caution " + c.Code
		}
		job := plaintext.Line(r.Order.Job)
		k, known := at[[2]string{job, code}]
		if !known {
			k = len(all)
			at[[2]string{job, code}] = k
			all = append(all, cause{code: strings.TrimPrefix(code, "caution "), size: r.Order.Size, Held: r.Status == record.Held, Job: job, ToDo: cards[i].ToDo})
		}
		c := &all[k]
		if c.size != r.Order.Size {
			c.size = ""
		}
		if c.ToDo != cards[i].ToDo {
			c.ToDo = ""
		}
		c.Cards = append(c.Cards, cards[i])
	}
	for i := range all {
		all[i].say()
	}
	slices.SortStableFunc(all, func(a, b cause) int { return cmp.Compare(b.rank(), a.rank()) })
	return all
}

// rank puts what was held first, then what is to be decided, then what is to be looked at.
func (c *cause) rank() int {
	switch {
	case c.Held:
		return 2
	case c.Cards[0].State == stateDecide:
		return 1
	}
	return 0
}

// say sets the words of a cause whose pictures are all there.
func (c *cause) say() {
	n := len(c.Cards)
	words, known := causeWords[c.code]
	switch {
	case !known && c.Held:
		words = [2]string{"was held", "were held"}
	case !known:
		words = [2]string{"has a caution", "have a caution"}
	}
	size := cmp.Or(c.size, plural.Noun(n, "its size", "their sizes"))
	one, many := "picture", "pictures"
	if !c.Held {
		one, many = "print", "prints"
	}
	c.Title = upperFirst(count(n, one, many)) + " " + strings.ReplaceAll(plural.Noun(n, words[0], words[1]), "{size}", size)
	c.Each = n > 1
	if n > 1 && c.code != tooLargeForPaper && !slices.ContainsFunc(c.Cards, func(x card) bool { return x.Carries == "" }) {
		c.ToDo = "Drop each into the folder of a size that it carries, or find a file with more pixels."
		c.Each = false
	}
	for i := range c.Cards {
		if c.ToDo != "" {
			c.Cards[i].ToDo = "" // the cause says it
		}
	}
}

// refusal is why a held order makes no print by its plan, nil for another reason.
func refusal(r *record.Record) *order.Refusal {
	if r.Status != record.Held || r.Plan == nil {
		return nil
	}
	return r.Plan.Refusal
}

// settledIn tells of held orders that a print was made later the same night, by their
// place among entries: of the same file for whatever folder, or of a file of that name
// for the same folder.
func settledIn(entries []record.Entry) map[int]string {
	settled := map[int]string{}
	for i, held := range entries {
		h := &held.Record
		if h.Status != record.Held {
			continue
		}
		var at time.Time
		for _, made := range entries {
			m := &made.Record
			same := h.Source.SHA256 != "" && m.Source.SHA256 == h.Source.SHA256 || m.Source.Name == h.Source.Name && m.Order.Folder == h.Order.Folder
			if m.Print == nil || !same || !m.Times.Finished.After(h.Times.Finished) || m.Times.Finished.Before(at) {
				continue
			}
			at, settled[i] = m.Times.Finished, m.Order.Folder
		}
	}
	return settled
}
