#!/usr/bin/env bash
# Puts the daemon through every kind of bad night but the soak, audits the studio after
# each, and prints a Markdown table. It takes some 20 minutes on two cores; the disk that
# fills up and permissions taken need root. Flags go on to scripts/faults: -seed 7.
set -euo pipefail
cd "$(dirname "$0")/.."

dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
go build -o "$dir/faults" ./scripts/faults
"$dir/faults" -table "$@" kills full denied gone clock files second hostile
