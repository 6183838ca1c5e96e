package daemon

import (
	"context"
	"fmt"
	"path/filepath"
	"sync"

	"github.com/coreos/go-systemd/v22/daemon"
	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/photo"
	"sizewright/internal/plaintext"
	"sizewright/internal/record"
	"sizewright/internal/system"
)

// settings are the configuration in use, as the desk that decides by it, and what
// is wrong with the one that was to take its place.
type settings struct {
	mu      sync.Mutex
	current *order.Desk
	mistake record.Left // "" where there is none
}

// desk decides by the configuration in use. An order keeps the desk of when it was taken.
func (s *settings) desk() *order.Desk {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.current
}

func (s *settings) set(d *order.Desk, mistake record.Left) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.current, s.mistake = d, mistake
}

// addFaults adds what every report says of the configuration until it is mended.
func (s *settings) addFaults(day record.Night) record.Night {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.mistake.Text != "" {
		day.Left = append(day.Left, s.mistake)
	}
	for _, p := range s.current.Config.Warnings {
		day.Left = append(day.Left, record.Left{Name: filepath.Base(p.File), Text: plaintext.Line(p.Warning())})
	}
	return day
}

// configuration is the one in use.
func (r *run) configuration() *config.Config { return r.settings.desk().Config }

// configure puts a configuration to use.
func (r *run) configure(c *config.Config) {
	r.settings.set(order.NewDesk(c, r.Studio.Root(), r.Memory, r.Decode, r.Now), record.Left{})
	for _, p := range c.Warnings {
		r.Log.Warn("in the configuration: " + p.Warning())
	}
}

// reload reads the configuration again, profiles with it. One with a mistake changes
// nothing: each mistake is logged, and every morning report says so until it is mended.
func (r *run) reload() (changed bool) {
	sdNotify(r.Log, daemon.SdNotifyReloading+fmt.Sprintf("\nMONOTONIC_USEC=%d", system.Monotonic().Microseconds()))
	defer sdNotify(r.Log, daemon.SdNotifyReady)
	path := r.Studio.ConfigPath()
	c, err := config.Load(path)
	if err != nil {
		r.Log.Error("the configuration has mistakes, so the earlier one stays in use: " + err.Error())
		r.settings.set(r.settings.desk(), record.Left{Name: filepath.Base(path), Text: fmt.Sprintf("%v; the earlier configuration stays in use", err), Remedy: "mend it and reload"})
		return false
	}
	if c.Machines != r.configuration().Machines {
		r.Log.Warn("what [machines] says now is used from the next start on")
	}
	r.configure(c)
	r.Log.Info("the configuration was read again", zap.String("file", path))
	return true
}

// look decodes a photograph for the report to show, as for an order.
func (r *run) look(ctx context.Context, file string) (*photo.Photo, error) {
	return r.settings.desk().Open(ctx, file)
}
