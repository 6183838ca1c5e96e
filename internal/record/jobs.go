package record

import (
	"cmp"
	"slices"
)

// JobTotals is a job's part in a night.
type JobTotals struct {
	Job    string  `json:"job"`
	Made   int     `json:"made"` // prints made or, of orders made before, found
	Held   int     `json:"held"`
	AreaM2 float64 `json:"area_m2"` // of the prints made
}

// Jobs are the totals of each job that the night has records of, by name.
func (n *Night) Jobs() []JobTotals {
	var all []JobTotals
	for _, e := range n.Records {
		job := e.Record.Order.Job
		if job == "" {
			continue
		}
		at, known := slices.BinarySearchFunc(all, job, func(t JobTotals, job string) int { return cmp.Compare(t.Job, job) })
		if !known {
			all = slices.Insert(all, at, JobTotals{Job: job})
		}
		all[at].add(&e.Record)
	}
	return all
}

func (t *JobTotals) add(r *Record) {
	if r.Status == Held || r.Print == nil {
		t.Held++
		return
	}
	t.Made++
	if r.RepeatOf == "" {
		t.AreaM2 += float64(r.Print.WidthMM*r.Print.HeightMM) / 1e6
	}
}
