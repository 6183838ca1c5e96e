package studio

import (
	"errors"
	"io/fs"
	"time"
)

// InHand is a photograph that is claimed.
type InHand struct {
	ID      string
	Folder  string
	Name    string
	Size    int64 // bytes; 0 when it has already left the claim
	Taken   time.Time
	Decided bool // its end is decided, and its files are on their way
}

// Claims gives what is in hand, in the order it was taken. It changes nothing
// and needs no lock. Claims that end meanwhile, or that no order belongs to,
// are not given.
func (s *Studio) Claims() ([]InHand, error) {
	ids, err := s.tree.list(claimsDir)
	if err != nil {
		return nil, err
	}
	var all []InHand
	for _, id := range ids {
		var o order
		if s.tree.readJSON(claimPath(id, orderName), &o) != nil {
			continue
		}
		h := InHand{ID: id, Folder: string(o.Folder), Name: string(o.Name), Taken: o.Taken}
		if st, err := s.tree.lstat(claimPath(id, originalPart, h.Name)); err == nil {
			h.Size = st.Size
		}
		_, err := s.tree.lstat(claimPath(id, journalName))
		h.Decided = !errors.Is(err, fs.ErrNotExist)
		all = append(all, h)
	}
	return all, nil
}
