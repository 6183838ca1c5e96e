package vector

// The weights of red, green and blue in luma: ITU-R BT.601.
const kr, kg, kb = 0.299, 0.587, 0.114

// ToYCC converts R, G and B in place to luma and two colour differences:
//
//	y  = G + (0.299*(R-G) + 0.114*(B-G))      the luma of ITU-R BT.601
//	c1 = R - y
//	c2 = B - y
//
// In this form a neutral pixel keeps its value exactly and its differences are exactly
// 0. R, G and B are encoded values, usually 0..1; then the differences are within
// ±0.886. They are not scaled as video's Cb and Cr are.
//
// n is len(y); c1 and c2 must have at least n samples. The three must not overlap.
func ToYCC(y, c1, c2 []float32) {
	checkLen("ToYCC", "c1", len(c1), len(y))
	checkLen("ToYCC", "c2", len(c2), len(y))
	i := toYCCWide(y, c1, c2)
	toYCCPlain(y[i:], c1[i:], c2[i:])
}

func toYCCPlain(y, c1, c2 []float32) {
	c1, c2 = c1[:len(y)], c2[:len(y)]
	for i, r := range y {
		g, b := c1[i], c2[i]
		luma := g + (float32(kr*(r-g)) + float32(kb*(b-g)))
		y[i], c1[i], c2[i] = luma, r-luma, b-luma
	}
}

// ToRGB is the inverse of ToYCC, with each of R, G and B clamped to 0..1:
//
//	R = y + c1
//	G = y - ((0.299/0.587)*c1 + (0.114/0.587)*c2)
//	B = y + c2
//
// The sums round, so a colour comes back within a few units of 2^-24; a neutral comes
// back exactly.
func ToRGB(y, c1, c2 []float32) {
	checkLen("ToRGB", "c1", len(c1), len(y))
	checkLen("ToRGB", "c2", len(c2), len(y))
	i := toRGBWide(y, c1, c2)
	toRGBPlain(y[i:], c1[i:], c2[i:])
}

func toRGBPlain(y, c1, c2 []float32) {
	c1, c2 = c1[:len(y)], c2[:len(y)]
	for i, luma := range y {
		r, b := c1[i], c2[i]
		green := luma - (float32(float32(kr/kg)*r) + float32(float32(kb/kg)*b))
		y[i] = min(max(luma+r, 0), 1)
		c1[i] = min(max(green, 0), 1)
		c2[i] = min(max(luma+b, 0), 1)
	}
}
