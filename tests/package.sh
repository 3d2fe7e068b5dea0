#!/usr/bin/env bash
# The Debian package: built twice with the same bytes, looked at by lintian,
# installed into a new Debian 12 where it is tried, and taken away again.
#
# Needs root, the Debian packages named below, and their registry.
# KEEP=FOLDER keeps the package there.  MIRROR is where Debian comes from.
set -u
cd "$(dirname "$0")/.." || exit 1
mirror=${MIRROR:-http://deb.debian.org/debian}
passed=0
failed=0

for pair in debootstrap:debootstrap autopkgtest:autopkgtest lintian:lintian \
    dh:debhelper dpkg-buildpackage:dpkg-dev; do
    command -v "${pair%%:*}" >/dev/null && continue
    echo "the package cannot be checked without the Debian package ${pair#*:}"
    exit 1
done
if [ "$(id -u)" != 0 ]; then
    echo "the package cannot be checked without root: debootstrap needs it"
    exit 1
fi

dir=$(mktemp -d)
root=$dir/debian
end() {
    # Nothing of the machine may be below when the folder is removed.
    umount "$root/proc" 2>/dev/null
    if grep -qF " $root" /proc/mounts; then
        echo "left: $dir, something is still mounted there"
    else
        rm -rf "$dir"
    fi
}
trap end EXIT

# Run a command; its output is shown where it fails, and kept in $dir/log.
check() { # NAME COMMAND...
    local name=$1
    shift
    if "$@" >"$dir/log" 2>&1 </dev/null; then
        passed=$((passed + 1))
        echo "ok $((passed + failed)) - $name"
    else
        failed=$((failed + 1))
        echo "not ok $((passed + failed)) - $name"
        { grep -A 8 '^not ok' "$dir/log"; tail -n 20 "$dir/log"; } |
            sed 's/^/# /'
    fi
}

finish() {
    echo "$passed passed, $failed failed"
    [ "$failed" -eq 0 ]
    exit
}

# --- built ------------------------------------------------------------------

build() { # FOLDER
    bash tests/sources.sh "$1" && (cd "$1" && dpkg-buildpackage -us -uc -j2)
}
check "the package is built, and passes its tests" build "$dir/one/cellar"
check "it is built once more" env DEB_BUILD_OPTIONS=nocheck \
    bash -c "$(declare -f build); build '$dir/second-time/cellar'"
deb=$(echo "$dir"/one/cellar_*_*.deb)
[ -f "$deb" ] || finish
check "both builds have the same bytes" \
    cmp "$deb" "$dir/second-time/${deb##*/}"
check "both source packages have the same bytes" \
    cmp "$dir"/one/cellar_*.tar.xz "$dir"/second-time/cellar_*.tar.xz
check "lintian finds no error and no warning" \
    lintian --allow-root --fail-on error,warning "$dir"/one/cellar_*.changes
lintian --allow-root --display-info --pedantic "$dir"/one/cellar_*.changes 2>&1 |
    sed 's/^/# /'
sha256sum "$deb" | sed "s,  .*/,  ,; s/^/# /"

# --- installed --------------------------------------------------------------

inside() {
    env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LC_ALL=C.UTF-8 \
        DEBIAN_FRONTEND=noninteractive chroot "$root" "$@"
}

# Every file but what apt and dpkg note of their own doings.
files() {
    (cd "$root" && find . -xdev \( -path ./proc -o -path ./var/lib/dpkg \
        -o -path ./var/lib/apt -o -path ./var/cache/apt -o -path ./var/log \
        -o -path ./var/cache/man -o -path ./var/cache/ldconfig \) -prune \
        -o -print | sort)
}

new_debian() {
    debootstrap --variant=minbase bookworm "$root" "$mirror" &&
        mount -t proc proc "$root/proc" && inside apt-get update
}
check "a new Debian 12" new_debian
# What the package needs is there before it, so that what is left can be seen.
needs() {
    dpkg-deb -f "$deb" Depends | tr ',' '\n' | sed 's/ (.*//; s/^ *//'
}
# shellcheck disable=SC2046
check "the libraries it needs are in Debian" inside apt-get install -y -qq \
    --no-install-recommends man-db $(needs)
cp "$deb" "$root/tmp/cellar.deb"
files >"$dir/before"
check "it is installed" inside apt-get install -y -qq \
    --no-install-recommends /tmp/cellar.deb
check "its files are whole" inside dpkg --verify cellar

mkdir "$root/home/tour"
bash tests/sources.sh "$root/home/tour"
check "the tour of the README prints what the README says" \
    inside env CELLAR_BUILD=/usr/bin bash /home/tour/tests/cli/T30-readme.sh
grep -c '^ok ' "$dir/log" | sed 's/^/# commands: /'
pages() {
    for page in cellar cellar-index cellar-fragment; do
        inside env MANWIDTH=80 man -P cat "$page" >"$dir/page" || return 1
        grep -q '^NAME' "$dir/page" && grep -q '^SEE ALSO' "$dir/page" ||
            return 1
        [ "$(wc -L <"$dir/page")" -le 80 ] || return 1
        echo "$page: $(wc -l <"$dir/page") lines"
    done
}
check "man shows the pages" pages
sed 's/^/# /' "$dir/log"
rm -rf "$root/home/tour"
cp -r corpus-demo "$root/home/solos"
rm -rf "$root/home/solos/.cellar"
check "a user indexes solos" inside cellar-index /home/solos
check "and keeps a list" inside cellar list new lesson --library /home/solos

# --- and taken away ---------------------------------------------------------

check "it is removed" inside apt-get purge -y -qq cellar
files >"$dir/after"
left() {
    diff "$dir/before" "$dir/after" | grep '^[<>]' |
        grep -vE '^> \./home/solos(/|$)|^> \./tmp/cellar\.deb$'
}
check "nothing is left of it" bash -c "! { $(declare -f left)
    dir=$dir; left; }"
check "but the user's index and lists" \
    test -s "$root/home/solos/.cellar/notebook.db"

# --- autopkgtest --------------------------------------------------------------

check "autopkgtest" autopkgtest -B "$deb" "$dir/one/cellar/" -- chroot "$root"
grep -E 'PASS|FAIL|SKIP' "$dir/log" | tail -n 3 | sed 's/^/# /'
if [ -n "${KEEP:-}" ]; then
    mkdir -p "$KEEP" && cp "$dir"/one/cellar_* "$KEEP"
fi
finish
