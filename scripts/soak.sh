#!/usr/bin/env bash
# Sends 500 orders through one studio with constant faults, audits the studio, and fails
# if anything was lost, doubled or half-made, or if the daemon's memory, file handles or
# goroutines grew. Flags are passed to scripts/faults, such as -orders 5000.
set -euo pipefail
cd "$(dirname "$0")/.."
exec go run ./scripts/faults "$@" soak
