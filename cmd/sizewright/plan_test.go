package main

import (
	"testing"

	"sizewright/internal/detail"
	"sizewright/internal/order"
)

func TestNoiseIsToldBesideThatOfLight(t *testing.T) {
	tests := []struct {
		noise, light float64
		want         string
	}{
		{0, 0.001, "no noise that can be told from detail"},
		{0.003, 0, "noise 0.30 % of the range, 0.60 % in shadows"},
		{0.003, 0.001, "noise 0.30 % of the range, 0.60 % in shadows (light alone causes 0.10 % at its ISO)"},
		{0.003, 0.0085, "noise 0.30 % of the range, 0.60 % in shadows (light alone causes 0.85 % at its ISO: it was denoised or reduced)"},
		{0.03, 0.001, "noise 3.00 % of the range, 6.00 % in shadows (light alone causes 0.10 % at its ISO: some of it may be texture)"},
	}
	for _, test := range tests {
		m := &order.Measured{Measurement: detail.Measurement{Noise: test.noise, NoiseDark: 2 * test.noise}, LightNoise: test.light}
		if got := noiseWords(m); got != test.want {
			t.Errorf("\ngot  %s\nwant %s", got, test.want)
		}
	}
}

// "No trace was found" must not sound as if there were none to find.
func TestAHiddenEnlargementIsNotRuledOut(t *testing.T) {
	const doubt = "; it may have been enlarged: no trace was found, but saving as JPEG can hide it"
	const start = "no noise that can be told from detail, too few edges to measure blur"
	tests := []struct {
		what string
		m    order.Measured
		want string
	}{
		{"half the detail, no trace", order.Measured{Resolution: 0.5, EffectiveMP: 6}, ", detail for about 6.0 megapixels (estimate)" + doubt},
		{"named", order.Measured{Resolution: 0.5, EffectiveMP: 6, Enlarged: 2}, ", detail for about 6.0 megapixels (estimate), looks enlarged 2 times"},
		{"sharp", order.Measured{Resolution: 0.9, EffectiveMP: 19.4}, ", detail for about 19.4 megapixels (estimate)"},
		{"mist", order.Measured{Resolution: 0.3, EffectiveMP: 2, Plain: true}, ", hardly any fine detail"},
	}
	for _, test := range tests {
		if got := measuredWords(&test.m); got != start+test.want {
			t.Errorf("%s:\ngot  %s\nwant %s", test.what, got, start+test.want)
		}
	}
}
