package studio

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"sizewright/internal/filename"
	"sizewright/internal/plaintext"
)

// The files of a claim, beside its two directories.
const (
	orderName   = "order.json"
	journalName = "publish.json"
	tempSuffix  = ".tmp"

	originalPart = "original"
	madePart     = "made"
)

// diskName is a file name, which on Linux is any bytes but "/" and zero. JSON
// holds it as a string where it is UTF-8 and as {"base64": "..."} where not,
// since a name that comes back altered is a photograph lost.
type diskName string

type rawBytes struct {
	Base64 []byte `json:"base64"`
}

func (n diskName) MarshalJSON() ([]byte, error) {
	if utf8.ValidString(string(n)) {
		return json.Marshal(string(n))
	}
	return json.Marshal(rawBytes{[]byte(n)})
}

func (n *diskName) UnmarshalJSON(data []byte) error {
	if !bytes.HasPrefix(data, []byte("{")) {
		return json.Unmarshal(data, (*string)(n))
	}
	var raw rawBytes
	err := json.Unmarshal(data, &raw)
	*n = diskName(raw.Base64)
	return err
}

// order is a claim's order.json: where its photograph came from.
type order struct {
	Folder diskName  `json:"folder"`
	Name   diskName  `json:"name"`
	Taken  time.Time `json:"taken"`
	// Worker is what versions that could share a studio wrote here; it means nothing now.
	Worker string `json:"worker,omitempty"`
}

func (o order) check() error {
	return errors.Join(checkFolder(string(o.Folder)), checkName(string(o.Name)))
}

// journal is a claim's publish.json: what has been decided about it. The
// original's move is the first.
type journal struct {
	Kind   Kind     `json:"kind"` // Published or Held
	Folder diskName `json:"folder"`
	Name   diskName `json:"name"`
	Moves  []move   `json:"moves"`
}

// move is one file's way from the claim to its place in the studio.
type move struct {
	From   diskName `json:"from"`             // relative to the claim
	To     diskName `json:"to"`               // relative to the studio
	Wanted diskName `json:"wanted,omitempty"` // To at the decision, if somebody took that name after it
}

// check refuses a journal that sizewright cannot have written.
func (j journal) check() error {
	if j.Kind != Published && j.Kind != Held {
		return fmt.Errorf("unknown kind %q", j.Kind)
	}
	if len(j.Moves) == 0 {
		return errors.New("no moves")
	}
	for i, m := range j.Moves {
		part, from, _ := strings.Cut(string(m.From), "/")
		if (part == originalPart) != (i == 0) || part != originalPart && part != madePart {
			return fmt.Errorf("unexpected move from %q", m.From)
		}
		dir, to := path.Split(string(m.To))
		if !j.goesTo(part, strings.TrimSuffix(dir, "/")) {
			return fmt.Errorf("unexpected move to %q", m.To)
		}
		if err := errors.Join(checkName(from), checkName(to)); err != nil {
			return err
		}
	}
	return checkFolder(string(j.Folder))
}

// top is the directory of the studio that a part of the claim goes to.
func (j journal) top(part string) string {
	switch {
	case j.Kind == Held:
		return heldDir
	case part == originalPart:
		return originalsDir
	}
	return outboxDir
}

// goesTo tells whether dir is where a part of the claim may go: a folder for its drop
// folder, see [Studio.folderIn].
func (j journal) goesTo(part, dir string) bool {
	top, folder, _ := strings.Cut(dir, "/")
	return top == j.top(part) && filename.IsFor(folder, string(j.Folder)) && checkFolder(folder) == nil
}

// targets is every directory the moves go to, each once, the original's first.
func (j journal) targets() []string {
	var dirs []string
	for _, m := range j.Moves {
		if dir := path.Dir(string(m.To)); !slices.Contains(dirs, dir) {
			dirs = append(dirs, dir)
		}
	}
	return dirs
}

// readJSON reads one of a claim's two files into v, strictly.
func (t *tree) readJSON(rel string, v interface{ check() error }) error {
	data, err := t.read(rel)
	if err != nil {
		return err
	}
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if dec.Decode(v) != nil {
		return fault(rel, "cannot be understood", errors.New("it is not as sizewright writes it"))
	}
	if err := v.check(); err != nil {
		return fault(rel, "cannot be understood", err)
	}
	return nil
}

// writeJSON writes one of a claim's two files; it has its name once it is whole
// and durable, and not before.
func (t *tree) writeJSON(rel string, v any) error {
	data, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return fault(rel, "cannot be written", err)
	}
	return t.replace(rel, rel+"."+randomHex()+tempSuffix, append(plaintext.JSON(data), '\n'))
}

// isTemp tells a temporary name of a claim's two files, of this version or an
// older one.
func isTemp(name string) bool {
	ours := strings.HasPrefix(name, orderName) || strings.HasPrefix(name, journalName)
	return ours && strings.HasSuffix(name, tempSuffix)
}

// claimPath is a path inside a claim, relative to the studio.
func claimPath(id string, parts ...string) string {
	return path.Join(append([]string{claimsDir, id}, parts...)...)
}
