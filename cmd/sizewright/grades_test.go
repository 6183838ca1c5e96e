package main

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"sizewright/internal/caution"
	"sizewright/internal/config"
	"sizewright/internal/record"
	"sizewright/internal/vision"
)

// What is for the record asks nothing; every other caution says what to do, in sentences,
// and names only keys that there are.
func TestEveryCautionThatAsksSaysWhatToDo(t *testing.T) {
	keys, err := json.Marshal(config.Default().Print)
	must(t, err)
	named := regexp.MustCompile(`\b[a-z]+_[a-z_]+\b`)
	for _, k := range caution.All() {
		if k.Grade == caution.ForTheRecord != (k.Do == "") {
			t.Errorf("%s: what to do is %q", k.Code, k.Do)
		}
		if k.Do != "" && (!strings.HasSuffix(k.Do, ".") || k.Do[0] < 'A' || k.Do[0] > 'Z') {
			t.Errorf("%s: %q is no sentence", k.Code, k.Do)
		}
		for _, key := range named.FindAllString(k.Do, -1) {
			if !strings.Contains(string(keys), `"`+key+`"`) {
				t.Errorf("%s: there is no key %s", k.Code, key)
			}
		}
	}
}

// By every verdict with every caution: a print is ready and nothing else is said of it, or
// it is ready with cautions and the one thing to do is.
func TestReadyAndLookCloserNeverStandTogether(t *testing.T) {
	for _, verdict := range []vision.Verdict{"", vision.Carries, vision.LookCloser, vision.TooSmall} {
		cautions := [][]caution.Caution{nil}
		for _, k := range caution.All() {
			cautions = append(cautions, []caution.Caution{k.Say("what is so")})
		}
		for _, all := range cautions {
			// The order says these of such a verdict.
			switch verdict {
			case vision.LookCloser:
				all = append(all, caution.Caution{Code: "low-resolution", Text: "look closer"})
			case vision.TooSmall:
				all = append(all, caution.Caution{Code: "too-small", Text: "too small"})
			}
			r := &record.Record{Status: record.StatusOf(verdict, all), Verdict: verdict, Cautions: all}
			what := fmt.Sprintf("%q with %v", verdict, all)
			asked, asks := r.Asks()
			if (r.Status == record.Ready) == asks {
				t.Errorf("%s: %s, and it asks something of a person: %t", what, r.Status, asks)
			}
			line := endedWords(r)
			if strings.Contains(line, "ready with cautions") != asks || asks && !strings.HasSuffix(line, asked.Text+". "+caution.Of(asked).Do) {
				t.Errorf("%s: the terminal says %q", what, line)
			}
			if !asks && strings.Contains(line, "what is so") {
				t.Errorf("%s: ready, and %q", what, line)
			}
		}
	}
}
