package order

import (
	"sizewright/internal/config"
	"sizewright/internal/printsize"
	"sizewright/internal/sheet"
)

// Order is what one drop folder asks for one photograph.
type Order struct {
	Folder    string // the drop folder, as its name is written
	Size      printsize.Size
	Stock     string // "" when the folder names none
	Unknown   string // what to do about a stock that the configuration does not know among its own; "" else
	Label     bool   // the configuration names no stocks, so that this one is a label alone
	Settings  config.Settings
	Output    Output             // the zero value keeps the picture's own profile
	Media     []sheet.Media      // that the print may lie on, the first that it fits; none for the picture alone
	ModeTimes map[string]float64 // how many times as long each print mode takes
	Caption   CaptionWords
}

// CaptionWords are what a caption may tell that no plan knows by itself.
type CaptionWords struct {
	Name string // of the picture
	Date string
}

// NewOrder is what a drop folder of this name asks for, but for its colours (see
// [Desk.Output]) and what its photograph's caption tells. The error is a [FolderError].
func NewOrder(folder string, c *config.Config) (Order, error) {
	f, err := printsize.ParseFolder(folder)
	if err != nil {
		return Order{}, FolderError{err}
	}
	s := c.Settings(folder, f.Stock)
	o := Order{
		Folder: folder, Size: f.Size, Stock: f.Stock, Label: c.IsLabel(f.Stock),
		Settings: s, Media: c.MediaOf(s), ModeTimes: c.ModeTimes(),
	}
	if c.DoubtsStock(f.Stock) {
		o.Unknown = c.StockRemedy(f)
	}
	return o, nil
}

// FolderError is for a folder whose name is no size: nothing is decided of what
// lies in it. Its text is the sentence to say.
type FolderError struct{ error }

func (e FolderError) Unwrap() error { return e.error }
