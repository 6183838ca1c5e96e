package photo

import (
	"os"
	"testing"
)

// BenchmarkHEIF decodes the file that HEIF names, such as one of 12 megapixels from a telephone.
func BenchmarkHEIF(b *testing.B) {
	path := os.Getenv("HEIF")
	if path == "" {
		path = "testdata/marsh.heic"
	}
	for b.Loop() {
		p, err := Open(path, DefaultLimits())
		if err != nil {
			b.Fatal(err)
		}
		p.Close()
	}
}
