// Package report shows a night: as one page to read over coffee, as one JSON for
// programs, and in the page across nights. It decides nothing and remembers nothing.
//
// Package record reads the records of a night, package packing lays its prints on their
// rolls, and the caller adds what no record tells (what was left alone in the drop
// folders, what went wrong). That is a [Night]. From there the data runs one way:
//
//	Night -> nightJSON (json.go)         -> JSON, in the form of configs/morning.schema.json
//	Night -> page (page.go), its cards   -> HTML (page.gohtml, page.css, page.js)
//	nights -> index (index.go)           -> HTML (index.gohtml)
//
// page.go decides what stands where and in which order: the wall, all pictures at one
// scale (hang.go, and package wall for the scale); what needs somebody, by its cause and
// with the one thing to do (causes.go, todo.go); what is printed on which paper
// (toprint.go); then every print; last, what was left alone and what went wrong. An order is a card (card.go) with its facts, and looks at
// its print that are folded away (views.go, crops.go): the proof on the paper's own white,
// the map of what the paper misses, cut-outs pixel for pixel, the sizes it can go to
// (rule.go), how it lies on its paper. The template has the fixed text; a text with a
// number or a name in it is a function beside its use, set by text.go.
//
// Of a print for a stock with a profile the thumbnail is a soft proof; what was held is
// decoded for the page (look.go). Printed, the page is a work sheet: a row a print, with
// boxes to tick.
//
// # One file
//
// The page is whole by itself: style and script inline, pictures as data URIs (thumb.go),
// each print's within a fixed number of bytes. An [Album] keeps them for the next page of
// the same night. A print's preview, which lies beside it, is loaded over its small picture
// when it comes into sight; where it was taken away the small one stays. The index shows
// previews alone. Links to prints, records and originals are relative to outbox/morning/,
// so a studio can be moved or shared and they still hold.
//
// The script only looks for prints by size, stock, status and name (find.go). Without it
// the page is whole, and the form for it does not show.
//
// File names, EXIF texts, profile names and error messages come from outside and may say
// anything. They reach the page only as text, through html/template's escaping; the
// values it is told to trust (our own style and script, pictures this package has encoded
// itself, and drawings that packages sheet, roll and ladder have escaped) contain nothing
// from outside that could be markup. A content security policy in the page names the
// script by its hash and forbids any other, and loading besides but pictures from where the
// page lies.
//
// The page is grey because a picture is judged best against no colour at all; only the
// words held and caution have one.
package report
