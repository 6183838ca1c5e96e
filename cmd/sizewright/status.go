package main

import (
	"cmp"
	"context"
	"io"
	"os"
	"path"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/daemon"
	"sizewright/internal/intake"
	"sizewright/internal/machines"
	"sizewright/internal/plaintext"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
	"sizewright/internal/remedy"
	"sizewright/internal/studio"
)

func statusCommand() *cobra.Command {
	var dir string
	var asJSON bool
	c := &cobra.Command{
		Use:   "status",
		Short: "Say what waits, what is in hand and how far it is, and what is held",
		Long: "Say what waits, what is in hand and how far it is, and what is held.\n\n" +
			"Everything is read from the studio's files, so it works with or without a running daemon.",
		Args: exactly(0),
		RunE: func(c *cobra.Command, _ []string) error {
			heedGroup(dir)
			s, err := studio.Open(dir)
			if err != nil {
				return err
			}
			defer s.Close()
			st, err := readStatus(s, time.Now())
			if err != nil {
				return err
			}
			if asJSON {
				return st.json(c.OutOrStdout())
			}
			st.tell(c.OutOrStdout())
			return nil
		},
	}
	studioFlag(c, &dir, ".", "the studio's `directory`")
	c.Flags().BoolVar(&asJSON, "json", false, "print it as JSON")
	return c
}

// statusSchema is the value of a status's "schema".
const statusSchema = "sizewright/status/1"

// status is a studio at one moment. configs/status.schema.json defines its form.
type status struct {
	Schema  string         `json:"schema"`
	At      time.Time      `json:"at"`
	Daemons []daemonStatus `json:"daemons"` // the running daemon, if there is one
	InHand  []orderStatus  `json:"in_hand"`
	Ready   *readyStatus   `json:"ready,omitempty"` // of the latest night with prints
	ToPrint []paperStatus  `json:"to_print"`        // made, in the outbox, and not printed yet; oldest first
	Waiting []fileStatus   `json:"waiting"`         // oldest first
	Held    []heldStatus   `json:"held"`            // latest first
	Left    []fileStatus   `json:"left_alone"`
}

type daemonStatus struct {
	PID     int       `json:"pid"`
	Host    string    `json:"host"`
	Since   time.Time `json:"since"`
	Queued  int       `json:"queued"`
	Resting time.Time `json:"resting_until,omitzero"` // when its working hours begin

	Ends     time.Time        `json:"queue_ends,omitzero"` // about
	Backfill *daemon.Backfill `json:"backfill,omitempty"`  // the pages of earlier nights that it is writing
	Machines *machines.Status `json:"machines,omitempty"`  // other machines, where a server is named
}

// readyStatus is a night's prints: how many are made, and those that ask for something.
type readyStatus struct {
	Night  string       `json:"night"`
	Prints int          `json:"prints"`
	ToDo   []toDoStatus `json:"to_do"` // the gravest first
}

// toDoStatus is the one thing to do about a print before it goes on paper.
type toDoStatus struct {
	Folder string `json:"folder"`
	Name   string `json:"name"`
	Text   string `json:"text"`
	Do     string `json:"do"`
	grade  caution.Grade
}

// paperStatus is a print that waits to be put on paper.
type paperStatus struct {
	Folder  string    `json:"folder"`
	File    string    `json:"file"`
	Copies  int       `json:"copies"`                    // that wait
	Numbers []int     `json:"edition_numbers,omitempty"` // of the edition, that wait
	Since   time.Time `json:"since"`                     // when it was made, or asked for again
}

type orderStatus struct {
	Folder string    `json:"folder"`
	Name   string    `json:"name"`
	Since  time.Time `json:"since"`
	Stage  string    `json:"stage"`           // "left behind" if no daemon has it in hand
	Share  float64   `json:"share,omitempty"` // of its print, 0 to 1
	Text   string    `json:"text,omitempty"`  // what happens to an order that was left behind, or what another machine does to it
}

type fileStatus struct {
	Folder string    `json:"folder"`
	Name   string    `json:"name"`
	Bytes  int64     `json:"bytes,omitempty"`
	Since  time.Time `json:"since,omitzero"` // modification time
	Text   string    `json:"text,omitempty"` // why it is left alone, or what it waits for
	Remedy string    `json:"remedy,omitempty"`

	Pictures int `json:"pictures,omitempty"` // that are not made because of it
}

type heldStatus struct {
	Folder string    `json:"folder"`
	Name   string    `json:"name"`
	When   time.Time `json:"when"`
	Code   string    `json:"reason_code"`
	Reason string    `json:"reason"`
	Remedy string    `json:"remedy,omitempty"` // "" in records whose reason includes it
	Record string    `json:"record"`           // its path in the studio
}

// Why is why a file is not made, and what to do about it.
func (f fileStatus) Why() string { return remedy.Join(f.Text, f.Remedy) }

// Why is why a picture is held, and what to do about it.
func (h heldStatus) Why() string { return remedy.Join(h.Reason, h.Remedy) }

// readStatus reads a studio and changes nothing.
func readStatus(s *studio.Studio, now time.Time) (*status, error) {
	st := &status{Schema: statusSchema, At: now.Truncate(time.Second), Daemons: []daemonStatus{}, InHand: []orderStatus{}, ToPrint: []paperStatus{},
		Waiting: []fileStatus{}, Held: []heldStatus{}, Left: []fileStatus{}}
	stays, err := st.work(s)
	if err != nil {
		return nil, err
	}
	cfg := st.configuration(s)
	if err := st.dropped(s, stays, cfg); err != nil {
		return nil, err
	}
	if err := st.made(s, cfg, now); err != nil {
		return nil, err
	}
	if err := st.toPrint(s); err != nil {
		return nil, err
	}
	return st, st.heldOnes(s)
}

// toPrint reads which prints wait in the outbox to be put on paper.
func (st *status) toPrint(s *studio.Studio) error {
	entries, err := record.Reader{Root: s.Root()}.Made(context.Background())
	for _, e := range entries {
		r := e.Record
		i := slices.IndexFunc(r.Print.TIFFs(), func(t record.Numbered) bool {
			return slices.Contains(r.ToPrint(), t.Number) && s.Holds(e.Beside(t.File), t.Bytes)
		})
		if i < 0 {
			continue
		}
		p := paperStatus{Folder: r.Order.Folder, File: r.Print.TIFFs()[i].File, Copies: max(1, r.Order.Copies), Since: r.Times.Finished}
		if r.Print.Edition != nil {
			p.Numbers = r.ToPrint()
			p.Copies = len(p.Numbers)
		}
		st.ToPrint = append(st.ToPrint, p)
	}
	return err
}

// made reads what is ready of the latest night.
func (st *status) made(s *studio.Studio, cfg *config.Config, now time.Time) error {
	calendar := record.Calendar{EndHour: cmp.Or(cfg.EndsAt, 24), In: now.Location()}
	nights, err := record.Reader{Root: s.Root()}.Latest(context.Background(), calendar, 1)
	if err != nil || len(nights) == 0 {
		return err
	}
	c := nights[0].Counts()
	if c.Ready+c.WithCautions == 0 {
		return nil
	}
	st.Ready = &readyStatus{Night: nights[0].Date, Prints: c.Ready + c.WithCautions, ToDo: []toDoStatus{}}
	for _, e := range nights[0].Records {
		r := e.Record
		if worst, asks := r.Asks(); asks && r.RepeatOf == "" {
			k := caution.Of(worst)
			st.Ready.ToDo = append(st.Ready.ToDo, toDoStatus{r.Order.Folder, r.Source.Name, worst.Text, k.Do, k.Grade})
		}
	}
	slices.SortStableFunc(st.Ready.ToDo, func(a, b toDoStatus) int { return cmp.Compare(b.grade, a.grade) })
	return nil
}

// configuration reports retired keys, and a configuration with which no daemon starts: a
// service manager that keeps restarting it says so only in its log. Then it is the default.
func (st *status) configuration(s *studio.Studio) *config.Config {
	name := filepath.Base(s.ConfigPath())
	cfg, err := config.Load(s.ConfigPath())
	if err != nil {
		st.Left = append(st.Left, fileStatus{Name: name, Text: name + " has mistakes; no daemon starts until they are corrected: " + plaintext.Error(err)})
		return config.Default()
	}
	for _, w := range cfg.Warnings {
		st.Left = append(st.Left, fileStatus{Name: name, Text: w.Warning()})
	}
	return cfg
}

// file identifies a dropped file as the daemon's JSON does.
type file struct{ folder, name string }

func fileAt(folder, name string) file { return file{inJSON(folder), inJSON(name)} }

// inJSON returns a name as JSON has it, with each byte that is not UTF-8 replaced.
func inJSON(name string) string { return string([]rune(name)) }

// dropped reads the drop folders: what waits, and what is left alone. stays is what the
// daemon says about files that look like any other. What is not whole is looked at here, as
// a daemon gives a copy time before it speaks of it.
func (st *status) dropped(s *studio.Studio, stays map[file]daemon.Stay, cfg *config.Config) error {
	files, odd, err := intake.Scan(s.Drop())
	if err != nil {
		return err
	}
	look := intake.Options{Settle: cfg.Settle, StalledAfter: cfg.Stalled, Limits: cfg.Limits}
	for _, x := range intake.BrokenOff(s.Drop(), files, look) {
		if at := fileAt(x.Folder, x.Name); stays[at].Text == "" {
			stays[at] = daemon.Stay{Folder: x.Folder, Name: x.Name, Text: x.Text, Remedy: x.Remedy}
		}
	}
	sizeless, err := st.sizeless(s)
	if err != nil {
		return err
	}
	closed := map[string]bool{} // folders that the daemon cannot read
	for at, stay := range stays {
		if at.name == "" {
			closed[stay.Folder] = true
			st.Left = append(st.Left, fileStatus{Folder: stay.Folder, Text: stay.Text, Remedy: stay.Remedy, Pictures: 1})
		}
	}
	for _, f := range files {
		x := fileStatus{Folder: f.Folder, Name: f.Name, Bytes: f.Size, Since: f.ModTime}
		stay, told := stays[fileAt(f.Folder, f.Name)]
		x.Text, x.Remedy = stay.Text, stay.Remedy
		switch {
		case sizeless[f.Folder] || closed[f.Folder]: // reported for the whole folder
		case told && !stay.Waits:
			x.Pictures = 1
			st.Left = append(st.Left, x)
		default:
			st.Waiting = append(st.Waiting, x)
		}
	}
	for _, o := range odd {
		if !o.Ignored() && !(o.Name == "" && closed[o.Folder]) {
			st.Left = append(st.Left, fileStatus{Folder: o.Folder, Name: o.Name, Text: o.Text, Remedy: o.Remedy, Pictures: o.Pictures(s.Drop())})
		}
	}
	return nil
}

// sizeless returns the drop folders that have no size on their paths, and reports them
// with the pictures that wait there.
func (st *status) sizeless(s *studio.Studio) (map[string]bool, error) {
	folders, _, err := intake.Folders(s.Drop())
	if err != nil {
		return nil, err
	}
	none := map[string]bool{}
	for _, f := range folders {
		if _, err := printsize.ParsePath(f.Path); err != nil && !f.IsShelf() {
			none[f.Path] = true
			l := record.LeftInFolder(f.Path, len(f.Files), err)
			st.Left = append(st.Left, fileStatus{Folder: f.Path, Text: l.Text, Remedy: l.Remedy, Pictures: l.Pictures})
		}
	}
	return none, nil
}

// leftBehind is the stage of an order that no daemon has in hand any more.
const leftBehind = "left behind"

// work reads which daemon runs, what is in hand, and what stays in its drop folder.
func (st *status) work(s *studio.Studio) (stays map[file]daemon.Stay, err error) {
	at, err := s.AtWork()
	if err != nil {
		return nil, err
	}
	claims, err := s.Claims()
	if err != nil {
		return nil, err
	}
	var d daemon.Status
	if at != nil {
		d, _ = daemon.ReadStatus(at.Status) // a daemon that has written nothing yet does nothing
		st.Daemons = append(st.Daemons, daemonStatus{at.PID, at.Host, at.Started, d.Queued, d.Resting, d.Ends, d.Backfill, d.Machines})
	}
	stays = map[file]daemon.Stay{}
	for _, x := range d.Stays {
		stays[fileAt(x.Folder, x.Name)] = x
	}
	for _, c := range claims {
		o := orderStatus{Folder: c.Folder, Name: c.Name, Since: c.Taken, Stage: "taken"}
		if at == nil || c.Taken.Before(at.Started) {
			o.Stage, o.Text = leftBehind, "its daemon has ended; it goes back to its drop folder at the next start of sizewright"
		}
		for _, x := range d.Orders {
			if x.ID == c.ID {
				o.Stage, o.Share, o.Text = x.Stage, x.Share, x.Text
			}
		}
		st.InHand = append(st.InHand, o)
	}
	return stays, nil
}

// heldOnes reads which pictures are held: those whose original is still in place.
func (st *status) heldOnes(s *studio.Studio) error {
	entries, err := record.Reader{Root: s.Root()}.Held(context.Background())
	if err != nil {
		return err
	}
	for _, e := range slices.Backward(entries) {
		r := e.Record
		if r.Status != record.Held {
			continue
		}
		if _, err := os.Lstat(filepath.Join(s.Root(), filepath.FromSlash(r.Source.Original))); err != nil {
			continue // a person has dealt with it
		}
		st.Held = append(st.Held, heldStatus{r.Order.Folder, path.Base(r.Source.Original), r.Times.Finished, r.Code, r.Reason, r.Remedy, e.Path})
	}
	return nil
}

func (st *status) json(out io.Writer) error {
	return printJSON(out, st)
}
