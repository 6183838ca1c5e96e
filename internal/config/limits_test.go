package config

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"sizewright/internal/photo"
)

func TestLimitsAreReadInTheirUnits(t *testing.T) {
	c := mustParse(t, `
[limits]
max_file_mib = 3
max_megapixels = 50
max_side_px = 9000
max_decode_mib = 700
max_memory_mib = 900
max_decode_time = "90s"
max_expansion = 1000
max_scans = 20
max_directories = 8
max_directory_entries = 50
max_segments = 500
max_blocks = 700
max_profile_mib = 2
max_exif_kib = 64
max_text_bytes = 100
`)
	want := photo.DefaultLimits()
	want.MaxFileBytes, want.MaxPixels, want.MaxSide = 3<<20, 50e6, 9000
	want.MaxDecodeBytes, want.MaxMemoryBytes, want.MaxDecodeTime = 700<<20, 900<<20, 90*time.Second
	want.MaxExpansion, want.MaxScans, want.MaxDirectories = 1000, 20, 8
	want.MaxIFDEntries, want.MaxSegments, want.MaxBlocks = 50, 500, 700
	want.MaxProfileBytes, want.MaxEXIFBytes, want.MaxTextBytes = 2<<20, 64<<10, 100
	if c.Limits != want {
		t.Errorf("limits are %+v\nwant %+v", c.Limits, want)
	}
}

func TestWrongLimitsAreTold(t *testing.T) {
	for text, want := range map[string]string{
		"max_megapixels = 0":     "give a whole number from 1 to 10000 megapixels, not 0",
		"max_megapixels = 24.2":  "give a whole number from 1 to 10000 megapixels, not 24.2",
		`max_file_mib = "2 GiB"`: `give a whole number from 1 to 65536 MiB, not the text "2 GiB"`,
		"max_exif_kib = 1000000": "give a whole number from 1 to 65536 KiB, not 1000000",
		`max_decode_time = "0s"`: "give a time from 1s to 24h",
		"max_megapixel = 20":     "max_megapixels",
	} {
		_, err := Parse("sizewright.toml", []byte("[limits]\n"+text+"\n"))
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "sizewright.toml:2:1: limits.max_") {
			t.Errorf("%s is told %v, want %s", text, err, want)
		}
	}
}

// Each key moves a limit of its own, and what it shows it reads again; no limit is
// without a key.
func TestEveryLimitHasAKeyOfItsOwn(t *testing.T) {
	moved := map[int]string{}
	for _, k := range limitsKeys {
		var l photo.Limits
		d := photo.DefaultLimits()
		k.copy(&l, &d)
		for i := range reflect.TypeFor[photo.Limits]().NumField() {
			if reflect.ValueOf(l).Field(i).IsZero() {
				continue
			}
			if before, taken := moved[i]; taken {
				t.Errorf("%s and %s are the same limit", k.name, before)
			}
			moved[i] = k.name
		}
		if c := mustParse(t, "[limits]\n"+k.name+" = "+k.show(&d)+"\n"); c.Limits != d {
			t.Errorf("%s of its default makes %+v", k.name, c.Limits)
		}
	}
	if len(moved) != len(limitsKeys) {
		t.Errorf("%d keys move %d limits", len(limitsKeys), len(moved))
	}
	for i, f := range reflect.VisibleFields(reflect.TypeFor[photo.Limits]()) {
		if moved[i] == "" {
			t.Errorf("%s has no key in [limits]", f.Name)
		}
	}
}
