package intake

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/fsnotify/fsnotify"
	"go.uber.org/zap"
)

// events reports that something may have changed under drop/. The next look sees what.
type events struct {
	changes <-chan fsnotify.Event
	faults  <-chan error // fsnotify.ErrEventOverflow: some changes were not told

	watcher *fsnotify.Watcher // nil where there are no events
	log     *zap.Logger
	told    bool // it was logged that some folder cannot be watched
	shared  bool // it was logged that one is on a share
	kind    func(dir string) fileSystem
}

// newEvents never fails: without events (a watch limit reached, a system that
// has none) the channels stay silent, and rescans do the work.
func newEvents(log *zap.Logger) *events {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		e := &events{log: log}
		e.cannot("", err)
		return e
	}
	return &events{changes: w.Events, faults: w.Errors, watcher: w, log: log, kind: kindOfDir}
}

func (e *events) close() {
	if e.watcher != nil {
		e.watcher.Close()
	}
}

// follow watches drop and the folders under it, and nothing else; where there is no drop,
// the directory that it is to be in. Call it before each look: what changes in a new folder
// before its watch begins is then seen by the look, what changes after is told.
func (e *events) follow(drop string) {
	if e.watcher == nil {
		return
	}
	drop = filepath.Clean(drop)
	// A folder is listed again once it is watched, so that none comes between.
	for range MaxDepth + 1 {
		wanted := []string{drop}
		folders, err := folderPaths(drop)
		if err != nil { // Scan tells of it
			wanted = []string{filepath.Dir(drop), drop}
		}
		for _, folder := range folders {
			wanted = append(wanted, filepath.Join(drop, folder))
		}
		for _, dir := range e.watcher.WatchList() {
			if !slices.Contains(wanted, dir) {
				e.watcher.Remove(dir) // an error means it is gone already
			}
		}
		if !e.watch(wanted) {
			return
		}
	}
}

// moved forgets the watches inside a directory of which there is an event under its own
// name: they tell of what lay there before, and follow takes the name for watched.
func (e *events) moved(ev fsnotify.Event) {
	if e.watcher == nil || !ev.Has(fsnotify.Create) && !ev.Has(fsnotify.Rename) {
		return
	}
	for _, dir := range e.watcher.WatchList() {
		if strings.HasPrefix(dir, ev.Name+string(filepath.Separator)) {
			e.watcher.Remove(dir)
		}
	}
}

// watch has these directories watched, and tells whether one of them was not yet.
func (e *events) watch(wanted []string) (anew bool) {
	watched := e.watcher.WatchList()
	for _, dir := range wanted {
		if slices.Contains(watched, dir) {
			continue
		}
		err := e.watcher.Add(dir)
		anew = anew || err == nil
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			e.cannot(dir, err)
		}
		if k := e.kind(dir); k.share != "" {
			e.onShare(dir, k.share)
		}
	}
	return anew
}

// cannot logs once that a folder cannot be watched.
func (e *events) cannot(dir string, err error) {
	if e.told {
		return
	}
	e.told = true
	e.log.Warn("no events from the drop folders, so new photographs are noticed at the next rescan only; raise fs.inotify.max_user_watches or max_user_instances if the limit was reached",
		zap.String("folder", dir), zap.Error(err))
}

// onShare logs once that a folder's events come from this machine's changes only.
func (e *events) onShare(dir, kind string) {
	if e.shared {
		return
	}
	e.shared = true
	e.log.Info("a drop folder is on a share, where files put by other machines cause no events, so those are noticed at the next rescan only",
		zap.String("folder", dir), zap.String("share", kind))
}
