package demo

// treeline is a far wood in haze along the horizon.
type treeline struct {
	horizon float32
	height  float32 // of the tallest trees, picture heights
	scale   float32 // trees across a picture height
	offset  float32
	colour  rgb
	haze    rgb // at its foot
	octaves int
}

func (w treeline) field() field {
	return func(v float32) func(float32, rgb) rgb {
		e := w.horizon - v
		if e > w.height*1.3 || e < -0.01 {
			return nil
		}
		return func(u float32, below rgb) rgb { return w.at(u, v, e, below) }
	}
}

func (w treeline) at(u, v, e float32, below rgb) rgb {
	x := u*w.scale + w.offset
	crowns := 0.45 + 0.35*fbm(x*0.22, 7.5, 3) + 0.5*abs(value(x, 3.5)) + 0.22*abs(value(x*2.7, 9.5))
	leaves := fbm(x*9, v*w.scale*9, w.octaves)
	// Where the wood opens there is only a hedge.
	open := smoothstep(-0.35, 0.2, value(x*0.09, 1.5))
	top := w.height * mix(0.12, crowns, open)
	cover := smoothstep(-0.06, 0.06, (top-e)/w.height+0.14*leaves)
	c := w.colour.to(w.haze, smoothstep(top+0.2*w.height, -0.1*w.height, e)*0.75)
	return below.to(c.times(1+0.25*leaves), cover)
}
