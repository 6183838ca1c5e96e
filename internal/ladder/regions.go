package ladder

import (
	"slices"

	"sizewright/internal/detail"
)

// regionsOf summarises the sharpness of the regions; it returns nil without regions.
func regionsOf(all []detail.Region) *Regions {
	if len(all) == 0 {
		return nil
	}
	r := &Regions{Count: len(all)}
	var sharp []float64
	for _, region := range all {
		if region.Resolution > 0 {
			sharp = append(sharp, region.Resolution)
		}
	}
	r.Blank = r.Count - len(sharp)
	if len(sharp) == 0 {
		return r
	}
	slices.Sort(sharp)
	last := float64(len(sharp) - 1)
	r.Softest, r.Median, r.Sharpest = sharp[int(float64(0.1*last)+0.5)], sharp[int(float64(0.5*last)+0.5)], sharp[int(float64(0.9*last)+0.5)]
	return r
}
