package report

import (
	"fmt"
	"strings"

	"sizewright/internal/sheet"
)

// insteadInEnglish is the one thing to do about a held picture, whose largest
// usual size is given, "" for none.
func insteadInEnglish(code, size string) string {
	larger, smaller := "look at the file, and drop it again", "drop it into "+size
	switch code {
	case "too-few-pixels":
		larger = "find a file with more pixels"
	case "too-little-detail":
		larger = "find a sharper file"
	case "too-large-for-paper":
		larger = "give the drop folder a larger paper"
	}
	if size == "" {
		return larger
	}
	return smaller + ", or " + larger
}

// usedInEnglish is what the night's prints take of paper, to follow "Nine
// prints were made". of is how many there are: not all may lie on a paper that
// is known.
func usedInEnglish(e sheet.Estimate, of int) string {
	if e.Prints == 0 {
		return ""
	}
	var kinds []string
	if e.RollM > 0 {
		kinds = append(kinds, fmt.Sprintf("%.2f m of roll", e.RollM))
	}
	if e.Sheets > 0 {
		kinds = append(kinds, count(e.Sheets, "sheet", "sheets"))
	}
	text := fmt.Sprintf("%.2f m\u00b2 of paper", e.PaperM2)
	if kinds != nil {
		text = strings.Join(kinds, " and ") + " (" + text + ")"
	}
	who := "they take "
	switch {
	case of == 1:
		who = "it takes "
	case e.Prints == 1:
		who = "one of them takes "
	case e.Prints < of:
		who = number(e.Prints) + " of them take "
	}
	return "; " + who + typeset(text)
}
