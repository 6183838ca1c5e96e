//go:build linux

package faults

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// Result is the result of a mode.
type Result struct {
	Fault   string // the kind of fault, for people
	Tries   int    // number of tries
	Orders  int
	Notes   []string
	Skipped string // why it was not tried, or ""
	Found   Findings
	Took    time.Duration
}

func (r *Result) note(format string, args ...any) {
	r.Notes = append(r.Notes, fmt.Sprintf(format, args...))
}

// Line writes the result in one line.
func (r *Result) Line() string {
	if r.Skipped != "" {
		return fmt.Sprintf("%s: skipped: %s", r.Fault, r.Skipped)
	}
	return fmt.Sprintf("%s: %d tries, %d orders, %d lost, %d doubled, %d half-made, %d otherwise wrong, %.0f s", r.Fault, r.Tries, r.Orders,
		r.Found.Count(Lost), r.Found.Count(Doubled), r.Found.Count(HalfMade), r.Found.Count(Wrong), r.Took.Seconds())
}

// Table writes results as a Markdown table.
func Table(w io.Writer, all []*Result) {
	fmt.Fprintln(w, "| fault | tries | orders | lost | doubled | half-made | otherwise wrong | s |")
	fmt.Fprintln(w, "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
	for _, r := range all {
		if r.Skipped != "" {
			fmt.Fprintf(w, "| %s | skipped: %s | | | | | | |\n", r.Fault, r.Skipped)
			continue
		}
		fmt.Fprintf(w, "| %s | %d | %d | %d | %d | %d | %d | %.0f |\n", strings.Join(append([]string{r.Fault}, r.Notes...), "; "), r.Tries, r.Orders,
			r.Found.Count(Lost), r.Found.Count(Doubled), r.Found.Count(HalfMade), r.Found.Count(Wrong), r.Took.Seconds())
	}
}
