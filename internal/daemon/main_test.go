package daemon

import (
	"context"
	"fmt"
	"os"
	"testing"
	"time"

	"sizewright/internal/isolate"
)

// notifying is a command to be run as notify runs it, by a process that does only that.
const notifying = "DAEMON_TEST_NOTIFIES"

func TestMain(m *testing.M) {
	if isolate.Main() {
		return
	}
	if command := os.Getenv(notifying); command != "" {
		if err := notify(context.Background(), command, nil, time.Minute); err != nil {
			fmt.Println(err)
		}
		return
	}
	os.Exit(m.Run())
}
