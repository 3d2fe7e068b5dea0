# shellcheck shell=bash disable=SC2034 # sourced; some names are for the others
# What the scripts of tests/bench share: the corpora and the rows.
# BENCH=DIR keeps the corpora in DIR and uses what it finds there; a library by
# an older generator or of an older index is made anew.  RUNS=N measures a row
# N times (9 where not said).
cd "$(dirname "${BASH_SOURCE[0]}")/../.." || exit
BUILD=$(cd "${BUILD:-build}" && pwd)
cellar=$BUILD/cellar
runs=${RUNS:-9}
if [ -n "${BENCH:-}" ]; then
    mkdir -p "$BENCH"
    work=$(cd "$BENCH" && pwd)
else
    work=$(mktemp -d)
    trap 'rm -rf "$work"' EXIT
fi

# What a corpus depends on: the index and the generator.
made_by=$(sed -n 's/.*STORE_VERSION = \([0-9]*\).*/\1/p' schema/store.h)
made_by="$made_by $(cksum <tests/bench/invent.c)"

# The corpus of N solos: its library, the same as text, fragments of it, and
# the rows that were measured with it last.
corpus() {
    rows=$work/rows-$1
    library=$work/library-$1
    text=$work/text-$1
    fragments=$work/fragments-$1
    local mark=$library/.cellar/made-by
    if [ "$(cat "$mark" 2>/dev/null)" != "$made_by" ]; then
        rm -rf "$library" "$text" "$fragments"
        "$BUILD/tests/corpus" store "$library" "$1"
        echo "$made_by" >"$mark"
    fi
    [ -e "$text" ] || "$BUILD/tests/corpus" dump "$library" "$text"
    [ -e "$fragments" ] ||
        "$BUILD/tests/corpus" fragments "$text" >"$fragments"
}

# pick KIND NOTES FIELD: of a fragment, its intervals (3), its letters (4) or
# how often it comes (5).
pick() {
    awk -F'\t' -v kind="$1" -v notes="$2" -v field="$3" \
        '$1 == kind && $2 == notes { print $field }' "$fragments"
}

# hits COMMAND...: how many there are, "-" where the answer does not say.
hits() {
    local found
    found=$("$cellar" "$@" --format json --library "$library" 2>/dev/null |
        grep -o -m 1 '"total":[0-9]*' | head -n 1) || true
    found=${found#*:}
    echo "${found:--}"
}

heading() {
    printf '%8s  %-48s %12s  %8s  %-32s %12s\n' \
        ratio what median memory baseline median
}

# row KEY NAME BASELINE-NAME COMMAND... -- BASELINE...
# Prints a row and adds its numbers and its command to $rows.  What $before
# holds is run before each COMMAND and not measured.
row() {
    local key=$1 name=$2 base=$3 numbers command
    shift 3
    numbers=$("$BUILD/tests/measure" "$runs" "${before:-}" "$@")
    command=$(printf '%q ' "$@")
    printf '%s %s\t%s\t%s\t%s\n' "$key" "$numbers" "$name" "$base" \
        "${command%% -- *}" >>"$rows"
    tail -n 1 "$rows" | awk -F'\t' -v runs="$runs" '{
        split($1, n, " ")
        few = n[5] + 0 < runs + 0 ? " (" n[5] " runs)" : ""
        printf "%8.2f  %-48s %9.1f ms  %5d MB  %-32s %9.1f ms\n",
            n[2] / n[3], $2 few, n[2] / 1000, n[4] / 1024, $3, n[3] / 1000
    }'
}

# Which machine this is, and how busy.
machine() {
    echo "$(nproc) cores, load $(cut -d' ' -f1-3 /proc/loadavg);" \
        "$(sqlite3 --version 2>/dev/null | cut -d' ' -f1 |
            sed 's/^/SQLite /')"
}
