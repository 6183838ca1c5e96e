package daemon

import (
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"strings"
	"time"

	"sizewright/internal/config"
)

// notifyTime is how long the command that hears of a report may take.
const notifyTime = time.Minute

// notify runs the command of the user's choice, if there is one, with the report's
// JSON on its standard input. Its words come from the configuration alone: nothing
// of a file's name or content is ever part of a command line.
func notify(ctx context.Context, command string, facts []byte, limit time.Duration) error {
	words := strings.FieldsFunc(command, func(r rune) bool { return string(r) == config.MediaSeparator })
	if len(words) == 0 {
		return nil
	}
	// A stop must not keep the morning from being told: the report is written.
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, words[0], words[1:]...)
	cmd.Stdin = bytes.NewReader(facts)
	cmd.WaitDelay = time.Second // for what it started and left behind
	out, err := cmd.CombinedOutput()
	switch {
	case ctx.Err() != nil:
		return fmt.Errorf("the command %q of [morning] notify took more than %v and was stopped", words[0], limit)
	case err != nil:
		said := strings.TrimSpace(string(out[:min(len(out), 200)]))
		return fmt.Errorf("the command %q of [morning] notify failed: %w: %s", words[0], err, said)
	}
	return nil
}
