package colour

import (
	"encoding/binary"
	"fmt"
	"slices"

	"sizewright/internal/plural"
)

// Limits on a profile's bytes. They are checked before the ICC package reads the
// profile, because it does not check sizes.
const (
	maxProfileBytes = 64 << 20 // real profiles, with tables for every intent, have a few megabytes at most
	maxTags         = 256      // real profiles have about twenty
	maxTableValues  = 16 << 20 // of one multi-dimensional table; 33 points for four inks have five million
)

// checkLayout checks the header and the tag table against the length of the profile:
// ICC.1:2022 7.2 and 7.3.
func checkLayout(data []byte) error {
	if len(data) < 132 {
		return fmt.Errorf("%w: it is %s long, shorter than any profile", errProfile, plural.Count(len(data), "byte", "bytes"))
	}
	be := binary.BigEndian
	if size := be.Uint32(data); int64(size) > int64(len(data)) {
		return fmt.Errorf("%w: it is incomplete: it has %s of %d", errProfile, plural.Count(len(data), "byte", "bytes"), size)
	}
	if string(data[36:40]) != "acsp" {
		return fmt.Errorf("%w: it is not an ICC profile", errProfile)
	}
	count := be.Uint32(data[128:])
	if count > maxTags || 132+12*int(count) > len(data) {
		return fmt.Errorf("%w: it has an invalid number of tags (%d)", errProfile, count)
	}
	total := 0
	for i := range int(count) {
		entry := data[132+12*i:]
		offset, size := int64(be.Uint32(entry[4:])), int64(be.Uint32(entry[8:]))
		if offset+size > int64(len(data)) {
			return fmt.Errorf("%w: one of its tags is beyond its end", errProfile)
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

// checkTag checks the sizes that a tag states.
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

// checkNodes limits the size of a table. sides are its points per side; every node has
// one value per output.
func checkNodes(tag, sides []byte) error {
	nodes := int64(min(tag[9], 16))
	for _, s := range sides {
		if nodes *= int64(s); nodes > maxTableValues {
			return fmt.Errorf("%w: one of its tables is larger than in any profile", errProfile)
		}
	}
	return nil
}

// checkModular checks lutAToBType and lutBToAType (10.12, 10.13): curves, a matrix,
// curves, a table and curves, at the offsets that the header gives.
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

// checkCurves checks a sequence of curves (10.6 and 10.18) and stops at anything else.
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
		if size > int64(len(tag))-at+4*7 { // a short parametric curve may be the last
			return fmt.Errorf("%w: one of its curves is beyond its end", errProfile)
		}
		if string(tag[at:at+4]) == "para" {
			size = 12 + 4*[]int64{1, 3, 4, 5, 7}[min(tag[at+9], 4)]
		}
		at += (size + 3) &^ 3
	}
	return nil
}
