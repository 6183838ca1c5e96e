package machines

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"time"

	"sizewright/internal/learned"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/render"
	"sizewright/internal/version"
)

// The subjects, stream and object store.
const (
	beatSubject   = "sizewright.workers"
	orderSubjects = "sizewright.orders.>"
	ownerPrefix   = "sizewright.owner."
	orderStream   = "SIZEWRIGHT_ORDERS"
	objectStore   = "SIZEWRIGHT"
)

// How long things may take. Tests shorten them.
var (
	beatEvery  = 2 * time.Second
	silentFor  = 10 * time.Second // a worker that is not heard for so long is gone
	ackWait    = 30 * time.Second
	pullWithin = 15 * time.Second // an order that nobody takes comes back
	stallAfter = 2*ackWait + 10*time.Second
	goneFor    = 10 * time.Second // so long without the server, and orders come back
	askWithin  = 5 * time.Second  // an answer to a request
	pause      = time.Minute      // after trouble with the server or the store
)

const (
	maxDeliver  = 3
	keepObjects = 12 * time.Hour
)

// fingerprint is of all that decides what a recipe becomes.
func fingerprint(program string, recipe int) string {
	b, err := json.Marshal([]any{program, recipe, learned.Digests()})
	if err != nil {
		panic("machines: a version is plain values: " + err.Error())
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:8])
}

func ownFingerprint() string { return fingerprint(version.Version(), render.RecipeVersion) }

func orderSubject(fingerprint string) string { return "sizewright.orders." + fingerprint }

func newID() string {
	b := make([]byte, 16)
	rand.Read(b)
	return hex.EncodeToString(b)
}

var (
	anID    = regexp.MustCompile(`^[0-9a-f]{32}$`)
	aDigest = regexp.MustCompile(`^[0-9a-f]{64}$`)
)

// blob is bytes in the store, by their digest.
type blob struct {
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

func (b blob) check() error {
	if !aDigest.MatchString(b.SHA256) || b.Bytes < 0 {
		return fmt.Errorf("%q with length %d is no digest", b.SHA256, b.Bytes)
	}
	return nil
}

// order is what a worker is given.
type order struct {
	ID      string        `json:"id"`
	Owner   string        `json:"owner"`
	Recipe  render.Recipe `json:"recipe"`
	Source  blob          `json:"source"`
	Profile *blob         `json:"source_profile,omitempty"` // nil: CMYK by plain arithmetic
	Output  blob          `json:"output_profile"`
	Font    *blob         `json:"caption_font,omitempty"` // nil: the built-in one
	Limits  photo.Limits  `json:"limits"`                 // for decoding the source
	Most    int64         `json:"max_bytes"`              // that the strips take
	Room    int64         `json:"room"`                   // bytes of disk that decoding takes
}

func readOrder(data []byte) (o order, err error) {
	if err := json.Unmarshal(data, &o); err != nil {
		return o, err
	}
	if !anID.MatchString(o.ID) || !anID.MatchString(o.Owner) {
		return o, fmt.Errorf("the order has no ID")
	}
	for _, b := range o.blobs() {
		if err := b.check(); err != nil {
			return o, err
		}
	}
	if o.Most < 0 || o.Room < 0 {
		return o, fmt.Errorf("the order takes %d B and %d B", o.Most, o.Room)
	}
	return o, nil
}

func (o *order) blobs() []blob {
	all := []blob{o.Source, o.Output}
	for _, b := range []*blob{o.Profile, o.Font} {
		if b != nil {
			all = append(all, *b)
		}
	}
	return all
}

// scratch is how much disk a worker needs for the order.
func (o *order) scratch() int64 { return o.Source.Bytes + o.Most + o.Room }

// What a worker asks of an owner.
const (
	askTake = "take" // may I make it?
	askDone = "done" // it is made
	askFail = "fail" // I cannot make it
)

// request is a worker's to an owner.
type request struct {
	Ask    string  `json:"ask"`
	ID     string  `json:"id"`     // of the order
	Worker string  `json:"worker"` // its name
	Run    string  `json:"run"`    // of the worker, as an ID
	Result blob    `json:"result,omitzero"`
	Strips []int64 `json:"strips,omitempty"` // their lengths in the result
	Why    string  `json:"why,omitempty"`
}

// reply is an owner's.
type reply struct {
	OK     bool   `json:"ok"`
	Banned bool   `json:"banned,omitempty"` // the worker is given no more
	Why    string `json:"why,omitempty"`
}

// beat is what a worker says of itself.
type beat struct {
	Worker      string   `json:"worker"`
	Run         string   `json:"run"`
	Program     string   `json:"program"`
	Recipe      int      `json:"recipe_version"`
	Fingerprint string   `json:"fingerprint"`
	Prints      int      `json:"prints"` // that it makes at a time
	Hand        []inHand `json:"in_hand,omitempty"`
	Rates       Rates    `json:"rates,omitzero"`
	Trouble     string   `json:"trouble,omitempty"` // what keeps it from working
	Leaves      bool     `json:"leaves,omitempty"`  // it stops
}

// What a worker may say of itself, whatever it is.
const (
	maxWorkers = 256
	maxPrints  = 64
	maxText    = 300
)

// bound keeps what a worker says within what an owner keeps, counts on and shows.
func (b *beat) bound() {
	b.Worker, b.Program, b.Trouble = bounded(b.Worker), bounded(b.Program), bounded(b.Trouble)
	b.Prints = min(max(b.Prints, 0), maxPrints)
	b.Hand = b.Hand[:min(len(b.Hand), maxPrints)]
	for i := range b.Hand {
		h := &b.Hand[i]
		h.Stage, h.Share = bounded(h.Stage), min(max(h.Share, 0), 1)
	}
	for _, v := range []*float64{&b.Rates.Made, &b.Rates.Learned, &b.Rates.Moved} {
		*v = max(*v, 0)
	}
}

// bounded is one line of text of some length.
func bounded(text string) string {
	runes := []rune(plaintext.Line(text))
	return string(runes[:min(len(runes), maxText)])
}

// inHand is an order that a worker has in hand.
type inHand struct {
	ID    string  `json:"id"`
	Owner string  `json:"owner"`
	Stage string  `json:"stage"`
	Share float64 `json:"share"` // of the stage, 0 to 1
	Steps int     `json:"steps"` // grows as long as it gets on
}

// Rates are measured speeds; 0 is not known.
type Rates struct {
	Made    float64 `json:"megapixels_per_second,omitempty"`         // of prints
	Learned float64 `json:"learned_megapixels_per_second,omitempty"` // of those to which a network adds
	Moved   float64 `json:"megabytes_per_second,omitempty"`          // to or from the server
}

// blend has a new measurement count a third.
func blend(rate *float64, amount float64, took time.Duration) {
	now := amount / max(took.Seconds(), 1e-3)
	if *rate == 0 {
		*rate = now
	}
	*rate += (now - *rate) / 3
}

// made has the time of a print counted.
func (r *Rates) made(recipe *render.Recipe, took time.Duration) {
	blend(r.of(recipe), megapixels(recipe), took)
}

func (r *Rates) of(recipe *render.Recipe) *float64 {
	if recipe.Scale.Learned != (render.Learned{}) {
		return &r.Learned
	}
	return &r.Made
}

func megapixels(r *render.Recipe) float64 {
	w, h := r.Extent()
	return float64(w) * float64(h) / 1e6
}

// rounded is for people.
func (r Rates) rounded() Rates {
	for _, v := range []*float64{&r.Made, &r.Learned, &r.Moved} {
		*v = math.Round(*v*10) / 10
	}
	return r
}
