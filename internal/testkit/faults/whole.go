//go:build linux

package faults

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	_ "image/jpeg" // of previews and crops
	_ "image/png"  // of maps
	"os"

	"golang.org/x/image/tiff"
)

// checkTIFF decodes a print to its last strip with another reader than our own.
func checkTIFF(path string, width, height int, bytes int64) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || info.Size() != bytes {
		return fmt.Errorf("it does not have the %d bytes that its record says (%v)", bytes, err)
	}
	img, err := tiff.Decode(f)
	if err != nil {
		return fmt.Errorf("not a complete TIFF: %w", err)
	}
	if size := img.Bounds().Size(); size != (image.Point{X: width, Y: height}) {
		return fmt.Errorf("it is %v, but its record says %d x %d", size, width, height)
	}
	return nil
}

// checkPicture decodes a JPEG or PNG.
func checkPicture(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	_, _, err = image.Decode(f)
	return err
}

func wholeJSON(data []byte) bool { return json.Valid(data) }

func wholeHTML(data []byte) bool { return bytes.HasSuffix(bytes.TrimSpace(data), []byte("</html>")) }
