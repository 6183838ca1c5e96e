package printsize

import (
	"errors"
	"fmt"
	"regexp"
	"strings"

	"golang.org/x/text/unicode/norm"
)

// A Path is what the folders say that a picture lies in, from the drop directory down.
type Path struct {
	Folder        // of the innermost folder whose name is a size
	Named  string // that folder's name as it is written
	Job    string // the names of the folders that are no sizes, with slashes between; "" for none
}

// Reports is the name under which the outbox keeps the morning reports. No job may have it.
const Reports = "morning"

// ParsePath reads the path of a picture's folder from the drop directory, with slashes:
// "A2", "Marsh exhibition/A2", "A2 lustre/Marsh exhibition". Of several sizes the
// innermost counts, and the folders that are no sizes name the job. A folder inside that
// of the size whose name resembles a size is refused: it is more likely misspelt than a
// job's. The error names the folder, what is wrong and what would do.
func ParsePath(path string) (Path, error) {
	names := strings.Split(path, "/")
	for _, name := range names {
		if strings.EqualFold(norm.NFC.String(name), Reports) {
			return Path{}, fmt.Errorf("drop folder %s may not be called %s, as the outbox keeps the morning reports under that name: give the job another name", quoted(path), Reports)
		}
	}
	if len(names) == 1 {
		f, err := ParseFolder(path)
		if err != nil && strings.HasSuffix(err.Error(), whatWouldDo) {
			err = fmt.Errorf("%w; or put its pictures into a folder of their size inside it", err)
		}
		return Path{Folder: f, Named: path}, err
	}
	for i := len(names) - 1; i >= 0; i-- {
		f, err := readFolder(tidy(names[i]))
		if err == nil {
			return Path{f, names[i], jobOf(names)}, nil
		}
		if resembles(names[i], f, err) {
			return Path{}, fmt.Errorf("drop folder %s: %s %s", quoted(path), quoted(names[i]), wordsFor(err, tidy(names[i]), f))
		}
	}
	return Path{}, fmt.Errorf("drop folder %s has no size on its path: name one of its folders like A2, 24x36in or 50x70cm", quoted(path))
}

// Name returns the canonical path: the job, and in it the folder's canonical name.
func (p Path) Name() string {
	if p.Job == "" {
		return p.Folder.Name()
	}
	return p.Job + "/" + p.Folder.Name()
}

// jobOf joins the names that are no sizes.
func jobOf(names []string) string {
	var job []string
	for _, name := range names {
		if _, err := readFolder(tidy(name)); err != nil {
			job = append(job, name)
		}
	}
	return strings.Join(job, "/")
}

// twoSides begins a name that gives two sides.
var twoSides = regexp.MustCompile(`^[0-9]+(?:[.,][0-9]+)? ?(?:[a-z]+|["'])? ?(?:x|by|\*) ?[0-9]`)

// resembles tells a misspelt size from the name of a job, which may begin with a number
// or a date. f and err are from readFolder.
func resembles(name string, f Folder, err error) bool {
	text := tidy(name)
	if f.Size != (Size{}) || twoSides.MatchString(text) {
		return true
	}
	return errors.Is(err, errNotASize) && !strings.HasSuffix(nearMiss(text).Error(), whatWouldDo)
}
