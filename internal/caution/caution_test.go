package caution

import "testing"

func TestTheAsksCautionIsTheOneToDoSomethingAbout(t *testing.T) {
	quiet, look, grave := New("test-quiet", ForTheRecord, ""), New("test-look", WorthALook, Look), New("test-grave", NeedsYou, "Choose.")
	for _, c := range []struct {
		name string
		all  []Caution
		want string
	}{
		{"the grave one", []Caution{quiet.Say("a"), grave.Say("b"), look.Say("c")}, "test-grave"},
		{"the first of equals", []Caution{{"unknown-1", ""}, look.Say("c")}, "unknown-1"},
		{"an unknown one before one for the record", []Caution{quiet.Say("a"), {"unknown-1", ""}}, "unknown-1"},
	} {
		if got, ok := Asks(c.all); !ok || got.Code != c.want {
			t.Errorf("%s: %q, want %q", c.name, got.Code, c.want)
		}
	}
	if _, ok := Asks(nil); ok {
		t.Error("there is a gravest of none")
	}
}

// A sentence's full stop is set by what shows it, or there would be two.
func TestACautionEndsWithoutAFullStop(t *testing.T) {
	if c := New("test-stop", WorthALook, Look).Say("%s of it is lost. A little.", "some"); c.Text != "some of it is lost. A little" {
		t.Errorf("it says %q", c.Text)
	}
}

func TestACodeIsRegisteredOnce(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a code was registered twice")
		}
	}()
	New("test-twice", WorthALook, Look)
	New("test-twice", WorthALook, Look)
}
