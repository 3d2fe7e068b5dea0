#!/usr/bin/env bash
# How fast, as a ratio to a baseline that is run beside it in the same call.
# Usage: run.sh [SOLOS]; copies of corpus-demo make up the library.
# Each number is the median of 9 runs of a whole process.
set -eu
cd "$(dirname "$0")/../.."
BUILD=$(cd "${BUILD:-build}" && pwd)
solos=${1:-${SOLOS:-580}}
runs=9
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# Fill $work/library with SOLOS scores, and $work/xml with the same unzipped.
fill() {
    local n=0 round=0 file name
    mkdir "$work/library" "$work/xml"
    while [ "$n" -lt "$solos" ]; do
        round=$((round + 1))
        while read -r file; do
            [ "$n" -lt "$solos" ] || break
            n=$((n + 1))
            name=$round-$(basename "$(dirname "$file")")-$(basename "$file")
            cp "$file" "$work/library/$name"
            if [ "${file##*.}" = mxl ]; then
                unzip -qq -p "$file" '*.musicxml' >"$work/xml/$name.musicxml"
            else
                cp "$file" "$work/xml/$name"
            fi
        done < <(find corpus-demo -name '*.musicxml' -o -name '*.mxl' | sort)
    done
}

# One letter an interval, a line a solo: what a text search would look at.
dump() {
    (cd "$work/library" && ls) | while read -r name; do
        "$BUILD/cellar" solo "$name" --library "$work/library" --format json |
            grep -o '"midi":[0-9]*' | cut -d: -f2 |
            awk 'NR > 1 { printf "%c", 87 + $1 - last } { last = $1 }
                 END { print "" }'
    done >"$work/intervals"
}

# Milliseconds (in tenths) of the median run of a command.
median() {
    local i start end
    for ((i = 0; i < runs; i++)); do
        start=$(date +%s%N)
        "$@" >/dev/null 2>&1 || true
        end=$(date +%s%N)
        echo $(((end - start) / 100000))
    done | sort -n | sed -n "$(((runs + 1) / 2))p"
}

row() {
    local what=$1 ours=$2 baseline=$3 theirs=$4
    printf '%-34s %8s ms  %-28s %8s ms  ratio %s\n' "$what" \
        "$((ours / 10)).$((ours % 10))" "$baseline" \
        "$((theirs / 10)).$((theirs % 10))" \
        "$(awk "BEGIN { printf \"%.2f\", $ours / ($theirs ? $theirs : 1) }")"
}

index_all() { rm -rf "$work/library/.cellar"; index_again; }
index_again() { "$BUILD/cellar-index" --quiet "$work/library"; }
read_all() { xmllint --noout --stream "$work"/xml/*; }
list_all() { find "$work/library" -type f -printf '%p %s %T@\n'; }
ask() { "$BUILD/cellar" find "$@" --library "$work/library"; }
scan() { grep -o -b -F "$1" "$work/intervals"; }

fill
index_all
dump
echo "$solos solos, $(tr -d '\n' <"$work/intervals" | wc -c) intervals," \
    "$(nproc) cores, $(date +%F)"
row "index everything" "$(median index_all)" "xmllint --stream" \
    "$(median read_all)"
row "index, nothing changed" "$(median index_again)" "find -printf" \
    "$(median list_all)"
row "find 5 b3 2 1 over m7, top 20" "$(median ask "5 b3 2 1" --over m7)" \
    "grep -o -b -F" "$(median scan "SVU")"
row "find 3 5 b7 b9 over V7, top 20" "$(median ask "3 5 b7 b9" --over V7)" \
    "the same over 7" "$(median ask "3 5 b7 b9" --over 7)"
row "find -4 -1 -2, top 20" "$(median ask -4 -1 -2)" \
    "grep -o -b -F" "$(median scan "SVU")"
row "find an 8-note line" "$(median ask "+3 +4 +3 +4 -2 -2 -1")" \
    "grep -o -b -F" "$(median scan "Z[Z[UUV")"
row "find with any octave" "$(median ask -4 -1 -2 --any-octave)" \
    "grep -o -b -F" "$(median scan "SVU")"
row "find with a wildcard" "$(median ask "5 ? 2 1" --over m7)" \
    "grep -o -b -F" "$(median scan "SVU")"
