#!/usr/bin/env bash
# Installs what the tests need on a Debian machine with Go, and runs all of them.
set -euo pipefail
cd "$(dirname "$0")/.."
scratch=$(mktemp -d)
trap 'kill $(jobs -p) 2>/dev/null || true; rm -rf "$scratch"' EXIT
export SIZEWRIGHT_TEST_CACHE=$scratch # what several packages' tests need and takes long to make
# Compiled as scripts/package.sh does, so that nothing is compiled twice; linked without
# what only debuggers read, which takes a third less time.
export CGO_ENABLED=0 GOFLAGS='-trimpath -ldflags=-w'

# Reference readers and converters for checking prints, and profiles of the standard
# spaces.
packages=(libtiff-tools libimage-exiftool-perl libvips-tools imagemagick libjpeg-turbo-progs pngcheck webp
  libheif-examples libavif-bin exiv2
  liblcms2-utils icc-profiles-free colord-data argyll)
# The server over which other machines make prints.
packages+=(nats-server openssl)
# Real photographs, which generated pictures cannot replace.
packages+=(plasma-workspace-wallpapers lomiri-wallpapers-16.04 lomiri-wallpapers-20.04 mate-backgrounds
  python3-skimage python3-sklearn)
# A font with letters that are joined and kerned.
packages+=(fonts-dejavu-core)
# A browser and a checker for the morning page.
packages+=(chromium)
command -v npm >/dev/null || packages+=(npm) # some nodejs packages include it
# For checking the service's unit and its system calls, and for copying files.
packages+=(systemd strace rsync)
# For the Debian package's man pages and completions.
packages+=(man-db bash-completion)
# For running programs for arm64.
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
  echo "not formatted by gofmt: $unformatted" >&2
  exit 1
fi
go vet ./...
go tool staticcheck ./...
# Every command, for every supported system; what is no part of the program is not linked.
# macOS is compiled and vetted, not run, and so without optimising. The overlay leaves out
# the tests, some of which need Linux.
overlay=$scratch/overlay.json
find "$PWD" -name '*_test.go' -printf '"%p":""\n' | paste -sd, | sed 's/.*/{"Replace":{&}}/' >"$overlay"
for target in linux/arm64 darwin/arm64 darwin/amd64; do
  export GOOS=${target%/*} GOARCH=${target#*/}
  quick=()
  [[ $GOOS != darwin ]] || quick=('-gcflags=all=-N -l -dwarf=false' -ldflags=-w)
  go build "${quick[@]}" -o "$scratch/$GOOS-$GOARCH" ./cmd/sizewright
  go list -export "${quick[@]}" ./... >"$scratch/compiled"
  [[ $target != darwin/arm64 ]] || go vet "${quick[@]}" -overlay "$overlay" ./... # one is enough: only the system differs
done
unset GOOS GOARCH
# Without fused multiply-add a print is the same on every platform: the arm64 program must
# have none where pixels are made or something is decided. A conversion prevents it:
# float64(x*y) + z. See package exact.
makes='caption|colour|detail|exact|ladder|learned|order|photo|printsize|render|sheet|sheet/roll|tiff|vector|vision'
code=$(go tool objdump -s "^sizewright/internal/($makes)[.]" "$scratch/linux-arm64")
if [[ $code != *'sizewright/internal/exact.Pow('* || $code != *FMULD* ]]; then
  echo 'the code of the arm64 program cannot be read' >&2
  exit 1
fi
if fused=$(grep -E '^TEXT|\bFN?M(ADD|SUB)[SD]\b' <<<"$code" | grep -B1 -E '\bFN?M(ADD|SUB)[SD]\b'); then
  printf 'fused multiply-add; write float64(x*y) + z instead:\n%s\n' "$fused" >&2
  exit 1
fi
# beside COMMAND... runs beside what follows, until joined, which shows what it said.
beside() { "$@" &>"$scratch/beside.log" & }
joined() {
  local ended=0
  wait $! || ended=$?
  cat "$scratch/beside.log"
  return $ended
}

# Hostile input: every parser for a second; scripts/fuzz.sh takes hours.
beside scripts/fuzz.sh 1
# Nothing below is vetted again. Vector and plain loops make the same print, byte for byte, and so does arm64.
go test -vet=off -tags purego ./internal/vector
# Tables of colours to inks take a minute under emulation; TestTheDigestOfConversions makes small ones.
digest() { go test -vet=off -count=1 -v -run '^TestTheDigestOf' "$@" ./internal/colour ./internal/render | grep -o 'sha256 .*'; }
wide=$(digest) plain=$(digest -tags purego)
arm=$(GOARCH=arm64 digest -skip InInks -exec qemu-aarch64-static)
if [[ $wide != "$plain" || $(grep -v 'colours to inks' <<<"$wide") != "$arm" ]]; then
  printf 'the prints with vector instructions, without, and on arm64 differ:\n%s\n\n%s\n\n%s\n' "$wide" "$plain" "$arm" >&2
  exit 1
fi
GOARCH=arm64 go test -vet=off -exec qemu-aarch64-static ./internal/exact
# Installing, using, upgrading and removing the Debian package.
scripts/package_test.sh
joined

# All tests in one call, so that tests that wait run beside tests that compute.
go test -vet=off -cover -timeout 30m ./...

# Once more under the race detector, for code with concurrent goroutines. It makes all
# other tests ten times slower and finds nothing there. race PACKAGE [TEST...] runs these
# tests of a package, or all of them; a name that is not a test is an error.
race() {
  local package=$1 names=.
  shift
  (($# == 0)) || names="^($(IFS='|'; echo "$*"))$"
  local program=$scratch/race-${package##*/}
  CGO_ENABLED=1 go test -vet=off -race -c -o "$program" "./$package"
  (
    cd "$package"
    if (($# > 0 && $("$program" -test.list "$names" | wc -l) != $#)); then
      echo "not every name is a test of $package: $*" >&2
      exit 1
    fi
    "$program" -test.timeout 20m -test.run "$names"
    echo "ok under the race detector: $package"
  )
}
# These wait more than they compute.
waiting() {
  race internal/daemon TestServeMakesWhatIsDroppedAndStopsCleanly TestOnceStoppedInMidPrintReturnsTheOriginal \
    TestOneOrderIsOnThePressAndTheNextIsReadMeanwhile \
    TestADigestEndsWithTheDaemon TestADecoderThatWouldNotEndIsStoppedWithTheDaemon \
    TestTheDaemonGoesOnWhileEarlierNightsAreTold TestAnOrderWaitsUntilEarlierPrintsAreKnown TestTheWatchdogIsFedByWorkAlone \
    TestAPhotographWrittenToWhileInHandIsGivenBack TestAProgramThatTakesItsTimeKeepsNobodyWaiting TestTheStatusSaysWhatWaitsForRoom \
    TestTheConfigurationIsReadAgainOnRequest
  race internal/intake
}
beside waiting
race internal/isolate TestAContextEndsTheChild TestNothingStaysOpen TestADecoderGoesWrong
race internal/colour TestTheNumberOfCoresDoesNotShow TestAPanicInAWorkerIsAnError
race internal/detail TestASpectrumDoesNotDependOnTheNumberOfWorkers
race internal/order TestDecodingStaysWithinTheMemoryThereIs
race internal/render TestAPrintIsTheSameBytesWithAnyNumberOfWorkers TestWhatIsPredictedIsTheSameHoweverItIsMade TestACancelledPrintEndsWithTheReason
race internal/report TestThePageIsTheSameFromAnAlbum TestASmallPictureIsMadeOnceForAFileAsItIs TestAPageIsGivenUpInTheMaking
race internal/studio TestTwoNeverClaimOnePhotograph TestClaimsTakenAtOneMomentHaveTheirOwnNames TestTwoWorkersNeverDecideOnOneName \
  TestWhoIsAtWorkTellsWhatItDoes TestAskingWhoIsAtWorkKeepsNobodyOut
race internal/machines TestAPrintIsTheSameBytesOnAnotherMachine TestASourceIsStoredOnce TestAWorkerThatLiesIsGivenNoMore TestAWorkerThatStoodStillIsTooLate TestAServerThatStartsAnewLosesNothing
race internal/record
CGO_ENABLED=1 go test -vet=off -race -timeout 20m -run '^TestTheTerminal|^TestScripts$/^(serve|signals)$' ./cmd/sizewright
joined
