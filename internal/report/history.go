package report

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"sizewright/internal/record"
)

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
func pastPictures(nights []record.Night) []pastPicture {
	at := map[string]int{}
	var all []pastPicture
	for _, n := range slices.Backward(nights) {
		for _, e := range legible(n.Records) {
			i, known := at[e.Picture()]
			if !known {
				i = len(all)
				at[e.Picture()] = i
				all = append(all, pastPicture{})
			}
			all[i].Name = e.Record.Source.Name
			all[i].Orders = append(all[i].Orders, pastOrder{
				Folder: e.Record.Order.Folder, Text: pastState(&e.Record),
				Date: shortDate(n.Date), Links: cardLinks(e),
			})
		}
	}
	slices.SortStableFunc(all, func(a, b pastPicture) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), strings.Compare(a.Name, b.Name))
	})
	return all
}

// pastState is a state for people, with how far it has come on paper.
func pastState(r *record.Record) string {
	state := states[keysOf(r).Status]
	if on := r.OnPaper().Words(); on != "" {
		state += ", " + on
	}
	return state
}

// shortDate is a night's date without its weekday.
func shortDate(date string) string {
	if day, err := time.Parse(time.DateOnly, date); err == nil {
		return day.Format("2\u00a0January 2006")
	}
	return date
}
