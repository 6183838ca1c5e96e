package tiff

import (
	"strings"
	"testing"
)

func TestACompressionIsReadByTheNameItPrints(t *testing.T) {
	for name, want := range map[string]Compression{"none": None, "deflate": Deflate, "lzw": LZW} {
		got, err := ParseCompression(name)
		if err != nil || got != want || got.String() != name {
			t.Errorf("ParseCompression(%q) = %v, %v", name, got, err)
		}
	}
	for _, name := range []string{"", "zip", "LZW", "Compression(1)"} {
		_, err := ParseCompression(name)
		if err == nil || !strings.Contains(err.Error(), `"deflate", "lzw" or "none"`) {
			t.Errorf("ParseCompression(%q): error %v does not say what to write", name, err)
		}
	}
}

func TestUnknownValuesPrintAsNumbers(t *testing.T) {
	if s := Compression(9).String(); s != "Compression(9)" {
		t.Error(s)
	}
	if s := Photometric(-1).String(); s != "Photometric(-1)" {
		t.Error(s)
	}
	if s := Grey.String() + " " + RGB.String() + " " + CMYK.String(); s != "grey RGB CMYK" {
		t.Error(s)
	}
}
