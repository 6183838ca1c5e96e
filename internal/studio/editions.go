package studio

import (
	"errors"
	"io/fs"

	"sizewright/internal/edition"
)

// Editions changes the ledger of editions: change is given what it holds, nothing where
// there is none, and returns what it is to hold, nil for no change. That is safely on
// disk when Editions returns. Of several processes one at a time does so.
func (s *Studio) Editions(change func(data []byte) ([]byte, error)) error {
	return s.inTurn(func() error {
		data, err := s.tree.read(edition.File)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		if data, err = change(data); err != nil || data == nil {
			return err
		}
		return s.tree.replace(edition.File, tempName(), data)
	})
}
