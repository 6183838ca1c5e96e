#!/usr/bin/env bash
# Runs every fuzz target for SECONDS of processor time each, one after the other, and
# lists the inputs that were found to break one: fuzz.sh [SECONDS] (600 if not said).
# Little of it goes into making a new input short, or that would be most of it.
# FUZZ=PATTERN picks targets by package and name, such as FUZZ=photo/FuzzPNG.
set -euo pipefail
cd "$(dirname "$0")/.."

seconds=${1:-600} cores=$(nproc)
each=$(((seconds + cores - 1) / cores))s
broken=()
started=$(mktemp)
trap 'rm -f "$started"' EXIT
while read -r package; do
  while read -r target; do
    [[ $package/$target =~ ${FUZZ:-.} ]] || continue
    echo "== $package $target, $each on $cores cores"
    go test -run '^$' -fuzz "^$target\$" -fuzztime "$each" -parallel "$cores" -fuzzminimizetime 1s "$package" </dev/null ||
      broken+=("$package $target")
  done < <(go test -list '^Fuzz' "$package" | grep '^Fuzz')
done < <(grep -rl --include='*_test.go' '^func Fuzz' internal cmd | xargs -n1 dirname | sort -u | sed 's,^,./,')

if ((${#broken[@]})); then
  printf 'broken: %s\n' "${broken[@]}" >&2
  find internal cmd -path '*/testdata/fuzz/*' -type f -newer "$started" >&2
  exit 1
fi
echo "no target was broken"
