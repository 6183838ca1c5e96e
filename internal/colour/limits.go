package colour

import (
	"encoding/binary"
	"fmt"
	"slices"

	"sizewright/internal/plural"
)

// Limits on a profile's bytes, checked before the ICC reader is let at them: it
// takes sizes at their word.
const (
	maxProfileBytes = 64 << 20 // real ones, with tables for every intent, stay under a few megabytes
	maxTags         = 256      // real ones have some twenty
	maxTableValues  = 16 << 20 // of one multi-dimensional table; 33 points for four inks make five million
)

// checkLayout holds the header and the tag table against the bytes there are:
// ICC.1:2022 7.2 and 7.3.
func checkLayout(data []byte) error {
	if len(data) < 132 {
		return fmt.Errorf("%w: it is %s long, shorter than any profile", errProfile, plural.Count(len(data), "byte", "bytes"))
	}
	be := binary.BigEndian
	if size := be.Uint32(data); int64(size) > int64(len(data)) {
		return fmt.Errorf("%w: it is cut short: %s of %d", errProfile, plural.Count(len(data), "byte", "bytes"), size)
	}
	if string(data[36:40]) != "acsp" {
		return fmt.Errorf("%w: it is no ICC profile", errProfile)
	}
	count := be.Uint32(data[128:])
	if count > maxTags || 132+12*int(count) > len(data) {
		return fmt.Errorf("%w: it claims %s", errProfile, plural.Count(int64(count), "tag", "tags"))
	}
	total := 0
	for i := range int(count) {
		entry := data[132+12*i:]
		offset, size := int64(be.Uint32(entry[4:])), int64(be.Uint32(entry[8:]))
		if offset+size > int64(len(data)) {
			return fmt.Errorf("%w: a tag of it lies beyond its end", errProfile)
		}
		if total += int(size); total > maxProfileBytes {
			return fmt.Errorf("%w: its tags are larger than any profile", errProfile)
		}
		if err := checkTag(data[offset : offset+size]); err != nil {
			return err
		}
	}
	return nil
}

// checkTag bounds what a tag says of its own size.
func checkTag(tag []byte) error {
	if len(tag) < 12 {
		return nil
	}
	switch string(tag[:4]) {
	case "curv", "para":
		return checkCurves(tag, 0, 1)
	case "mft1", "mft2":
		return checkNodes(tag, slices.Repeat(tag[10:11], int(min(tag[8], 16))))
	case "mAB ", "mBA ":
		return checkModular(tag)
	}
	return nil
}

// checkNodes bounds a table's values: sides are its points a side, and every
// node holds as many as there are outputs.
func checkNodes(tag, sides []byte) error {
	nodes := int64(min(tag[9], 16))
	for _, s := range sides {
		if nodes *= int64(s); nodes > maxTableValues {
			return fmt.Errorf("%w: one of its tables is larger than any profile's", errProfile)
		}
	}
	return nil
}

// checkModular is for lutAToBType and lutBToAType (10.12, 10.13): curves, a
// matrix, curves, a table and curves, each wherever the head says.
func checkModular(tag []byte) error {
	if len(tag) < 32 {
		return nil
	}
	at := func(i int) int64 { return int64(binary.BigEndian.Uint32(tag[i:])) }
	if table := at(24); table > 0 && table+16 <= int64(len(tag)) {
		if err := checkNodes(tag, tag[table:table+int64(min(tag[8], 16))]); err != nil {
			return err
		}
	}
	channels := int(min(max(tag[8], tag[9]), 16))
	for _, curves := range []int64{at(12), at(20), at(28)} {
		if curves > 0 {
			if err := checkCurves(tag, curves, channels); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkCurves walks a run of curves (10.6 and 10.18) and stops where none is.
func checkCurves(tag []byte, at int64, n int) error {
	for range n {
		if at+12 > int64(len(tag)) {
			return nil
		}
		size := int64(12)
		switch string(tag[at : at+4]) {
		case "curv":
			size += 2 * int64(binary.BigEndian.Uint32(tag[at+8:]))
		case "para":
			size += 4 * 7
		default:
			return nil
		}
		if size > int64(len(tag))-at+4*7 { // a short parametric curve may end the tag
			return fmt.Errorf("%w: one of its curves lies beyond its end", errProfile)
		}
		if string(tag[at:at+4]) == "para" {
			size = 12 + 4*[]int64{1, 3, 4, 5, 7}[min(tag[at+9], 4)]
		}
		at += (size + 3) &^ 3
	}
	return nil
}
