package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"sizewright/internal/plaintext"
	"sizewright/internal/printsize"
	"sizewright/internal/record"
)

// group is the ready prints of one drop folder.
type group struct {
	Folder string
	Job    string
	Note   string // how many
	Cards  []card
	Again  []card // orders that had been made before
}

// inPageOrder keeps each job together, and puts its largest prints first, as they will want
// the most room and the most ink; within a drop folder, pictures go by name.
func inPageOrder(entries []record.Entry) []record.Entry {
	sorted := slices.Clone(entries)
	slices.SortStableFunc(sorted, func(a, b record.Entry) int {
		fa, fb := a.Record.Order.Folder, b.Record.Order.Folder
		return cmp.Or(
			strings.Compare(a.Record.Order.Job, b.Record.Order.Job),
			cmp.Compare(area(fb), area(fa)),
			strings.Compare(fa, fb),
			strings.Compare(strings.ToLower(a.Record.Source.Name), strings.ToLower(b.Record.Source.Name)),
			strings.Compare(a.Path, b.Path),
		)
	})
	return sorted
}

// area is that of a drop folder's size in mm², 0 if its name is none.
func area(folder string) float64 {
	p, err := printsize.ParsePath(folder)
	if err != nil {
		return 0
	}
	return p.Size.AreaMM2()
}

// noteJobs says of each job, at the first of its groups, what all of it came to.
func noteJobs(groups []group, n *Night) {
	for _, t := range n.Jobs() {
		job := plaintext.Line(t.Job)
		i := slices.IndexFunc(groups, func(g group) bool { return g.Job == job })
		if i < 0 {
			continue
		}
		all := fmt.Sprintf("the job %s: %d made, %d held, %.2f m²", job, t.Made, t.Held, t.AreaM2)
		if groups[i].Note != "" {
			all = groups[i].Note + "; " + all
		}
		groups[i].Note = all
	}
}

// addToGroup adds a card to its drop folder's group. Entries come in page
// order, so that group is the last or a new one.
func addToGroup(groups []group, r *record.Record, c card) []group {
	if len(groups) == 0 || groups[len(groups)-1].Folder != r.Order.Folder {
		groups = append(groups, group{Folder: r.Order.Folder, Job: plaintext.Line(r.Order.Job)})
	}
	g := &groups[len(groups)-1]
	if r.RepeatOf != "" {
		g.Again = append(g.Again, c)
		return groups
	}
	g.Cards = append(g.Cards, c)
	g.Note = count(len(g.Cards), "print", "prints")
	return groups
}
