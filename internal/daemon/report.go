package daemon

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/morning"
	"sizewright/internal/plaintext"
	"sizewright/internal/studio"
)

const morningDir = "outbox/morning/"

// endHour is the configuration's, as package morning counts: 24 for midnight.
func endHour(c *config.Config) int {
	if c.EndsAt == 0 {
		return 24
	}
	return c.EndsAt
}

// report writes the morning page and its JSON: this run, and whatever else was
// made or held the same night. facts are what the user's program is to hear of it, if
// anything.
func (w *worker) report() (page string, facts []byte, err error) {
	day, c := w.toReport()
	hour, ours := endHour(c), len(day.Records) > 0
	since, err := morning.NightBegin(day.Date, hour, day.Finished.Location())
	if err != nil {
		return "", nil, err
	}
	if day.Started.Before(since) {
		since = day.Started
	}
	if day.Records, err = morning.Read(w.Studio.Root(), since); err != nil {
		return "", nil, fmt.Errorf("reading the night's records: %w", err)
	}
	page, facts, err = writeNight(w.Studio, &day, true)
	if err != nil {
		return "", nil, err
	}
	if !ours {
		facts = nil
	}
	return page, facts, writeIndex(w.Studio, hour, day.Finished.Location())
}

// saysNow is whether a report would tell of anything made, and what it would say of
// all else, to be compared.
func (w *worker) saysNow() (made bool, says []string) {
	day, _ := w.toReport()
	for _, l := range day.Left {
		says = append(says, fmt.Sprintf("left %q %q %q", l.Folder, l.Name, l.Text))
	}
	for _, f := range day.Faults {
		says = append(says, fmt.Sprintf("fault %q %q %q", f.Folder, f.Name, f.Text))
	}
	slices.Sort(says)
	return len(day.Records) > 0, append(says, day.Date)
}

// toReport is the night so far, for a report that others may add to meanwhile, and
// what it is told by.
func (w *worker) toReport() (day morning.Night, c *config.Config) {
	w.mu.Lock()
	defer w.mu.Unlock()
	n := &w.night
	n.Finished = w.Now()
	n.Date = morning.NightOf(n.Finished, endHour(w.Config))
	slices.SortStableFunc(n.Records, func(a, b morning.Entry) int { return a.Record.Times.Claimed.Compare(b.Record.Times.Claimed) })
	day = *n
	day.Records, day.Left, day.Faults = slices.Clone(n.Records), slices.Clone(n.Left), slices.Clone(n.Faults)
	if w.mistake.Text != "" {
		day.Left = append(day.Left, w.mistake)
	}
	for _, p := range w.Config.Warnings {
		day.Left = append(day.Left, morning.Left{Name: filepath.Base(p.File), Text: plaintext.Line(p.Warning())})
	}
	day.Units, day.Album = w.Config.Units, w.album
	return day, w.Config
}

// tellUntold writes the reports of nights that ended before they could be told: the
// process was killed, or the machine lost its power, between the last print and the
// report.
func (w *worker) tellUntold() {
	var told time.Time
	if info, err := os.Stat(filepath.Join(w.Studio.MorningDir(), "latest.html")); err == nil {
		told = info.ModTime()
	}
	untold, err := morning.Read(w.Studio.Root(), told)
	untold = slices.DeleteFunc(untold, func(e morning.Entry) bool { return !e.Record.Times.Finished.Before(w.started) }) // this run tells of those itself
	if err != nil || len(untold) == 0 {
		return
	}
	c := w.configuration()
	since := morning.NightOf(untold[0].Record.Times.Finished.In(w.Now().Location()), endHour(c))
	pages, err := Rebuild(w.Studio, c, since, w.Now().Location())
	if err != nil {
		w.Log.Error("earlier nights were not told", zap.Error(err))
		return
	}
	w.Log.Info("told of what an earlier run made before it ended", zap.Strings("pages", pages))
}

// writeNight writes a night's page and JSON, and the page again as the latest.
func writeNight(s *studio.Studio, n *morning.Night, latest bool) (page string, facts []byte, err error) {
	html, err := n.HTML(s.Root())
	if err != nil {
		return "", nil, fmt.Errorf("writing the morning page: %w", err)
	}
	if facts, err = n.JSON(); err != nil {
		return "", nil, fmt.Errorf("writing the morning report: %w", err)
	}
	page = morningDir + n.Date + ".html"
	files := []struct {
		name string
		data []byte
	}{{morningDir + n.Date + ".json", facts}, {page, html}}
	if latest {
		files = append(files, files[1])
		files[2].name = morningDir + "latest.html"
	}
	for _, f := range files {
		if err := s.WriteFile(f.name, f.data); err != nil {
			return "", nil, err
		}
	}
	return page, facts, nil
}

// writeIndex writes the page across nights.
func writeIndex(s *studio.Studio, hour int, loc *time.Location) error {
	nights, err := morning.Nights(s.Root(), hour, loc, morning.MaxNights)
	if err != nil {
		return fmt.Errorf("reading earlier records: %w", err)
	}
	html, err := morning.IndexHTML(s.Root(), nights)
	if err != nil {
		return err
	}
	return s.WriteFile(morningDir+"index.html", html)
}

// Rebuild writes the reports of all nights from a date on (2026-03-14; "" for
// all) again, and the index, from the records alone: what was left alone and what
// went wrong in a night is not among them. It returns the pages written, the
// latest first.
func Rebuild(s *studio.Studio, c *config.Config, since string, loc *time.Location) (pages []string, err error) {
	hour := endHour(c)
	nights, err := morning.Nights(s.Root(), hour, loc, 0)
	if err != nil {
		return nil, fmt.Errorf("reading the records: %w", err)
	}
	for i := range nights {
		if nights[i].Date < since {
			break
		}
		nights[i].Units = c.Units
		page, _, err := writeNight(s, &nights[i], i == 0)
		if err != nil {
			return pages, err
		}
		pages = append(pages, page)
	}
	return pages, writeIndex(s, hour, loc)
}
