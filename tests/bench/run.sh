#!/usr/bin/env bash
# How fast, as a ratio to a baseline that is run beside it in the same call.
# Usage: run.sh [SOLOS]; 1000 where not said.  The solos are invented
# (invent.h), the same on every machine.  Each number is the median of 9 runs
# of a whole process.  BENCH=DIR keeps the corpus in DIR and uses what it finds
# there; a library of an older index is made anew.  QUICK=1 leaves out how fast
# files are indexed.
set -eu
cd "$(dirname "$0")/../.."
BUILD=$(cd "${BUILD:-build}" && pwd)
solos=${1:-${SOLOS:-1000}}
runs=${RUNS:-9}
files=$((solos < 1000 ? solos : 1000)) # indexing is measured on so many
if [ -n "${BENCH:-}" ]; then
    work=$BENCH
    mkdir -p "$work"
else
    work=$(mktemp -d)
    trap 'rm -rf "$work"' EXIT
fi
corpus=$BUILD/tests/corpus
library=$work/library-$solos
text=$work/text-$solos

# --- what is measured ------------------------------------------------------

row() { "$BUILD/tests/measure" "$runs" "$@"; }
ask() { local name=$1 base=$2; shift 2
    row "$name" "$base" "$BUILD/cellar" find "${question[@]}" \
        --library "$library" "$@"; }

if command -v rg >/dev/null; then
    finder=(rg -o -b -F --no-messages)
    finder_name="rg -o -b -F"
    lister=(rg -F -o -b -f)
else
    echo "ripgrep is not here (apt-get install ripgrep); grep stands in for it"
    finder=(grep -o -b -F)
    finder_name="grep -o -b -F"
    lister=(grep -F -o -b -f)
fi

index_everything() {
    [ -z "${QUICK:-}" ] || return 0
    rm -rf "$work/files/.cellar"
    row "index $files solos" "xmllint --noout --stream" \
        bash -c 'rm -rf "$1/.cellar"; exec "$2" --quiet "$1"' - \
        "$work/files" "$BUILD/cellar-index" \
        -- bash -c 'exec xmllint --noout --stream "$1"/*/*' - "$work/files"
    row "index again, nothing changed" "find -printf" \
        "$BUILD/cellar-index" --quiet "$work/files" \
        -- find "$work/files" -type f -printf '%p %s %T@\n'
}

# One fragment: all of its hits counted, and the best twenty.
fragment_rows() {
    local kind=$1 notes=$2 steps=$3 letters=$4 count=$5
    question=("$steps")
    ask "$kind, $notes notes, $count hits: top 20" "$finder_name" \
        -- "${finder[@]}" -- "$letters" "$text"
    ask "the same: count" "$finder_name" --count \
        -- "${finder[@]}" -- "$letters" "$text"
}

# The fragment KIND of NOTES notes: its intervals and its letters.
pick() {
    awk -F'\t' -v kind="$1" -v notes="$2" -v field="$3" \
        '$1 == kind && $2 == notes { print $field }' "$work/fragments-$solos"
}

# --- the corpus --------------------------------------------------------------

version=$(sed -n 's/.*STORE_VERSION = \([0-9]*\).*/\1/p' schema/store.h)
if [ ! -e "$library/.cellar/version-$version" ]; then
    rm -rf "$library"
    "$corpus" store "$library" "$solos"
    touch "$library/.cellar/version-$version"
fi
[ -e "$text" ] || "$corpus" dump "$library" "$text"
[ -e "$work/fragments-$solos" ] ||
    "$corpus" fragments "$text" >"$work/fragments-$solos"
if [ ! -d "$work/files" ]; then
    mkdir "$work/files"
    "$corpus" write "$work/files" "$files"
fi

notes=$(tr -d '\n' <"$text" | wc -c)
notes=$((notes + solos))
bytes=$(stat -c %s "$library/.cellar/index.db")
read -r scan cached < <("$corpus" memchr "$text")
echo "$solos solos, $notes notes, $(nproc) cores, $(date +%F);" \
    "$(sqlite3 --version 2>/dev/null | cut -d' ' -f1 | sed 's/^/SQLite /')"
echo "index: $(awk "BEGIN { printf \"%.1f\", $bytes / $notes }") bytes a note;" \
    "a scan of the intervals by memchr: $scan us, then $cached us"
printf '%8s  %-40s %12s  %8s  %-26s %12s\n' \
    ratio what median memory baseline median

row "cellar --version" "/bin/true" "$BUILD/cellar" --version -- /bin/true
for size in 3 4 5 6 8 12; do
    for kind in frequent middling rare; do
        fragment_rows "$kind" "$size" "$(pick "$kind" "$size" 3)" \
            "$(pick "$kind" "$size" 4)" "$(pick "$kind" "$size" 5)"
    done
done

question=("5 b3 2 1")
ask "5 b3 2 1 over m7: top 20" "the same without m7" --over m7 \
    -- "$BUILD/cellar" find "-4 -1 -2" --library "$library"
ask "the same, reharmonized" "the same without m7" --over m7 --reharmonized \
    -- "$BUILD/cellar" find "-4 -1 -2" --library "$library"
ask "5 b3 2 1 over ii7: top 20" "the same over m7" --over ii7 \
    -- "$BUILD/cellar" find "5 b3 2 1" --over m7 --library "$library"
question=("3 5 b7 b9")
ask "3 5 b7 b9 over V7: top 20" "the same over 7" --over V7 \
    -- "$BUILD/cellar" find "3 5 b7 b9" --over 7 --library "$library"
question=("5 ? 2 1")
ask "one wildcard, over m7: top 20" "$finder_name" --over m7 \
    -- "${finder[@]}" -- "$(pick frequent 4 4)" "$text"

steps=$(pick frequent 5 3)
question=("$steps")
ask "any octave, 5 notes: top 20" "$finder_name" --any-octave \
    -- "${finder[@]}" -- "$(pick frequent 5 4)" "$text"

steps=$(pick middling 8 3)
# shellcheck disable=SC2086 # the intervals are words
"$corpus" variants $steps >"$work/variants"
question=("$steps")
ask "8 notes, 1 edit: top 20" "rg -F -f all variants" --edits 1 \
    -- "${lister[@]}" "$work/variants" "$text"
# A process that reads the intervals and scans them once; last the scan alone,
# while the caches hold something else.
scanner=("$BUILD/tests/scan" "$text" ++ "the scan alone=$scan")
ask "8 notes, 2 edits: top 20" "read and memchr once" --edits 2 \
    -- "${scanner[@]}"
question=("$(pick frequent 8 3)")
ask "8 frequent notes, 2 edits: top 20" "read and memchr once" --edits 2 \
    -- "${scanner[@]}"
ask "the same over m7" "read and memchr once" --edits 2 --over m7 \
    -- "${scanner[@]}"

if command -v xmllint >/dev/null; then
    index_everything
else
    echo "xmllint is not here (apt-get install libxml2-utils):" \
        "indexing is not measured"
fi
