#!/usr/bin/env bash
# The table of whether the true resolution holds on whole photographs: the effective
# width as they are and reduced by 1.25 to 3, and what is found of a blur. Markdown
# on standard output, some ten seconds a photograph on one core.
#
#   scripts/softness.sh [FILE or FOLDER...]
#
# Without files: the photographs of Debian's packages that internal/detail lists,
# and those of some openly licensed repositories, which are fetched and not kept.
set -euo pipefail
here=$PWD
cd "$(dirname "$0")/.."

packages=(libvips-tools)
(($#)) || packages+=(git plasma-workspace-wallpapers lomiri-wallpapers-16.04 lomiri-wallpapers-20.04 mate-backgrounds python3-skimage python3-sklearn)
missing=()
for p in "${packages[@]}"; do
  dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'ok installed' || missing+=("$p")
done
if ((${#missing[@]})); then
  echo "softness.sh: install these packages first: apt-get install --no-install-recommends ${missing[*]}" >&2
  exit 1
fi

tmp=$(mktemp -d); trap 'rm -rf "$tmp"' EXIT
go build -o "$tmp/softness" ./scripts/softness
if ! (($#)); then
  while read -r _ _ path; do set -- "$@" "$path"; done < internal/detail/testdata/photographs.txt
  # By their own readme files: "free to use these media files however you wish"; what was
  # contributed is under CC-BY-SA-4.0. Neither has a licence file.
  for repository in drewnoakes/metadata-extractor-images ianare/exif-samples; do
    git clone -q --depth 1 "https://github.com/$repository" "$tmp/$(basename "$repository")"
  done
  # Of small files there is little to say.
  while IFS= read -r -d '' path; do
    set -- "$@" "$path"
  done < <(find "$tmp" -iname '*.jp*g' -size +900k -print0 | sort -z)
fi
cd "$here"
TMPDIR=$tmp "$tmp/softness" "$@"
