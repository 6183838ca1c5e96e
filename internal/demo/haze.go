package demo

// A haze is air that hides what is far off behind its own light.
type haze struct {
	colour rgb
	half   float32 // distance at which half of the light is the air's, metres
}

// share is how much of the light from distance z is the air's. The exponent above 1 keeps the foreground
// clear, as it is when the haze lies in the distance rather than at the camera.
func (h haze) share(z float32) float32 {
	k := z / h.half
	return 1 - exp(-0.693*k*sqrt(k))
}

// veil puts strokes into the haze of distance z.
func (h haze) veil(all []stroke, z float32) {
	k := h.share(z)
	for i := range all {
		all[i].from, all[i].to = all[i].from.to(h.colour, k), all[i].to.to(h.colour, k)
	}
}
