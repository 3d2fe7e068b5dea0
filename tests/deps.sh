#!/usr/bin/env bash
# Install what pkg-config finds missing, where that may be done; else say how.
# Usage: deps.sh DEBIAN-PACKAGE...
set -eu

missing=()
command -v pkg-config >/dev/null || missing+=(pkg-config)
command -v "${CC:-gcc}" >/dev/null || missing+=(gcc)
for pair in sqlite3:libsqlite3-dev libxml-2.0:libxml2-dev zlib:zlib1g-dev \
    minizip:libminizip-dev check:check; do
    pkg-config --exists "${pair%%:*}" 2>/dev/null || missing+=("${pair##*:}")
done
[ ${#missing[@]} -eq 0 ] && exit 0

if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    echo "installing: ${missing[*]}"
    apt-get update -qq
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq \
        --no-install-recommends "$@" gcc libc6-dev >/dev/null
else
    echo "Cellar needs packages that are not installed. Run:" >&2
    echo "    sudo apt-get install gcc libc6-dev $*" >&2
    exit 1
fi
