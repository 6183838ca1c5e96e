#!/usr/bin/env bash
# Installs what the tests need on a Debian machine with Go, and runs them all.
set -euo pipefail
cd "$(dirname "$0")/.."
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

# Reference readers and converters the prints are checked against; profiles of
# the standard spaces.
packages=(libtiff-tools libimage-exiftool-perl libvips-tools imagemagick libjpeg-turbo-progs pngcheck
  liblcms2-utils icc-profiles-free colord-data argyll)
# Real photographs, which no generated picture stands for.
packages+=(plasma-workspace-wallpapers lomiri-wallpapers-16.04 lomiri-wallpapers-20.04 mate-backgrounds)
# A browser and a checker for the morning page.
packages+=(chromium)
command -v npm >/dev/null || packages+=(npm) # some nodejs packages bring it
# What judges the service's unit and what it calls; a program that copies files.
packages+=(systemd strace rsync)
# What the Debian package's man pages and completions are opened with.
packages+=(man-db bash-completion)
# Runs programs for arm64.
packages+=(qemu-user-static)
# The race detector needs a C compiler.
packages+=(gcc libc6-dev)

missing=()
for p in "${packages[@]}"; do
  dpkg-query -W -f='${Status}' "$p" 2>/dev/null | grep -q 'ok installed' || missing+=("$p")
done
if ((${#missing[@]})); then
  root=(); ((EUID == 0)) || root=(sudo)
  "${root[@]}" apt-get update -q
  DEBIAN_FRONTEND=noninteractive "${root[@]}" apt-get install -y -q --no-install-recommends "${missing[@]}"
fi

npm ci --silent --no-audit --no-fund --prefix scripts/axe

go mod verify
unformatted=$(gofmt -l cmd configs internal scripts)
if [[ -n $unformatted ]]; then
  echo "not gofmt's form: $unformatted" >&2
  exit 1
fi
go vet ./...
go vet -tags manpages ./cmd/sizewright
go tool staticcheck ./...
CGO_ENABLED=0 go build -o /dev/null ./cmd/sizewright
# Every command, for every system that it is made for. macOS is compiled and vetted, not
# run; the overlay leaves out the tests, some of which know Linux alone.
overlay=$scratch/overlay.json
find "$PWD" -name '*_test.go' -printf '"%p":""\n' | paste -sd, | sed 's/.*/{"Replace":{&}}/' >"$overlay"
for target in linux/arm64 darwin/arm64 darwin/amd64; do
  export GOOS=${target%/*} GOARCH=${target#*/} CGO_ENABLED=0
  go vet -overlay "$overlay" ./...
  go build ./...
done
unset GOOS GOARCH CGO_ENABLED
# Without fused products a print is the same on every platform: where pixels are made or
# something is decided, the arm64 program has none left. A conversion keeps a product
# apart: float64(x*y) + z. See package exact.
program=$scratch/sizewright
GOARCH=arm64 CGO_ENABLED=0 go build -o "$program" ./cmd/sizewright
makes='caption|colour|detail|exact|ladder|order|photo|printsize|render|sheet|sheet/roll|tiff|vector|vision'
code=$(go tool objdump -s "^sizewright/internal/($makes)[.]" "$program")
if [[ $code != *'sizewright/internal/exact.Pow('* || $code != *FMULD* ]]; then
  echo 'the code of the arm64 program cannot be read' >&2
  exit 1
fi
if fused=$(grep -E '^TEXT|\bFN?M(ADD|SUB)[SD]\b' <<<"$code" | grep -B1 -E '\bFN?M(ADD|SUB)[SD]\b'); then
  printf 'fused products; convert them, float64(x*y) + z:\n%s\n' "$fused" >&2
  exit 1
fi
# The wide loops and the plain ones make the same print, byte for byte; so does arm64.
go test -tags purego ./internal/vector
digest() { go test -count=1 -run '^TestTheDigestOfAPrint$' -v "$@" ./internal/render | grep -o 'sha256 .*'; }
wide=$(digest) plain=$(digest -tags purego)
arm=$(GOARCH=arm64 CGO_ENABLED=0 digest -exec qemu-aarch64-static)
if [[ $wide != "$plain" || $wide != "$arm" ]]; then
  printf 'with vector instructions, without, and on arm64, the prints differ:\n%s\n\n%s\n\n%s\n' "$wide" "$plain" "$arm" >&2
  exit 1
fi
GOARCH=arm64 CGO_ENABLED=0 go test -exec qemu-aarch64-static ./internal/exact
# The Debian package, as it is installed, used, upgraded and taken away again.
scripts/package_test.sh
# Hostile input: every parser for two seconds; scripts/fuzz.sh alone takes hours.
scripts/fuzz.sh 2

# All tests, in one call, so that those that wait run beside those that count.
go test -cover -timeout 30m ./...

# Once more under the race detector, where goroutines meet. It makes all else ten times
# slower and finds nothing there. race PACKAGE [TEST...] runs these tests of a package, or
# all; a name that is no test's is a mistake.
race() {
  local package=$1 names=.
  shift
  (($# == 0)) || names="^($(IFS='|'; echo "$*"))$"
  CGO_ENABLED=1 go test -race -c -o "$scratch/race.test" "./$package"
  (
    cd "$package"
    if (($# > 0 && $("$scratch/race.test" -test.list "$names" | wc -l) != $#)); then
      echo "not every name is a test of $package: $*" >&2
      exit 1
    fi
    "$scratch/race.test" -test.timeout 20m -test.run "$names"
    echo "ok under the race detector: $package"
  )
}
race internal/isolate TestAContextEndsTheChild TestNothingStaysOpen TestADecoderGoesWrong
race internal/colour TestTheNumberOfCoresDoesNotShow TestAPanicInAWorkerIsAnError
race internal/daemon TestServeMakesWhatIsDroppedAndStopsCleanly TestOnceStoppedInMidPrintReturnsTheOriginal \
  TestOneOrderIsOnThePressAndTheNextIsReadMeanwhile \
  TestADigestEndsWithTheDaemon TestADecoderThatWouldNotEndIsStoppedWithTheDaemon \
  TestTheDaemonGoesOnWhileEarlierNightsAreTold TestAnOrderWaitsUntilEarlierPrintsAreKnown TestTheWatchdogIsFedByWorkAlone \
  TestAPhotographWrittenToWhileInHandIsGivenBack TestAProgramThatTakesItsTimeKeepsNobodyWaiting TestTheStatusSaysWhatWaitsForRoom
race internal/detail TestASpectrumDoesNotDependOnTheNumberOfWorkers
race internal/intake
race internal/order TestDecodingStaysWithinTheMemoryThereIs
race internal/render TestAPrintIsTheSameBytesWithAnyNumberOfWorkers TestACancelledPrintEndsWithTheReason
race internal/report TestThePageIsTheSameFromAnAlbum TestASmallPictureIsMadeOnceForAFileAsItIs TestAPageIsGivenUpInTheMaking
race internal/studio TestTwoNeverClaimOnePhotograph TestClaimsTakenAtOneMomentHaveTheirOwnNames TestTwoWorkersNeverDecideOnOneName \
  TestWhoIsAtWorkTellsWhatItDoes TestAskingWhoIsAtWorkKeepsNobodyOut
race internal/record
CGO_ENABLED=1 go test -race -timeout 20m -run 'Signal|Serve|Status|Terminal|/(serve|signals|status)' ./cmd/sizewright
