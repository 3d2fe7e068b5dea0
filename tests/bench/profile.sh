#!/usr/bin/env bash
# Where the time of the slowest questions goes, function by function.
# Usage: BENCH=DIR profile.sh [SOLOS [KEY...]] after BENCH=DIR make bench: the
# three rows that took longest there, or those of these keys (the first words
# of DIR/rows-SOLOS).  It uses perf; where that is not allowed, callgrind,
# which is some fifty times slower and better done with SOLOS=1000.
set -eu
# shellcheck source=tests/bench/table.sh
. "$(dirname "$0")/table.sh"
solos=${1:-${SOLOS:-1000}}
corpus "$solos"
if [ ! -s "$rows" ]; then
    echo "there are no rows yet: first run" \
        "'BENCH=$work make bench SOLOS=$solos'"
    exit 2
fi
if [ $# -gt 1 ]; then
    keys=("${@:2}")
else
    mapfile -t keys < <(sort -k2 -rn "$rows" | head -n 3 | cut -d' ' -f1)
fi
record=$work/profile.data
if perf record -q -o "$record" true >/dev/null 2>&1; then
    tool=perf
elif command -v valgrind >/dev/null; then
    tool=callgrind
else
    echo "neither perf nor valgrind is here (apt-get install valgrind)"
    exit 2
fi

for key in "${keys[@]}"; do
    line=$(awk -v key="$key" '$1 == key' "$rows" | head -n 1)
    if [ -z "$line" ]; then
        echo "no row has the key $key"
        exit 2
    fi
    eval "command=($(cut -f4 <<<"$line"))"
    echo "== $key: $(cut -f2 <<<"$line")"
    if [ "$key" = index ]; then
        rm -rf "$work/packed/.cellar"
    fi
    if [ $tool = perf ]; then
        perf record -q -o "$record" "${command[@]}" >/dev/null
        perf report -i "$record" --stdio --no-children 2>/dev/null |
            grep -E '^ +[0-9]' | head -n 15
    else
        valgrind --tool=callgrind --callgrind-out-file="$record" \
            "${command[@]}" >/dev/null 2>&1
        callgrind_annotate "$record" | grep -E '^ *[0-9,]+ \(' | head -n 16
    fi
done
rm -f "$record" "$record.old"
