package daemon

import (
	"fmt"
	"math"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/printsize"
	"sizewright/internal/remedy"
)

// noRoomError is an order that waits until the disk has room for its print.
type noRoomError struct {
	error
	needs int64 // bytes
}

func (e *noRoomError) Unwrap() error { return e.error }

// besideBytes is what an order makes beside its TIFF, at most: preview, proof, map,
// crops, drawing and record.
const besideBytes = 32 << 20

// reserve takes an order's room on the disk, before any of it is written. What the
// plan of its header says is the most that its print takes, beside the file that a picture
// too large for memory is decoded to, and one that turns out to be made already takes none:
// rather wait than fill the disk.
func (j *job) reserve() error {
	decoded, also := j.decision.Info.Room, ""
	if decoded > 0 {
		also = ", and decoding it to a file " + size(decoded)
	}
	need := j.decision.Plan.File.MaxBytes*int64(max(1, len(j.decision.Order.Numbers))) + besideBytes + decoded
	left, err := j.room()
	if err != nil {
		j.log.Warn("the room on the disk is not known, so it is not looked after: " + err.Error())
	}
	if need > left {
		return &noRoomError{remedy.Errorf("make room, and it is made by itself",
			"waits for room: its print may take %s%s; beside the %s that keep_free_mib keeps the disk has %s",
			size(need-decoded), also, size(keptFree(j.desk.Config)), size(max(left, 0))), need}
	}
	j.progress.reserve(need)
	return nil
}

// room is what an order may still take of the disk, in bytes. What the orders in hand
// have yet to write counts as gone, and so does all that they have written. Where it
// cannot be known there is no end of it.
func (r *run) room(c *config.Config) (bytes int64, err error) {
	free, err := r.free()
	if err != nil {
		return math.MaxInt64, err
	}
	return int64(min(free, 1<<62)) - keptFree(c) - r.tracker.reserved(), nil
}

func keptFree(c *config.Config) int64 { return int64(c.KeepFree) << 20 }

// size is a number of bytes as people say it.
func size(bytes int64) string {
	if bytes >= 1<<30 {
		return fmt.Sprintf("%.1f GiB", float64(bytes)/(1<<30))
	}
	return fmt.Sprintf("%d MiB", (bytes+1<<20-1)>>20)
}

// secondsPerMegapixel is about what a print takes, for its turn in the queue: 24x36
// in at 360 ppi are 112 megapixels in 5.6 s on two cores.
const secondsPerMegapixel = 0.05

// learnedTakes is about how many times as long a print takes to which a network adds.
const learnedTakes = 10

// megapixels is how large an order's print is at most.
func megapixels(o order.Order) float64 {
	perMM := o.Settings.PPI / printsize.MMPerInch
	return o.Size.WidthMM * o.Size.HeightMM * perMM * perMM / 1e6
}
