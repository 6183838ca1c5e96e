package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// srgbProfile is of Debian's colord-data.
const srgbProfile = "/usr/share/color/icc/colord/sRGB.icc"

// longProfile is srgbProfile with room after its last tag, as the size field of
// its header says, so that a JPEG needs two segments for it.
func longProfile(t testing.TB, dir string) string {
	profile := append(readFile(t, srgbProfile), make([]byte, 70_000)...)
	binary.BigEndian.PutUint32(profile, uint32(len(profile)))
	return writeFile(t, filepath.Join(dir, "long.icc"), profile)
}

// The profile comes out byte for byte as it was put in, and as ExifTool takes
// it out.
func TestProfileIsByteForByte(t *testing.T) {
	if _, err := os.Stat(srgbProfile); err != nil && os.Getenv("CI") == "" {
		t.Skip("colord-data is not installed")
	}
	dir := t.TempDir()
	base := marshFile(t, dir, 40, 30)
	var files []string
	var ours []byte
	for i, profile := range []string{srgbProfile, longProfile(t, dir)} {
		for _, suffix := range []string{"jpg", "png", "tif"} {
			path := filepath.Join(dir, fmt.Sprintf("%d.%s", i, suffix))
			run(t, "convert", base, "-profile", profile, path)
			in, err := Identify(path, DefaultLimits())
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(in.Profile, readFile(t, profile)) {
				t.Errorf("%s in %s: %d bytes come out", filepath.Base(profile), suffix, len(in.Profile))
			}
			files, ours = append(files, path), append(ours, in.Profile...)
		}
	}
	if theirs := run(t, "exiftool", append([]string{"-q", "-b", "-icc_profile"}, files...)...); !bytes.Equal(ours, theirs) {
		t.Errorf("%d bytes in all, ExifTool has %d", len(ours), len(theirs))
	}
}

// ICC.1:2022 B.4: the parts of a profile are numbered from 1. They may lie in
// any order; one missing, doubled or misnumbered makes the whole unreadable,
// and so does a profile beyond the limit. The picture is still used.
func TestProfileInParts(t *testing.T) {
	profile := randomBytes(rand.New(rand.NewPCG(3, 4)), 3000)
	part := func(seq, total byte) []byte {
		return slices.Concat([]byte(iccHead), []byte{seq, total}, profile[1000*int(seq-1):1000*int(seq)])
	}
	tests := []struct {
		name  string
		parts [][]byte
		want  []byte
		ok    bool
	}{
		{"in order", [][]byte{part(1, 3), part(2, 3), part(3, 3)}, profile, true},
		{"any order", [][]byte{part(3, 3), part(1, 3), part(2, 3)}, profile, true},
		{"other APP2 between", [][]byte{part(1, 3), []byte("MPF\x00II*\x00"), part(2, 3), part(3, 3)}, profile, true},
		{"none", [][]byte{[]byte("MPF\x00")}, nil, true},
		{"one missing", [][]byte{part(1, 3), part(3, 3)}, nil, false},
		{"one twice", [][]byte{part(1, 3), part(1, 3), part(2, 3), part(3, 3)}, nil, false},
		{"counts differ", [][]byte{part(1, 3), part(2, 2), part(3, 3)}, nil, false},
		{"beyond its count", [][]byte{part(1, 2), part(2, 2), part(3, 2)}, nil, false},
	}
	for _, tt := range tests {
		var p iccParts
		for _, b := range tt.parts {
			p.add(b, DefaultLimits())
		}
		if got, ok := p.profile(); ok != tt.ok || !bytes.Equal(got, tt.want) {
			t.Errorf("%s: %d bytes, %v", tt.name, len(got), ok)
		}
	}
}

func TestUnreadableProfileIsCautionedOf(t *testing.T) {
	dir := t.TempDir()
	base := marshFile(t, dir, 40, 30)
	lim := DefaultLimits()
	lim.MaxProfileBytes = 100
	long := longProfile(t, dir)
	for _, suffix := range []string{"jpg", "png", "tif"} {
		path := filepath.Join(dir, "v."+suffix)
		run(t, "convert", base, "-profile", long, path)
		p, err := Open(path, lim)
		if err != nil {
			t.Fatal(err)
		}
		if got := codes(&p.Info); p.Profile != nil || !slices.Equal(got, []string{CautionProfile.Code}) {
			t.Errorf("%s: profile of %d bytes, cautions %v", suffix, len(p.Profile), got)
		}
	}
}

// A profile that inflates without end stops at the limit.
func TestProfileBomb(t *testing.T) {
	lim := DefaultLimits()
	bomb := slices.Concat([]byte("bomb\x00\x00"), deflated(make([]byte, lim.MaxProfileBytes+1)))
	if _, ok := inflateICCP(bomb, lim); ok {
		t.Error("taken")
	}
	for _, broken := range []string{"", "name", "name\x00", "name\x00\x01x", "name\x00\x00not zlib"} {
		if _, ok := inflateICCP([]byte(broken), lim); ok {
			t.Errorf("%q taken", broken)
		}
	}
	if got, ok := inflateICCP(slices.Concat([]byte("n\x00\x00"), deflated([]byte("whole"))), lim); !ok || string(got) != "whole" {
		t.Errorf("whole profile: %q, %v", got, ok)
	}
}

func deflated(b []byte) []byte {
	var out bytes.Buffer
	z := zlib.NewWriter(&out)
	z.Write(b)
	z.Close()
	return out.Bytes()
}
