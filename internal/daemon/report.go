package daemon

import (
	"cmp"
	"context"
	"fmt"
	"path"
	"slices"
	"sync"
	"time"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/packing"
	"sizewright/internal/printed"
	"sizewright/internal/record"
	"sizewright/internal/report"
	"sizewright/internal/studio"
)

const morningDir = "outbox/morning/"

// calendarOf is by what clock the configuration counts nights.
func calendarOf(c *config.Config, loc *time.Location) record.Calendar {
	return record.Calendar{EndHour: cmp.Or(c.EndsAt, 24), In: loc} // midnight ends a day
}

// pages is what this run has written of them. Reports are written beside the nights that an
// earlier run left unreported, and what a page was written for last is what it says.
type pages struct {
	writing sync.Mutex      // held while a night's pages are put in their place
	told    map[string]bool // nights that this run has reported, by date

	indexing sync.Mutex // held from the reading of the records to the writing of the index
}

// report writes the morning page and its JSON: a run's night, and whatever else was made or
// held the same night. facts are what the user's command is to hear of it, if anything.
func (r *run) report(day record.Night, c *config.Config) (page string, facts []byte, err error) {
	ctx := context.Background() // what is made is told, also when the daemon stops
	reader := record.Reader{Root: r.Studio.Root(), Beat: r.reporting.beat}
	calendar, ours := calendarOf(c, day.Finished.Location()), len(day.Records) > 0
	since, err := calendar.Begin(day.Date)
	if err != nil {
		return "", nil, err
	}
	if day.Started.Before(since) {
		since = day.Started
	}
	if day.Records, err = reader.Read(ctx, since); err != nil {
		return "", nil, fmt.Errorf("reading the night's records: %w", err)
	}
	made, err := makePages(ctx, &report.Night{Night: day, Units: c.Units, Album: &r.album, Outbox: inOutbox(ctx, r.Studio)}, report.Making{Root: reader.Root, Beat: reader.Beat, Look: r.look}, r.packer(c, reader.Beat))
	if err != nil {
		return "", nil, err
	}
	if err := r.put(made); err != nil {
		return "", nil, err
	}
	if ours {
		facts = made.facts
	}
	return made.page(), facts, r.index(ctx, reader, calendar)
}

// inOutbox is what lies in the outbox; nil where it cannot be read.
func inOutbox(ctx context.Context, s *studio.Studio) *printed.Outbox {
	all, _, err := printed.Look(ctx, s)
	if err != nil {
		return nil
	}
	return &all
}

// dateOf is the night that a time belongs to.
func (r *run) dateOf(t time.Time) string { return calendarOf(r.configuration(), t.Location()).Night(t) }

// put writes the pages of this run's own night, which are the latest.
func (r *run) put(made *nightPages) error {
	r.pages.writing.Lock()
	defer r.pages.writing.Unlock()
	if err := made.write(r.Studio, true); err != nil {
		return err
	}
	r.pages.told[made.date] = true
	return nil
}

// index writes the page across nights.
func (r *run) index(ctx context.Context, reader record.Reader, c record.Calendar) error {
	r.pages.indexing.Lock()
	defer r.pages.indexing.Unlock()
	return writeIndex(ctx, r.Studio, reader, c)
}

// saysOf is what a report would say of all but what was made, to be compared.
func saysOf(day record.Night) (says []string) {
	for _, l := range day.Left {
		says = append(says, fmt.Sprintf("left %q %q %q %q", l.Folder, l.Name, l.Text, l.Remedy))
	}
	for _, f := range day.Faults {
		says = append(says, fmt.Sprintf("fault %q %q %q %q", f.Folder, f.Name, f.Text, f.Remedy))
	}
	slices.Sort(says)
	return append(says, day.Date)
}

// nightPages are the files of a night's report.
type nightPages struct {
	date        string
	html, facts []byte
}

// makePages packs a night's prints and makes its report.
func makePages(ctx context.Context, n *report.Night, m report.Making, k packer) (p *nightPages, err error) {
	var moved []string
	for _, f := range k.studio.Printed() {
		moved = append(moved, path.Base(f.Path))
	}
	n.Paper = packing.Of(n.Records, moved...)
	k.pack(ctx, n, moved)
	p = &nightPages{date: n.Date}
	if p.html, err = n.Page(ctx, m); err != nil {
		return nil, fmt.Errorf("writing the morning page: %w", err)
	}
	if p.facts, err = n.JSON(); err != nil {
		return nil, fmt.Errorf("writing the morning report: %w", err)
	}
	return p, nil
}

// page is the night's page, from the studio's root.
func (p *nightPages) page() string { return morningDir + p.date + ".html" }

// latestPage is the latest night's page again, under the name that people keep open.
const latestPage = morningDir + "latest.html"

// write puts the files in their place, latest too where they are the latest.
func (p *nightPages) write(s *studio.Studio, latest bool) error {
	err := s.WriteFile(morningDir+p.date+".json", p.facts)
	if err == nil {
		err = s.WriteFile(p.page(), p.html)
	}
	if err == nil && latest {
		err = s.WriteFile(latestPage, p.html)
	}
	return err
}

// writeIndex writes the page across nights.
func writeIndex(ctx context.Context, s *studio.Studio, r record.Reader, c record.Calendar) error {
	nights, err := r.Latest(ctx, c, report.MaxNights)
	if err != nil {
		return fmt.Errorf("reading earlier records: %w", err)
	}
	html, err := report.IndexHTML(s.Root(), nights)
	if err != nil {
		return err
	}
	return s.WriteFile(morningDir+"index.html", html)
}

// Index writes the page across nights again, after something was marked as printed. The pages
// of nights stay as they were: what was left alone and what went wrong is in them alone.
func Index(ctx context.Context, s *studio.Studio, c *config.Config, loc *time.Location) error {
	return writeIndex(ctx, s, record.Reader{Root: s.Root()}, calendarOf(c, loc))
}

// Rebuild writes the reports of all nights from a date on (2026-03-14; "" for all) again,
// the latest first, and the index, from the records alone: what was left alone and what
// went wrong in a night is not among them. Each page that is written is told to wrote, and
// each record that does not count where it lies to passed.
func Rebuild(ctx context.Context, s *studio.Studio, desk *order.Desk, since string, loc *time.Location, wrote func(page string), passed func(path string, why error)) error {
	calendar := calendarOf(desk.Config, loc)
	reader := record.Reader{Root: s.Root(), Passed: passed}
	var from time.Time
	if since != "" {
		var err error
		if from, err = calendar.Begin(since); err != nil {
			return err
		}
	}
	latest, outbox := "", inOutbox(ctx, s)
	err := reader.Each(ctx, calendar, from, func(n record.Night) error {
		made, err := makePages(ctx, &report.Night{Night: n, Units: desk.Config.Units, Outbox: outbox}, report.Making{Root: s.Root(), Look: desk.Open}, packer{studio: s, finding: true})
		if err != nil {
			return err
		}
		latest, outbox = max(latest, n.Date), nil // told in the latest, which comes first
		if err := made.write(s, n.Date == latest); err != nil {
			return err
		}
		wrote(made.page())
		return nil
	})
	if err != nil {
		return fmt.Errorf("writing the reports of nights from their records: %w", err)
	}
	return writeIndex(ctx, s, record.Reader{Root: s.Root()}, calendar)
}
