package report

import (
	"cmp"
	"strings"

	"sizewright/internal/caution"
	"sizewright/internal/hold"
	"sizewright/internal/record"
)

// advice is why an order needs somebody and the one thing to do about it: a held order's
// reason and remedy, or the gravest of a print's cautions. Records from before remedies
// were kept have them in the reason, or nowhere: those get the remedy of their kind.
func advice(r *record.Record) (reason, todo string) {
	if r.Status != record.Held {
		if c, asks := r.Asks(); asks {
			return "", caution.Of(c).Do
		}
		return "", ""
	}
	reason = strings.TrimPrefix(r.Reason, r.Source.Name+": ") // the line above says it
	return sentence(reason, r.Source.Name), sentence(cmp.Or(r.Remedy, hold.Of(r.Code).Remedy), "")
}
