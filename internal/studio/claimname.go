package studio

import (
	"strings"
	"time"
)

// A claim's directory is named <time>-<random>~<worker>: names sort by the time
// the photograph was taken, no name ever comes twice, and whose a claim is can
// be told from the moment it exists, with nothing to be read or written.
// Older versions left out the worker.
const (
	claimStamp = "20060102T150405"
	ownerMark  = "~"
)

func claimName(taken time.Time, worker string) string {
	return taken.UTC().Format(claimStamp) + "-" + randomHex() + ownerMark + worker
}

// takenName is a new name for a claim that goes over to worker.
func takenName(id, worker string) string {
	return id[:len(claimStamp)] + "-" + randomHex() + ownerMark + worker
}

// ownerOf is the worker a claim belongs to, "" if nobody. Not ok is a name that
// sizewright has not given.
func ownerOf(id string) (worker string, ok bool) {
	name, worker, _ := strings.Cut(id, ownerMark)
	stamp, random, _ := strings.Cut(name, "-")
	if _, err := time.Parse(claimStamp, stamp); err != nil || len(stamp) != len(claimStamp) {
		return "", false
	}
	return worker, len(random) == 8 && strings.Trim(random, "0123456789abcdef") == ""
}
