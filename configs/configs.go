// Package configs holds the files that sizewright carries with it.
package configs

import _ "embed"

// SizewrightTOML is the sizewright.toml that a new studio gets: every key with
// its default, commented out, and one sentence on each.
//
//go:embed sizewright.toml
var SizewrightTOML []byte
