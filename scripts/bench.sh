#!/usr/bin/env bash
# Measures whole prints by sizewright and the same work by general-purpose libraries on
# this machine in one run: wall time, CPU time, peak memory, file size and the ratio of
# the times. Then it measures how busy a queue of prints keeps the cores.
#
#   scripts/bench.sh [PHOTO.jpg] [RUNS]
#
# Each figure is the median of RUNS (default 3). Without PHOTO it uses the demo's
# 26-megapixel picture (6240x4160). ImageMagick (imagemagick) and libvips (libvips-dev,
# gcc, pkg-config) are measured if installed. It needs the package `time` and about 4 GB
# in $TMPDIR.
set -euo pipefail
cd "$(dirname "$0")/.."
command -v /usr/bin/time >/dev/null || { echo "install the package: time" >&2; exit 1; }
tmp=$(mktemp -d); trap 'rm -rf "$tmp"' EXIT
runs=${2:-3}
photo=${1:-}
go build -o "$tmp/sizewright" ./cmd/sizewright
if [[ -z $photo ]]; then
  photo=$tmp/photo.jpg
  go run ./scripts/benchpicture "$photo"
fi
peers=$PWD/scripts/peers
vips=
if command -v gcc pkg-config >/dev/null && pkg-config --exists vips; then
  vips=$tmp/libvips_print
  # shellcheck disable=SC2046
  gcc -O2 "$peers/libvips_print.c" -o "$vips" $(pkg-config --cflags --libs vips)
fi
convert=$(command -v convert-im6.q16 || true)

# measure LABEL OUTFILE COMMAND...: prints one row, the median by wall time, and leaves
# its wall time in $tmp/wall. If $against is set, the last column is $against divided by
# the wall time.
measure() {
  local label=$1 out=$2; shift 2
  for ((i = 0; i < runs; i++)); do
    [[ -z ${before:-} ]] || $before
    rm -f $out
    /usr/bin/time -f '%e %U %S %M' -o "$tmp/t" "$@" >/dev/null 2>"$tmp/err" || { rc=$?; ((rc == 3)) || { cat "$tmp/err" >&2; return "$rc"; }; }
    tail -n 1 "$tmp/t"
  done | sort -n | sed -n "$((runs / 2 + 1))p" >"$tmp/median"
  read -r wall user sys rss <"$tmp/median"
  size=$(du -cb $out | tail -n 1 | cut -f 1)
  printf '| %s | %s | %.1f | %d | %d | %s |\n' "$label" "$wall" "$(echo "$user + $sys" | bc)" $((rss / 1024)) $((size / 1000000)) \
    "${against:+$(echo "scale=2; $against / $wall" | bc | sed 's/^\./0./')}"
}

# A studio with one picture in one folder, made again before each run, because an order
# is printed only once.
lay() {
  rm -rf "$tmp/studio"
  "$tmp/sizewright" init "$tmp/studio" >/dev/null
  printf '[intake]\nsettle = "0s"\n[print]\ncompression = "%s"\n%s\n' "$compression" "${colours:-}" >"$tmp/studio/sizewright.toml"
  mkdir -p "$tmp/studio/drop/$folder"
  cp "$photo" "$tmp/studio/drop/$folder/photo.jpg"
}

echo "$(nproc) cores, $(go version | cut -d' ' -f3), $(date +%F)"
echo
echo '| 26 MP JPEG, 360 ppi, 16-bit | wall s | CPU s | peak RSS MiB | file MB | sizewright takes, of that |'
echo '| --- | --- | --- | --- | --- | --- |'
convert_to() { # WIDTHxHEIGHT COMPRESSION OUT
  MAGICK_CONFIGURE_PATH=$peers "$convert" "$photo" -depth 16 -filter Lanczos -resize "$1!" \
    -unsharp 0x0.85+0.6+0 -units PixelsPerInch -density 360 -compress $2 "$3"
}
export -f convert_to
export peers convert photo
for size in "24x36in 12960 8640" "40x60in 21600 14400"; do
  read -r folder w h <<<"$size"
  for compression in none deflate; do
    against='' before=lay measure "sizewright $folder $compression" "$tmp/studio/outbox/$folder/photo.tif" "$tmp/sizewright" once --studio "$tmp/studio"
    ours=$wall
    rm -rf "$tmp/studio"
    [[ -z $vips ]] || against=$ours measure "libvips" "$tmp/v.tif" "$vips" "$photo" "$tmp/v.tif" "$w" "$h" 360 "$compression"
    rm -f "$tmp/v.tif"
    if [[ -n $convert && $folder == 24x36in ]]; then
      zip=None; [[ $compression == none ]] || zip='Zip -define tiff:predictor=2'
      against=$ours measure "ImageMagick" "$tmp/m.tif" bash -c "convert_to ${w}x$h '$zip' $tmp/m.tif"
      rm -f "$tmp/m.tif"
    fi
  done
done
# Twice as large, to show how memory and time grow.
folder=60x90in compression=none colours='minimum_ppi = 50' against='' before=lay \
  measure "sizewright 60x90in none" "$tmp/studio/outbox/60x90in/photo.tif" "$tmp/sizewright" once --studio "$tmp/studio"
rm -rf "$tmp/studio"

# A queue: the same picture many times, each with one different byte at its end, because
# identical files would be printed once. The studio is in memory if there is room, so that
# the cores are measured and not the disk.
queue=12
hall=$tmp; [[ $(df --output=avail -BG /dev/shm 2>/dev/null | tail -n 1 | tr -dc 0-9) -lt 12 ]] || { hall=$(mktemp -d -p /dev/shm); trap 'rm -rf "$tmp" "$hall"' EXIT; }
"$tmp/sizewright" init "$hall/queue" >/dev/null
printf '[intake]\nsettle = "0s"\n' >"$hall/queue/sizewright.toml"
for ((i = 0; i < queue; i++)); do
  { cat "$photo"; printf '%d' "$i"; } >"$hall/queue/drop/24x36in/$i.jpg"
done
/usr/bin/time -f '%e %U %S %M' -o "$tmp/t" "$tmp/sizewright" once --studio "$hall/queue" >/dev/null 2>&1 || true
read -r wall user sys rss < <(tail -n 1 "$tmp/t")
rm -rf "$hall/queue"
echo
echo "A queue of $queue prints of 24x36 in, deflate: $wall s, $(echo "scale=1; $wall / $queue" | bc) s a print, $(nproc) cores busy for $(echo "100 * ($user + $sys) / $wall / $(nproc)" | bc) %, peak RSS $((rss / 1024)) MiB"

# Colour: what a conversion adds to a print, and Little CMS's own program
# (liblcms2-utils) on the finished 16-bit TIFF. ArgyllCMS (argyll) makes the press profile
# from FOGRA39L (icc-profiles-free); its row includes the gamut measurement and the soft
# proofs.
command -v tificc colprof >/dev/null || exit 0
echo
echo '| 24x36 in, uncompressed | wall s | CPU s | peak RSS MiB | file MB | |'
echo '| --- | --- | --- | --- | --- | --- |'
against=
cp /usr/share/color/icc/FOGRA39L.ti3 "$tmp/press.ti3"
(cd "$tmp" && colprof -ql -kz -al press 2>/dev/null)
folder=24x36in compression=none
one() { before=lay measure "$1" "$tmp/studio/outbox/$folder/photo.tif" "$tmp/sizewright" once --studio "$tmp/studio"; }
colours='' one "sizewright $folder, its own profile"
mv "$tmp/studio/outbox/$folder/photo.tif" "$tmp/own.tif"
colours='working_space = "romm"' one "sizewright $folder, to ROMM RGB"
colours="profile = \"$tmp/press.icc\"" one "sizewright $folder, to the press, with proofs and gamut"
rm -rf "$tmp/studio"
for icc in /usr/share/color/icc/colord/ProPhotoRGB.icc "$tmp/press.icc"; do
  measure "tificc alone, to $(basename "$icc" .icc)" "$tmp/t.tif" tificc -w16 -t1 -b -o"$icc" "$tmp/own.tif" "$tmp/t.tif"
done
