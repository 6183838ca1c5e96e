package order

import (
	"strings"

	"sizewright/internal/caption"
	"sizewright/internal/config"
	"sizewright/internal/edition"
	"sizewright/internal/printsize"
	"sizewright/internal/sheet"
)

// Order is what one drop folder asks for one photograph.
type Order struct {
	Folder    string // the drop folder: its path from drop/, with slashes
	Job       string // whose: the names on that path that are no sizes, with slashes; "" for none
	Size      printsize.Size
	Stock     string // "" if the folder names none
	Unknown   string // what to do if the configuration names stocks but not this one; "" otherwise
	Label     bool   // the configuration names no stocks, so this one is only a label
	Settings  config.Settings
	Tables    []string           // the [folder] tables of these settings, each laid over the one before
	Output    Output             // the zero value keeps the picture's own profile
	Face      *caption.Face      // of the caption; nil for the built-in one
	Media     []sheet.Media      // the print goes on the first that it fits; none for the picture alone
	ModeTimes map[string]float64 // for each print mode, how many times as long it takes
	Caption   CaptionWords
	Numbers   []int // of its edition, one for each copy; those that come next, until they are given; none without an edition

	// Elsewhere returns the settings of the same job and stock at another size; nil for the
	// same as here.
	Elsewhere func(size string) config.Settings
}

// Numbered tells whether the order's prints bear numbers of an edition, each in a file of
// its own.
func (o Order) Numbered() bool {
	return o.Settings.Edition > 0 && len(o.Media) > 0 && strings.Contains(o.Settings.Caption, config.EditionPlace)
}

// Picture is what has the edition of a numbered order.
func (o Order) Picture() edition.Picture {
	return edition.Picture{Job: o.Job, Name: o.Caption.Name, Size: o.Size.Name, Of: o.Settings.Edition}
}

// firstNumber is that of its first copy, 0 for none.
func (o Order) firstNumber() int {
	if len(o.Numbers) == 0 {
		return 0
	}
	return o.Numbers[0]
}

// editionText is what a caption shows of a number.
func (o Order) editionText(number int) string {
	if number == 0 {
		return ""
	}
	return edition.Text(number, o.Settings.Edition)
}

// CaptionWords are the words of a caption that come from outside the plan.
type CaptionWords struct {
	Name string // of the picture
	Date string
}

// NewOrder returns the order that a drop folder of this path stands for, without its
// colours (see [Desk.Output]), face and caption words. The error is a [FolderError].
func NewOrder(folder string, c *config.Config) (Order, error) {
	f, err := printsize.ParsePath(folder)
	if err != nil {
		return Order{}, FolderError{err}
	}
	s := c.Settings(folder, f.Stock)
	o := Order{
		Folder: folder, Job: f.Job, Size: f.Size, Stock: f.Stock, Label: c.IsLabel(f.Stock),
		Settings: s, Tables: c.FolderTables(folder), Media: c.MediaOf(s), ModeTimes: c.ModeTimes(),
	}
	o.Elsewhere = func(size string) config.Settings {
		there := printsize.Path{Folder: printsize.Folder{Size: printsize.Size{Name: size}, Stock: f.Stock}, Job: f.Job}
		return c.Settings(there.Name(), f.Stock)
	}
	if c.DoubtsStock(f.Stock) {
		o.Unknown = c.StockRemedy(f.Folder)
	}
	return o, nil
}

// FolderError means that no name on the folder's path is a size. Nothing in that folder is
// decided. Its text is the message to show.
type FolderError struct{ error }

func (e FolderError) Unwrap() error { return e.error }
