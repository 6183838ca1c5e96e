package printsize

import (
	"fmt"
	"regexp"
	"strings"
)

// CropCentre and CropAuto are where a crop lies if not at a side or in a corner: in the
// middle, or where the picture's detail is.
const (
	CropCentre = "centre"
	CropAuto   = "auto"
)

// Crops are the words for where a crop lies. The part that a word names is kept.
var Crops = []string{CropCentre, CropAuto, "top", "bottom", "left", "right", "top left", "top right", "bottom left", "bottom right"}

// cropAfter is a crop at the end of what follows a size.
var cropAfter = regexp.MustCompile(`(?:^|[ ,-]+)(?:(top|bottom)[ -](left|right)|(centre|center|auto|top|bottom|left|right))$`)

// cutCrop takes a crop off the end of what follows a size. No stock ends so.
func cutCrop(rest string) (without, crop string) {
	m := cropAfter.FindStringSubmatch(rest)
	if m == nil {
		return rest, ""
	}
	crop = strings.TrimSpace(m[1] + " " + m[2] + m[3])
	if crop == "center" {
		crop = CropCentre
	}
	return rest[:len(rest)-len(m[0])], crop
}

// cropFault says what is wrong with a crop that was cut, if anything.
func cropFault(size Size, rest string) error {
	if size.LongSideOnly {
		return fmt.Errorf("says where to crop, and %s is the long side alone, which has no shape to crop to: give both sides, such as 50x70cm", size)
	}
	if _, second := cutCrop(rest); second != "" {
		return fmt.Errorf("says twice where to crop: write one of %s, at the end", strings.Join(Crops, ", "))
	}
	return nil
}
