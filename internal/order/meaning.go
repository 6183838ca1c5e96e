package order

import (
	"fmt"

	"sizewright/internal/caution"
	"sizewright/internal/colour"
	"sizewright/internal/photo"
)

// meaning is what a picture's colour values are taken to mean.
type meaning struct {
	profile  *colour.Profile // nil: CMYK without a profile
	name     string          // of the colours, for a sentence
	basis    string
	by       string          // what in the file states it without a profile, for a sentence
	cautions []photo.Caution // in the order of the report
	broken   *photo.Caution  // the first statement about colours in the file that could not be used
}

func (m *meaning) caution(k caution.Kind, format string, args ...any) {
	m.cautions = append(m.cautions, k.Say(format, args...))
}

// The cautions about what a picture's colours were taken to be.
var (
	noProfile        = caution.New("no-profile", caution.WorthALook, caution.LookAtColours)
	statedColours    = caution.New("stated-colours", caution.ForTheRecord, "")
	guessedInks      = caution.New("guessed-inks", caution.NeedsYou, "Export the picture with the profile that it was made for, or as RGB, and drop it again.")
	profileUnusable  = caution.New("profile-unusable", caution.NeedsYou, caution.LookAtColours)
	profileMismatch  = caution.New("profile-mismatch", caution.NeedsYou, caution.LookAtColours)
	profileOverruled = caution.New("profile-overruled", caution.WorthALook, "Look at its colours. If they are wrong, export the picture without a cICP chunk and drop it again.")
	highRange        = caution.New("high-range", caution.WorthALook, "Look at the highlights. If they are wrong, convert the picture to standard dynamic range in an editor and drop it again.")
)

// called names the picture's colours and what states them, for a sentence.
func (m *meaning) called() string {
	if m.by == "" {
		return m.name
	}
	return m.name + ", from " + m.by + ","
}

// fault is a statement about colours in the file that cannot be used. Its caution
// also names what was used instead.
type fault struct {
	kind caution.Kind
	text string
}

// meaningOf decides which profile gives the picture its colours. In a PNG the order of
// priority is that of the specification (third edition, 4.3): cICP, iCCP, sRGB, then
// gAMA and cHRM. What cannot be used gets a caution, and the next in order is tried.
func meaningOf(info *photo.Info) meaning {
	var faults []fault
	for _, c := range info.Cautions {
		if c.Code == photo.CautionProfile.Code {
			faults = append(faults, fault{profileUnusable, "the embedded profile could not be read"})
		}
	}
	for _, look := range []func(*photo.Info) (*meaning, *fault){byCodePoints, byProfile, bySRGBChunk, byNumbers, byEXIF} {
		m, failed := look(info)
		if failed != nil {
			faults = append(faults, *failed)
		}
		if m != nil {
			return m.after(faults, info)
		}
	}
	return assumed(info).after(faults, info)
}

// after adds the cautions about what could not be used before this meaning was found.
// They replace the meaning's own caution about a missing profile.
func (m *meaning) after(faults []fault, info *photo.Info) meaning {
	if m.by == byCICP { // the specification ignores the rest
		return *m
	}
	for _, c := range info.Cautions {
		if m.broken == nil && (c.Code == photo.CautionColours.Code || c.Code == photo.CautionProfile.Code) {
			m.broken = &c
		}
	}
	var said []photo.Caution
	for _, f := range faults {
		said = append(said, f.kind.Say("%s; %s was used in its place", f.text, m.called()))
	}
	if said != nil {
		if m.broken == nil {
			m.broken = &said[0]
		}
		for _, c := range m.cautions {
			if c.Code != noProfile.Code && c.Code != statedColours.Code && c.Code != guessedInks.Code {
				said = append(said, c)
			}
		}
		m.cautions = said
	}
	if m.basis == "embedded" {
		m.broken = nil
	}
	return *m
}

// byProfile uses the embedded ICC profile.
func byProfile(info *photo.Info) (*meaning, *fault) {
	if info.Profile == nil {
		return nil, nil
	}
	p, err := colour.ParseProfile(info.Profile)
	switch {
	case err != nil:
		return nil, &fault{profileUnusable, err.Error()}
	case p.Channels != info.Model.Channels():
		return nil, &fault{profileMismatch, "the embedded profile is not for " + string(info.Model) + " pictures"}
	}
	m := &meaning{profile: p, name: p.Name, basis: "embedded"}
	if r := p.HighRange(); r != "" {
		m.caution(highRange, "the embedded profile is of high dynamic range (%s): that profile alone decides how highlights look on paper", r)
	}
	return m, nil
}

// The chunks of a PNG that state colours, as a sentence names them.
const (
	byCICP = "its cICP chunk"
	byNCLX = "its nclx code points" // of a HEIF, which photo gives where there is no profile
	bySRGB = "its sRGB chunk"
	byGAMA = "its gAMA chunk"
	byCHRM = "its cHRM chunk"
	byBoth = "its gAMA and cHRM chunks"
)

// byCodePoints uses a PNG's cICP chunk, or a HEIF's code points. Many PNGs also embed a profile that says the
// same, for programs that do not know the chunk.
func byCodePoints(info *photo.Info) (*meaning, *fault) {
	c := info.Stated.CICP
	if c == nil || info.Model == photo.CMYK {
		return nil, nil
	}
	basis, by := "png", byCICP
	if info.Stated.From == photo.FromHEIF {
		basis, by = "heif", byNCLX
	}
	space, err := colour.CodePoints(c.Primaries, c.Transfer)
	if err != nil {
		return nil, &fault{photo.CautionColours, by + " " + err.Error()}
	}
	m, failed := stated(space, info.Model, basis, by)
	if failed != nil {
		return nil, failed
	}
	if other, _ := byProfile(info); other != nil {
		if same, err := m.profile.Agrees(other.profile); !same || err != nil {
			m.caution(profileOverruled, "its cICP chunk says %s, which by the PNG specification has priority over the embedded profile (%s): that profile was ignored", m.name, other.name)
		}
	}
	return m, nil
}

func bySRGBChunk(info *photo.Info) (*meaning, *fault) {
	if !info.Stated.SRGB || info.Model == photo.CMYK {
		return nil, nil
	}
	return stated(colour.SRGB, info.Model, "png", bySRGB)
}

// byNumbers uses primaries, a white point and a gamma, or those of them that are stated.
func byNumbers(info *photo.Info) (*meaning, *fault) {
	s := info.Stated
	if s.From == "" || info.Model == photo.CMYK {
		return nil, nil
	}
	var failed *fault
	p := primariesOf(s.Primaries)
	if info.Model == photo.Grey {
		p = nil // grey has no primaries
	}
	space, err := colour.Stated(p, s.Gamma)
	if err != nil {
		failed = &fault{photo.CautionColours, statedBy(s.From, p, s.Gamma) + " cannot be used: " + err.Error()}
		if _, err := colour.Stated(p, 0); err != nil {
			p = nil
		}
		if _, err := colour.Stated(nil, s.Gamma); err != nil {
			s.Gamma = 0
		}
		space, _ = colour.Stated(p, s.Gamma) // each half is valid by itself
	}
	if partial := p == nil && info.Model == photo.RGB || s.Gamma == 0; partial && space.Name == colour.SRGB.Name {
		return nil, failed // it says no more than sRGB; EXIF may say more
	}
	m, unusable := stated(space, info.Model, s.From, statedBy(s.From, p, s.Gamma))
	if unusable != nil {
		return nil, unusable
	}
	m.incomplete(p, s.Gamma, info.Model)
	return m, failed
}

// incomplete adds a caution about what was assumed where the numbers are not complete,
// and about numbers from a camera or scanner rather than from a chunk of the picture.
func (m *meaning) incomplete(p *colour.Primaries, gamma float64, model photo.Model) {
	lacks, does := "", "does"
	if m.basis == photo.FromTIFF {
		does = "do"
	}
	switch {
	case p == nil && model != photo.Grey:
		lacks = does + " not say which primaries: those of sRGB were assumed"
	case gamma == 0:
		lacks = does + " not say which curve: that of sRGB was assumed"
	}
	switch {
	case m.basis != photo.FromPNG && lacks != "":
		m.caution(noProfile, "no profile is embedded: %s was used; %s %s", m.name, m.by, lacks)
	case m.basis != photo.FromPNG:
		m.caution(statedColours, "no profile is embedded: %s was used, as %s", m.name, m.says())
	case lacks != "":
		m.caution(noProfile, "no profile is embedded, and %s %s", m.by, lacks)
	}
}

func (m *meaning) says() string {
	if m.basis == photo.FromTIFF {
		return m.by + " say"
	}
	return m.by + " says"
}

func statedBy(from string, p *colour.Primaries, gamma float64) string {
	switch {
	case from == photo.FromEXIF:
		return "its EXIF"
	case from == photo.FromTIFF:
		return "its TIFF tags"
	case p == nil:
		return byGAMA
	case gamma == 0:
		return byCHRM
	}
	return byBoth
}

func primariesOf(p *photo.Primaries) *colour.Primaries {
	if p == nil {
		return nil
	}
	at := func(c [2]float64) colour.Chromaticity { return colour.Chromaticity{X: c[0], Y: c[1]} }
	return &colour.Primaries{White: at(p.White), Red: at(p.Red), Green: at(p.Green), Blue: at(p.Blue)}
}

// stated is the meaning for a space that a file states without a profile.
func stated(s colour.RGBSpace, model photo.Model, basis, by string) (*meaning, *fault) {
	m := &meaning{name: s.Name, basis: basis, by: by}
	switch {
	case model == photo.RGB && s.Name == colour.SRGB.Name:
		m.profile, m.name = colour.BuiltInSRGB(), "sRGB"
		return m, nil
	case model == photo.RGB && s.Name == colour.A98.Name:
		m.profile, m.name = colour.BuiltInA98(), "Adobe RGB (1998)"
		return m, nil
	}
	data := s.Profile()
	if model == photo.Grey {
		data = s.GreyProfile()
	}
	p, err := colour.ParseProfile(data)
	if err != nil {
		return nil, &fault{photo.CautionColours, by + " cannot be used: " + err.Error()}
	}
	m.profile, m.name = p, p.Name
	return m, nil
}

// byEXIF uses the colour space named in EXIF. That is for the record, but worth a look
// where EXIF contradicts itself or says it in a way of some cameras' own.
func byEXIF(info *photo.Info) (*meaning, *fault) {
	if info.Model == photo.CMYK {
		return nil, nil
	}
	space, as, kind := colour.SRGB, "as its EXIF says", statedColours
	switch x := info.EXIF; {
	case info.ColourHint == "":
		return nil, nil
	case info.ColourHint == photo.HintSRGB && x.InteropIndex == "R03":
		kind, as = noProfile, "as the colour space in its EXIF says, though the interoperability index there (R03) says Adobe RGB (1998)"
	case info.ColourHint == photo.HintA98 && x.ColourSpace == photo.ColourSpaceA98:
		kind, space, as = noProfile, colour.A98, "since its EXIF gives colour space 2, by which some cameras mean it"
	case info.ColourHint == photo.HintA98:
		space = colour.A98
	}
	m, failed := stated(space, info.Model, "exif", "")
	if failed == nil {
		m.caution(kind, "no profile is embedded: %s was used, %s", m.name, as)
	}
	return m, failed
}

// assumed is the meaning of a picture that states no usable colours.
func assumed(info *photo.Info) *meaning {
	m := &meaning{profile: colour.BuiltInSRGB(), name: "sRGB", basis: "assumed"}
	switch info.Model {
	case photo.CMYK:
		m.profile, m.name = nil, "plain CMYK arithmetic"
		m.caution(guessedInks, "a CMYK picture without a profile: its colours are a guess")
		return m
	case photo.Grey:
		m.profile, m.name = colour.BuiltInGrey(), "grey with the sRGB curve"
		m.caution(noProfile, "no profile is embedded: the grey values were taken to follow the sRGB curve%s", unsaid(info))
		return m
	}
	m.caution(noProfile, "no profile is embedded: sRGB was assumed%s", unsaid(info))
	return m
}

// unsaid is what the file says about its colours that does not define them. It follows
// the words "sRGB was assumed".
func unsaid(info *photo.Info) string {
	x := info.EXIF
	switch {
	case info.Stated.From != "" && info.Model == photo.RGB:
		return fmt.Sprintf(", which fits %s", statedBy(info.Stated.From, primariesOf(info.Stated.Primaries), info.Stated.Gamma))
	case x.ColourSpace == photo.ColourSpaceUncalibrated && x.InteropIndex == "":
		return "; its EXIF calls its colours uncalibrated and does not say what they are, which may be Adobe RGB (1998)"
	case x.ColourSpace == photo.ColourSpaceUncalibrated:
		return "; its EXIF calls its colours uncalibrated, with the interoperability index " + x.InteropIndex
	case x.ColourSpace != 0:
		return fmt.Sprintf("; its EXIF gives colour space %d, which is not known here", x.ColourSpace)
	}
	return ""
}
