#!/usr/bin/env bash
# Prints a Markdown table of how often an enlarged file is recognised: photographs enlarged
# by ImageMagick and libvips, as PNG and as JPEGs of falling quality, and the same
# photographs without enlargement. It takes about five minutes on two cores.
#
#   scripts/enlarged.sh [-factors 1.5,2,3] [-qualities 98,95,92,90,85,75] [-crop 800x600|whole] [FILE...]
#
# Without files it uses photographs of Debian's wallpapers; none is in the repository.
set -euo pipefail
here=$PWD
cd "$(dirname "$0")/.."

packages=(imagemagick libvips-tools)
files=false
for a in "$@"; do [[ -f $a ]] && files=true; done
$files || packages+=(plasma-workspace-wallpapers lomiri-wallpapers-16.04 lomiri-wallpapers-20.04)
missing=()
for p in "${packages[@]}"; do
  dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'ok installed' || missing+=("$p")
done
if ((${#missing[@]})); then
  echo "enlarged.sh: install these packages first: apt-get install --no-install-recommends ${missing[*]}" >&2
  exit 1
fi
if ! $files; then
  for p in FallenLeaf EveningGlow ColdRipple OneStandsOut BytheWater Autumn Kite Path; do
    set -- "$@" "/usr/share/wallpapers/$p/contents/images/2560x1600.jpg"
  done
  set -- "$@" /usr/share/backgrounds/{Kleiber,aitzgorri,life,friends}_by_*.jpg
fi

tmp=$(mktemp -d); trap 'rm -rf "$tmp"' EXIT
go build -o "$tmp/enlarged" ./scripts/enlarged
cd "$here"
TMPDIR=$tmp "$tmp/enlarged" "$@"
