package record_test

import (
	"testing"
	"time"

	"sizewright/internal/record"
	"sizewright/internal/testkit/studiotest"
)

func TestANightLastsFromItsFirstOrderToItsLast(t *testing.T) {
	early, late := studiotest.Evening.Add(-3*time.Hour), studiotest.Morning.Add(time.Hour)
	n := record.Night{Started: studiotest.Evening, Finished: studiotest.Morning, Records: []record.Entry{
		{Record: record.Record{Times: record.Times{Claimed: early.UTC(), Finished: early.UTC().Add(time.Minute)}}},
		{Record: record.Record{Times: record.Times{Claimed: studiotest.Morning, Finished: late}}},
	}}
	from, to := n.Span()
	if !from.Equal(early) || !to.Equal(late) {
		t.Errorf("from %v to %v, want %v to %v", from, to, early, late)
	}
	if from.Location() != to.Location() {
		t.Errorf("told in two zones, %v and %v", from.Location(), to.Location())
	}
}
