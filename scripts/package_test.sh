#!/usr/bin/env bash
# Builds the Debian package, installs it on this machine, uses it, upgrades, removes and
# purges it, and checks what is left. test.sh runs it.
set -euo pipefail
cd "$(dirname "$0")/.."

tester=sizewright-tester
root=(); ((EUID == 0)) || root=(sudo)
as_tester() { "${root[@]}" runuser -u "$tester" -- "$@"; }
fail() { echo "package: $1" >&2; exit 1; }
installed() { dpkg-query -W -f='${db:Status-Abbrev}' sizewright 2>/dev/null | grep -qv '^un'; }

scratch=$(mktemp -d)
chmod 755 "$scratch"
had_group=$(getent group sizewright || true)
clean() {
  installed && "${root[@]}" dpkg --purge sizewright >/dev/null
  getent passwd "$tester" >/dev/null && "${root[@]}" userdel "$tester"
  [[ -n $had_group ]] || ! getent passwd sizewright >/dev/null || "${root[@]}" userdel sizewright
  "${root[@]}" rm -rf "$scratch"
} 2>"$scratch/cleaning"

if installed; then
  # A package left by an earlier run of this test has the test's user.
  getent passwd "$tester" >/dev/null || fail 'the package is installed here, and this test would remove it: run it on another machine'
  "${root[@]}" dpkg --purge sizewright
fi
getent passwd "$tester" >/dev/null && "${root[@]}" userdel "$tester"
trap clean EXIT

arch=$(dpkg --print-architecture)
ARCH=$arch scripts/package.sh "$scratch/dist" >/dev/null 2>"$scratch/said" || fail "it cannot be built: $(cat "$scratch/said")"
package=$(echo "$scratch/dist"/*.deb)

# An earlier version, with a file and a line in the unit that the new one does not have.
dpkg-deb -R "$package" "$scratch/earlier"
sed -i 's/^Version: .*/Version: 0.0.0~earlier-1/' "$scratch/earlier/DEBIAN/control"
echo 'gone since' >"$scratch/earlier/usr/share/doc/sizewright/gone"
sed -i 's/^Nice=.*/Nice=1/' "$scratch/earlier/usr/lib/systemd/system/sizewright@.service"
dpkg-deb --root-owner-group -Zgzip -z1 -b "$scratch/earlier" "$scratch/earlier.deb" >/dev/null
"${root[@]}" dpkg -i "$scratch/earlier.deb" >"$scratch/said" 2>&1 || fail "it cannot be installed: $(cat "$scratch/said")"

# The service's user and group exist, and nobody can log in as that user.
getent group sizewright >/dev/null || fail 'there is no group sizewright'
[[ $(getent passwd sizewright) == *:/usr/sbin/nologin ]] || fail 'the user sizewright is missing, or may log in'

# A member of the group makes a print in the group's studio.
"${root[@]}" useradd --groups sizewright "$tester"
"${root[@]}" sizewright init --group sizewright "$scratch/studio" >/dev/null
make_print() {
  as_tester mkdir -p "$scratch/studio/drop/60x40mm"
  convert -seed ${#1} -size 900x600 plasma:tan-seagreen -quality 92 "$scratch/$1"
  as_tester cp "$scratch/$1" "$scratch/studio/drop/60x40mm/"
  as_tester sizewright once --studio "$scratch/studio" >"$scratch/said" 2>&1 || fail "once: $(cat "$scratch/said")"
  as_tester test -s "$scratch/studio/outbox/60x40mm/${1%.*}.tif" || fail "there is no print of $1"
}
make_print reed.jpg
instance="sizewright@$(systemd-escape --path "$scratch/studio").service"
"${root[@]}" systemctl --root=/ enable "$instance" 2>/dev/null

# An upgrade keeps what the administrator enabled and removes old files.
"${root[@]}" dpkg -i "$package" >"$scratch/said" 2>&1 || fail "it cannot be upgraded: $(cat "$scratch/said")"
[[ $(dpkg-query -W -f='${Version}' sizewright) == "$(dpkg-deb -f "$package" Version)" ]] || fail 'the version is not the new one'
[[ ! -e /usr/share/doc/sizewright/gone ]] || fail 'a file of the earlier version is still there'
grep -qx Nice=10 '/usr/lib/systemd/system/sizewright@.service' || fail 'the unit is still the earlier one'
[[ -L /etc/systemd/system/multi-user.target.wants/$instance ]] || fail 'the instance is no longer enabled'
make_print samphire.jpg

# The program and the record have the package's version.
version=$(sizewright version | sed -n '1s/^sizewright v//p')
[[ $(dpkg-deb -f "$package" Version) == "${version/-/\~}-1" ]] || fail "the program says $version"
as_tester grep -q "\"program\": \"v$version\"" "$scratch/studio/outbox/60x40mm/samphire.json" || fail 'the record has another version'
file=$(readelf -l /usr/bin/sizewright)
[[ $file != *INTERP* ]] || fail 'the program is not static'

# Every command has a correct man page and shell completion.
for command in $(sizewright --help | sed -n '/^Available/,/^$/s/^  \([a-z]*\) .*/\1/p' | grep -v help); do
  page=$(MANWIDTH=100 man --warnings "sizewright-$command" 2>&1) || fail "man sizewright-$command: $page"
  [[ $page == *"sizewright $command"* && $page != *warning:* ]] || fail "man sizewright-$command: $page"
done
MANWIDTH=100 man --warnings sizewright 2>&1 | grep -q 'sizewright once' || fail 'man sizewright does not open'
[[ $(bash -c '
  . /usr/share/bash-completion/bash_completion
  . /usr/share/bash-completion/completions/sizewright
  COMP_WORDS=(sizewright sta) COMP_CWORD=1 COMP_LINE="sizewright sta" COMP_POINT=14 COMP_TYPE=9
  __start_sizewright 2>/dev/null
  echo "${COMPREPLY[@]}"') == status* ]] || fail 'bash completes nothing'

for unit in sizewright@ sizewright-worker; do
  said=$(systemd-analyze verify "/usr/lib/systemd/system/$unit.service" 2>&1) || fail "the unit $unit: $said"
  [[ -z $said ]] || fail "the unit $unit: $said"
done
sizewright check --studio "$scratch/studio" >/dev/null || fail 'check finds mistakes in a new studio'
cmp -s configs/sizewright.toml /usr/share/doc/sizewright/examples/sizewright.toml || fail 'the example configuration differs'
for doc in copyright changelog.gz changelog.Debian.gz README.md; do
  [[ -s /usr/share/doc/sizewright/$doc ]] || fail "there is no $doc"
done

# After removal and purging only studios are left, unchanged, with their group.
kept() { "${root[@]}" find "$scratch/studio" -type f -exec sha256sum {} + | sort; }
before=$(kept) files=$(dpkg -L sizewright | grep sizewright)
"${root[@]}" dpkg --remove sizewright >/dev/null 2>&1
"${root[@]}" dpkg --purge sizewright >/dev/null 2>&1
for f in $files "/etc/systemd/system/multi-user.target.wants/$instance"; do
  [[ ! -e $f && ! -L $f ]] || fail "$f is still there"
done
left=$("${root[@]}" find /etc /usr /var/lib -xdev -name '*sizewright*' 2>/dev/null || true)
[[ -z $left ]] || fail "still there: $left"
[[ $before == "$(kept)" ]] || fail 'the studio has changed'
getent group sizewright >/dev/null || fail 'the group of the studios is gone'
echo 'package: it installs, works, upgrades and leaves only studios'
