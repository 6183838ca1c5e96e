package photo

import (
	"bytes"
	"compress/zlib"
	"io"
)

// iccHead starts an APP2 segment with a part of an ICC profile (ICC.1:2022, annex B.4). A
// sequence number and the number of parts follow it.
const iccHead = "ICC_PROFILE\x00"

// iccParts collects a profile from the APP2 segments of a JPEG, in any order.
type iccParts struct {
	parts [256][]byte // by sequence number, from 1
	total int         // number of parts, as the first segment says
	bytes int
	bad   bool
}

// add reads the payload of one APP2 segment. It ignores one that is no part of a profile.
func (p *iccParts) add(payload []byte, lim Limits) {
	if !bytes.HasPrefix(payload, []byte(iccHead)) || len(payload) < len(iccHead)+2 {
		return
	}
	seq, total := int(payload[len(iccHead)]), int(payload[len(iccHead)+1])
	part := payload[len(iccHead)+2:]
	if p.total == 0 {
		p.total = total
	}
	p.bytes += len(part)
	if total != p.total || seq == 0 || seq > total || p.parts[seq] != nil || p.bytes > lim.MaxProfileBytes {
		p.bad = true
		return
	}
	p.parts[seq] = bytes.Clone(part)
}

// profile joins the parts. It returns false if a part of the profile is missing, and nil,
// true for a picture without a profile.
func (p *iccParts) profile() ([]byte, bool) {
	if p.total == 0 {
		return nil, !p.bad
	}
	if p.bad {
		return nil, false
	}
	profile := make([]byte, 0, p.bytes)
	for _, part := range p.parts[1 : p.total+1] {
		if part == nil {
			return nil, false
		}
		profile = append(profile, part...)
	}
	return profile, len(profile) > 0
}

// inflateICCP unpacks the data of a PNG iCCP chunk: a name, NUL, compression
// method 0 and a zlib stream (PNG third edition, 11.3.2.3).
func inflateICCP(data []byte, lim Limits) ([]byte, bool) {
	_, packed, found := bytes.Cut(data, []byte{0})
	if !found || len(packed) < 1 || packed[0] != 0 {
		return nil, false
	}
	z, err := zlib.NewReader(bytes.NewReader(packed[1:]))
	if err != nil {
		return nil, false
	}
	profile, err := io.ReadAll(io.LimitReader(z, int64(lim.MaxProfileBytes)+1))
	if err != nil || len(profile) == 0 || len(profile) > lim.MaxProfileBytes {
		return nil, false
	}
	return profile, true
}

// setProfile keeps the profile, or cautions if there was one that is not whole.
func (in *Info) setProfile(profile []byte, ok bool) {
	if ok {
		in.Profile = profile
		return
	}
	in.caution(CautionProfile, "The file carries a colour profile, but not the whole of it; it was left out.")
}
