package photo

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sizewright/internal/tiff"
)

// wordy is a small picture of each format.
func wordy(t *testing.T) map[string]string {
	dir := t.TempDir()
	base := marshFile(t, dir, 40, 30)
	all := map[string]string{"png": base}
	for _, kind := range []string{"jpg", "tif", "psd", "webp"} {
		all[kind] = filepath.Join(dir, "marsh."+kind)
		run(t, "convert", base, "-depth", "8", all[kind])
	}
	for _, kind := range []string{"heic", "avif"} {
		all[kind] = writeFile(t, filepath.Join(dir, "small."+kind), readFile(t, "testdata/marsh."+kind))
	}
	return all
}

var spoken = Words{Title: "Ebb & flow", Description: "Sólja at low water", Rights: "© The print room",
	Creators: []string{"A Printmaker", "An Other"}, Keywords: []string{"marsh", "tide"}}

func (w Words) same(o Words) bool {
	return w.Title == o.Title && w.Description == o.Description && w.Rights == o.Rights && slices.Equal(w.Creators, o.Creators) && slices.Equal(w.Keywords, o.Keywords)
}

// printOf writes a TIFF with the packet of a print of 720 x 480 px.
func printOf(t *testing.T, w *Words) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "print.tif")
	f, err := os.Create(path)
	must(t, err)
	defer f.Close()
	h := tiff.Header{Width: 8, Height: 1, Bits: 8, Photometric: tiff.Grey, RowsPerStrip: 1, PPI: tiff.RationalPPI(360),
		XMP: w.Packet(Printed{Width: 720, Height: 480, PPI: "360/1", Software: "sizewright $1 <2>", Profile: "Paper"})}
	out, err := tiff.NewWriter(f, h)
	must(t, err)
	must(t, out.WriteStrip(make([]byte, 8)))
	must(t, out.Close())
	return path
}

// readBack is what ExifTool reads of prints, one after another.
func readBack(t *testing.T, prints []string, tags ...string) (all []string) {
	t.Helper()
	said := "\n" + string(run(t, "exiftool", slices.Concat([]string{"-s3", "-n", "-warning"}, tags, prints)...))
	for part := range strings.SplitSeq(said, "\n======== ") {
		if _, facts, found := strings.Cut(part, "\n"); found && part != said {
			all = append(all, strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(facts), "image files read")))
		}
	}
	if len(all) != len(prints) {
		t.Fatalf("ExifTool reads %q", said)
	}
	return all
}

// exiv2Reads checks what exiv2 reads of a print.
func exiv2Reads(t *testing.T, made string, values ...string) {
	t.Helper()
	got := string(run(t, "exiv2", "-PXkt", made))
	for _, value := range values {
		if !strings.Contains(got, value) {
			t.Errorf("exiv2 reads\n%s", got)
		}
	}
}

// What XMP says of a picture in words is read from every format, and stands in the print as
// ExifTool and exiv2 read it; what else the packet has stays, and what the print changed is
// brought up to date.
func TestXMPGoesIntoThePrint(t *testing.T) {
	all := wordy(t)
	paths := slices.Sorted(maps.Values(all))
	run(t, "exiftool", slices.Concat([]string{"-q", "-overwrite_original", "-XMP-dc:Title=Ebb & flow", "-XMP-dc:Description=Sólja at low water", "-XMP-dc:Rights=© The print room",
		"-XMP-dc:Creator=A Printmaker", "-XMP-dc:Creator=An Other", "-XMP-dc:Subject=marsh", "-XMP-dc:Subject=tide", "-XMP-xmp:Rating=4",
		"-XMP-tiff:ImageWidth=40", "-XMP-tiff:Orientation=Rotate 90 CW", "-XMP-xmp:CreatorTool=An editor", "-XMP-exif:ExifImageWidth=40", "-XMP-photoshop:ICCProfileName=Screen"}, paths)...)
	var prints []string
	for _, path := range paths {
		p := open(t, path)
		if !p.Words.same(spoken) || p.Words.XMP == nil || slices.Contains(codes(&p.Info), CautionWords.Code) || p.Artist() != "A Printmaker; An Other" {
			t.Errorf("%s: %+v, %v", path, p.Words, p.Cautions)
		}
		prints = append(prints, printOf(t, &p.Words))
	}
	for i, said := range readBack(t, prints, "-Title", "-Description", "-Rights", "-Creator", "-Subject", "-Rating", "-XMP-tiff:ImageWidth", "-XMP-tiff:Orientation", "-CreatorTool", "-XMP-exif:ExifImageWidth", "-ICCProfileName") {
		if want := "Ebb & flow\nSólja at low water\n© The print room\nA Printmaker, An Other\nmarsh, tide\n4\n720\n1\nsizewright $1 <2>\n720\nPaper"; !strings.HasPrefix(said, want) {
			t.Errorf("%s: ExifTool reads\n%s", paths[i], said)
		}
	}
	exiv2Reads(t, prints[0], "Ebb & flow", "marsh, tide", "720", "A Printmaker, An Other")
}

// IPTC counts where XMP says nothing, and becomes XMP in the print, beside a packet's own
// words or in a packet of its own.
func TestIPTCGoesIntoThePrint(t *testing.T) {
	both := wordy(t)
	alone := []string{both["jpg"], both["tif"], both["psd"]}
	iptc := []string{"-q", "-overwrite_original", "-IPTC:CodedCharacterSet=UTF8", "-IPTC:ObjectName=Ebb & flow", "-IPTC:Caption-Abstract=Sólja at low water", "-IPTC:CopyrightNotice=© The print room",
		"-IPTC:By-line=A Printmaker", "-IPTC:By-line=An Other", "-IPTC:Keywords=marsh", "-IPTC:Keywords=tide"}
	run(t, "exiftool", slices.Concat(iptc, alone)...)
	beside := writeFile(t, filepath.Join(t.TempDir(), "beside.jpg"), readFile(t, both["jpg"]))
	run(t, "exiftool", "-q", "-overwrite_original", "-XMP-dc:Title=Another", "-XMP-xmp:Rating=4", beside)
	var prints []string
	for _, path := range append(alone, beside) {
		p, want := open(t, path), spoken
		if path == beside {
			want.Title = "Another"
		}
		if !p.Words.same(want) || p.Cautions != nil {
			t.Errorf("%s: %+v, %v", path, p.Words, p.Cautions)
		}
		prints = append(prints, printOf(t, &p.Words))
	}
	for i, said := range readBack(t, prints, "-Title", "-Description", "-Rights", "-Creator", "-Subject") {
		title := map[bool]string{false: "Ebb & flow", true: "Another"}[i == len(alone)]
		if want := title + "\nSólja at low water\n© The print room\nA Printmaker, An Other\nmarsh, tide"; !strings.HasPrefix(said, want) {
			t.Errorf("%d: ExifTool reads\n%s", i, said)
		}
	}
	exiv2Reads(t, prints[0], "© The print room", "marsh, tide")
	exiv2Reads(t, prints[len(alone)], "© The print room", "Another")
}

// XMP that is too long for one segment of a JPEG goes on in further ones. All of it stands in
// the print, as one packet; a segment that is changed is said.
func TestExtendedXMPGoesIntoThePrint(t *testing.T) {
	path := wordy(t)["jpg"]
	history := strings.Repeat("scanned, cleaned, sharpened; ", 4000)
	run(t, "exiftool", "-q", "-overwrite_original", "-XMP-dc:Title=Ebb", "-XMP-dc:Subject=marsh", "-XMP-xmp:Rating=4",
		"-XMP-photoshop:History<="+writeFile(t, filepath.Join(t.TempDir(), "history"), []byte(history)), path)
	file := readFile(t, path)
	if !bytes.Contains(file, []byte(extendedXMPHead)) {
		t.Fatal("it has no extended XMP")
	}
	p := open(t, path)
	if p.Cautions != nil || p.Words.Title != "Ebb" || bytes.Contains(p.Words.XMP, []byte("HasExtendedXMP")) {
		t.Errorf("%v, %q", p.Cautions, p.Words.Title)
	}
	made := printOf(t, &p.Words)
	if got := readBack(t, []string{made, made}, "-Title", "-Rating", "-History", "-HasExtendedXMP")[0]; got != "Ebb\n4\n"+strings.TrimSpace(history) {
		t.Errorf("ExifTool reads %.300s, %d bytes", got, len(got))
	}
	changed := bytes.Replace(file, []byte("cleaned"), []byte("cleaneD"), 1)
	p = open(t, writeFile(t, path, changed))
	if got := codes(&p.Info); !slices.Equal(got, []string{CautionWords.Code}) || p.Words.Title != "Ebb" {
		t.Errorf("changed: %v, %q", got, p.Words.Title)
	}
}

// Editors put IPTC into a TIFF among their own blocks too (Photoshop image resources).
func TestIPTCAmongImageResourcesOfATIFF(t *testing.T) {
	iptc := "\x1c\x02\x05\x00\x03Ebb\x1c\x02\x19\x00\x05marsh\x00"
	blocks := "8BIM\x03\xed\x00\x00\x00\x00\x00\x01\x00\x00" + "8BIM\x04\x04\x00\x00\x00\x00\x00" + string(rune(len(iptc)-1)) + iptc
	entry := func(at int) string {
		return string([]byte{tagImageResources & 255, tagImageResources >> 8, typeUndefined, 0, byte(len(blocks)), 0, 0, 0, byte(at), byte(at >> 8), 0, 0})
	}
	at := len(greyTIFF(entry(0)))
	path := writeFile(t, filepath.Join(t.TempDir(), "marsh.tif"), append(greyTIFF(entry(at)), blocks...))
	if p := open(t, path); p.Words.Title != "Ebb" || !slices.Equal(p.Words.Keywords, []string{"marsh"}) {
		t.Errorf("%+v", p.Words)
	}
}

// What of IPTC's words cannot go into the print is said, in every format that has it: the end
// of a long text, more keywords than are kept, a second title, what lies beyond the record's
// end. A description as long as IPTC allows, 2,000 characters, is whole.
func TestNoWordOfIPTCIsLostSilently(t *testing.T) {
	dataset := func(number byte, text string) string {
		if len(text) < 1<<15 {
			return string([]byte{0x1c, 2, number, byte(len(text) >> 8), byte(len(text))}) + text
		}
		return string([]byte{0x1c, 2, number, 0x80, 4, 0, byte(len(text) >> 16), byte(len(text) >> 8), byte(len(text))}) + text
	}
	long := strings.Repeat("Mündung ", 250)
	for name, tt := range map[string]struct{ record, want string }{
		"as IPTC has it":   {dataset(120, long) + dataset(25, "marsh") + "\x00\x00", ""},
		"a long text":      {dataset(120, strings.Repeat("tide ", 1000)) + dataset(25, "marsh"), "(description) is longer than 4096 bytes"},
		"a very long text": {dataset(120, strings.Repeat("tide ", 10000)) + dataset(25, "marsh"), "(description) is longer than 4096 bytes"},
		"many keywords":    {strings.Repeat(dataset(25, "marsh"), 257), "more than 256 keywords"},
		"two titles":       {dataset(5, "Ebb") + dataset(5, "Flow") + dataset(25, "marsh"), "more than 1 title;"},
		"cut":              {dataset(25, "marsh") + dataset(120, "A long description")[:12], "IPTC (title, keywords and the like) could not be read"},
		"other bytes":      {dataset(25, "marsh") + "reed", "could not be read"},
	} {
		in := &Info{}
		in.readIPTC([]byte(tt.record), nil, DefaultLimits())
		said := ""
		for _, c := range in.Cautions {
			said += c.Code + ": " + c.Text + "\n"
		}
		if (tt.want == "") != (said == "") || !strings.Contains(said, tt.want) || strings.Count(said, "\n") > 1 || in.Words.Keywords[0] != "marsh" {
			t.Errorf("%s: %q, keywords %v", name, said, in.Words.Keywords)
		}
		if name == "as IPTC has it" && in.Words.Description != strings.TrimSpace(long) {
			t.Errorf("%s: %d bytes of description", name, len(in.Words.Description))
		}
	}
	all := wordy(t)
	alone := []string{all["jpg"], all["tif"], all["psd"]}
	text := writeFile(t, filepath.Join(t.TempDir(), "text"), []byte(strings.Repeat("A Printmaker ", 500)))
	run(t, "exiftool", slices.Concat([]string{"-q", "-overwrite_original", "-m", "-IPTC:Caption-Abstract<=" + text, "-EXIF:Copyright<=" + text}, alone)...)
	for _, path := range alone {
		p := open(t, path)
		if got := codes(&p.Info); !slices.Contains(got, CautionWords.Code) || len(p.Words.Description) < 4000 {
			t.Errorf("%s: %v, %d bytes of description", path, p.Cautions, len(p.Words.Description))
		}
	}
}

// XMP that is longer than the limit is said in every format.
func TestXMPThatIsTooLong(t *testing.T) {
	all := wordy(t)
	paths := slices.Sorted(maps.Values(all))
	run(t, "exiftool", slices.Concat([]string{"-q", "-overwrite_original", "-XMP-dc:Title=" + strings.Repeat("Ebb ", 1000)}, paths)...)
	lim := limited("MaxEXIFBytes", 2048)
	for _, path := range paths {
		in, err := Identify(path, lim)
		if err != nil {
			t.Fatal(err)
		}
		if got := codes(in); !slices.Contains(got, CautionWords.Code) || !strings.Contains(in.Cautions[len(in.Cautions)-1].Text, "longer than the 2 KiB") || in.Words.XMP != nil {
			t.Errorf("%s: %v", path, in.Cautions)
		}
	}
}

// A packet that is not XML is left out and said; without words a print has no packet.
func TestXMPThatCannotBeRead(t *testing.T) {
	path := wordy(t)["jpg"]
	if p := open(t, path); p.Words.Packet(Printed{}) != nil {
		t.Errorf("no words: %q", p.Words.Packet(Printed{}))
	}
	run(t, "exiftool", "-q", "-overwrite_original", "-XMP-dc:Title=Ebb", path)
	broken := bytes.Replace(readFile(t, path), []byte("</dc:title>"), []byte("</dc:titles"), 1)
	p := open(t, writeFile(t, path, broken))
	if got := codes(&p.Info); !slices.Equal(got, []string{CautionWords.Code}) || p.Words.XMP != nil {
		t.Errorf("broken: %v, %q", got, p.Words.XMP)
	}
}

// FuzzWords is a packet of XMP and an IPTC record: texts fit to print, and a packet for the
// print that can be read again.
func FuzzWords(f *testing.F) {
	packet := (&Words{Title: "Ebb", Keywords: []string{"marsh", "tide"}}).Packet(Printed{})
	f.Add(packet, []byte("\x1c\x02\x05\x00\x03Ebb\x1c\x02\x19\x00\x05marsh"))
	f.Add([]byte("<rdf:RDF xmlns:rdf='"+nsRDF+"' xmlns:tiff='"+nsTIFF+"'><rdf:Description rdf:about='x' tiff:ImageWidth='4'/></rdf:RDF>"), []byte("8BIM"))
	lim := fuzzLimits()
	f.Fuzz(func(t *testing.T, packet, iptc []byte) {
		in := &Info{}
		in.readIPTC(iptc, nil, lim)
		in.readImageResources(iptc, lim)
		in.readXMP(packet, nil, lim)
		in.readExtendedXMP(extendedXMP{parts: [][]byte{iptc}}, lim)
		made := in.Words.Packet(Printed{Width: 1, Height: 1, Software: "s"})
		if made == nil {
			return
		}
		again := &Info{}
		if again.readXMP(made, nil, DefaultLimits()); again.Words.XMP == nil && in.Words.XMP == nil {
			t.Fatalf("%q cannot be read again", made)
		}
	})
}
