package colour

import (
	"crypto/sha256"
	"slices"
	"sync"
)

// key is what a baked chain depends on.
type key struct {
	from, to   [sha256.Size]byte
	intent     Intent
	blackPoint bool
}

func (c Chain) key() key {
	return key{sha256.Sum256(c.From.Bytes), sha256.Sum256(c.To.Bytes), c.Intent, c.BlackPoint}
}

// cacheSize bounds the memory baked chains keep: the largest, from CMYK, is
// 30 MB; a print to a paper with a proof needs three.
const cacheSize = 4

// cache keeps the transforms used last.
type cache struct {
	mu      sync.Mutex
	entries []entry // the last used at the end
}

type entry struct {
	key       key
	transform *Transform
}

var recent cache

// get bakes while it holds the lock: two workers that want the same chain want
// it once.
func (c *cache) get(k key, bake func() (*Transform, error)) (*Transform, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for i, e := range c.entries {
		if e.key == k {
			c.entries = append(slices.Delete(c.entries, i, i+1), e)
			return e.transform, nil
		}
	}
	t, err := bake()
	if err != nil {
		return nil, err
	}
	if len(c.entries) == cacheSize {
		c.entries = slices.Delete(c.entries, 0, 1)
	}
	c.entries = append(c.entries, entry{k, t})
	return t, nil
}
