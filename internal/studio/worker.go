package studio

import (
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path"
	"strings"
	"time"

	"golang.org/x/sys/unix"

	"sizewright/internal/filename"
	"sizewright/internal/system"
)

// Worker is one process at work in the studio, or one that died at it.
type Worker struct {
	ID      string
	PID     int
	Host    string
	Started time.Time
	Shared  bool // it works beside others
	// Alive is true while the worker's lock is held. Where the lock is free, a
	// worker of this machine is dead. One of another machine is taken for alive
	// as long as its file is there, for not every network share passes locks
	// on; TakeOver, which watches its beat, is what removes it.
	Alive bool
	// Progress is what the worker last told Beat, nil if nothing.
	Progress json.RawMessage
}

// register is a worker's file, .sizewright/workers/<id>.json.
type register struct {
	PID      int             `json:"pid"`
	Host     string          `json:"host"`
	Machine  string          `json:"machine,omitempty"` // of this boot; tells two machines of one host name apart
	Shared   bool            `json:"shared,omitempty"`
	Started  time.Time       `json:"started"`
	Beat     uint64          `json:"beat"`
	Progress json.RawMessage `json:"progress,omitempty"`
}

const (
	workerSuffix = ".json"
	guardSuffix  = ".lock"
)

// worker is this process as a worker. A studio that is not locked has one too,
// known to nobody.
type worker struct {
	id    string
	says  register
	guard *os.File // .sizewright/workers/<id>.lock, flocked for life; nil before
}

// newWorker gives this process an ID that no other has or will have. IDs are
// parts of file names, and hold neither "~" nor ".".
func newWorker(machine string, shared bool) *worker {
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	w := &worker{says: register{PID: os.Getpid(), Host: host, Machine: machine, Shared: shared, Started: time.Now().Round(0)}}
	w.id = fmt.Sprintf("%s-%d-%s", cleanHost(host), w.says.PID, randomHex())
	return w
}

func cleanHost(host string) string {
	const longest = 40
	return filename.Shorten(strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '_'
	}, host), longest)
}

func randomHex() string {
	var random [4]byte
	rand.Read(random[:]) // never fails, see crypto/rand
	return hex.EncodeToString(random[:])
}

// thisMachine is an ID that the kernel makes anew at each boot, "" if it cannot be
// had. Two processes with the same one see each other's locks.
func thisMachine() string { return system.BootID() }

// enroll makes this process known, its guard first: a worker whose file is
// seen and whose guard is free is dead.
func (s *Studio) enroll(shared bool) error {
	w := newWorker(s.machine, shared)
	if err := s.guard(w); err != nil {
		return err
	}
	s.self.Store(w)
	return s.writeWorker(w)
}

// guard takes the worker's lock. Somebody may be trying it this moment to see
// whether the worker lives, hence more than one try.
func (s *Studio) guard(w *worker) error {
	rel := workerFile(w.id, guardSuffix)
	for range 100 {
		f, err := s.tree.lockFile(rel, unix.O_CREAT, unix.LOCK_EX)
		if err != nil {
			return err
		}
		if f != nil {
			w.guard = f
			return nil
		}
		time.Sleep(10 * time.Millisecond)
	}
	return fault(rel, "cannot be locked", errors.New("another process keeps it; end that one"))
}

// Beat tells that this worker is alive and how far it is: it replaces the
// worker's file. progress becomes JSON, for Workers to give to whoever asks;
// nil is none. Call it about once a second while working, and every few seconds
// when idle, in any case several times within the lease of TakeOver.
//
// A beat that cannot be written for want of room still counts as one.
func (s *Studio) Beat(progress any) error {
	s.beating.Lock()
	defer s.beating.Unlock()
	if !s.locked.Load() {
		return errNotLocked(s.dir)
	}
	w := s.self.Load()
	w.says.Progress = nil
	if progress != nil {
		data, err := json.Marshal(progress)
		if err != nil {
			return fault(workerFile(w.id, workerSuffix), "cannot be written", err)
		}
		w.says.Progress = data
	}
	w.says.Beat++
	// A worker that slept past its lease finds its files removed.
	if ours, err := s.tree.isAt(w.guard, workerFile(w.id, guardSuffix)); err == nil && !ours {
		w.guard.Close()
		if err := s.guard(w); err != nil {
			return err
		}
	}
	return s.writeWorker(w)
}

func (s *Studio) writeWorker(w *worker) error {
	rel := workerFile(w.id, workerSuffix)
	data, err := json.Marshal(w.says)
	if err != nil {
		return fault(rel, "cannot be written", err)
	}
	if err := s.tree.replaceLoosely(rel, tempName(), append(data, '\n')); err != nil {
		return errors.Join(err, s.tree.touch(rel))
	}
	return nil
}

// leaveWork ends this process's time as a worker. With claims still in hand
// its files stay, so that who sees to the claims knows whose they were.
func (s *Studio) leaveWork() {
	s.beating.Lock()
	defer s.beating.Unlock()
	w := s.self.Load()
	if names, err := s.tree.list(claimsDir); err == nil && !ownsAny(w.id, names) {
		s.tree.discard(workerFile(w.id, workerSuffix)) // else the next Recover does
		s.tree.discard(workerFile(w.id, guardSuffix))
	}
	if w.guard != nil {
		w.guard.Close()
	}
	s.self.Store(newWorker(s.machine, false)) // claims of another time are not its own
}

func ownsAny(worker string, claims []string) bool {
	for _, id := range claims {
		if owner, ok := ownerOf(id); ok && owner == worker {
			return true
		}
	}
	return false
}

func workerFile(id, suffix string) string { return path.Join(workersDir, id+suffix) }
