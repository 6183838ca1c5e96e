package report

import (
	"fmt"
	"strconv"
)

// cutOutsInEnglish names the places that a print is cut out at.
var cutOutsInEnglish = map[string]string{
	"detail":   "the finest detail",
	"gradient": "a smooth change of tone",
	"shadow":   "the shadows",
	"gamut":    "where the paper misses most",
}

func cutOutOfInEnglish(what, name string, made bool) string {
	if made {
		return "Cut-out of the print of " + name + ", " + what
	}
	return "The same cut-out of " + name + " before sharpening, " + what
}

func barInEnglish(mm float64) string {
	return typeset(strconv.FormatFloat(mm, 'f', -1, 64) + " mm")
}

// cutSidesInEnglish tells how large the whole cut-out is.
func cutSidesInEnglish(px int, mm float64) string {
	return typeset(fmt.Sprintf("%d px are %s mm on paper.", px, tenths(mm)))
}
