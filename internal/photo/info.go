package photo

import "sizewright/internal/caution"

// Caution is something the printmaker should look at though the picture can be used.
type Caution = caution.Caution

// The cautions about a file.
var (
	CautionAlpha       = caution.New("alpha", caution.WorthALook, caution.Look)                       // transparent parts were laid over white
	CautionWrongSuffix = caution.New("wrong-suffix", caution.ForTheRecord, "")                        // the name says another format than the bytes
	CautionProfile     = caution.New("profile-unreadable", caution.NeedsYou, caution.LookAtColours)   // an ICC profile is there but not whole
	CautionColours     = caution.New("colours-unreadable", caution.WorthALook, caution.LookAtColours) // what the file states of its colours is not whole, or not in its place
	CautionEXIF        = caution.New("exif-unreadable", caution.WorthALook, seeHowItStands)           // EXIF is there but not (all) readable
	CautionWords       = caution.New("words-lost", caution.WorthALook, keepWords)                     // of title, keywords and the like something was left out
	CautionPages       = caution.New("more-pages", caution.WorthALook, choosePage)                    // only the first page of a TIFF was read
	CautionChannels    = caution.New("extra-channels", caution.ForTheRecord, "")                      // channels beyond colour and alpha were left out
	CautionUnfinished  = caution.New("unfinished", caution.NeedsYou, copyAgain)                       // a progressive JPEG lacks the last bits of its detail
	CautionChanged     = caution.New("changed", caution.NeedsYou, copyAgain)                          // a JPEG's coded data do not fit its pixels, so some bits were changed
	CautionGainMap     = caution.New("gain-map", caution.ForTheRecord, "")                            // a gain map for bright displays was left out
	CautionNoChecksum  = caution.New("no-checksum", caution.ForTheRecord, "")                         // the format has nothing by which changed bits could be found
	CautionIrregular   = caution.New("irregular", caution.WorthALook, caution.Look)                   // the file breaks a rule of its format, perhaps without harm to the pixels
)

// What some of them ask for.
const (
	copyAgain      = "Look over the preview and the cut-outs. If it shows, copy the picture again from the card, and drop it again."
	seeHowItStands = "See on the preview that it stands upright and that its colours are right. If not, export it anew and drop it again."
	keepWords      = "If the print is to have them, save the picture's description anew or shorter, and drop it again."
	choosePage     = "If another page was meant, export it as a file of its own and drop that."
)

// Model is the colour model of the stored samples.
type Model string

// The colour models, by their number of channels: 1, 3 and 4.
const (
	Grey Model = "grey"
	RGB  Model = "rgb"
	CMYK Model = "cmyk"
)

// Channels is how many samples a pixel has: 1, 3 or 4.
func (m Model) Channels() int {
	switch m {
	case Grey:
		return 1
	case CMYK:
		return 4
	}
	return 3
}

// Colour hints are colour spaces that EXIF names.
const (
	HintSRGB = "srgb" // ColorSpace 1
	HintA98  = "a98"  // interoperability index R03 and ColorSpace 65535 (the optional colour space of DCF 2.0) or none; or ColorSpace 2
)

// Info is what a file says of itself.
type Info struct {
	Format      string    // "JPEG", "PNG" or "TIFF", by content
	Width       int       // px, after orientation
	Height      int       // px, after orientation
	Orientation int       // EXIF/TIFF orientation as stored, 1 to 8; 1 if absent or invalid
	Bits        int       // of a sample as held: 8 or 16
	Model       Model     // of the samples
	Subsampling string    // of chroma that is coarser than luma, as "4:2:0"; else ""
	Profile     []byte    // ICC profile, byte for byte as embedded; nil if none. Its content is not checked here
	Stated      Stated    // its colours in numbers; zero if none
	ColourHint  string    // from its EXIF: HintSRGB, HintA98 or ""
	EXIF        EXIF      // zero if none
	Words       Words     // title, keywords and the like; zero if none
	Room        int64     // bytes of the [Room] that decoding takes, 0 if it is decoded in memory
	Cautions    []Caution // in the order they were found
}

// EXIF holds the few fields of CIPA DC-008 (EXIF 2.32) that reach a print or a
// decision. Texts are trimmed, valid UTF-8, printable, and cut at
// Limits.MaxTextBytes.
type EXIF struct {
	Make             string
	Camera           string // the Model tag
	Lens             string // LensModel
	Artist           string
	Copyright        string
	DateTimeOriginal string // "YYYY:MM:DD HH:MM:SS", or "" if not of that form
	ISO              int    // PhotographicSensitivity, 0 if unknown
	ColourSpace      int    // 0 unknown, 1 sRGB, 65535 uncalibrated, 2 of some cameras
	InteropIndex     string // "R98", "R03", "THM" or ""

	numbers exifNumbers // until they are moved to Stated
}

func (in *Info) caution(k caution.Kind, text string) {
	in.Cautions = append(in.Cautions, k.Say("%s", text))
}

// modelOf is the colour model of so many channels.
func modelOf(channels int) Model {
	switch channels {
	case 1:
		return Grey
	case 4:
		return CMYK
	}
	return RGB
}

// turned reports whether the picture lies on its side as stored.
func (in *Info) turned() bool { return in.Orientation >= 5 }

// setSize records the size of the picture once upright, from its stored size.
func (in *Info) setSize(w, h int) {
	if in.turned() {
		w, h = h, w
	}
	in.Width, in.Height = w, h
}

// storedSize is the size before orientation, as the decoder sees it.
func (in *Info) storedSize() (w, h int) {
	if in.turned() {
		return in.Height, in.Width
	}
	return in.Width, in.Height
}
