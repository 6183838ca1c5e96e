package morning

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// History is everything that was made of one picture, or held of it, in the
// order it was finished. The picture is given by its file's name as dropped, or
// by at least 8 digits its SHA-256 begins with. A picture that was dropped under
// several names is still one. Of two pictures of one name both are told;
// Source.SHA256 keeps them apart. A picture nothing is known of has no history,
// which is no error.
func History(root, picture string) ([]Entry, error) {
	entries, err := Read(root, time.Time{})
	if err != nil {
		return nil, err
	}
	wanted := map[string]bool{}
	for _, e := range entries {
		if s := e.Record.Source; s.Name == picture || begins(s.SHA256, picture) {
			wanted[identity(e)] = true
		}
	}
	return slices.DeleteFunc(entries, func(e Entry) bool { return !wanted[identity(e)] }), nil
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
