package configs

import _ "embed"

// PrintRecordSchema is the JSON Schema of a print record.
//
//go:embed print-record.schema.json
var PrintRecordSchema []byte

// MorningSchema is the JSON Schema of a night's report.
//
//go:embed morning.schema.json
var MorningSchema []byte

// StatusSchema is the JSON Schema of what "sizewright status --json" prints.
//
//go:embed status.schema.json
var StatusSchema []byte
