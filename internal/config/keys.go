package config

import (
	"slices"
	"strings"
	"time"

	"sizewright/internal/colour"
	"sizewright/internal/plural"
	"sizewright/internal/printsize"
	"sizewright/internal/surface"
)

// The keys of the file, each in one line: its name, its field, its check and
// its sentence.

var intakeKeys = []key[Config]{
	newKey("settle", func(c *Config) *time.Duration { return &c.Settle }, span(0, time.Hour),
		"How long a dropped file must stay unchanged before it is taken; where the system cannot tell whether a program still writes to it, as on a share, fifteen times as long is added."),
	newKey("rescan", func(c *Config) *time.Duration { return &c.Rescan }, span(time.Second, 24*time.Hour),
		"How often to look through the drop folders, in case the system did not report a new file."),
	newKey("stalled_after", func(c *Config) *time.Duration { return &c.Stalled }, span(time.Minute, 24*time.Hour),
		"How long an incomplete file, such as a copy that broke off, may sit unchanged before the morning report names it; it is never printed."),
}

var workKeys = []key[Config]{
	newKey("cores", func(c *Config) *int { return &c.Cores }, whole(0, 256),
		"How many of this machine's cores make a print together; 0 is all of them."),
	newKey("between", func(c *Config) *Hours { return &c.Between }, hours(),
		`The hours in which orders are started, such as "22:00-07:00"; an order in hand at their end is finished; "" is the whole day.`),
	newKey("keep", func(c *Config) *int { return &c.Keep }, days(),
		`How long the TIFF of a print stays once the print is printed, such as "30 days"; then it is removed, if its original can make it again; "" is for ever.`),
	newKey("keep_free_mib", func(c *Config) *int { return &c.KeepFree }, whole(0, 10<<20),
		"How many MiB of the disk stay free; a print for which there is no room waits until there is."),
}

var machinesKeys = []key[Machines]{
	newKey("nats", func(m *Machines) *string { return &m.NATS }, addresses(),
		`The NATS server over which other machines make prints, such as "tls://host:4222"; "" for none. The pictures are sent to it.`),
	newKey("credentials", func(m *Machines) *string { return &m.Credentials }, textLine(4096),
		"The file with this studio's credentials for that server, if it asks for them; a relative path starts at the studio."),
	newKey("ca", func(m *Machines) *string { return &m.CA }, textLine(4096),
		"The file with the certificates that sign that server's; \"\" for those of the system."),
}

var morningKeys = []key[Config]{
	newKey("ends_at", func(c *Config) *int { return &c.EndsAt }, whole(0, 23),
		"The hour at which a night ends; what is made after it is in the next morning's report; 0 is midnight."),
	newKey("units", func(c *Config) *string { return &c.Units }, oneOf("both", "mm", "in"),
		`The units that reports give sizes in: "both", "mm" or "in".`),
}

var printKeys = slices.Concat(pixelKeys, paperKeys, colourKeys)

var pixelKeys = []key[Settings]{
	newKey("ppi", func(s *Settings) *float64 { return &s.PPI }, number(printsize.MinPPI, printsize.MaxPPI, "pixels per inch"),
		"The printer's own input resolution in pixels per inch."),
	newKey("fit", func(s *Settings) *Fit { return &s.Fit }, oneOf(FitWhole, FitFill),
		`"whole" keeps the whole picture within the size; "fill" fills the size and crops the picture.`),
	newKey("crop", func(s *Settings) *string { return &s.Crop }, oneOf(printsize.Crops...),
		"Where a filled size is cropped, by what is kept: "+plural.List(strings.Split(quoted(printsize.Crops), ", "), "or")+"; \"auto\" is where the picture's detail lies; a folder's name may say it too, such as \"A2 top\", and fills."),
	newKey("copies", func(s *Settings) *int { return &s.Copies }, whole(1, printsize.MaxCopies),
		"How many copies are to be printed of each file; a folder's name may say it too, such as \"A2 x3\"."),
	newKey("edition", func(s *Settings) *int { return &s.Edition }, whole(0, 9999),
		"How many prints the edition of each picture has; each print gets the next number, which the caption shows as 4/25 in place of {edition}; 0 is no edition."),
	newKey("label", func(s *Settings) *bool { return &s.Label }, flag(),
		"true draws a label for the back of each print beside it, as an SVG: title, maker, number of the edition, size, paper and date."),
	newKey("bits", func(s *Settings) *int { return &s.Bits }, oneOf(8, 16),
		"Bits per channel of the print: 16, or 8, which are dithered."),
	newKey("compression", func(s *Settings) *string { return &s.Compression },
		oneOf(CompressionDeflate, CompressionLZW, CompressionNone),
		`How the TIFF is compressed, without loss: "deflate", "lzw" or "none".`),
	newKey("viewing_distance_mm", func(s *Settings) *float64 { return &s.ViewingDistanceMM },
		zeroOr(number(100, 100_000, "mm")),
		"The distance from which the print is viewed, in millimetres; 0 is 1.5 times its diagonal, and at least 250."),
	newKey("too_small", func(s *Settings) *TooSmall { return &s.TooSmall }, oneOf(TooSmallHold, TooSmallLargest, TooSmallMake),
		`What becomes of a picture that is too small for the print: "hold" makes nothing, "largest" makes it as large as it carries on the same paper, "make" makes it all the same; both with a caution.`),
	newKey("minimum_ppi", func(s *Settings) *float64 { return &s.MinimumPPI },
		zeroOr(number(10, 2880, "pixels per inch")),
		"A picture with fewer pixels per inch at the print's size is too small; pixels count that carry picture; 0 takes the number from the print's size, from 129 in the hand to 90 on the wall."),
	newKey("acuity", func(s *Settings) *float64 { return &s.Acuity }, number(0.25, 3, ""),
		"How sharp the viewer's eye is: 1 resolves one minute of arc, 2 half a minute."),
	newKey("caution_ppi", func(s *Settings) *float64 { return &s.CautionPPI },
		zeroOr(number(10, 2880, "pixels per inch")),
		"A picture with fewer is made with a caution that it may look soft up close; 0 takes the number from the print's size, from 194 in the hand to 134 on the wall."),

	newKey("kernel", func(s *Settings) *string { return &s.Kernel }, oneOf(Kernels...),
		"The resampling kernel, from sharp to soft: "+quoted(Kernels)+"."),
	newKey("enlarge", func(s *Settings) *string { return &s.Enlarge }, oneOf(EnlargeKernel, EnlargeLearned),
		`What makes an enlargement: "kernel" alone, or "learned", where a network trained on photographs adds the lightness detail that it predicts; as much of it as a trial on the picture itself bears out. It takes some 4 seconds of a core for each megapixel of the file.`),
	newKey("surface", func(s *Settings) *string { return &s.Surface },
		oneOf(surface.Names()...),
		"The paper's surface, which decides how much sharpening the print needs: "+plural.List(strings.Split(quoted(surface.Names()), ", "), "or")+"."),
	newKey("pre_sharpening", func(s *Settings) *float64 { return &s.PreSharpening }, number(0, 2, ""),
		"Sharpening of the picture before it is enlarged: 0 is none, 1 is what its own blur needs, 2 is twice that."),
	newKey("blur_px", func(s *Settings) *float64 { return &s.BlurPX }, zeroOr(number(0.3, 3, "px")),
		"How soft the picture is, as the sigma of a blur in its own pixels; 0 measures it."),
	newKey("output_sharpening", func(s *Settings) *float64 { return &s.OutputSharpening }, number(0, 2, ""),
		"Sharpening of the print for the paper: 0 is none, 1 is what its surface needs, 2 is twice that."),
	newKey("grain", func(s *Settings) *float64 { return &s.Grain }, number(0, 5, "steps of lightness"),
		"Fine grain added to large enlargements, so that smooth areas do not look like plastic, in steps of lightness (of 100); 0 is none."),
}

var colourKeys = []key[Settings]{
	newKey("profile", func(s *Settings) *string { return &s.Profile }, filePath(".icc", ".icm"),
		`The output profile (.icc or .icm) that prints are converted to, by its path, absolute or from the studio's directory; "" keeps the picture's own profile.`),
	newKey("intent", func(s *Settings) *colour.Intent { return &s.Intent },
		oneOf(colour.Relative, colour.Perceptual, colour.Saturation, colour.Absolute),
		`How colours that the paper cannot hold are converted: "relative", "perceptual", "saturation" or "absolute".`),
	newKey("black_point_compensation", func(s *Settings) *bool { return &s.BlackPointCompensation }, flag(),
		`true makes the picture's black the paper's black; with the intent "absolute" it has no effect.`),
	newKey("working_space", func(s *Settings) *string { return &s.WorkingSpace }, workingSpace(),
		`Without a profile, the space that prints are converted to: "srgb", "a98" or "romm"; "" keeps the picture's own.`),
	newKey("strict_profile", func(s *Settings) *bool { return &s.StrictProfile }, flag(),
		"true holds a picture whose embedded profile or other colour information is broken; false uses the next best, with a caution."),
	newKey("gamut_caution_delta_e", func(s *Settings) *float64 { return &s.GamutCautionDeltaE },
		among("for which the measurement states shares", 1, 3, 6),
		"A place in the picture misses when its printed colours differ by more than this, in CIEDE2000: 1, 3 or 6."),
	newKey("gamut_caution_share", func(s *Settings) *float64 { return &s.GamutCautionShare }, number(0, 1, ""),
		"A picture is made with a caution when people would see more than this share of it miss, from 0 to 1; 1 is never."),
}

func quoted(names []string) string {
	return `"` + strings.Join(names, `", "`) + `"`
}
