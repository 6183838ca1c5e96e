package report

import (
	"fmt"

	"sizewright/internal/colour"
)

// intents are the names of the ICC's rendering intents (ICC.1).
var intents = map[string]string{
	string(colour.Perceptual): "perceptual",
	string(colour.Relative):   "relative colorimetric",
	string(colour.Saturation): "saturation",
	string(colour.Absolute):   "absolute colorimetric",
}

// convertedInEnglish tells what became of the colours. The profile's name comes
// from outside and stays as it is.
func convertedInEnglish(profile string, converted bool, intent string, blackPoint bool) string {
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

// statedInEnglish tells what says which colours a picture without a profile has.
func statedInEnglish(space, by string) string {
	return "the picture\u2019s colours: " + space + ", from " + by
}

// beyondInEnglish sums a gamut up by the share beyond 3, with what of it is only
// depth and what a person sees.
func beyondInEnglish(g *colour.Gamut) string {
	text := fmt.Sprintf("%s beyond 3 (CIEDE2000)", shareInEnglish(g.Beyond3))
	if g.Blacks.Beyond3 > 0 && g.Seen != nil {
		text += fmt.Sprintf(", %s of the picture in depth alone", shareInEnglish(g.Blacks.Beyond3))
	}
	text += fmt.Sprintf(", worst\u00a0%.1f", g.Max)
	if g.Seen != nil {
		text += fmt.Sprintf("; in a print one sees %s beyond 3 and %s beyond 6", shareInEnglish(g.Seen.Beyond3), shareInEnglish(g.Seen.Beyond6))
	}
	return typeset(text)
}

func shareInEnglish(share float64) string {
	switch {
	case share <= 0:
		return "nothing"
	case share < 0.0005:
		return "less than 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", 100*share)
}

// spaceNames are short for the names in the profiles of our own spaces.
var spaceNames = map[string]string{
	colour.SRGB.Name: "sRGB",
	colour.A98.Name:  "Adobe RGB (1998) compatible",
	colour.ROMM.Name: "ROMM RGB",
}

// lossesInEnglish tells of each working space what it would lose: "sRGB would
// lose 5.1 % beyond 3, worst 12.0; ROMM RGB nothing".
func lossesInEnglish(spaces []colour.SpaceLoss) string {
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
		text += name + verb + typeset(lossInEnglish(s))
	}
	return text
}

// lossInEnglish counts what is beyond 3, or beyond 1 where nothing is.
func lossInEnglish(s colour.SpaceLoss) string {
	share, limit := s.Beyond3, 3
	if share <= 0 {
		share, limit = s.Beyond1, 1
	}
	if share <= 0 {
		return "nothing"
	}
	return fmt.Sprintf("%s beyond %d, worst\u00a0%.1f", shareInEnglish(share), limit, s.Max)
}
