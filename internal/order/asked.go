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
	Unknown   bool   // the configuration names stocks, and not this one
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
	size, stock, err := printsize.Parse(folder)
	if err != nil {
		return Order{}, FolderError{err}
	}
	s := c.Settings(folder, stock)
	return Order{
		Folder: folder, Size: size, Stock: stock, Unknown: c.DoubtsStock(stock),
		Settings: s, Media: c.MediaOf(s), ModeTimes: c.ModeTimes(),
	}, nil
}

// FolderError is for a folder whose name is no size: nothing is decided of what
// lies in it. Its text is the sentence to say.
type FolderError struct{ error }

func (e FolderError) Unwrap() error { return e.error }
