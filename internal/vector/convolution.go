package vector

// A Convolution is a layer of a convolutional network in whole numbers. Sample o of an
// output pixel is
//
//	min(max((Bias[o] + sum of weight * sample) >> Shift, Low), High)
//
// over Rows x Columns input pixels of In samples each. Half a unit, 1<<(Shift-1), in Bias
// makes it round. Sums are of int32 and must not overflow: whoever chooses the weights sees
// to that. All is exact, so every machine has the same result.
type Convolution struct {
	In, Out       int // samples of a pixel: In*Columns even, Out a multiple of 16
	Rows, Columns int
	Weights       []int16 // by [Out/16][Rows][In*Columns/2][16][2]; see Arrange
	Bias          []int32 // Out
	Shift         uint    // at most 31
	Low, High     int16
}

// convolved is how many samples of a pixel are computed side by side.
const convolved = 16

// Arrange returns the order of Weights for weights by [out][row][column][in].
func (c *Convolution) Arrange(plain []int16) []int16 {
	run := c.In * c.Columns
	all := make([]int16, 0, len(plain))
	for block := 0; block < c.Out; block += convolved {
		for row := range c.Rows {
			for i := 0; i < run; i += 2 {
				for o := block; o < block+convolved; o++ {
					at := (o*c.Rows+row)*run + i
					all = append(all, plain[at], plain[at+1])
				}
			}
		}
	}
	return all
}

// Line computes n output pixels into dst, Out samples each. The first output pixel is
// over the input pixels from src[0]; each further one is over those one pixel on, and
// rows of src are stride samples apart. src must hold all of them: (Rows-1)*stride +
// (n-1)*In + Columns*In samples. dst must not overlap src.
func (c *Convolution) Line(dst, src []int16, stride, n int) {
	if n == 0 {
		return
	}
	checkLen("Convolution", "dst", len(dst), n*c.Out)
	checkLen("Convolution", "src", len(src), (c.Rows-1)*stride+(n-1)*c.In+c.Columns*c.In)
	checkLen("Convolution", "Weights", len(c.Weights), c.Out*c.Rows*c.Columns*c.In)
	checkLen("Convolution", "Bias", len(c.Bias), c.Out)
	c.linePlain(dst, src, stride, c.lineWide(dst, src, stride, n), n)
}

// linePlain computes the pixels starting at from.
func (c *Convolution) linePlain(dst, src []int16, stride, from, n int) {
	run := c.In * c.Columns
	for x := from; x < n; x++ {
		w := c.Weights
		for block := 0; block < c.Out; block += convolved {
			var sums [convolved]int32
			for row := range c.Rows {
				line := src[row*stride+x*c.In:][:run]
				for i := 0; i < run; i += 2 {
					a, b := int32(line[i]), int32(line[i+1])
					for o := range sums {
						sums[o] += int32(w[2*o])*a + int32(w[2*o+1])*b
					}
					w = w[2*convolved:]
				}
			}
			for o, sum := range sums {
				sum = (sum + c.Bias[block+o]) >> c.Shift
				dst[x*c.Out+block+o] = int16(min(max(sum, int32(c.Low)), int32(c.High)))
			}
		}
	}
}
