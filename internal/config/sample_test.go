package config

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"sizewright/configs"
)

func TestTheSampleSaysNothingButTheDefaults(t *testing.T) {
	sample := string(configs.SizewrightTOML)
	for _, text := range []string{sample, uncommented(sample)} {
		if c := mustParse(t, text); !reflect.DeepEqual(c, Default()) {
			t.Errorf("it is\n%+v, want\n%+v", c, Default())
		}
	}
}

// Each key stands in its table, commented out, with its sentence and default.
func TestTheSampleHasEveryKey(t *testing.T) {
	sample := string(configs.SizewrightTOML)
	found := haveKeys(t, section(sample, intakeTable), intakeKeys, Default()) +
		haveKeys(t, section(sample, workTable), workKeys, Default()) +
		haveKeys(t, section(sample, machineTable), machinesKeys, &Default().Machines) +
		haveKeys(t, section(sample, limitsTable), limitsKeys, &Default().Limits) +
		haveKeys(t, section(sample, morningTable), morningKeys, Default()) +
		haveKeys(t, section(sample, printTable), printKeys, &Default().Print)
	if all := len(commented.FindAllString(sample, -1)); found != all {
		t.Errorf("%d lines are commented out, %d are keys", all, found)
	}
}

// Whoever opens the file sees what a printmaker sets, and what nobody need touch last.
func TestTheSampleBeginsWithTheEverydayKeys(t *testing.T) {
	everyday := []string{"ppi", "fit", "surface", "viewing_distance_mm", "profile", "intent", "media", "border", "border_mm", "caption"}
	sample := string(configs.SizewrightTOML)
	for i, m := range commented.FindAllStringSubmatch(sample, len(everyday)) {
		if got := strings.TrimSuffix(m[1], " = "); got != everyday[i] {
			t.Errorf("key %d is %s, want %s", i+1, got, everyday[i])
		}
	}
	if last := strings.LastIndex(sample, "\n["); !strings.HasPrefix(sample[last:], "\n[limits]") {
		t.Error("[limits] is not last")
	}
}

func haveKeys[T any](t *testing.T, text string, keys []key[T], defaults *T) (found int) {
	t.Helper()
	for _, k := range keys {
		want := "\n# " + k.doc + "\n#" + k.name + " = " + k.show(defaults) + "\n"
		if !strings.Contains(text, want) {
			t.Errorf("the sample lacks %s", want)
			continue
		}
		found++
	}
	return found
}

func TestTheSamplesExamplesWork(t *testing.T) {
	var examples strings.Builder
	for line := range strings.Lines(string(configs.SizewrightTOML)) {
		if text, ok := strings.CutPrefix(line, "#   "); ok {
			examples.WriteString(text)
		}
	}
	c := mustParse(t, examples.String())
	if len(c.Stocks()) == 0 || len(c.folderNames()) == 0 {
		t.Fatalf("no examples in\n%s", examples.String())
	}
	for _, folder := range c.folderNames() {
		if c.Settings(folder, "") == c.Print {
			t.Errorf("%s makes no difference", folder)
		}
	}
	for _, stock := range c.Stocks() {
		if c.Settings("", stock) == c.Print {
			t.Errorf("%s makes no difference", stock)
		}
	}
}

// commented is a key with its # in front.
var commented = regexp.MustCompile(`(?m)^#([a-z0-9_]+ = )`)

func uncommented(sample string) string { return commented.ReplaceAllString(sample, "$1") }

// section cuts one table out of the sample.
func section(sample, table string) string {
	if table != rootTable {
		_, sample, _ = strings.Cut(sample, "\n["+table+"]\n")
	}
	sample, _, _ = strings.Cut(sample, "\n[")
	return "\n" + sample + "\n"
}
