package order

import (
	"sizewright/internal/config"
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
	Media     []sheet.Media      // the print goes on the first that it fits; none for the picture alone
	ModeTimes map[string]float64 // for each print mode, how many times as long it takes
	Caption   CaptionWords

	// Elsewhere returns the settings of the same job and stock at another size; nil for the
	// same as here.
	Elsewhere func(size string) config.Settings
}

// CaptionWords are the words of a caption that come from outside the plan.
type CaptionWords struct {
	Name string // of the picture
	Date string
}

// NewOrder returns the order that a drop folder of this path stands for, without its
// colours (see [Desk.Output]) and caption words. The error is a [FolderError].
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
