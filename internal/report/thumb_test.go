package report

import (
	"bytes"
	"encoding/base64"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func (s *studioDir) thumbnail(name string) (*thumb, error) {
	s.Helper()
	root, err := os.OpenRoot(s.Root)
	s.Must(err)
	defer root.Close()
	return (pictures{ctx: s.Context(), studio: root, album: &Album{}}).thumbnail(name, thumbSide, thumbBytes)
}

func TestAThumbnailIsASmallJPEGInThePictureShape(t *testing.T) {
	s := newStudio(t)
	for _, test := range []struct {
		name          string
		w, h          int
		noise         bool
		wantW, wantH  int
		largestOfKind int
	}{
		{"lying", 600, 400, false, 480, 320, 16 << 10},
		{"standing", 400, 600, false, 320, 480, 16 << 10},
		{"panorama", 800, 50, false, 480, 30, 16 << 10},
		{"smaller than a thumbnail", 90, 60, false, 90, 60, 12 << 10},
		{"noise, which is too rich for its pixels", 400, 400, true, 270, 270, thumbBytes},
	} {
		s.Preview("outbox/A2/p.jpg", test.w, test.h, test.noise)
		got, err := s.thumbnail("outbox/A2/p.jpg")
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		data, found := strings.CutPrefix(string(got.URI), "data:image/jpeg;base64,")
		if !found {
			t.Fatalf("%s: %.40s", test.name, got.URI)
		}
		raw, err := base64.StdEncoding.DecodeString(data)
		s.Must(err)
		c, err := jpeg.DecodeConfig(bytes.NewReader(raw))
		s.Must(err)
		if c.Width != test.wantW || c.Height != test.wantH || got.Width != c.Width || got.Height != c.Height {
			t.Errorf("%s: %d x %d px said to be %d x %d, want %d x %d", test.name, c.Width, c.Height, got.Width, got.Height, test.wantW, test.wantH)
		}
		if len(raw) > test.largestOfKind {
			t.Errorf("%s: %d bytes, want at most %d", test.name, len(raw), test.largestOfKind)
		}
	}
}

func TestAMapIsReadFromItsPNG(t *testing.T) {
	s := newStudio(t)
	s.GamutMap("outbox/A2/m.png", 1200, 834)
	root, err := os.OpenRoot(s.Root)
	s.Must(err)
	defer root.Close()
	got, err := (pictures{ctx: s.Context(), studio: root, album: &Album{}}).thumbnail("outbox/A2/m.png", mapSide, mapBytes)
	s.Must(err)
	if got.Width != 480 || got.Height != 333 { // 333.6, cut
		t.Errorf("%d x %d px, want 480 x 333", got.Width, got.Height)
	}
	if !strings.HasPrefix(string(got.URI), "data:image/jpeg;base64,") {
		t.Errorf("a thumbnail of another kind: %.40s", got.URI)
	}
}

func TestWhatIsNoPreviewGivesNoThumbnail(t *testing.T) {
	s := newStudio(t)
	s.Preview("real.jpg", 300, 200, false)
	data, err := os.ReadFile(filepath.Join(s.Root, "real.jpg"))
	s.Must(err)
	huge := bytes.Clone(data)
	at := bytes.Index(huge, []byte{0xff, 0xc0}) + 5 // frame header: height and width, 16 bits each
	copy(huge[at:], []byte{0xff, 0xff, 0xff, 0xff})

	s.Put("text.jpg", []byte("no picture"))
	s.Put("short.jpg", data[:len(data)/2])
	s.Put("huge.jpg", huge)
	s.GamutMap("wide.png", 4097, 1)
	s.GamutMap("real.png", 40, 30)
	mapData, err := os.ReadFile(filepath.Join(s.Root, "real.png"))
	s.Must(err)
	s.Put("short.png", mapData[:len(mapData)/2])
	s.Put("signature.png", mapData[:8])
	s.Must(os.Symlink("real.jpg", filepath.Join(s.Root, "link.jpg")))
	s.Must(syscall.Mkfifo(filepath.Join(s.Root, "pipe.jpg"), 0o666))
	outside := filepath.Join(t.TempDir(), "outside.jpg")
	s.Must(os.WriteFile(outside, data, 0o666))

	for _, name := range []string{"gone.jpg", "", "outbox", "text.jpg", "short.jpg", "huge.jpg", "wide.png", "short.png", "signature.png", "link.jpg", "pipe.jpg", outside, "../" + filepath.Base(outside)} {
		if got, err := s.thumbnail(name); err == nil {
			t.Errorf("%q: a thumbnail of %d x %d px", name, got.Width, got.Height)
		}
	}
	for _, name := range []string{"real.jpg", "real.png"} {
		if _, err := s.thumbnail(name); err != nil {
			t.Errorf("the real one: %v", err)
		}
	}
}
