package main

import "math"

// reduce averages s x s pixels in linear light, as a sensor does, and rounds the encoded
// result to 16 bits. Rows and columns beyond a multiple of s are left out.
func reduce(r *raster, s int) *raster {
	o := newRaster(r.width/s, r.height/s)
	for c := range r.plane {
		for y := range o.height {
			for x := range o.width {
				o.plane[c][y*o.width+x] = average(r.plane[c][y*s*r.width+x*s:], r.width, s)
			}
		}
	}
	return o
}

func average(plane []float32, width, s int) float32 {
	sum := 0.0
	for j := range s {
		for _, v := range plane[j*width:][:s] {
			sum += float64(linearOf[sixteen(v)])
		}
	}
	return float32(math.Round(65535*encode(sum/float64(s*s))) / 65535)
}

// sixteen returns a value as 16 bits, clipped.
func sixteen(v float32) uint16 { return uint16(65535*min(max(v, 0), 1) + 0.5) }

// linearOf is the sRGB curve of IEC 61966-2-1 for each 16-bit value.
var linearOf = func() (t [65536]float32) {
	for i := range t {
		v := float64(i) / 65535
		if v <= 0.04045 {
			t[i] = float32(v / 12.92)
		} else {
			t[i] = float32(math.Pow((v+0.055)/1.055, 2.4))
		}
	}
	return t
}()

// encode is its inverse.
func encode(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}
