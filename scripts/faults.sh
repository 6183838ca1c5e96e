#!/usr/bin/env bash
# Runs the daemon through every fault except the soak, audits the studio after each, and
# prints a Markdown table. It takes about an hour on two cores. The full disk and the
# denied permissions need root. Flags are passed to scripts/faults, such as -seed 7.
set -euo pipefail
cd "$(dirname "$0")/.."

dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -o "$dir/faults" ./scripts/faults
"$dir/faults" -table "$@" kills editions full denied gone clock files second hostile workers stopped cut
