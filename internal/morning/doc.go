// Package morning turns the records of a night into one page to read over
// coffee and one JSON for programs.
//
// It remembers nothing of its own. [Read] collects the print records that lie
// in outbox/ and held/; the caller adds what no record tells (what was left
// alone in the drop folders, what went wrong) and has a [Night]. From there the
// data runs one way:
//
//	Night -> facts (report.go)  -> JSON, in the form of configs/morning.schema.json
//	Night -> page  (page.go)    -> HTML (page.gohtml, page.css)
//
// page.go decides what is said where and in which order; words.go says it (and
// words_colour.go, of colour), and they hold every English word of the page;
// page.gohtml only lays it out.
//
// Of a print for a stock with a profile the thumbnail is a soft proof. The same
// on the paper's own white and the map of what the paper misses stand in the
// page too, but folded away: the first look is at the picture.
//
// # The page
//
// One file with nothing outside it: style inline, thumbnails as data URIs, no
// script. Links to prints, records and originals are relative to
// outbox/morning/, so a studio can be moved or shared and they still hold.
//
// File names, EXIF texts, profile names and error messages come from outside and may say
// anything. They reach the page only as text, through html/template's escaping;
// the two values it is told to trust (our own style, and thumbnails this
// package has encoded itself) contain nothing from outside. A content security
// policy in the page forbids scripts and loading besides.
//
// The page is grey because a picture is judged best against no colour at all;
// only the words held and caution have one.
package morning
