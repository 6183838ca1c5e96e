package config

import (
	"fmt"
	"strings"
)

// An entry is one thing that the file says, with inline tables and dotted keys
// taken apart: a table is opened, or a key is given a value.
type entry struct {
	kind  entryKind
	path  []string // from the top of the file; a value's ends in its key
	at    position
	value any // as go-toml decodes it
}

type entryKind int

const (
	tableEntry entryKind = iota
	listEntry            // [[name]], which no table here is
	valueEntry
)

// A position counts lines and characters from 1.
type position struct{ line, column int }

// pathID tells paths apart in maps.
func pathID(path []string) string { return fmt.Sprintf("%q", path) }

// dotted shows a path the way TOML writes it: folder."24x36in canvas".ppi.
func dotted(path []string) string {
	parts := make([]string, len(path))
	for i, part := range path {
		parts[i] = part
		if part == "" || strings.Trim(part, bareKey) != "" {
			parts[i] = clipped(part)
		}
	}
	return strings.Join(parts, ".")
}

// bareKey holds what TOML lets stand in a key without quotes.
const bareKey = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"
