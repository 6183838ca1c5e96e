#!/usr/bin/env bash
# Measures the print of a picture larger than memory: 600 megapixels of 16 bits to
# 44x120 in, once with memory enough and once in a control group of 1 GiB. It gives wall
# time, and the most anonymous and shared memory together, and compares the prints.
#
#   scripts/large.sh [WIDTH HEIGHT]
#
# It needs root for the control group, the package `time`, and about 20 GB in $TMPDIR.
set -euo pipefail
cd "$(dirname "$0")/.."
tmp=$(mktemp -d); trap 'rm -rf "$tmp"' EXIT
go build -o "$tmp/sizewright" ./cmd/sizewright
go run ./scripts/benchpicture "$tmp/wall.tif" "${1:-14833}" "${2:-40450}"

if [[ -e /sys/fs/cgroup/cgroup.controllers ]] && grep -qw memory /sys/fs/cgroup/cgroup.controllers; then
  group=/sys/fs/cgroup/sizewright-large limit=memory.max anonymous=anon
else
  group=/sys/fs/cgroup/memory/sizewright-large limit=memory.limit_in_bytes anonymous=rss
fi

# measure LABEL BYTES MAX_DECODE_MIB: one row, and the print's digest into $tmp/LABEL.
measure() {
  rm -rf "$tmp/studio"
  "$tmp/sizewright" init "$tmp/studio" >/dev/null
  printf '[intake]\nsettle = "0s"\n[limits]\nmax_decode_mib = %d\nmax_memory_mib = %d\n' "$3" $(($3 + 1024)) >"$tmp/studio/sizewright.toml"
  mkdir -p "$tmp/studio/drop/44x120in" "$group"
  mv "$tmp/wall.tif" "$tmp/studio/drop/44x120in/wall.tif"
  echo "$2" >"$group/$limit"
  sync; [[ ! -w /proc/sys/vm/drop_caches ]] || echo 3 >/proc/sys/vm/drop_caches
  bash -c "echo \$\$ >$group/cgroup.procs; exec /usr/bin/time -f '%e %U %S' -o $tmp/t $tmp/sizewright once --studio $tmp/studio" >"$tmp/out" 2>&1 &
  local most=0 now pid=$!
  while kill -0 "$pid" 2>/dev/null; do
    now=$(awk -v a="$anonymous" '$1 == a || $1 == "shmem" {n += $2} END {print int(n / 1048576)}' "$group/memory.stat")
    ((now <= most)) || most=$now
    sleep 0.2
  done
  wait "$pid" || true
  [[ -f $tmp/studio/outbox/44x120in/wall.tif ]] || { cat "$tmp/out"; exit 1; }
  read -r wall user sys <"$tmp/t"
  printf '| %s | %s | %.1f | %d |\n' "$1" "$wall" "$(echo "$user + $sys" | bc)" "$most"
  sha256sum <"$tmp/studio/outbox/44x120in/wall.tif" >"$tmp/${1// /-}"
  mv "$tmp/studio/originals/44x120in/wall.tif" "$tmp/wall.tif"
  rm -rf "$tmp/studio"; rmdir "$group"
}

echo "$(nproc) cores, $(date +%F)"
echo
echo '| 600 MP, 16-bit, to 44x120 in | wall s | CPU s | anonymous and shared MiB |'
echo '| --- | --- | --- | --- |'
measure "memory enough" $((64 << 30)) 16384
measure "within 1 GiB" $((1 << 30)) 4096
cmp "$tmp/memory-enough" "$tmp/within-1-GiB" && echo "The prints are the same."
