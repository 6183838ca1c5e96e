package colour

// The boundaries below are house judgement, no source. The angles follow the CIELAB
// angles (D50) of the Munsell principal hues at value 5, chroma 10 (from memory: 5R 27,
// 5YR 60, 5Y 90, 5GY 118, 5G 163, 5BG 200, 5B 237, 5PB 279, 5P 317, 5RP 353 degrees).
// They are adjusted a little so that the most vivid red, green and blue of a screen
// (40, 135 and 301 degrees) keep their names.
var hueNames = []struct {
	below float64 // CIELAB hue angle, degrees
	name  string
}{
	{10, "purple-red"},
	{48, "red"},
	{75, "orange"},
	{108, "yellow"},
	{130, "yellow-green"},
	{165, "green"},
	{215, "blue-green"},
	{245, "greenish blue"},
	{303, "blue"},
	{316, "violet"},
	{340, "purple"},
	{361, "purple-red"},
}

// greyChroma is the CIELAB chroma below which a colour is called grey.
const greyChroma = 5

// hueName returns a plain English name for a colour: "deep red", "pale blue-green",
// "dark brown", "light grey".
func hueName(c Lab) string {
	l, chroma := c[0], c.Chroma()
	if chroma < greyChroma {
		return greyName(l)
	}
	name := ""
	for _, h := range hueNames {
		if name = h.name; c.Hue() < h.below {
			break
		}
	}
	switch {
	case name == "orange" && l < 50:
		return shade(l, 35, chroma) + "brown"
	case name == "yellow" && l < 50:
		return shade(l, 35, chroma) + "olive"
	case (name == "red" || name == "purple-red") && l >= 65 && chroma < 50:
		return shade(l, 0, chroma) + "pink"
	}
	return modifier(l, chroma) + name
}

// shade returns a modifier for names that already imply how light and strong a colour
// is.
func shade(l, dark, chroma float64) string {
	switch {
	case l < dark:
		return "dark "
	case chroma < 15:
		return "greyish "
	case l >= 80:
		return "pale "
	}
	return ""
}

func modifier(l, chroma float64) string {
	switch {
	case l < 18:
		return "blackish "
	case l >= 75 && chroma < 40:
		return "pale "
	case chroma < 15 && l < 40:
		return "dark greyish "
	case chroma < 15:
		return "greyish "
	case l < 50 && chroma >= 40:
		return "deep "
	case l < 40:
		return "dark "
	case chroma >= 70:
		return "vivid "
	case l >= 75:
		return "light "
	}
	return ""
}

func greyName(l float64) string {
	switch {
	case l < 12:
		return "black"
	case l < 40:
		return "dark grey"
	case l < 70:
		return "grey"
	case l < 95:
		return "light grey"
	}
	return "white"
}
