package daemon

import (
	"fmt"

	"sizewright/internal/printsize"
	"sizewright/internal/render"
)

// noRoomError is an order that waits until the disk has room for its print.
type noRoomError struct{ text string }

func (e *noRoomError) Error() string { return e.text }

// besideBytes is what an order makes beside its TIFF, at most: preview, proof, map,
// crops, drawing and record.
const besideBytes = 32 << 20

// reserve takes an order's room on the disk, before any of it is written. What the
// other orders in hand have yet to write counts as gone, and so does all that they
// have written: rather wait than fill the disk.
func (j *job) reserve() error {
	free, err := j.free()
	if err != nil {
		j.Log.Warn("the room on the disk is not known, so it is not looked after: " + err.Error())
		return nil
	}
	need := j.rec.Plan.File.MaxBytes + besideBytes
	keep := int64(j.config.KeepFree) << 20
	left := int64(min(free, 1<<62)) - keep - j.hand.reserved()
	if need > left {
		return &noRoomError{fmt.Sprintf("waits for room: its print may take %s, and beside the %s that keep_free_mib keeps the disk has %s; make room, and it is made by itself",
			size(need), size(keep), size(max(left, 0)))}
	}
	j.hand.reserve(j.claim.Folder, j.claim.Name, need)
	return nil
}

// size is a number of bytes as people say it.
func size(bytes int64) string {
	if bytes >= 1<<30 {
		return fmt.Sprintf("%.1f GiB", float64(bytes)/(1<<30))
	}
	return fmt.Sprintf("%d MiB", (bytes+1<<20-1)>>20)
}

// reserved is the room that all orders in hand have taken.
func (h *hand) reserved() (bytes int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, o := range h.orders {
		bytes += o.Bytes
	}
	return bytes
}

func (h *hand) reserve(folder, name string, bytes int64) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if o := h.find(folder, name); o != nil {
		o.Bytes = bytes
	}
}

// secondsPerMegapixel is about what a print takes, for its turn in the queue: 24x36
// in at 360 ppi are 112 megapixels in 5.6 s on two cores.
const secondsPerMegapixel = 0.05

// megapixels is how large an order's print is at most.
func megapixels(o render.Order) float64 {
	perMM := o.Settings.PPI / printsize.MMPerInch
	return o.Size.WidthMM * o.Size.HeightMM * perMM * perMM / 1e6
}
