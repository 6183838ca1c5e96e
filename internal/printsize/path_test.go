package printsize

import "testing"

func TestTheInnermostSizeCountsAndTheOtherFoldersNameTheJob(t *testing.T) {
	for path, want := range map[string]struct{ named, job string }{
		"A2":                          {"A2", ""},
		"Marsh exhibition/A2":         {"A2", "Marsh exhibition"},
		"A2/Marsh exhibition":         {"A2", "Marsh exhibition"},
		"2026/Marsh/A2 lustre":        {"A2 lustre", "2026/Marsh"},
		"2026/a2 lustre/Marsh":        {"a2 lustre", "2026/Marsh"},
		"A3/A2":                       {"A2", ""},
		"A3/Marsh/A2/selection":       {"A2", "Marsh/selection"},
		"Marsh A3/A2":                 {"A2", "Marsh A3"},
		"A2/1042 Meier":               {"A2", "1042 Meier"},
		"A2/2026-11-30":               {"A2", "2026-11-30"},
		"24x36/A2":                    {"A2", "24x36"},
		"Reeds/24x36in@300 rag/black": {"24x36in@300 rag", "Reeds/black"},
	} {
		p, err := ParsePath(path)
		if err != nil || p.Named != want.named || p.Job != want.job {
			t.Errorf("%q is job %q at %q (%v), want %q at %q", path, p.Job, p.Named, err, want.job, want.named)
		}
		if f, err := ParseFolder(want.named); err == nil && f != p.Folder {
			t.Errorf("%q is %+v, want %+v", path, p.Folder, f)
		}
	}
}

func TestAFolderWithNoSizeOnItsPathIsToldWhatWouldDo(t *testing.T) {
	for path, want := range map[string]string{
		"Marsh":         `drop folder "Marsh" is not a size: ` + whatWouldDo + `; or put its pictures into a folder of their size inside it`,
		"Marsh/roughs":  `drop folder "Marsh/roughs" has no size on its path: name one of its folders like A2, 24x36in or 50x70cm`,
		"Marsh/24x36":   `drop folder "Marsh/24x36": "24x36" has no unit: say which: 24x36in or 24x36cm`,
		"A2/24x36":      `drop folder "A2/24x36": "24x36" has no unit: say which: 24x36in or 24x36cm`,
		"A2/a3lustre":   `drop folder "A2/a3lustre": "a3lustre" is not a size: put a space before the stock: A3 lustre`,
		"A3/Marsh A2":   `drop folder "A3/Marsh A2": "Marsh A2" is not a size: put the size first: A2 marsh`,
		"A2/A12":        `drop folder "A2/A12": "A12" is not a size: ISO 216 has A0 to A10; for another size give two sides and their unit, such as 50x70cm`,
		"A2/A3 matte!":  `drop folder "A2/A3 matte!": "A3 matte!" has a stock's name with '!' in it: name it A3 matte`,
		"Morning/A2":    `drop folder "Morning/A2" may not be called morning, as the outbox keeps the morning reports under that name: give the job another name`,
		"A2/morning":    `drop folder "A2/morning" may not be called morning, as the outbox keeps the morning reports under that name: give the job another name`,
		"Marsh/morning": `drop folder "Marsh/morning" may not be called morning, as the outbox keeps the morning reports under that name: give the job another name`,
	} {
		if p, err := ParsePath(path); err == nil || err.Error() != want {
			t.Errorf("%q is %+v, told %v; want %s", path, p, err, want)
		}
	}
}
