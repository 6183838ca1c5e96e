#!/usr/bin/env bash
# Builds the Debian packages for amd64 and arm64 and prints their paths:
# package.sh [DIRECTORY] (default dist). ARCH="amd64" builds one of them.
#
# A commit with the tag of CHANGELOG.md's newest version gets that version. Any other
# commit is named after its date and hash; its version is later than the newest tagged
# version and earlier than one that has no tag yet.
set -euo pipefail
cd "$(dirname "$0")/.."

dist=$(realpath -m "${1:-dist}")
nfpm=github.com/goreleaser/nfpm/v2/cmd/nfpm@v2.48.0
stage=$(mktemp -d)
trap 'rm -rf "$stage"' EXIT
umask 022
export CGO_ENABLED=0 GOFLAGS=-trimpath

version=$(sed -n 's/^## v\?\([0-9][0-9.]*\).*/\1/p' CHANGELOG.md | head -n 1)
version=${version:-0.0.0}
if git rev-parse --quiet --verify HEAD >/dev/null; then
  SOURCE_DATE_EPOCH=$(git log -1 --format=%ct)
  commit=$(date -u -d "@$SOURCE_DATE_EPOCH" +%Y%m%d%H%M%S).$(git rev-parse --short=12 HEAD)
  if ! git tag --list "v$version" | grep -q . && [[ $version != 0.0.0 ]]; then
    version=$version-$commit
  elif ! git tag --points-at HEAD | grep -qx "v$version"; then
    version=$version+$commit
  fi
else
  SOURCE_DATE_EPOCH=$(stat -c %Y CHANGELOG.md)
fi
export SOURCE_DATE_EPOCH
flags=(-ldflags "-s -w -X sizewright/internal/version.packaged=v$version")
debian=${version/-/\~}-1
day=$(date -u -d "@$SOURCE_DATE_EPOCH" +%F)
maintainer='sizewright maintainers <maintainers@sizewright.invalid>'

# put MODE FILE PLACE adds a file to the package; - is standard input.
put() { install -D -m "$1" "${2/#-/\/dev/stdin}" "$stage/root/$3"; }

# The licences of everything that is linked in.
copyright() {
  echo 'sizewright is licensed under the Apache License, version 2.0, which is in'
  echo '/usr/share/common-licenses/Apache-2.0. Its program contains the following.'
  local name file
  {
    echo "The Go standard library|$(go env GOROOT)"
    echo "internal/exact, from the Go standard library|internal/exact"
    go list -deps -f '{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}|{{.Dir}}{{end}}{{end}}' ./cmd/sizewright | sort -u
  } | while IFS='|' read -r name file; do
    printf '\n\n%s\n\n' "$name"
    file=$(find "$file" -maxdepth 1 -iname 'LICENSE*' -o -maxdepth 1 -iname COPYING | sort | head -n 1)
    if [[ -z $file ]]; then
      echo "$name has no licence file" >&2
      return 1
    fi
    if grep -q 'Apache License' "$file"; then
      echo 'Licensed under the Apache License, version 2.0: /usr/share/common-licenses/Apache-2.0.'
      [[ ! -f ${file%/*}/NOTICE ]] || cat "${file%/*}/NOTICE"
    else
      cat "$file"
    fi
  done
}

build() {
  local arch=$1 doc=usr/share/doc/sizewright
  rm -rf "$stage/root"
  GOOS=linux GOARCH=$arch go build "${flags[@]}" -o "$stage/sizewright" ./cmd/sizewright
  put 755 "$stage/sizewright" usr/bin/sizewright
  sed -e 's,/usr/local/bin/,/usr/bin/,' -e '/^Description=/a Documentation=man:sizewright(1)' systemd/sizewright@.service |
    put 644 - 'usr/lib/systemd/system/sizewright@.service'
  sed -e 's,/usr/local/bin/,/usr/bin/,' -e '/^Description=/a Documentation=man:sizewright-worker(1)' systemd/sizewright-worker.service |
    put 644 - usr/lib/systemd/system/sizewright-worker.service
  put 644 systemd/machines.conf $doc/examples/machines.conf
  put 644 systemd/sizewright.sysusers.conf usr/lib/sysusers.d/sizewright.conf
  for page in "$stage"/man/*.1; do
    gzip -9n <"$page" | put 644 - "usr/share/man/man1/${page##*/}.gz"
  done
  "$stage/native" completion bash | put 644 - usr/share/bash-completion/completions/sizewright
  "$stage/native" completion zsh | put 644 - usr/share/zsh/vendor-completions/_sizewright
  "$stage/native" completion fish | put 644 - usr/share/fish/vendor_completions.d/sizewright.fish
  put 644 configs/sizewright.toml $doc/examples/sizewright.toml
  put 644 README.md $doc/README.md
  gzip -9n <CHANGELOG.md | put 644 - $doc/changelog.gz
  printf 'sizewright (%s) stable; urgency=medium\n\n  * The changes are in changelog.gz.\n\n -- %s  %s\n' \
    "$debian" "$maintainer" "$(date -u -R -d "@$SOURCE_DATE_EPOCH")" | gzip -9n | put 644 - $doc/changelog.Debian.gz
  put 644 "$stage/copyright" $doc/copyright
  put 644 scripts/package/lintian-overrides usr/share/lintian/overrides/sizewright
  config "$arch" >"$stage/nfpm.yaml"
  mkdir -p "$dist"
  go run "$nfpm" package --config "$stage/nfpm.yaml" --packager deb --target "$dist/sizewright_${debian}_$arch.deb" >&2
  echo "$dist/sizewright_${debian}_$arch.deb"
}

config() {
  cat <<YAML
name: sizewright
arch: $1
version: $debian
version_schema: none
section: graphics
priority: optional
maintainer: $maintainer
license: Apache-2.0
mtime: $(date -u -d "@$SOURCE_DATE_EPOCH" +%FT%TZ)
description: |
  print-ready TIFFs from photographs in size-named folders
  A daemon turns photographs dropped into folders named after sizes into TIFFs
  at the printer's own resolution, sharpened for their paper and laid out on
  it. What a file does not carry is held with the reason. A morning report says
  what is ready, what to look at, and what was not made and why.
depends: [systemd | systemd-standalone-sysusers | systemd-sysusers]
recommends: [libheif-examples, libheif-plugin-libde265, libheif-plugin-dav1d]
contents: [{src: $stage/root, dst: /, type: tree}]
scripts: {postinstall: scripts/package/postinst, preremove: scripts/package/prerm, postremove: scripts/package/postrm}
deb: {compression: gzip}
YAML
}

go build "${flags[@]}" -o "$stage/native" ./cmd/sizewright
mkdir "$stage/man"
go run ./scripts/manpages "$stage/native" "$stage/man" "$day"
copyright >"$stage/copyright"
for arch in ${ARCH:-amd64 arm64}; do
  build "$arch"
done
