package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"sizewright/internal/machines"
	"sizewright/internal/plaintext"
	"sizewright/internal/plural"
)

// tell prints the status for people.
func (st *status) tell(out io.Writer) {
	st.tellLeft(out, "Not made", true)
	if len(st.Daemons) == 0 {
		fmt.Fprintln(out, "No daemon is running here.")
	}
	for _, d := range st.Daemons {
		who := fmt.Sprintf("process %d", d.PID)
		if d.PID == 0 {
			who = "a process of an earlier version, which does not give its number"
		}
		plaintext.Fprintf(out, "Running: %s%s, since %s", who, after(" on ", d.Host), clock(d.Since, st.At))
		if !d.Resting.IsZero() {
			plaintext.Fprintf(out, "; idle until %s", clock(d.Resting, st.At))
		}
		if !d.Ends.IsZero() {
			plaintext.Fprintf(out, "; the queue ends about %s", clock(d.Ends, st.At))
		}
		if t := d.Backfill; t != nil {
			plaintext.Fprintf(out, "; writing the pages of earlier nights: %d so far, now that of %s", t.Before, t.Night)
		}
		fmt.Fprintln(out)
		tellMachines(out, d.Machines, st.At)
	}
	heading(out, "In hand", len(st.InHand))
	for _, o := range st.InHand {
		plaintext.Fprintf(out, "  %s\n", about(o.Folder, o.Name, fmt.Sprintf("%s%s, for %s%s", o.Stage, shareMade(o.Share), st.At.Sub(o.Since).Round(time.Second), after("; ", o.Text))))
	}
	heading(out, "Waiting", len(st.Waiting))
	waiting := perFolder(st.Waiting)
	for _, folder := range slices.Sorted(maps.Keys(waiting)) {
		files := waiting[folder]
		plaintext.Fprintf(out, "  %s: %d, %s the first\n", folder, len(files), files[0].Name)
		for _, f := range files {
			if f.Text != "" {
				plaintext.Fprintf(out, "  %s\n", about(f.Folder, f.Name, f.Why()))
			}
		}
	}
	if r := st.Ready; r != nil {
		heading(out, "Ready on "+r.Night, r.Prints-len(r.ToDo))
		heading(out, "Ready with cautions on "+r.Night, len(r.ToDo))
		for _, x := range r.ToDo {
			plaintext.Fprintf(out, "  %s\n", about(x.Folder, x.Name, x.Text+". "+x.Do))
		}
	}
	st.tellToPrint(out)
	heading(out, "Held", len(st.Held))
	for _, h := range st.Held {
		plaintext.Fprintf(out, "  %s\n", about(h.Folder, h.Name, h.Why()))
	}
	st.tellLeft(out, "Left alone", false)
}

// tellToPrint prints what waits to be put on paper, every copy, a folder in a line.
func (st *status) tellToPrint(out io.Writer) {
	all, by, first := 0, map[string]int{}, map[string]string{}
	for _, p := range st.ToPrint {
		all, by[p.Folder], first[p.Folder] = all+p.Copies, by[p.Folder]+p.Copies, cmp.Or(first[p.Folder], p.File)
	}
	heading(out, "To print", all)
	for _, folder := range slices.Sorted(maps.Keys(by)) {
		plaintext.Fprintf(out, "  %s: %d, %s the first\n", folder, by[folder], first[folder])
	}
}

// tellMachines prints the server and the workers, each with what it has in hand.
func tellMachines(out io.Writer, m *machines.Status, now time.Time) {
	switch {
	case m == nil:
		return
	case !m.Reached:
		plaintext.Fprintf(out, "The server for other machines, %s, is not reached since %s: prints are made here.\n", m.Server, clock(m.Since, now))
	case !m.Rests.IsZero():
		plaintext.Fprintf(out, "The server for other machines, %s, had trouble: prints are made here until %s.\n", m.Server, clock(m.Rests, now))
	}
	heading(out, "Other machines", len(m.Workers))
	for _, w := range m.Workers {
		line := fmt.Sprintf("%s: %d of %s in hand", w.Name, len(w.Hand), plural.Count(w.Prints, "print", "prints"))
		for _, h := range w.Hand {
			line += ", " + h.Stage + shareMade(h.Share)
			if !h.Ours {
				line += " for another studio"
			}
		}
		plaintext.Fprintf(out, "  %s%s%s\n", line, after("; ", speeds(w.Rates)), after("; given nothing: ", w.Idle))
	}
	if s := speeds(m.Rates); s != "" && len(m.Workers) > 0 {
		plaintext.Fprintf(out, "  this machine: %s\n", s)
	}
}

// speeds are measured ones, "" where there are none.
func speeds(r machines.Rates) string {
	var all []string
	for _, x := range []struct {
		rate float64
		unit string
	}{{r.Made, "MP/s"}, {r.Learned, "MP/s learned"}, {r.Moved, "MB/s moved"}} {
		if x.rate > 0 {
			all = append(all, fmt.Sprintf("%.1f %s", x.rate, x.unit))
		}
	}
	return strings.Join(all, ", ")
}

// tellLeft prints what was left alone: the pictures that are not made, which are counted
// and come first, or all else.
func (st *status) tellLeft(out io.Writer, what string, undone bool) {
	n := 0
	var lines []string
	for _, l := range st.Left {
		if undone == (l.Pictures > 0) {
			n += max(l.Pictures, 1)
			lines = append(lines, l.Why())
		}
	}
	heading(out, what, n)
	for _, l := range lines {
		plaintext.Fprintf(out, "  %s\n", l)
	}
}

// about joins a file's place and a text about it. Many texts begin with the file's name,
// which is then not repeated.
func about(folder, name, text string) string {
	name = plaintext.Line(name)
	if rest, found := strings.CutPrefix(text, name); found && strings.HasPrefix(strings.TrimPrefix(rest, ":"), " ") {
		return folder + " / " + text
	}
	return folder + " / " + name + ": " + text
}

// after returns before and text, or "" if there is no text.
func after(before, text string) string {
	if text == "" {
		return ""
	}
	return before + text
}

func heading(out io.Writer, what string, n int) {
	if n > 0 {
		plaintext.Fprintf(out, "%s: %d\n", what, n)
	}
}

// perFolder groups files by folder, in their order.
func perFolder(files []fileStatus) map[string][]fileStatus {
	by := map[string][]fileStatus{}
	for _, f := range files {
		by[f.Folder] = append(by[f.Folder], f)
	}
	return by
}

// shareMade says how much of a print is made, once it has begun.
func shareMade(share float64) string {
	if share == 0 {
		return ""
	}
	return fmt.Sprintf(" %.0f %%", 100*share)
}

// clock returns a time of day, with its date if that is not today's.
func clock(t, now time.Time) string {
	t = t.In(now.Location())
	if t.Format(time.DateOnly) == now.Format(time.DateOnly) {
		return t.Format("15:04")
	}
	return t.Format("2006-01-02 15:04")
}
