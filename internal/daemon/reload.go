package daemon

import (
	"fmt"
	"path/filepath"

	"github.com/coreos/go-systemd/v22/daemon"
	"go.uber.org/zap"

	"sizewright/internal/config"
	"sizewright/internal/order"
	"sizewright/internal/record"
	"sizewright/internal/system"
)

// configuration is what holds now. An order keeps what held when it was taken.
func (w *worker) configuration() *config.Config {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.Config
}

// desk decides orders by what holds now.
func (w *worker) desk() *order.Desk {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.orders
}

func (w *worker) newDesk(c *config.Config) *order.Desk {
	return order.NewDesk(c, w.Studio.Root(), w.Memory, w.Decode, w.Now)
}

// reload reads the configuration again, profiles with it. One with a mistake changes
// nothing: each mistake is logged, and every morning report says so until it is mended.
func (w *worker) reload() (changed bool) {
	tell(w.Log, daemon.SdNotifyReloading+fmt.Sprintf("\nMONOTONIC_USEC=%d", system.Monotonic().Microseconds()))
	defer tell(w.Log, daemon.SdNotifyReady)
	path := w.Studio.ConfigPath()
	cfg, err := config.Load(path)
	if err != nil {
		w.Log.Error("the configuration has mistakes, so the one before goes on: " + err.Error())
		w.mu.Lock()
		defer w.mu.Unlock()
		w.mistake = record.Left{Name: filepath.Base(path), Text: fmt.Sprintf("%v; what held before went on being used: mend it and reload", err)}
		return false
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.Config, w.orders, w.mistake = cfg, w.newDesk(cfg), record.Left{}
	w.warn()
	w.Log.Info("the configuration was read again", zap.String("file", path))
	return true
}
