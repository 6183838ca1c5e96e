package colour

import (
	"crypto/sha256"
	"slices"
	"sync"
)

// key identifies a baked chain.
type key struct {
	from, to   [sha256.Size]byte
	intent     Intent
	blackPoint bool
}

func (c Chain) key() key {
	return key{sha256.Sum256(c.From.Bytes), sha256.Sum256(c.To.Bytes), c.Intent, c.BlackPoint}
}

// cacheSize limits the memory of baked chains. The largest, from CMYK, has 30 MB; a
// print to a paper with a proof needs three.
const cacheSize = 4

// cache keeps the most recently used transforms.
type cache struct {
	mu      sync.Mutex
	entries []entry // most recently used last
}

type entry struct {
	key       key
	transform *Transform
}

var recent cache

// get bakes while it holds the lock, so that two workers that need the same chain bake
// it only once.
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
