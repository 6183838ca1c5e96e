package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"sizewright/internal/plural"
)

// What a file says of the picture in words comes from its XMP packet (ISO 16684-1) or, where
// that says nothing, its IPTC record (IPTC-NAA IIM 4.2). The packet goes into the print.

// Words is what a file says of the picture in words. Texts are as those of [EXIF].
type Words struct {
	Title, Description, Rights string
	Creators, Keywords         []string

	XMP []byte // the packet as it is in the file; nil if none or if it cannot be read
}

// list is the list of a property.
func (w *Words) list(name string) *[]string {
	if name == "creator" {
		return &w.Creators
	}
	return &w.Keywords
}

// Namespaces of XMP.
const (
	nsRDF       = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
	nsDC        = "http://purl.org/dc/elements/1.1/"
	nsTIFF      = "http://ns.adobe.com/tiff/1.0/"
	nsEXIF      = "http://ns.adobe.com/exif/1.0/"
	nsXMP       = "http://ns.adobe.com/xap/1.0/"
	nsPhotoshop = "http://ns.adobe.com/photoshop/1.0/"
)

// Heads of the segments of a JPEG that hold XMP, and IPTC among other blocks.
const (
	xmpHead  = nsXMP + "\x00"
	iptcHead = "Photoshop 3.0\x00"
)

// maxWords bounds a list of creators or keywords.
const maxWords = 256

// errLong is a part of a file that is longer than its limit.
var errLong = errors.New("a part is too long")

// readXMP reads a packet, unless err says why it could not be read from the file. The first
// counts. A packet that cannot be read is left out.
func (in *Info) readXMP(packet []byte, err error, lim Limits) {
	if len(packet) == 0 && err == nil || in.Words.XMP != nil {
		return
	}
	w := Words{XMP: bytes.Clone(bytes.TrimRight(packet, "\x00"))}
	if err == nil && len(packet) > lim.MaxEXIFBytes {
		err = errLong
	}
	if err == nil {
		err = w.parse(lim)
	}
	if err != nil {
		in.cautionWords("The XMP", err, lim)
		return
	}
	old := in.Words
	in.Words = w
	in.Words.add(old)
}

// cautionWords says that words were left out, and why.
func (in *Info) cautionWords(what string, err error, lim Limits) {
	why := " could not be read"
	if errors.Is(err, errLong) {
		why = fmt.Sprintf(" is longer than the %d KiB that are read (max_exif_kib)", lim.MaxEXIFBytes>>10)
	}
	in.caution(CautionWords, what+" (title, keywords and the like)"+why+", so it was left out.")
}

// cautionLong says that a text was cut.
func (in *Info) cautionLong(what string, lim Limits) {
	in.caution(CautionWords, fmt.Sprintf("%s is longer than %s (max_text_bytes); the rest was left out.", what, plural.Count(lim.MaxTextBytes, "byte", "bytes")))
}

// add takes what more says and w does not.
func (w *Words) add(more Words) {
	for _, text := range [][2]*string{{&w.Title, &more.Title}, {&w.Description, &more.Description}, {&w.Rights, &more.Rights}} {
		if *text[0] == "" {
			*text[0] = *text[1]
		}
	}
	if len(w.Creators) == 0 {
		w.Creators = more.Creators
	}
	if len(w.Keywords) == 0 {
		w.Keywords = more.Keywords
	}
}

// parse reads the Dublin Core properties of a packet.
func (w *Words) parse(lim Limits) error {
	dec := xml.NewDecoder(bytes.NewReader(w.XMP))
	var property, text string
	rdf, item := false, false
	for {
		token, err := dec.Token()
		if err == io.EOF {
			if !rdf {
				return errors.New("it has no RDF")
			}
			return nil
		}
		if err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.StartElement:
			rdf = rdf || t.Name.Space == nsRDF && t.Name.Local == "RDF"
			if t.Name.Space == nsDC {
				property = t.Name.Local
			}
			item, text = t.Name.Space == nsRDF && t.Name.Local == "li", ""
		case xml.CharData:
			text += string(t)
		case xml.EndElement:
			if item && property != "" {
				w.set(property, cleanText([]byte(text), lim.MaxTextBytes)) // what is cut is in the packet
			}
			if t.Name.Space == nsDC {
				property = ""
			}
			item = false
		}
	}
}

// set sets a property of Dublin Core. Of a text in several languages the first counts,
// which is the default (ISO 16684-1, 8.2.2.4).
func (w *Words) set(property, text string) {
	if text == "" {
		return
	}
	one := map[string]*string{"title": &w.Title, "description": &w.Description, "rights": &w.Rights}[property]
	switch {
	case one != nil && *one == "":
		*one = text
	case property == "creator" || property == "subject":
		if list := w.list(property); len(*list) < maxWords {
			*list = append(*list, text)
		}
	}
}

// readIPTC reads the datasets of an IPTC record, unless err says why it could not be read
// from the file. What of its words does not go into the print is said.
func (in *Info) readIPTC(b []byte, err error, lim Limits) {
	var w Words
	found := map[string]int{}
	for err == nil && len(b) > 0 && !allZero(b) {
		var d iptcDataset
		if d, b, err = nextDataset(b); err != nil || d.property == "" {
			continue
		}
		text, cut := cutText(d.text, lim.MaxTextBytes)
		w.set(d.property, text)
		if cut {
			in.cautionLong("A text of the IPTC ("+d.name+")", lim)
		}
		if found[d.name]++; found[d.name] == d.most+1 {
			in.caution(CautionWords, "The IPTC has more than "+plural.Count(d.most, d.name, d.name+"s")+"; the rest was left out.")
		}
	}
	if err != nil {
		in.cautionWords("A part of the IPTC", err, lim)
	}
	in.Words.add(w)
}

// iptcDataset is one text of an IPTC record, and how many of its kind are kept. property is
// its name in Dublin Core, "" if it is none of those that are printed.
type iptcDataset struct {
	property, name string
	most           int
	text           []byte
}

var iptcProperties = map[byte]iptcDataset{
	5: {"title", "title", 1, nil}, 25: {"subject", "keyword", maxWords, nil}, 80: {"creator", "creator", maxWords, nil},
	116: {"rights", "copyright notice", 1, nil}, 120: {"description", "description", 1, nil},
}

// nextDataset cuts a dataset off a record. Beyond 32 KiB its length is in further bytes (IIM
// 4.2, 1.5).
func nextDataset(b []byte) (d iptcDataset, rest []byte, err error) {
	r := boxBytes{b: b}
	tag, record, number, size := r.number(1), r.number(1), r.number(1), r.number(2)
	if size >= 1<<15 {
		size = r.number(int(min(size-1<<15, 8)))
	}
	text := r.take(int(size))
	if r.err != nil || tag != 0x1c {
		return d, nil, errors.New("a dataset is inconsistent")
	}
	if record == 2 {
		d = iptcProperties[byte(number)]
		d.text = text
	}
	return d, r.b, nil
}

// readImageResources finds the IPTC record among the blocks that editors write.
func (in *Info) readImageResources(b []byte, lim Limits) {
	const iptc = 1028
	for len(b) >= 12 && string(b[:4]) == "8BIM" {
		id, name := binary.BigEndian.Uint16(b[4:]), int(b[6])
		at := 7 + name + (name+1)&1
		if at+4 > len(b) {
			return
		}
		size := int(binary.BigEndian.Uint32(b[at:]))
		b = b[at+4:]
		if id == iptc {
			in.readIPTC(b[:min(size, len(b))], nil, lim)
		}
		if size > len(b) {
			return
		}
		b = b[min(len(b), size+size&1):]
	}
}

// Artist is who made the picture, by EXIF or by these words.
func (in *Info) Artist() string {
	if in.EXIF.Artist != "" {
		return in.EXIF.Artist
	}
	return strings.Join(in.Words.Creators, "; ")
}

// Copyright is the picture's rights, by EXIF or by these words.
func (in *Info) Copyright() string {
	if in.EXIF.Copyright != "" {
		return in.EXIF.Copyright
	}
	return in.Words.Rights
}

// Printed is what of a print differs from its picture.
type Printed struct {
	Width, Height     int    // px
	PPI               string // as a fraction, "360/1"
	Software, Profile string
}

// Packet is the XMP packet of a print: the picture's own, with what the print changed brought
// up to date where it is stated, and with what only IPTC said. It is nil if there are no
// words.
func (w *Words) Packet(p Printed) []byte {
	said := w.XMP
	if said == nil {
		said = []byte("<?xpacket begin=\"\ufeff\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n<x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n" +
			"<rdf:RDF xmlns:rdf=\"" + nsRDF + "\">\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"w\"?>")
	}
	more := w.beyond(said)
	if w.XMP == nil && more == "" {
		return nil
	}
	wide, high := fmt.Sprint(p.Width), fmt.Sprint(p.Height)
	for _, change := range [][3]string{
		{nsTIFF, "ImageWidth", wide}, {nsTIFF, "ImageLength", high}, {nsTIFF, "Orientation", "1"},
		{nsTIFF, "XResolution", p.PPI}, {nsTIFF, "YResolution", p.PPI}, {nsTIFF, "ResolutionUnit", "2"},
		{nsTIFF, "Software", p.Software}, {nsXMP, "CreatorTool", p.Software},
		{nsEXIF, "PixelXDimension", wide}, {nsEXIF, "PixelYDimension", high},
		{nsPhotoshop, "ICCProfile", p.Profile}, {nsDC, "format", "image/tiff"},
	} {
		said = withProperty(said, change[0], change[1], change[2])
	}
	if more == "" {
		return said
	}
	end := rdfEnd.FindIndex(said)
	if end == nil {
		return said
	}
	about := `""`
	if m := rdfAbout.FindSubmatch(said); m != nil {
		about = string(m[1])
	}
	block := fmt.Sprintf("<rdf:Description xmlns:rdf=\"%s\" rdf:about=%s xmlns:dc=\"%s\">\n%s</rdf:Description>\n", nsRDF, about, nsDC, more)
	return slices.Concat(said[:end[0]], []byte(block), said[end[0]:])
}

var (
	rdfEnd   = regexp.MustCompile(`</(?:[A-Za-z_][\w.-]*:)?RDF\s*>`)
	rdfAbout = regexp.MustCompile(`[\s:]about\s*=\s*("[^"]*"|'[^']*')`)
)

// beyond is the properties that a packet does not state, as XML.
func (w *Words) beyond(packet []byte) string {
	stated := Words{XMP: packet}
	_ = stated.parse(Limits{MaxTextBytes: 1 << 10}) // it was read before
	var b strings.Builder
	one := func(property, had, text string) {
		if had == "" && text != "" {
			fmt.Fprintf(&b, "<dc:%s><rdf:Alt><rdf:li xml:lang=\"x-default\">%s</rdf:li></rdf:Alt></dc:%s>\n", property, inXML(text), property)
		}
	}
	many := func(property, kind string, had, texts []string) {
		if len(had) > 0 || len(texts) == 0 {
			return
		}
		fmt.Fprintf(&b, "<dc:%s><rdf:%s>", property, kind)
		for _, text := range texts {
			fmt.Fprintf(&b, "<rdf:li>%s</rdf:li>", inXML(text))
		}
		fmt.Fprintf(&b, "</rdf:%s></dc:%s>\n", kind, property)
	}
	one("title", stated.Title, w.Title)
	one("description", stated.Description, w.Description)
	one("rights", stated.Rights, w.Rights)
	many("creator", "Seq", stated.Creators, w.Creators)
	many("subject", "Bag", stated.Keywords, w.Keywords)
	return b.String()
}

// withProperty sets a simple property wherever a packet states it, as an attribute or as an
// element. All else stays byte for byte.
func withProperty(packet []byte, space, name, value string) []byte {
	prefixes := regexp.MustCompile(`xmlns:([A-Za-z_][\w.-]*)\s*=\s*["']` + regexp.QuoteMeta(space) + `["']`)
	done := map[string]bool{}
	for _, m := range prefixes.FindAllSubmatch(packet, -1) {
		prefix := string(m[1])
		if done[prefix] {
			continue
		}
		done[prefix] = true
		full := regexp.QuoteMeta(prefix + ":" + name)
		text := strings.ReplaceAll(inXML(value), "$", "$$")
		packet = regexp.MustCompile(`(\s`+full+`\s*=\s*)(?:"[^"]*"|'[^']*')`).ReplaceAll(packet, []byte(`${1}"`+text+`"`))
		packet = regexp.MustCompile(`(<`+full+`(?:\s[^<>]*[^<>/])?>)[^<]*(</`+full+`\s*>)`).ReplaceAll(packet, []byte(`${1}`+text+`${2}`))
	}
	return packet
}

func inXML(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a Builder does not fail
	return b.String()
}

// xmpKeyword is that of an iTXt chunk with XMP.
const xmpKeyword = "XML:com.adobe.xmp\x00"

// readITXt reads XMP from the data of a PNG's iTXt chunk: a keyword, flags, and after two more
// texts the packet (PNG, 11.3.3.4).
func (in *Info) readITXt(b []byte, lim Limits) {
	rest, is := bytes.CutPrefix(b, []byte(xmpKeyword))
	if !is || len(rest) < 2 {
		return
	}
	packed := rest[0] == 1
	parts := bytes.SplitN(rest[2:], []byte{0}, 3)
	if len(parts) < 3 {
		return
	}
	packet := parts[2]
	if packed {
		z, err := zlib.NewReader(bytes.NewReader(packet))
		if err == nil {
			packet, err = io.ReadAll(io.LimitReader(z, int64(lim.MaxEXIFBytes)+1))
		}
		in.readXMP(packet, err, lim)
		return
	}
	in.readXMP(packet, nil, lim)
}
