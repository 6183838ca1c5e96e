package hold

import (
	"errors"
	"fmt"
	"testing"

	"sizewright/internal/remedy"
)

func TestAHoldIsOfItsKindAndSaysWhatToDo(t *testing.T) {
	dim, bright := New("test-dim", "light it"), New("test-bright", "shade it")
	err := fmt.Errorf("A2: %w", dim.With("wait for the day").Say("marsh.jpg is %d times too dim", 3))
	if !errors.Is(err, dim) || errors.Is(err, bright) {
		t.Errorf("%v is of another kind", err)
	}
	if fault, do := remedy.Split(err); fault != "A2: marsh.jpg is 3 times too dim" || do != "wait for the day" {
		t.Errorf("%q and %q", fault, do)
	}
	if got := dim.Say("dim").Remedy; got != "light it" {
		t.Errorf("without a better remedy: %q", got)
	}
	if Of("test-dim") != dim || Of("of another version").Remedy == "" {
		t.Errorf("%v, %v", Of("test-dim"), Of("of another version"))
	}
}

func TestACodeIsRegisteredOnce(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a code was registered twice")
		}
	}()
	New("test-twice", "")
	New("test-twice", "")
}
