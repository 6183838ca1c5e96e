package report

import (
	"strings"

	"sizewright/internal/caution"
	"sizewright/internal/photo"
	"sizewright/internal/record"
)

// advice is the one thing to do about an order that needs somebody, by why: a
// held order's reason, or the gravest of a print's cautions. What the sentence in
// the record already asks for is taken from there and not said twice.
func advice(r *record.Record) (reason, todo string) {
	if r.Status != record.Held {
		if c, ok := caution.Gravest(r.Cautions); ok {
			return "", caution.Of(c).Do
		}
		return "", ""
	}
	if remedied(r.Code) {
		reason, todo = splitRemedy(r.Reason, r.Source.Name)
	} else {
		reason = r.Reason
	}
	if todo == "" {
		size := ""
		if r.Plan != nil && r.Plan.Refusal != nil {
			size = r.Plan.Refusal.Size
		}
		todo = instead(r.Code, size)
	}
	return sentence(reason, r.Source.Name), sentence(todo, "")
}

// instead is the one thing to do about a held picture, whose largest usual size is given,
// "" for none.
func instead(code, size string) string {
	larger := "look at the file, and drop it again"
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
	return "drop it into " + size + ", or " + larger
}

// remedied tells whether a reason is one of package photo, which all end with
// what to do: "marsh.jpg is cut short: ...; copy it again from the card".
func remedied(code string) bool {
	switch photo.Kind(code) {
	case photo.Unreadable, photo.NotAFile, photo.Empty, photo.NotAnImage, photo.Damaged, photo.TooLarge, photo.Unsupported:
		return true
	}
	return false
}

// splitRemedy takes such a sentence apart. The name at its beginning may hold
// anything, so it is left out of the search.
func splitRemedy(text, name string) (fault, remedy string) {
	rest := strings.TrimPrefix(text, name)
	at := strings.LastIndex(rest, "; ")
	if at < 0 {
		return text, ""
	}
	at += len(text) - len(rest)
	return text[:at], text[at+len("; "):]
}
