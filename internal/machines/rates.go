package machines

import (
	"fmt"
	"slices"
	"time"

	"sizewright/internal/render"
)

// ownRates are the speeds by which an owner decides where a print is made.
type ownRates struct {
	Rates
	pack  float64 // share of its largest size that a print's strips come to
	check float64 // seconds for making strips again
}

// firstRates hold until there are measurements: a print of 112 megapixels in 5.6 s, ten times
// as long with a network, and a network of 1 Gbit/s.
var firstRates = ownRates{Rates: Rates{Made: 20, Learned: 2, Moved: 100}, pack: 0.85, check: 0.3}

// SendAll, if it is not "", has every print worth sending. Tests of faults set it, by the
// linker.
var SendAll string

func (r *ownRates) moved(bytes int64, took time.Duration) {
	if bytes >= 1<<20 { // a small object's time is all waiting
		blend(&r.Moved, float64(bytes)/1e6, took)
	}
}

func (r *ownRates) packed(bytes, most int64) {
	r.pack += (float64(bytes)/float64(max(most, 1)) - r.pack) / 3
}

func (r *ownRates) checked(took time.Duration) { r.check += (took.Seconds() - r.check) / 3 }

// worth compares what a print costs here: to make it, or to have it made. The source is
// decoded again for the check.
func (r *ownRates) worth(p *render.Recipe, sourceMegapixels float64, source, most int64, stored bool) (why string, worth bool) {
	const decoded = 40 // megapixels a second, about
	here := megapixels(p) / *r.of(p)
	moved := r.pack * float64(most)
	if !stored {
		moved += float64(source)
	}
	there := moved/1e6/r.Moved + sourceMegapixels/decoded + r.check
	return fmt.Sprintf("making it here takes about %s s, and sending, fetching and checking it about %s s", seconds(here), seconds(there)), there < here || SendAll != ""
}

// Where says where a print would be made, by what its owner last said of other machines:
// nil if no owner is at work. The sizes are those of Seat.
func Where(s *Status, p *render.Recipe, sourceMegapixels float64, source, most int64) string {
	rates := firstRates
	if s != nil {
		for to, from := range map[*float64]float64{&rates.Made: s.Rates.Made, &rates.Learned: s.Rates.Learned, &rates.Moved: s.Rates.Moved} {
			if from > 0 { // a rounded one may be 0
				*to = from
			}
		}
	}
	why, worth := rates.worth(p, sourceMegapixels, source, most, false)
	switch {
	case !worth:
		return "on this machine: " + why
	case s == nil:
		return "by another machine, if one is free once a daemon runs: " + why
	case !s.Reached:
		return "on this machine, as long as the server of [machines] is not reached"
	case s.Rests.After(time.Now()):
		return "on this machine, as long as the server of [machines] has trouble"
	case !slices.ContainsFunc(s.Workers, func(w WorkerStatus) bool { return w.Idle == "" && len(w.Hand) < w.Prints }):
		return "on this machine, unless a worker is free by then: " + why
	}
	return "by another machine, if one is free: " + why
}

func seconds(s float64) string {
	if s >= 10 {
		return fmt.Sprintf("%.0f", s)
	}
	return fmt.Sprintf("%.2g", s)
}

// MadeHere has the time of a print that was made here counted.
func (o *Owner) MadeHere(p *render.Recipe, took time.Duration) {
	if o == nil {
		return
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	o.rates.made(p, took)
}
