package record

import (
	"os"
	"path/filepath"
	"reflect"
	"testing"
)

// FuzzDecode is any file that lies among the records: it is none, or it is a record
// that is written and read again as the same.
func FuzzDecode(f *testing.F) {
	f.Add([]byte(`{"schema":"` + SchemaID + `","status":"held","order":{"folder":"A4","size":"A4"},"source":{"name":"a.jpg"},"cautions":[],"reason":"it is damaged","reason_code":"damaged","times":{"claimed":"2026-03-14T22:00:00+01:00","finished":"2026-03-14T22:01:00+01:00"}}`))
	f.Add([]byte(`{"schema":"` + SchemaID + `","plan":{"print":{"width":1e400}}}`))
	f.Add([]byte(`{"schema":"` + SchemaID + `","plan":{},"print":{},"gamut":{},"ladder":{}}`))
	f.Add([]byte(`[]`))
	samples, _ := filepath.Glob("testdata/*.json")
	for _, path := range samples {
		if b, err := os.ReadFile(path); err == nil {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, _ = DecodeBrief(data)
		r, err := Decode(data)
		if err != nil {
			return
		}
		text, err := r.Encode()
		if err != nil {
			return // a time that JSON reads and cannot write
		}
		again, err := Decode(text)
		if err != nil {
			t.Fatalf("%v of what was written:\n%s", err, text)
		}
		if once, _ := again.Encode(); !reflect.DeepEqual(once, text) {
			t.Fatalf("was written as\n%s\nand then as\n%s", text, once)
		}
	})
}
