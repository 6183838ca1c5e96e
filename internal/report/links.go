package report

import (
	"net/url"
	"slices"
	"strings"

	"sizewright/internal/record"
)

// href is the URL, relative to outbox/morning/, of a path in the studio (from
// its root, with slashes), or "" for a path that would lead out of it.
func href(path string) string {
	parts := strings.Split(path, "/")
	if slices.ContainsFunc(parts, func(p string) bool { return p == "" || p == "." || p == ".." }) {
		return ""
	}
	up := "../../"
	if len(parts) > 1 && parts[0] == "outbox" {
		up, parts = "../", parts[1:]
	}
	for i, p := range parts {
		parts[i] = url.PathEscape(p)
	}
	return up + strings.Join(parts, "/")
}

// links are where an entry's files are, relative to outbox/morning/; "" for
// none.
type links struct {
	Print    string `json:"print,omitempty"`
	Preview  string `json:"preview,omitempty"`
	OnPaper  string `json:"preview_on_paper,omitempty"`
	GamutMap string `json:"gamut_map,omitempty"`
	Cropped  string `json:"cropped,omitempty"`
	Diagram  string `json:"diagram,omitempty"`
	Record   string `json:"record"`
	Original string `json:"original,omitempty"`
}

// labelsOf are where a print's labels for the back are.
func labelsOf(e record.Entry) (urls []string) {
	for _, name := range e.Record.Print.Labels {
		urls = append(urls, href(e.Beside(name)))
	}
	return urls
}

func linksOf(e record.Entry) links {
	l := links{Record: href(e.Path), Original: href(e.Record.Source.Original)}
	p := e.Record.Print
	if p == nil {
		return l
	}
	l.Print = href(e.Beside(p.File))
	for _, made := range []struct {
		url  *string
		file string
	}{{&l.Preview, p.Preview}, {&l.OnPaper, p.OnPaper}, {&l.GamutMap, p.GamutMap}, {&l.Cropped, p.Cropped}, {&l.Diagram, p.Diagram}} {
		if made.file != "" {
			*made.url = href(e.Beside(made.file))
		}
	}
	return l
}
