package photo

// layOverWhite composites the colours over white paper and cautions, unless the picture
// is opaque everywhere. It works on encoded values, as editors do. Associated alpha (TIFF
// 6.0, section 18) is already multiplied in. A picture that is transparent everywhere is
// refused, because its print would be blank.
func (p *Photo) layOverWhite(colours []plane, alpha *plane, associated bool) error {
	switch {
	case alpha.all(alpha.white()):
		return nil
	case alpha.all(0):
		return unsupported("is transparent everywhere, so its print would be blank", "export it without transparency")
	}
	p.caution(CautionAlpha, "The picture has transparent parts; they were laid over white.")
	paper := alpha.white()
	if p.Model == CMYK {
		paper = 0 // no ink
	}
	over := 0
	for c := range colours {
		over += colours[c].over(alpha, paper, associated)
	}
	if over > alpha.Width*alpha.Height/1000 { // rounding explains a few
		p.irregular("its colours should be multiplied by their alpha and are not")
	}
	return nil
}

// all reports whether every sample is v.
func (pl *plane) all(v uint32) bool {
	for y := range pl.Height {
		i := y * pl.stride
		for range pl.Width {
			if pl.at(i) != v {
				return false
			}
			i += pl.step
		}
	}
	return true
}

// over lays the plane over an even ground: v*a + paper*(1-a), rounded. It returns how
// many samples came out above white, which correct associated ones never do.
func (pl *plane) over(alpha *plane, paper uint32, associated bool) (above int) {
	white := pl.white()
	for y := range pl.Height {
		i, j := y*pl.stride, y*alpha.stride
		for range pl.Width {
			a := alpha.at(j)
			ground := paper * (white - a) // at most 65535^2: fits
			if associated {
				v := pl.at(i) + ground/white
				if v > white {
					above++
				}
				pl.set(i, min(white, v))
			} else {
				pl.set(i, uint32((uint64(pl.at(i))*uint64(a)+uint64(ground)+uint64(white/2))/uint64(white)))
			}
			i, j = i+pl.step, j+alpha.step
		}
	}
	return above
}
