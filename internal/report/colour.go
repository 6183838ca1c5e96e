package report

import (
	"fmt"

	"sizewright/internal/colour"
	"sizewright/internal/record"
)

// colours are the facts of a print's colour: what became of it, how far the paper misses
// and where, and what a working space would have lost.
func colours(r *record.Record) []fact {
	c := r.Plan.Colour
	became := []string{converted(c.Output, c.Conversion != "none", string(c.Intent), c.BlackPoint)}
	if c.StatedBy != "" {
		became = append(became, "the picture\u2019s colours: "+c.Source+", from "+c.StatedBy)
	}
	facts := []fact{{"Profile", became}}
	g := r.Gamut
	if g == nil {
		return facts
	}
	misses := []string{beyond(g)}
	for _, region := range g.Regions {
		misses = append(misses, sentence(region.Text, ""))
	}
	facts = append(facts, fact{"Gamut", misses})
	if len(g.Spaces) > 0 {
		facts = append(facts, fact{"Working spaces", []string{losses(g.Spaces)}})
	}
	return facts
}

// intents are the names of the ICC's rendering intents (ICC.1).
var intents = map[string]string{
	string(colour.Perceptual): "perceptual",
	string(colour.Relative):   "relative colorimetric",
	string(colour.Saturation): "saturation",
	string(colour.Absolute):   "absolute colorimetric",
}

// converted tells what became of the colours. The profile's name comes from outside and
// stays as it is.
func converted(profile string, converted bool, intent string, blackPoint bool) string {
	if profile == "" {
		profile = "a profile without a name"
	}
	if !converted {
		return profile + ", not converted"
	}
	text := profile
	if name, known := intents[intent]; known {
		text += ", " + name
	}
	if blackPoint {
		text += ", black point compensated"
	}
	return text
}

// beyond sums a gamut up by the share beyond 3, with what of it is only depth and what a
// person sees.
func beyond(g *colour.Gamut) string {
	text := fmt.Sprintf("%s beyond 3 (CIEDE2000)", share(g.Beyond3))
	if g.Blacks.Beyond3 > 0 && g.Seen != nil {
		text += fmt.Sprintf(", %s of the picture in depth alone", share(g.Blacks.Beyond3))
	}
	text += fmt.Sprintf(", worst\u00a0%.1f", g.Max)
	if g.Seen != nil {
		text += fmt.Sprintf("; in a print one sees %s beyond 3 and %s beyond 6", share(g.Seen.Beyond3), share(g.Seen.Beyond6))
	}
	return typeset(text)
}

func share(of float64) string {
	switch {
	case of <= 0:
		return "nothing"
	case of < 0.0005:
		return "less than 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", 100*of)
}

// spaceNames are short for the names in the profiles of our own spaces.
var spaceNames = map[string]string{
	colour.SRGB.Name: "sRGB",
	colour.A98.Name:  "Adobe RGB (1998) compatible",
	colour.ROMM.Name: "ROMM RGB",
}

// losses tells of each working space what it would lose: "sRGB would lose 5.1 % beyond 3,
// worst 12.0; ROMM RGB nothing".
func losses(spaces []colour.SpaceLoss) string {
	text := ""
	for i, s := range spaces {
		name, known := spaceNames[s.Space]
		if !known {
			name = s.Space
		}
		verb := " "
		if i == 0 {
			verb = " would lose "
		} else {
			text += "; "
		}
		text += name + verb + typeset(loss(s))
	}
	return text
}

// loss counts what is beyond 3, or beyond 1 where nothing is.
func loss(s colour.SpaceLoss) string {
	of, limit := s.Beyond3, 3
	if of <= 0 {
		of, limit = s.Beyond1, 1
	}
	if of <= 0 {
		return "nothing"
	}
	return fmt.Sprintf("%s beyond %d, worst\u00a0%.1f", share(of), limit, s.Max)
}
