#!/usr/bin/env bash
# Makes morning pages of 1, 9, 36 and 200 pictures, opens each in chromium, light, dark, on a
# phone and printed, and prints where the wall ends and how long opening takes. Pictures of the
# pages are kept in the folder that is given, or in a new one. Needs chromium and axe-core
# (npm ci in scripts/axe). Then it times the heaviest page: 200 prints that have everything.
set -euo pipefail
cd "$(dirname "$0")/.."
shots=${1:-$(mktemp -d)}
mkdir -p "$shots"
MORNING_SHOTS=$(realpath "$shots") go test ./internal/report -run TestLookAtNights -v -count=1 -timeout 30m
go test ./internal/report -run - -bench TwoHundred -benchtime 3x
echo "the pictures are in $shots"
