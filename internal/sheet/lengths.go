package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

func edge(s Side) string {
	if s == Leading || s == Trailing {
		return string(s) + " edge"
	}
	return string(s) + " side"
}

// parts returns the lengths and edges of an offset, without directions that are zero.
func (o Offset) parts() (lengths []string, edges []string) {
	for _, d := range []struct {
		mm        float64
		low, high Side
	}{{o.XMM, Left, Right}, {o.YMM, Leading, Trailing}} {
		if math.Abs(d.mm) < hair {
			continue
		}
		side := d.high
		if d.mm < 0 {
			side = d.low
		}
		lengths, edges = append(lengths, mm(math.Abs(d.mm))), append(edges, edge(side))
	}
	return lengths, edges
}

// nearer writes "5.5 mm nearer the leading edge".
func nearer(o Offset) string { return o.say(" nearer the ") }

// towards writes "5.5 mm towards the leading edge".
func towards(o Offset) string { return o.say(" towards the ") }

func (o Offset) say(between string) string {
	lengths, edges := o.parts()
	for i := range lengths {
		lengths[i] += between + edges[i]
	}
	return strings.Join(lengths, " and ")
}

// short writes "5.5 mm leading".
func (o Offset) short() string {
	lengths, edges := o.parts()
	for i := range lengths {
		side, _, _ := strings.Cut(edges[i], " ")
		lengths[i] += " " + side
	}
	return strings.Join(lengths, ", ")
}

// drawnTurned is short as it is seen where the leading edge is at the right.
func (o Offset) drawnTurned() string {
	return strings.NewReplacer("leading", "right", "trailing", "left", "left", "up", "right", "down").Replace(o.short())
}

func excess(l lying) string { return excessOf(l.across.excess, l.down.excess) }

func excessOf(wide, high float64) string {
	switch {
	case wide > hair && high > hair:
		return fmt.Sprintf("%s too wide and %s too high", mm(wide), mm(high))
	case wide > hair:
		return mm(wide) + " too wide"
	}
	return mm(high) + " too high"
}

// mm writes a length to a tenth, or with one digit if that would be 0.
func mm(v float64) string {
	if v != 0 && math.Abs(v) < 0.05 {
		return strconv.FormatFloat(v, 'g', 1, 64) + " mm"
	}
	return tenths(v) + " mm"
}

func sides(w, h float64) string { return tenths(w) + " x " + tenths(h) + " mm" }

func tenths(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

func percent(share float64) string {
	return strconv.FormatFloat(math.Round(share*1000)/10, 'f', -1, 64) + " %"
}
