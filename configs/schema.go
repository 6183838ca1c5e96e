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
