package intake

import "errors"

var (
	// errOpen: some process has the file open for writing, or mapped to be written.
	errOpen = errors.New("some program has it open for writing")
	// errBlind: the system will not say whether one has.
	errBlind = errors.New("who has a file open cannot be known")
)
