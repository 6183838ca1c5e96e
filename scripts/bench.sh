#!/usr/bin/env bash
# Wall time, CPU time, peak memory and file size of whole prints, by sizewright
# and by what general-purpose libraries do of the same job on this machine, in
# one run: scripts/bench.sh [PHOTO.jpg] [RUNS]. Each figure is the median of RUNS
# (default 3). Without PHOTO the demo's 26-megapixel picture (6240x4160) is used.
# Beside it, where they are installed: ImageMagick (imagemagick), libvips
# (libvips-dev, gcc, pkg-config). Needs the package `time` and about 4 GB in $TMPDIR.
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

# measure LABEL OUTFILE COMMAND...: one row, the median by wall time.
measure() {
  local label=$1 out=$2; shift 2
  for ((i = 0; i < runs; i++)); do
    [[ -z ${before:-} ]] || $before
    rm -f $out
    /usr/bin/time -f '%e %U %S %M' -o "$tmp/t" "$@" >/dev/null 2>"$tmp/err" || { rc=$?; ((rc == 3)) || { cat "$tmp/err" >&2; return "$rc"; }; }
    tail -n 1 "$tmp/t"
  done | sort -n | sed -n "$((runs / 2 + 1))p" | while read -r wall user sys rss; do
    size=$(du -cb $out | tail -n 1 | cut -f 1)
    printf '| %s | %s | %.1f | %d | %d |\n' "$label" "$wall" "$(echo "$user + $sys" | bc)" $((rss / 1024)) $((size / 1000000))
  done
}

# A studio with the one picture in one folder; made anew before each run, since
# an order is made once.
lay() {
  rm -rf "$tmp/studio"
  "$tmp/sizewright" init "$tmp/studio" >/dev/null
  printf '[intake]\nsettle = "0s"\n[print]\ncompression = "%s"\n%s\n' "$compression" "${colours:-}" >"$tmp/studio/sizewright.toml"
  cp "$photo" "$tmp/studio/drop/$folder/photo.jpg"
}

echo "$(nproc) cores, $(go version | cut -d' ' -f3), $(date +%F)"
echo
echo '| 26 MP JPEG, 360 ppi, 16-bit | wall s | CPU s | peak RSS MiB | file MB |'
echo '| --- | --- | --- | --- | --- |'
for size in "24x36in 12960 8640" "40x60in 21600 14400"; do
  read -r folder w h <<<"$size"
  for compression in none deflate; do
    before=lay measure "sizewright $folder $compression" "$tmp/studio/outbox/$folder/photo.tif" "$tmp/sizewright" once --studio "$tmp/studio"
    rm -rf "$tmp/studio"
    [[ -z $vips ]] || measure "libvips $folder $compression" "$tmp/v.tif" "$vips" "$photo" "$tmp/v.tif" "$w" "$h" 360 "$compression"
    rm -f "$tmp/v.tif"
  done
done
if [[ -n $convert ]]; then
  for c in None "Zip -define tiff:predictor=2"; do
    # shellcheck disable=SC2086
    MAGICK_CONFIGURE_PATH=$peers measure "ImageMagick 24x36in ${c%% *}" "$tmp/m.tif" "$convert" "$photo" -depth 16 -filter Lanczos -resize '12960x8640!' \
      -unsharp 0x0.85+0.6+0 -units PixelsPerInch -density 360 -compress $c "$tmp/m.tif"
  done
fi

# Colour: what a conversion fused into the print adds, beside Little CMS's own
# program (liblcms2-utils) on the finished 16-bit TIFF. The press profile is made
# by ArgyllCMS (argyll) of FOGRA39L (icc-profiles-free); its row holds the gamut
# measurement and the soft proofs as well.
command -v tificc colprof >/dev/null || exit 0
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
