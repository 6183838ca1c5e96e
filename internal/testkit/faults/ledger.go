//go:build linux

package faults

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"

	"sizewright/internal/filename"
)

// Outcome is how an order may end. An order may allow several.
type Outcome uint

// The outcomes of an order.
const (
	Made Outcome = 1 << iota // its print is in the outbox
	Held                     // it lies in held/ with a reason
	Left                     // it lies in its drop folder, untouched
)

func (o Outcome) String() string {
	var all []string
	for i, name := range []string{"made", "held", "left"} {
		if o&(1<<i) != 0 {
			all = append(all, name)
		}
	}
	return strings.Join(all, " or ")
}

// Order is one picture that was dropped for one folder, once or several times.
type Order struct {
	Folder string // the drop folder
	Or     string // its new name if it was renamed meanwhile, otherwise ""
	Name   string // as dropped
	Kind   string // the kind of picture, for people
	SHA256 string // of its complete bytes
	May    Outcome
	Copies int // how often it was dropped; all except one become repeats
}

// String describes an order for people.
func (o Order) String() string {
	return strconv.Quote("drop/"+o.Folder+"/"+o.Name) + " (" + o.Kind + ")"
}

// isFor reports whether a folder of this name, anywhere in the studio, is the order's.
func (o Order) isFor(folder string) bool {
	return filename.IsFor(folder, o.Folder) || o.Or != "" && filename.IsFor(folder, o.Or)
}

// Clutter is something in the drop folders that must stay unchanged: a link, a pipe,
// litter.
type Clutter struct {
	Path string // from the studio's root
	Type fs.FileMode
}

// Ledger lists everything that was dropped. It is safe for concurrent use.
type Ledger struct {
	mu      sync.Mutex
	orders  []Order
	clutter []Clutter
}

// Add notes an order, or another copy of it.
func (l *Ledger) Add(o Order) {
	l.mu.Lock()
	defer l.mu.Unlock()
	o.Copies = max(o.Copies, 1)
	if i := slices.IndexFunc(l.orders, func(b Order) bool { return b.SHA256 == o.SHA256 && b.Folder == o.Folder }); i >= 0 {
		l.orders[i].Copies += o.Copies
		return
	}
	l.orders = append(l.orders, o)
}

// Renamed notes that a drop folder has a new name.
func (l *Ledger) Renamed(from, to string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for i := range l.orders {
		switch o := &l.orders[i]; {
		case o.Folder == from && o.Or == "":
			o.Or = to
		case o.Folder == from && o.Or != to:
			panic(fmt.Sprintf("faults: %s was renamed twice", from))
		}
	}
}

// AddClutter notes something that is not an order.
func (l *Ledger) AddClutter(c Clutter) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.clutter = append(l.clutter, c)
}

// Orders returns a copy of the orders.
func (l *Ledger) Orders() []Order {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.orders)
}

// Clutter returns a copy of the clutter.
func (l *Ledger) Clutter() []Clutter {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.clutter)
}

func sum(data []byte) string {
	h := sha256.Sum256(data)
	return hex.EncodeToString(h[:])
}
