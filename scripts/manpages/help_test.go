package main

import "testing"

const planHelp = `Say what would be made.
The exit status is 3 if the picture would be held.

Usage:
  sizewright plan FILE SIZE [flags]

Examples:
  sizewright plan marsh.jpg A2
  sizewright plan marsh.jpg 24x36in

Flags:
  -h, --help               help for plan
      --json               print the plan as JSON
      --studio directory   the studio's directory (default ".")
`

func TestACommandsHelpBecomesItsPage(t *testing.T) {
	h, err := parse(planHelp)
	if err != nil {
		t.Fatal(err)
	}
	if h.usage != "plan FILE SIZE" || h.examples != "sizewright plan marsh.jpg A2\nsizewright plan marsh.jpg 24x36in" {
		t.Errorf("usage %q, examples %q", h.usage, h.examples)
	}
	want := []item{{"--json", "Print the plan as JSON"}, {"--studio DIRECTORY", `The studio's directory (default ".")`}}
	if len(h.options) != 2 || h.options[0] != want[0] || h.options[1] != want[1] {
		t.Errorf("options %q, not %q", h.options, want)
	}
}

func TestHelpOfAnotherFormIsRefused(t *testing.T) {
	for _, text := range []string{"", "Says nothing of its usage.\n", planHelp + "a line that is no option\n"} {
		if h, err := parse(text); err == nil {
			t.Errorf("%q was read as %+v", text, h)
		}
	}
}
