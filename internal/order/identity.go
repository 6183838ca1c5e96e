package order

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"

	"sizewright/internal/config"
	"sizewright/internal/learned"
	"sizewright/internal/printsize"
	"sizewright/internal/render"
	"sizewright/internal/sheet"
)

// Identity returns the same string for two orders that make the same print of the same
// bytes; sha is their digest. It covers the source, the settings that make pixels or
// the form of the file, and [render.RecipeVersion]. All of these are known before
// decoding. It leaves out what is only reported (a price, a caution's threshold, the
// wording of a note) and a caption's date.
func (d *Decision) Identity(sha string) string { return d.IdentityBy(render.RecipeVersion, sha) }

// IdentityBy returns the identity of this order in a program of another recipe version.
func (d *Decision) IdentityBy(version int, sha string) string {
	o := d.Order
	it := made{
		Recipe: version, SHA256: sha,
		Width: o.Size.WidthMM, Height: o.Size.HeightMM,
		Settings: pixelSettings(o.Settings),
		Caption:  strings.NewReplacer("{name}", o.Caption.Name, "{size}", o.Size.Name, "{stock}", o.Stock, config.EditionPlace, o.editionPlace()).Replace(o.Settings.Caption),
		Media:    shapes(o.Media),
		Font:     o.Face.Digest(),
	}
	if o.Output.Profile != nil {
		it.Output = &output{o.Output.Profile.Digest(), o.Output.Kind, string(o.Output.Intent), o.Output.BlackPoint}
	}
	b, err := json.Marshal(it)
	if err != nil {
		panic("order: an identity is plain values: " + err.Error())
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// editionPlace is where a number goes in a caption, of how many.
func (o Order) editionPlace() string {
	if !o.Numbered() {
		return config.EditionPlace
	}
	return fmt.Sprintf("%s of %d", config.EditionPlace, o.Settings.Edition)
}

// made is the value whose digest is an identity.
type made struct {
	Recipe        int
	SHA256        string
	Width, Height float64 // mm
	Settings      map[string]any
	Output        *output
	Media         []sheet.Media
	Caption       string
	Font          string `json:",omitempty"` // of the caption, "" for the built-in one
}

type output struct {
	SHA256     string
	Kind       string
	Intent     string
	BlackPoint bool
}

// toldOnly are the settings that change no byte of a print: what is reported, its
// cost, whether it is made at all, and where it lies on a roll.
var toldOnly = []string{
	"minimum_ppi", "caution_ppi", "too_small", "strict_profile", "gamut_caution_delta_e", "gamut_caution_share",
	"price_per_m2", "price_per_metre", "price_per_sheet", "currency", "pace_m2_per_hour",
	"copies", "edition", "label", "pack_file", "gap_mm", "lane_mm", "may_turn",
}

// elsewhere are the settings that an identity covers in another form: a profile and a font
// by their bytes, media by their shape, a caption as filled in.
var elsewhere = []string{"profile", "intent", "black_point_compensation", "working_space", "media", "caption", "caption_font"}

// formerBleeds are the names that bleeds had when identities were first recorded. A name
// makes no pixels, so they stay in identities.
var formerBleeds = map[string]string{"reflect": "mirror", "replicate": "extend"}

// pixelSettings are the settings that make pixels, by their keys.
func pixelSettings(s config.Settings) map[string]any {
	all := settingsByKey(s)
	if former, renamed := formerBleeds[s.Bleed]; renamed {
		all["bleed"] = former
	}
	for _, keys := range [][]string{toldOnly, elsewhere} {
		for _, k := range keys {
			delete(all, k)
		}
	}
	if s.Fit != config.FitFill || s.Crop == printsize.CropCentre { // as before there was a choice
		delete(all, "crop")
	}
	all["enlarge"] = learned.Digests()     // other weights make other prints
	if s.Enlarge == config.EnlargeKernel { // as before there was a choice
		delete(all, "enlarge")
	}
	if s.TooSmall == config.TooSmallLargest { // then the least decides how large the print is
		all["too_small"], all["minimum_ppi"] = s.TooSmall, s.MinimumPPI
	}
	return all
}

func settingsByKey(s config.Settings) map[string]any {
	b, err := json.Marshal(s)
	if err != nil {
		panic("order: settings are plain values: " + err.Error())
	}
	all := map[string]any{}
	if err := json.Unmarshal(b, &all); err != nil {
		panic("order: settings are an object: " + err.Error())
	}
	return all
}

// shapes returns media without their names and notes.
func shapes(media []sheet.Media) []sheet.Media {
	out := make([]sheet.Media, len(media))
	for i, m := range media {
		m.Name, m.Thickness = "", ""
		out[i] = m
	}
	return out
}
