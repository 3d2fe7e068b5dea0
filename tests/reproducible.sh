#!/usr/bin/env bash
# Two builds in two folders, in another language and time zone and with other
# rights for new files: what is installed must be the same, byte for byte.
set -eu
cd "$(dirname "$0")/.."
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT

build() { # FOLDER
    bash tests/sources.sh "$1"
    make -s -j2 -C "$1" install DESTDIR="$1/root" PREFIX=/usr >"$1.log" 2>&1 ||
        { tail -n 20 "$1.log"; exit 1; }
    (cd "$1/root" && find . -type f -printf '%m %P\n' | sort &&
        find . -type f -print0 | sort -z | xargs -0 sha256sum) >"$1.sums"
}
build "$dir/one"
(umask 077 && LC_ALL=C TZ=Asia/Tokyo build "$dir/another-place/two")
if diff "$dir/one.sums" "$dir/another-place/two.sums"; then
    echo "1 passed, 0 failed"
else
    echo "0 passed, 1 failed"
    exit 1
fi
