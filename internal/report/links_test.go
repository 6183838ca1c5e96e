package report

import (
	"net/url"
	"path"
	"strings"
	"testing"
)

func TestLinksLeadFromTheReportToTheFile(t *testing.T) {
	for file, want := range map[string]string{
		"outbox/A2/reeds.tif":              "../A2/reeds.tif",
		"outbox/A4 lustre/reeds.tif":       "../A4%20lustre/reeds.tif",
		"held/A2/reeds.jpg":                "../../held/A2/reeds.jpg",
		"originals/A2/reeds.jpg":           "../../originals/A2/reeds.jpg",
		`originals/A2/50% #1 "é".jpg`:      "../../originals/A2/50%25%20%231%20%22%C3%A9%22.jpg",
		"originals/A2/what?.jpg":           "../../originals/A2/what%3F.jpg",
		"originals/A2/100%25.jpg":          "../../originals/A2/100%2525.jpg",
		`originals/A2/back\slash.jpg`:      `../../originals/A2/back%5Cslash.jpg`,
		"outbox/A2/" + "caf\xe9.tif":       "../A2/caf%E9.tif",
		"outbox/javascript:alert(1)/x.tif": "../javascript:alert%281%29/x.tif",
	} {
		if got := href(file); got != want {
			t.Errorf("%q: got %s, want %s", file, got, want)
		}
		// As RFC 3986 (5.2) has it resolved, by an implementation not ours.
		page := &url.URL{Scheme: "file", Path: "/studio/outbox/morning/2026-03-14.html"}
		ref, err := url.Parse(href(file))
		if err != nil {
			t.Errorf("%q: %v", file, err)
			continue
		}
		if got := page.ResolveReference(ref).Path; got != path.Join("/studio", file) {
			t.Errorf("%q: a browser is led to %q", file, got)
		}
	}
}

func TestLinksDoNotLeadOutOfTheStudio(t *testing.T) {
	for _, file := range []string{"", "/etc/passwd", "../other/x.jpg", "outbox/../../x.jpg", "outbox/./x.jpg", "javascript:alert(1)//x"} {
		if got := href(file); got != "" {
			t.Errorf("%q: %s", file, got)
		}
	}
	if got := href("javascript:alert(1)"); !strings.HasPrefix(got, "../") {
		t.Errorf("a scheme came through: %s", got)
	}
}
