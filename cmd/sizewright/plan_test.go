package main

import (
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/render"
)

func TestNoiseIsToldBesideThatOfLight(t *testing.T) {
	tests := []struct {
		noise, light float64
		want         string
	}{
		{0, 0.001, "no noise that could be told from the picture"},
		{0.003, 0, "noise 0.30 % of the range, 0.60 % in shadows"},
		{0.003, 0.001, "noise 0.30 % of the range, 0.60 % in shadows (light itself has 0.10 % at its ISO)"},
		{0.003, 0.0085, "noise 0.30 % of the range, 0.60 % in shadows (light itself has 0.85 % at its ISO: it was smoothed, or the file reduced)"},
		{0.03, 0.001, "noise 3.00 % of the range, 6.00 % in shadows (light itself has 0.10 % at its ISO: some of it may be texture)"},
	}
	for _, test := range tests {
		m := &render.Measured{Measurement: detail.Measurement{Noise: test.noise, NoiseDark: 2 * test.noise}, LightNoise: test.light}
		if got := noiseWords(m); got != test.want {
			t.Errorf("\ngot  %s\nwant %s", got, test.want)
		}
	}
}
