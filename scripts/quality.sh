#!/usr/bin/env bash
# Prints a Markdown table of enlargement quality: real photographs reduced by 2, 3 and 4
# and enlarged back by sizewright, by every ImageMagick filter and by libvips, with PSNR,
# SSIM and overshoot at edges. It takes about three minutes on two cores.
#
#   scripts/quality.sh [-pictures FILE-OR-FOLDER,...] [-factors 2,3,4] [-only REGEXP]
#                      [-kernels NAME,...|all] [-crop 768x528] [-csv FILE]
#
# The photographs are Debian's wallpapers (listed in scripts/quality/pictures.go); none is
# in the repository. -pictures uses others instead. scripts/quality/main.go describes the
# measurements.
set -euo pipefail
here=$PWD
cd "$(dirname "$0")/.."

packages=(imagemagick libvips-tools)
[[ " $* " == *" -pictures"* || " $* " == *" --pictures"* ]] ||
  packages+=(plasma-workspace-wallpapers lomiri-wallpapers-16.04 lomiri-wallpapers-20.04)
missing=()
for p in "${packages[@]}"; do
  dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'ok installed' || missing+=("$p")
done
if ((${#missing[@]})); then
  if ((EUID != 0)); then
    echo "quality.sh: install these packages first: apt-get install --no-install-recommends ${missing[*]}" >&2
    exit 1
  fi
  {
    apt-get update -q
    DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "${missing[@]}"
  } >&2
fi

# Built here but run in the caller's directory, for relative paths.
tmp=$(mktemp -d); trap 'rm -rf "$tmp"' EXIT
go build -o "$tmp/quality" ./scripts/quality
cd "$here"
TMPDIR=$tmp "$tmp/quality" "$@"
