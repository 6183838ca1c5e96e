package record_test

import (
	"errors"
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

func TestLeftUndoneIsCountedByPicture(t *testing.T) {
	sizeless := errors.New(`drop folder "24x36" has no unit: say which: 24x36in or 24x36cm`)
	for pictures, want := range map[int]string{
		24: `24 pictures in "24x36" are waiting: the folder's name has no unit: say which: 24x36in or 24x36cm`,
		1:  `1 picture in "24x36" is waiting: the folder's name has no unit: say which: 24x36in or 24x36cm`,
		0:  `drop folder "24x36" has no unit: say which: 24x36in or 24x36cm`,
	} {
		if l := record.LeftInFolder("24x36", pictures, sizeless); l.Text != want || l.Undone() != (pictures > 0) {
			t.Errorf("%d pictures: %+v, want %q", pictures, l, want)
		}
	}
	n := record.Night{Left: []record.Left{
		record.LeftInFolder("24x36", 24, sizeless), record.LeftInFolder("A9x", 0, sizeless), record.LeftFor("A2", "half.jpg", "unfinished", sizeless),
		{Folder: "A2", Name: "marsh.xmp", Litter: true}, {Name: "sizewright.toml", Text: "a key is gone"},
	}}
	if n.Unmade() != 25 || n.LeftAlone() != 2 {
		t.Errorf("%d unmade and %d left alone, want 25 and 2", n.Unmade(), n.LeftAlone())
	}
}
