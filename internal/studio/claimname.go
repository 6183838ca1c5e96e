package studio

import (
	"crypto/rand"
	"encoding/hex"
	"time"
)

// claimName is a new name for a claim's directory, <time>-<random>: names sort by the
// time the photograph was taken, and no name comes twice. Claims of earlier versions may
// have more in their names.
func claimName(taken time.Time) string {
	return taken.UTC().Format("20060102T150405") + "-" + randomHex()
}

func randomHex() string {
	var random [4]byte
	rand.Read(random[:]) // never fails, see crypto/rand
	return hex.EncodeToString(random[:])
}
