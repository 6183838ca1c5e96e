package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"go.uber.org/zap"

	"sizewright/internal/colour"
	"sizewright/internal/config"
	"sizewright/internal/daemon"
	"sizewright/internal/isolate"
	"sizewright/internal/record"
	"sizewright/internal/studio"
)

// sized is a studio where every hold that a configuration can lead to is met.
const sized = `
[intake]
settle = "1ms"
[limits]
max_megapixels = 1
max_file_mib = 3
[print]
ppi = 72
minimum_ppi = 20
caution_ppi = 40
[media.card]
kind = "sheet"
width_mm = 105
length_mm = 148
[stock.plain]
[stock.torn]
profile = "torn.icc"
[stock.gone]
profile = "gone.icc"
[stock.narrow]
profile = "narrow.icc"
[stock.strict]
strict_profile = true
[stock.card]
media = "card"
`

// What plan says of a file and what once makes of it are one decision: the same end, the
// same words, the same cautions, the same exit status.
func TestPlanSaysWhatOnceDoes(t *testing.T) {
	sound := jpegFile(t, checked(144, 96))
	for name, c := range map[string]struct {
		folder, file string
		data         []byte
		code         string // of the hold; "" is made
	}{
		"a sound picture":                  {small, "marsh.jpg", sound, ""},
		"more pixels than are allowed":     {small, "large.jpg", jpegFile(t, checked(1600, 1000)), "too-large"},
		"more bytes than are read":         {small, "long.jpg", beforeEnd(sound, string(bytes.Repeat([]byte{0xff, 0xfe, 0xff, 0xff}, 1<<20))), "too-large"},
		"a stock that nobody configured":   {"60x40mm nowhere", "marsh.jpg", sound, ""},
		"a stock whose profile is broken":  {"60x40mm torn", "marsh.jpg", sound, "stock-profile"},
		"a stock whose profile is missing": {"60x40mm gone", "marsh.jpg", sound, "stock-profile"},
		"a stock that misses its colours":  {"60x40mm narrow", "samphire.png", feeds(t)["out-of-gamut"].file, ""},
		"a profile that will not do":       {"60x40mm strict", "odd.png", feeds(t)["profile-unusable"].file, "profile-unusable"},
		"too few pixels":                   {"A2 plain", "marsh.jpg", sound, "too-few-pixels"},
		"few pixels":                       {small, "little.png", pngFile(t, checked(72, 48)), ""},
		"larger than the paper":            {"150x100mm card", "marsh.jpg", sound, "too-large-for-paper"},
		"alpha":                            {small, "mist.png", feeds(t)["alpha"].file, ""},
		"CMYK":                             {small, "inks.tif", feeds(t)["cmyk"].file, ""},
		"a JPEG without its last bits":     {small, "early.jpg", feeds(t)["unfinished"].file, ""},
		"words":                            {small, "words.jpg", []byte("These are words and no picture.\n"), "not-an-image"},
		"a damaged header":                 {small, "torn.jpg", append([]byte{0xff, 0xd8, 0xff, 0xc0, 0, 4, 1, 1}, sound[2:]...), "damaged"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "studio")
			must(t, studio.Init(dir, []byte(sized), []string{c.folder}))
			must(t, os.WriteFile(filepath.Join(dir, "narrow.icc"), colour.SRGBProfile(), 0o644))
			must(t, os.WriteFile(filepath.Join(dir, "torn.icc"), []byte("no profile"), 0o644))
			path := filepath.Join(dir, "drop", c.folder, c.file)
			must(t, os.WriteFile(path, c.data, 0o644))
			planned, err := decide(t.Context(), io.Discard, path, c.folder, dir)
			must(t, err)
			made, ended := onceMakes(t, dir)

			code, reason, do, held := "", "", "", planned.Hold != nil
			if held {
				code, reason, do = planned.Hold.Code, planned.Hold.Text, planned.Hold.Remedy
			}
			if code != c.code {
				t.Errorf("plan: held for %q, want %q (%s)", code, c.code, reason)
			}
			if made.Code != code || made.Reason != reason || made.Remedy != do || (made.Status == record.Held) != held {
				t.Errorf("plan says %q %q %q, once %q %q %q", code, reason, do, made.Code, made.Reason, made.Remedy)
			}
			if !slices.Equal(planned.Cautions, made.Cautions) {
				t.Errorf("plan cautions of\n%v\nand once of\n%v", planned.Cautions, made.Cautions)
			}
			if errors.Is(ended, errHeld) != held {
				t.Errorf("once ends with %v", ended)
			}
		})
	}
}

// onceMakes is what once makes of the one picture that waits, and how it ends.
func onceMakes(t *testing.T, dir string) (*record.Record, error) {
	t.Helper()
	s, err := studio.Open(dir)
	must(t, err)
	defer s.Close()
	cfg, err := config.Load(s.ConfigPath())
	must(t, err)
	result, err := daemon.Once(context.Background(), daemon.Options{Studio: s, Config: cfg, Log: zap.NewNop(), Decode: isolate.Open})
	must(t, err)
	all := result.Night.Records
	if len(all) != 1 {
		t.Fatalf("%d records, want 1; left: %v, faults: %v", len(all), result.Night.Left, result.Night.Faults)
	}
	return &all[0].Record, verdict(&result.Night.Night)
}
