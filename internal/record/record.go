// Package record is the print record: what was asked, what was decided, what was made,
// in one JSON file beside the print or beside the held original.
//
// A [Record] is the only memory sizewright has. Its form is fixed by the JSON Schema
// configs/print-record.schema.json, and [SchemaID] names that form (record.go). All else
// here reads records back:
//
//   - [Reader] finds the records of a studio (read.go). An [Entry] is a record and the
//     place where it lies; one that lies elsewhere than the program puts it does not
//     count (place.go), for people drop and copy files of every kind.
//   - [Prints] finds the print that an order need not be made anew for (prints.go).
//   - [Calendar] says which night a time belongs to, and [Reader.Each] and
//     [Reader.Latest] sort a studio's records by [Night] (nights.go).
//   - [Reader.History] is what became of one picture.
//
// One thing is added to a record later: what a person says of the print on paper, as a
// [Mark] (printed.go).
package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"sizewright/internal/caution"
	"sizewright/internal/colour"
	"sizewright/internal/hold"
	"sizewright/internal/ladder"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/remedy"
	"sizewright/internal/vision"
)

// SchemaID is the value of a record's "schema".
const SchemaID = "sizewright/print-record/1"

// Status is how an order ended.
type Status string

// The three ends of an order.
const (
	Ready             Status = "ready"
	ReadyWithCautions Status = "ready-with-cautions"
	Held              Status = "held"
)

// Record is one order, whole.
type Record struct {
	Schema   string          `json:"schema"`
	Program  string          `json:"program,omitempty"` // the version of sizewright that wrote it; "" in records from before there was one
	Status   Status          `json:"status"`
	Verdict  vision.Verdict  `json:"verdict,omitempty"` // whether the file carries the print; "" where it was not judged, and in records from before there was one
	Order    Order           `json:"order"`
	Identity string          `json:"identity,omitempty"`       // the same for orders that make the same print, see package order; "" where none was to be made
	Recipe   int             `json:"recipe_version,omitempty"` // of the identity
	Source   Source          `json:"source"`
	Print    *Print          `json:"print,omitempty"`     // nil when held
	RepeatOf string          `json:"repeat_of,omitempty"` // the record of the same order, already made: print is that one
	Reprint  bool            `json:"reprint,omitempty"`   // a repeat of what was on paper already: it is asked for again
	Plan     *order.Plan     `json:"plan,omitempty"`      // nil when the file could not be read
	Gamut    *colour.Gamut   `json:"gamut,omitempty"`     // set when the stock has a profile
	Ladder   *ladder.Ladder  `json:"ladder,omitempty"`    // the picture over many sizes, this order's rung marked; nil where it was not measured
	Cautions []photo.Caution `json:"cautions"`
	Reason   string          `json:"reason,omitempty"` // set when held: what is wrong, one sentence
	Remedy   string          `json:"remedy,omitempty"` // and what to do; "" in records from before it was kept apart, whose reason says it
	Code     string          `json:"reason_code,omitempty"`
	Times    Times           `json:"times"`
	Removed  []Removal       `json:"removed,omitempty"` // TIFFs, once they were on paper: the original makes them again
	Marks    []Mark          `json:"printed,omitempty"` // what people said of it on paper, in the order they did
	Packed   []Packed        `json:"packed,omitempty"`  // where its copies lie in the files of packed runs
}

// Order is what was asked.
type Order struct {
	Folder string `json:"folder"` // the drop folder: its path from drop/, with slashes
	Job    string `json:"job,omitempty"`
	Size   string `json:"size"`
	Stock  string `json:"stock,omitempty"`
	Copies int    `json:"copies,omitempty"` // how many are asked for; 0 for one
}

// Source is the photograph that was dropped.
type Source struct {
	Name        string `json:"name"`                       // as dropped, whatever its files had to be called
	NameEscaped string `json:"name_escaped,omitempty"`     // in the file: Name where it is no UTF-8, percent-encoded
	Original    string `json:"original"`                   // where it is now, from the studio's root, byte for byte
	Escaped     string `json:"original_escaped,omitempty"` // in the file: Original where it is no UTF-8, percent-encoded
	SHA256      string `json:"sha256,omitempty"`           // "" when held before it was read through
	Bytes       int64  `json:"bytes"`
	Format      string `json:"format,omitempty"`
	Width       int    `json:"width,omitempty"` // px, upright
	Height      int    `json:"height,omitempty"`
	Orientation int    `json:"orientation,omitempty"` // as stored
	Bits        int    `json:"bits,omitempty"`
	Model       string `json:"model,omitempty"`
	Profile     string `json:"profile,omitempty"` // by its description
	Camera      Camera `json:"camera"`
}

// Camera is what the EXIF says of the taking.
type Camera struct {
	Make  string `json:"make,omitempty"`
	Model string `json:"model,omitempty"`
	Lens  string `json:"lens,omitempty"`
	ISO   int    `json:"iso,omitempty"`
	Taken string `json:"taken,omitempty"` // EXIF's own form, 2026:03:14 06:12:00
}

// Print is the TIFF that was made.
type Print struct {
	File        string  `json:"file"`                       // in the folder of this record
	Preview     string  `json:"preview"`                    // likewise
	OnPaper     string  `json:"preview_on_paper,omitempty"` // the preview with the paper's own white, when the stock has a profile
	Diagram     string  `json:"diagram,omitempty"`          // how it lies on its paper, where it has one
	GamutMap    string  `json:"gamut_map,omitempty"`        // where and by how much the paper misses, when the stock has a profile
	Cropped     string  `json:"cropped,omitempty"`          // the whole picture with its crop drawn, where a part is cut
	Crops       []Crop  `json:"crops,omitempty"`            // cut-outs at 100 % of print pixels
	WidthPX     int     `json:"width_px"`
	HeightPX    int     `json:"height_px"`
	WidthMM     float64 `json:"width_mm"`
	HeightMM    float64 `json:"height_mm"`
	PPI         float64 `json:"ppi"`
	Bits        int     `json:"bits"`
	Compression string  `json:"compression"`
	Profile     string  `json:"profile"`
	Bytes       int64   `json:"bytes"`
	BigTIFF     bool    `json:"big_tiff"`

	Made    *Made    `json:"made,omitempty"`    // where it was made; absent in a studio that names no other machines
	Labels  []string `json:"labels,omitempty"`  // for the back, one for each TIFF, where its folder asks for them
	Edition *Edition `json:"edition,omitempty"` // of a numbered print: then File and Bytes are of the first of its files
}

// Made says where a print was made and why there, in a studio that other machines work for.
type Made struct {
	Worker   string  `json:"machine,omitempty"`        // "" for the studio's own
	Seconds  float64 `json:"seconds"`                  // that it took, with sending and checking
	Sent     int64   `json:"sent_bytes,omitempty"`     // to the server
	Received int64   `json:"received_bytes,omitempty"` // from it
	Checked  int     `json:"checked_strips,omitempty"` // that were made again in the studio, and were equal
	Why      string  `json:"why"`                      // one reason, with the measured times
}

// Edition is the numbers that an order's prints have.
type Edition struct {
	Of     int        `json:"of"` // how many the edition has
	Prints []Numbered `json:"prints"`
}

// Numbered is the TIFF of one number.
type Numbered struct {
	Number int    `json:"number"` // 0 for a print without an edition
	File   string `json:"file"`   // in the folder of the record
	Bytes  int64  `json:"bytes"`
}

// TIFFs are the files to be printed.
func (p *Print) TIFFs() []Numbered {
	if p.Edition != nil {
		return p.Edition.Prints
	}
	return []Numbered{{0, p.File, p.Bytes}}
}

// Crop is a square cut out of the print at 100 % of its pixels, and the same
// enlarged without any sharpening.
type Crop struct {
	Name   string  `json:"name"` // "detail", "gradient", "shadow" or "gamut"
	Why    string  `json:"why"`  // by what measurement the place was chosen
	File   string  `json:"file"` // in the folder of this record
	Before string  `json:"before"`
	X      int     `json:"x_px"` // of its corner in the print's picture
	Y      int     `json:"y_px"`
	SidePX int     `json:"side_px"`
	SideMM float64 `json:"side_mm"`
}

// Times are when things happened, in local time with its offset.
type Times struct {
	Claimed  time.Time `json:"claimed"`
	Finished time.Time `json:"finished"`
}

// Hold puts on record why no print is made, in one line whatever the picture is called.
func (r *Record) Hold(h *hold.Hold) {
	r.Status, r.Code, r.Reason, r.Remedy = Held, h.Code, plaintext.Line(h.Text), plaintext.Line(h.Remedy)
	r.Print, r.Gamut = nil, nil
}

// Why is why a held order was, and what to do about it, in one sentence.
func (r *Record) Why() string { return remedy.Join(r.Reason, r.Remedy) }

// Asks is what a print asks of a person, false for nothing; a held order says it by
// itself.
func (r *Record) Asks() (caution.Caution, bool) {
	if r.Status == Held {
		return caution.Caution{}, false
	}
	return caution.Asks(r.Cautions)
}

// SourceOf fills what a photograph's header tells. Name, Original, SHA256 and
// Bytes are the caller's.
func SourceOf(s Source, info *photo.Info, p *order.Plan) Source {
	s.Format, s.Width, s.Height = info.Format, info.Width, info.Height
	s.Orientation, s.Bits, s.Model = info.Orientation, info.Bits, string(info.Model)
	s.Profile = p.Colour.Source
	s.Camera = Camera{
		Make: info.EXIF.Make, Model: info.EXIF.Camera, Lens: info.EXIF.Lens,
		ISO: info.EXIF.ISO, Taken: info.EXIF.DateTimeOriginal,
	}
	return s
}

// PrintOf is the print of a plan; File, Preview, Bytes and BigTIFF are the
// caller's.
func PrintOf(p *order.Plan) *Print {
	return &Print{
		WidthPX: p.Print.Width, HeightPX: p.Print.Height,
		WidthMM: p.Print.WidthMM, HeightMM: p.Print.HeightMM, PPI: p.Print.PPI,
		Bits: p.File.Bits, Compression: p.File.Compression, Profile: p.Colour.Output,
	}
}

// StatusOf is the status of a print that was made, by this table:
//
//	verdict                          cautions   status
//	carries                          none, or for the record alone  ready
//	carries                          others     ready with cautions
//	may look soft                    any, none  ready with cautions
//	too small, as its folder asks    any, none  ready with cautions
//
// What is too small in other folders is held, as all that a [hold.Hold] stops.
func StatusOf(v vision.Verdict, cautions []photo.Caution) Status {
	if _, asks := caution.Asks(cautions); asks || v == vision.LookCloser || v == vision.TooSmall {
		return ReadyWithCautions
	}
	return Ready
}

// Encode is the record as its file holds it, which may be looked at on a terminal.
func (r *Record) Encode() ([]byte, error) {
	filed := *r
	filed.Source.Escaped, filed.Source.NameEscaped = escaped(r.Source.Original), escaped(r.Source.Name)
	b, err := json.MarshalIndent(&filed, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("record of %s: %w", r.Source.Name, err)
	}
	return append(plaintext.JSON(b), '\n'), nil
}

// Decode reads a record's file. A file that is not a print record gives an
// error.
func Decode(data []byte) (*Record, error) {
	r := &Record{}
	return r, decode(data, r, r)
}

// DecodeBrief is Decode without what was measured and decided, in a fraction of its time:
// Plan is empty where there is one, Gamut and Ladder are nil, and none of the three is
// looked into.
func DecodeBrief(data []byte) (*Record, error) {
	var b struct {
		Record
		Plan   *struct{} `json:"plan"` // these three are taken instead of the record's own
		Gamut  *struct{} `json:"gamut"`
		Ladder *struct{} `json:"ladder"`
	}
	for _, name := range []string{"plan", "gamut", "ladder"} {
		data = emptied(data, name)
	}
	err := decode(data, &b, &b.Record)
	if b.Plan != nil {
		b.Record.Plan = &order.Plan{}
	}
	return &b.Record, err
}

// emptied takes out what stands in an object of a record that is set as Encode sets it:
// only there does a line begin with two spaces and a brace. Most of a reader's time goes
// into the text that it passes over.
func emptied(data []byte, name string) []byte {
	begin := []byte("\n  \"" + name + "\": {")
	from := bytes.Index(data, begin)
	if from < 0 {
		return data
	}
	from += len(begin)
	n := bytes.Index(data[from:], []byte("\n  }"))
	if n < 0 || data[from] == '}' {
		return data
	}
	return slices.Concat(data[:from], data[from+n:])
}

// decode reads a file into a value that r is, or is part of.
func decode(data []byte, into any, r *Record) error {
	if !json.Valid(data) {
		return errors.New("not a print record: it is not JSON, or was cut short")
	}
	if err := json.Unmarshal(data, into); err != nil {
		return errors.New("not a print record: it is JSON of another form")
	}
	if r.Schema != SchemaID {
		return fmt.Errorf("not a print record: its schema is %q, not %q", r.Schema, SchemaID)
	}
	s := &r.Source
	if s.Escaped != "" {
		s.Original, s.Escaped = unescaped(s.Original, s.Escaped), ""
	}
	if s.NameEscaped != "" {
		s.Name, s.NameEscaped = unescaped(s.Name, s.NameEscaped), ""
	}
	if r.Status == ReadyWithCautions { // by an earlier version perhaps for what asks nothing
		r.Status = StatusOf(r.Verdict, r.Cautions)
	}
	return nil
}
