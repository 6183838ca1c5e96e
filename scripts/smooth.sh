#!/usr/bin/env bash
# Prints a Markdown table of what sharpening does to the noise of smooth areas: whole
# photographs printed with and without sharpening, and how much the standard deviation of
# their calm areas grows. It takes about two minutes on two cores.
#
#   scripts/smooth.sh [-scales 0.35,0.6,1,1.5,2,3] [-surface glossy|lustre|matte|canvas] [FILE...]
#
# Without files it uses photographs of Debian's wallpapers; none is in the repository.
# scripts/smooth/main.go describes the areas and how they are measured.
set -euo pipefail
here=$PWD
cd "$(dirname "$0")/.."

files=false
for a in "$@"; do [[ -f $a ]] && files=true; done
if ! $files; then
  packages=(plasma-workspace-wallpapers lomiri-wallpapers-16.04 lomiri-wallpapers-20.04 mate-backgrounds)
  missing=()
  for p in "${packages[@]}"; do
    dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'ok installed' || missing+=("$p")
  done
  if ((${#missing[@]})); then
    echo "smooth.sh: install these packages first: apt-get install --no-install-recommends ${missing[*]}" >&2
    exit 1
  fi
  for p in Autumn BytheWater ColdRipple EveningGlow FallenLeaf OneStandsOut; do
    set -- "$@" "/usr/share/wallpapers/$p/contents/images/2560x1600.jpg"
  done
  set -- "$@" /usr/share/backgrounds/{Bridge,Dragonfly,Kleiber,aitzgorri,friends,life,picosdeeuropa,sunset}_by_*.jpg \
    /usr/share/backgrounds/mate/nature/{Dune,Garden,LadyBird,RainDrops,Storm,Wood}.jpg
fi

tmp=$(mktemp -d); trap 'rm -rf "$tmp"' EXIT
go build -o "$tmp/smooth" ./scripts/smooth
cd "$here"
"$tmp/smooth" "$@"
