#!/usr/bin/env bash
# Runs every fuzz target for SECONDS of processor time, one after the other, and lists the
# inputs that broke one: fuzz.sh [SECONDS] (default 600). Little of that time goes into
# minimising new inputs. FUZZ=PATTERN selects targets by package and name, such as
# FUZZ=photo/FuzzPNG.
set -euo pipefail
cd "$(dirname "$0")/.."

seconds=${1:-600} cores=$(nproc)
((cores <= seconds)) || cores=$seconds
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
touch "$scratch/started"
export TIMEFORMAT='%0U %0S'

# Up to Go 1.26 a target sometimes fails when its time ends, with these lines and no input
# (https://go.dev/issue/75804).
only_the_clock() {
  [[ $(sed -n '/^--- FAIL/,$p' "$1" | sed 's/ *(.*s)$//; s/^ *//') == \
    "--- FAIL: $2"$'\ncontext deadline exceeded\nFAIL' ]]
}

once() {
  cd "$1"
  "$scratch/fuzz.test" -test.run '^$' -test.fuzz "^$2\$" -test.fuzztime "$3s" -test.parallel "$cores" \
    -test.fuzzminimizetime 1s -test.fuzzcachedir "$(go env GOCACHE)/fuzz/$(go list .)" </dev/null 2>&1
}

# Repeats until the processor time is used up, whatever else the machine does.
fuzz() {
  local package=$1 target=$2 left=$seconds user system
  echo "== $package $target"
  while ((left > seconds / 20)); do
    { time (once "$package" "$target" $(((left + cores - 1) / cores)) | tee "$scratch/said"); } 2>"$scratch/time" ||
      only_the_clock "$scratch/said" "$target" || return 1
    read -r user system <"$scratch/time"
    ((left -= user + system + 1)) || true
  done
  echo "== $package $target: $((seconds - left)) s of processor time"
}

broken=()
while read -r package; do
  go test -vet=off -c -fuzz . -o "$scratch/fuzz.test" "$package"
  while read -r target; do
    [[ $package/$target =~ ${FUZZ:-.} ]] || continue
    fuzz "$package" "$target" || broken+=("$package $target")
  done < <("$scratch/fuzz.test" -test.list '^Fuzz')
done < <(grep -rl --include='*_test.go' '^func Fuzz' internal cmd | xargs -n1 dirname | sort -u | sed 's,^,./,')

if ((${#broken[@]})); then
  printf 'broken: %s\n' "${broken[@]}" >&2
  find internal cmd -path '*/testdata/fuzz/*' -type f -newer "$scratch/started" >&2
  exit 1
fi
echo "no target was broken"
