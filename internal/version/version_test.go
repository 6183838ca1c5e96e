package version

import (
	"runtime/debug"
	"testing"
)

func TestTheVersionIsTheBuilds(t *testing.T) {
	for built, want := range map[string]string{
		"v1.2.0":                             "v1.2.0",
		"v0.0.0-20260314022000-0123456789ab": "v0.0.0-20260314022000-0123456789ab",
		"(devel)":                            unknown,
		"":                                   unknown,
	} {
		if got := of(&debug.BuildInfo{Main: debug.Module{Version: built}}); got != want {
			t.Errorf("built as %q, the version is %q, want %q", built, got, want)
		}
	}
}

func TestACommitWithChangesSaysSo(t *testing.T) {
	info := &debug.BuildInfo{Settings: []debug.BuildSetting{
		{Key: "vcs.revision", Value: "0123456789ab"}, {Key: "vcs.time", Value: "2026-03-14T02:20:00Z"}, {Key: "vcs.modified", Value: "true"},
	}}
	if got, want := commit(info), "from commit 0123456789ab of 2026-03-14T02:20:00Z, with uncommitted changes"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := commit(&debug.BuildInfo{}); got != "" {
		t.Errorf("without a repository it says %q", got)
	}
}
