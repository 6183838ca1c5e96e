// Package report turns the records of a night into one page to read over
// coffee and one JSON for programs.
//
// It remembers nothing of its own. Package record reads the print records that lie
// in outbox/ and held/; the caller adds what no record tells (what was left
// alone in the drop folders, what went wrong) and has a [Night]. From there the
// data runs one way:
//
//	Night -> facts (report.go)  -> JSON, in the form of configs/morning.schema.json
//	Night -> page  (page.go)    -> HTML (page.gohtml, page.css, page.js)
//
// page.go decides what is said where and in which order; words.go says it, with
// words_colour.go, words_crops.go and words_todo.go, and they hold every English
// word of the page; page.gohtml only lays it out.
//
// First comes what needs somebody, each with its reason and the one thing to do
// (todo.go), then what is ready. Of a print for a stock with a profile the
// thumbnail is a soft proof. Every other look at a print (on the paper's own
// white, the map of what the paper misses, cut-outs pixel for pixel, the ladder, how
// it lies on its paper) stands in the page too, but folded away: the first look
// is at the picture.
//
// Printed, the page is a work sheet: a row a print, with boxes to tick.
//
// # Across nights
//
// A night is named by the date of the morning it ends on; [NightOf] says which
// one a time belongs to, on any clock. [Nights] sorts all records by night,
// [IndexHTML] is the page of the last of them with the history of each picture,
// and [History] is that of one. They too read the records and nothing else.
//
// # The page
//
// One file with nothing outside it: style and script inline, pictures as data
// URIs, each print's within a fixed number of bytes. Links to prints, records
// and originals are relative to outbox/morning/, so a studio can be moved or
// shared and they still hold.
//
// The script only looks for prints by size, stock, status and name (filter.go).
// Without it the page is whole, and the form for it does not show.
//
// File names, EXIF texts, profile names and error messages come from outside and
// may say anything. They reach the page only as text, through html/template's
// escaping; the values it is told to trust (our own style and script, pictures
// this package has encoded itself, and drawings that packages sheet, roll and
// ladder have escaped) contain nothing from outside that could be markup. A
// content security policy in the page names the script by its hash and forbids
// any other, and loading besides.
//
// The page is grey because a picture is judged best against no colour at all;
// only the words held and caution have one.
package report
