package morning

import (
	"cmp"
	"context"
	"path"
	"slices"
	"strings"
	"time"

	"sizewright/internal/plaintext"
	"sizewright/internal/record"
)

// History is everything that was made of one picture, or held of it, in the
// order it was finished, without plans. The picture is given by its file's name as dropped (or as
// it is shown, where that differs), by what its original or its print is called now,
// or by at least 8 digits its SHA-256 begins with. A picture that was dropped under
// several names is still one. Of two pictures of one name both are told;
// Source.SHA256 keeps them apart. A picture nothing is known of has no history,
// which is no error.
func History(root, picture string) ([]Entry, error) {
	entries, err := Reader{Root: root}.since(context.Background(), time.Time{}, readBrief, outboxDir, heldDir)
	if err != nil {
		return nil, err
	}
	wanted := map[string]bool{}
	for _, e := range entries {
		if called(&e.Record, picture) || begins(e.Record.Source.SHA256, picture) {
			wanted[identity(e)] = true
		}
	}
	return slices.DeleteFunc(entries, func(e Entry) bool { return !wanted[identity(e)] }), nil
}

// called tells whether a person may mean a record's picture by this name.
func called(r *record.Record, name string) bool {
	s := r.Source
	return name == s.Name || name == plaintext.Line(s.Name) || name == path.Base(s.Original) || r.Print != nil && name == r.Print.File
}

// identity is the same for records of one picture: its bytes', or its name where
// they could not be read.
func identity(e Entry) string {
	if sha := e.Record.Source.SHA256; sha != "" {
		return sha
	}
	return "named " + e.Record.Source.Name
}

const leastDigits = 8

func begins(sha, digits string) bool {
	return len(digits) >= leastDigits && strings.HasPrefix(sha, strings.ToLower(digits))
}

// pastPicture is a picture with all that was made of it.
type pastPicture struct {
	Name   string // the latest it was dropped under
	Orders []pastOrder
}

// pastOrder is one line of a picture's history.
type pastOrder struct {
	Folder, Text, Date string
	Links              []link
}

// pastPictures sorts the records of several nights by picture, those by name.
func pastPictures(nights []Night, w *words) []pastPicture {
	at := map[string]int{}
	var all []pastPicture
	for _, n := range slices.Backward(nights) {
		for _, e := range legible(n.Records) {
			i, known := at[identity(e)]
			if !known {
				i = len(all)
				at[identity(e)] = i
				all = append(all, pastPicture{})
			}
			all[i].Name = e.Record.Source.Name
			all[i].Orders = append(all[i].Orders, pastOrder{
				Folder: e.Record.Order.Folder, Text: w.States[keysOf(&e.Record).Status],
				Date: w.shortDate(n.Date), Links: cardLinks(e, w),
			})
		}
	}
	slices.SortStableFunc(all, func(a, b pastPicture) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), strings.Compare(a.Name, b.Name))
	})
	return all
}
