package surface

import "testing"

func TestEverySurfaceAsksForMoreThanTheOneBefore(t *testing.T) {
	last := 0.0
	for _, s := range All {
		if s.Name == "" || s.Strength <= last || s.Strength > 2 {
			t.Errorf("%q has the strength %v after %v", s.Name, s.Strength, last)
		}
		last = s.Strength
	}
	if _, ok := Named(Default); !ok {
		t.Errorf("the default %q is not a surface", Default)
	}
	if _, ok := Named("velvet"); ok {
		t.Error("velvet is a surface")
	}
}
