package photo

import (
	"bytes"
	"crypto/md5"
	"encoding/binary"
	"errors"
	"fmt"
	"regexp"
	"slices"
)

// A segment of a JPEG holds 64 KiB, so what a packet has beyond that goes into segments of
// its own (XMP specification part 3, 1.1.3.1): each names the whole by its MD5 digest, and
// says how long that is and where the segment lies in it. The packet names the digest. A
// print has no such limit, so there the two are one packet again.

const extendedXMPHead = "http://ns.adobe.com/xmp/extension/\x00"

// extendedXMP gathers the segments.
type extendedXMP struct {
	parts [][]byte // digest, length, place and data
	bytes int
}

func (x *extendedXMP) add(part []byte, lim Limits) {
	if x.bytes += len(part); x.bytes <= 2*lim.MaxEXIFBytes {
		x.parts = append(x.parts, bytes.Clone(part))
	}
}

var (
	hasExtended = regexp.MustCompile(`\s[A-Za-z_][\w.-]*:HasExtendedXMP\s*=\s*["']([0-9A-Fa-f]{32})["']|<([A-Za-z_][\w.-]*:)HasExtendedXMP>\s*([0-9A-Fa-f]{32})\s*</[^>]*>`)
	rdfStart    = regexp.MustCompile(`<(?:[A-Za-z_][\w.-]*:)?RDF(?:\s[^>]*)?>`)
	xmlnsOf     = regexp.MustCompile(`\sxmlns:[A-Za-z_][\w.-]*\s*=\s*(?:"[^"]*"|'[^']*')`)
	description = regexp.MustCompile(`<(?:[A-Za-z_][\w.-]*:)?Description(?:\s[^>]*)?>`)
)

// readExtendedXMP adds to the packet what it says is elsewhere.
func (in *Info) readExtendedXMP(x extendedXMP, lim Limits) {
	named := hasExtended.FindSubmatch(in.Words.XMP)
	if named == nil {
		return
	}
	more, err := x.whole(slices.Concat(named[1], named[3]), lim)
	if err == nil {
		w := Words{XMP: joinXMP(hasExtended.ReplaceAll(in.Words.XMP, nil), more)}
		if err = w.parse(lim); err == nil {
			w.add(in.Words)
			in.Words = w
			return
		}
	}
	in.cautionWords("A part of the XMP", err, lim)
}

// whole puts the segments of a digest together.
func (x extendedXMP) whole(digest []byte, lim Limits) ([]byte, error) {
	const head = 32 + 4 + 4
	var all []byte
	left := 0
	for _, p := range x.parts {
		if len(p) < head || !bytes.EqualFold(p[:32], digest) {
			continue
		}
		length, at, data := int(binary.BigEndian.Uint32(p[32:])), int(binary.BigEndian.Uint32(p[36:])), p[head:]
		if length > lim.MaxEXIFBytes {
			return nil, errLong
		}
		if all == nil {
			all, left = make([]byte, length), length
		}
		if at > len(all) || copy(all[at:], data) < len(data) {
			return nil, errors.New("a segment lies beyond its end")
		}
		left -= len(data)
	}
	sum := fmt.Sprintf("%X", md5.Sum(all))
	switch {
	case x.bytes > 2*lim.MaxEXIFBytes:
		return nil, errLong
	case all == nil || left > 0 || sum != string(bytes.ToUpper(digest)):
		return nil, errors.New("a segment is missing or changed")
	}
	return all, nil
}

// joinXMP puts the descriptions of more, with the namespaces that are declared around them,
// behind those of packet.
func joinXMP(packet, more []byte) []byte {
	end, from, to := rdfEnd.FindIndex(packet), rdfStart.FindIndex(more), rdfEnd.FindIndex(more)
	if end == nil || from == nil || to == nil || from[1] > to[0] {
		return nil
	}
	around := xmlnsOf.FindAll(more[:from[1]], -1)
	body := description.ReplaceAllFunc(more[from[1]:to[0]], func(tag []byte) []byte {
		at := bytes.IndexAny(tag, " \t\r\n/>")
		for _, declared := range around {
			name, _, _ := bytes.Cut(bytes.TrimSpace(declared), []byte("="))
			if !bytes.Contains(tag, append(bytes.TrimSpace(name), '=')) {
				tag = slices.Concat(tag[:at], declared, tag[at:])
			}
		}
		return tag
	})
	return slices.Concat(packet[:end[0]], body, packet[end[0]:])
}
