package config

import (
	"strings"
	"testing"
)

// A file that was right must not keep the service from starting after an upgrade.
func TestKeysOfEarlierVersionsAreWarnedOfAndIgnored(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"[work]\nshare = true", `sizewright.toml:2:1: warning: work.share: `},
		{"[work]\nkeep_free_mib = 7\n  lease = \"2m\"", `sizewright.toml:3:3: warning: work.lease: `},
		{"work = { lease = \"of no time at all\" }", `sizewright.toml:1:10: warning: work.lease: `},
		{"work.share = \"perhaps\"", `sizewright.toml:1:1: warning: work.share: `},
		{"[print]\nminimum_counts = \"detail\"", `sizewright.toml:2:1: warning: print.minimum_counts: `},
		{"[stock.rag]\nminimum_counts = \"pixels\"", `sizewright.toml:2:1: warning: stock.rag.minimum_counts: `},
		{"[folder.A4]\nminimum_counts = 1", `sizewright.toml:2:1: warning: folder.A4.minimum_counts: `},
		{"[morning]\nnotify = [\"/bin/true\"]", `sizewright.toml:2:1: warning: morning.notify: `},
	} {
		c, err := Parse("sizewright.toml", []byte(test.text))
		if err != nil {
			t.Errorf("%q is refused: %v", test.text, err)
			continue
		}
		if len(c.Warnings) != 1 || !strings.HasPrefix(c.Warnings[0].Warning(), test.want) {
			t.Errorf("%q is told %v, want one that begins %s", test.text, c.Warnings, test.want)
		}
		for _, must := range []string{"this key is gone", "take the line out"} {
			if len(c.Warnings) > 0 && !strings.Contains(c.Warnings[0].Text, must) {
				t.Errorf("%q is told %q, which does not say %q", test.text, c.Warnings[0].Text, must)
			}
		}
	}
}

// What else is in the file holds, and its mistakes stay mistakes.
func TestAKeyOfAnEarlierVersionHidesNothingElse(t *testing.T) {
	c := mustParse(t, "[work]\ncores = 3\nshare = true\nlease = \"10s\"\nkeep_free_mib = 7\n[morning]\nnotify = \"/bin/true\"\nends_at = 4")
	if c.Cores != 3 || c.KeepFree != 7 || c.EndsAt != 4 || len(c.Warnings) != 3 {
		t.Errorf("%+v", c)
	}
	if !strings.Contains(c.Warnings[2].Text, "--notify") {
		t.Errorf("notify is told %q", c.Warnings[2].Text)
	}
	const want = `sizewright.toml:3:1: work.leese: there is no such key here: [work] may have cores, between, keep, keep_free_mib`
	if got := problemsOf(t, "[work]\nshare = true\nleese = 1"); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if got := problemsOf(t, "[print]\nshare = true"); !strings.HasPrefix(got, "sizewright.toml:2:1: print.share: there is no such key") {
		t.Errorf("a key where it never was: %s", got)
	}
}

// A key may stand where it stood, and one that stands where it stands now counts for more.
func TestAKeyThatMovedIsTakenAndWarnedOf(t *testing.T) {
	for text, want := range map[string]int{"workers = 3": 3, "work.workers = 3": 3, "workers = 3\n[work]\ncores = 4": 4, "work.cores = 4\nwork.workers = 3": 4} {
		c := mustParse(t, text)
		if c.Cores != want || len(c.Warnings) != 1 || c.Warnings[0].Mistake || !strings.Contains(c.Warnings[0].Text, "cores under [work] now") {
			t.Errorf("%q is %d cores, warned of %v", text, c.Cores, c.Warnings)
		}
	}
	if got := problemsOf(t, "workers = 'all'"); !strings.Contains(got, "sizewright.toml:1:1: workers: give a whole number") {
		t.Errorf("told %s", got)
	}
}

// An edge that went on mirrored yesterday does so today, under the name it has now.
func TestValuesOfEarlierVersionsAreTakenAndWarnedOf(t *testing.T) {
	for old, now := range map[string]string{"mirror": "reflect", "extend": "replicate"} {
		c := mustParse(t, roll24+"[print]\nmedia = 'roll24'\nbleed_mm = 3\nbleed = '"+old+"'")
		if c.Print.Bleed != now || len(c.Warnings) != 1 || c.Warnings[0].Mistake {
			t.Fatalf("%s is %q, warned of %v", old, c.Print.Bleed, c.Warnings)
		}
		want := "sizewright.toml:7:1: warning: print.bleed: \"" + old + "\" is called \"" + now + "\" now: write that"
		if got := c.Warnings[0].Warning(); got != want {
			t.Errorf("told %s, want %s", got, want)
		}
	}
}

// Nobody can still give a key that is gone, and none is gone that can be given.
func TestNoKeyIsBothInUseAndRetired(t *testing.T) {
	for table, keys := range retiredKeys {
		for key := range keys {
			for _, name := range keyNames[table] {
				if name == key {
					t.Errorf("%s.%s is in use", table, key)
				}
			}
		}
	}
}
