package main

import (
	"testing"

	"sizewright/internal/caution"
	"sizewright/internal/order"
)

// The plan names one thing to do, for the gravest caution; what is only for the record
// asks for nothing.
func TestAPlanSaysWhatToDoAboutTheCautionThatAsksMost(t *testing.T) {
	for _, kind := range caution.All() {
		lines := planLines("gull.jpg", &order.Plan{Cautions: []caution.Caution{kind.Say("something")}})
		said := false
		for _, l := range lines {
			if l[0] != "to do" {
				continue
			}
			if said || l[1] != kind.Do {
				t.Errorf("%s: to do is %q", kind.Code, l[1])
			}
			said = true
		}
		if asks := kind.Grade > caution.ForTheRecord; said != asks {
			t.Errorf("%s: a thing to do is named: %t, want %t", kind.Code, said, asks)
		}
	}
}
