#!/usr/bin/env bash
# How the time of a question grows with the library.
# Usage: growth.sh [SOLOS...], such as 1000 10000 100000; without it the sizes
# whose corpora are in $BENCH, or 1000 and 10000.  Each number is the median of
# 9 whole processes, of 3 where one takes more than 2 seconds.  The exponent e
# says that the time, without what `cellar --version` takes, grows as
# solos^e from one size to the next: 0 not at all, 1 as the library does.
set -eu
# shellcheck source=tests/bench/table.sh
. "$(dirname "$0")/table.sh"
sizes=("$@")
if [ ${#sizes[@]} = 0 ]; then
    for size in 1000 10000 100000; do
        [ ! -e "$work/library-$size/.cellar/index.db" ] || sizes+=("$size")
    done
    [ ${#sizes[@]} -gt 0 ] || sizes=(1000 10000)
fi

# The questions; the fragments are those of the smallest corpus.
corpus "${sizes[0]}"
rare=$(pick rare 8 3) frequent=$(pick frequent 5 3) eight=$(pick frequent 8 3)
questions=(
    "5 frequent notes|find|$frequent"
    "8 rare notes|find|$rare"
    "5 b3 2 1 over m7|find|5 b3 2 1|--over|m7"
    "the same, reharmonized|find|5 b3 2 1|--over|m7|--reharmonized"
    "any octave|find|$frequent|--any-octave"
    "of one player|find|$frequent|--performer|Player 7"
    "8 notes, 1 edit|find|$eight|--edits|1"
    "8 notes, 2 edits|find|$eight|--edits|2"
    "in the second chorus|find|$frequent|--chorus|2"
    "tension b9 over 7|tension|b9|--over|7"
    "tension, the table|tension|--table"
    "cells|cells"
    "coverage of a solo|coverage|solo-000000"
    "openings|openings"
    "a list of solos|solos"
)

measured=$work/growth
: >"$measured"
for size in "${sizes[@]}"; do
    corpus "$size"
    for question in "${questions[@]}"; do
        IFS='|' read -ra words <<<"$question"
        numbers=$("$BUILD/tests/measure" "$runs" "" \
            "$cellar" "${words[@]:1}" --library "$library" \
            -- "$cellar" --version)
        read -r ours start _ <<<"$numbers"
        printf '%s|%s|%s|%s|%s\n' "$size" "${words[0]}" "$ours" "$start" \
            "$(hits "${words[@]:1}" --limit 1)" >>"$measured"
    done
done

echo "$(date +%F); $(machine)"
echo "ms: the median of a whole process; e: time grows as solos^e"
awk -F'|' '
    !($2 in seen) { seen[$2] = 1; name[++names] = $2 }
    !($1 in known) { known[$1] = 1; size[++sizes] = $1 }
    { ms[$2, $1] = $3 / 1000; work[$2, $1] = $3 - $4; hits[$2, $1] = $5 }
    END {
        printf "%-24s", "solos"
        for (s = 1; s <= sizes; s++)
            printf "%s %10d %9s", (s > 1 ? "     e" : ""), size[s],
                "hits"
        print ""
        for (n = 1; n <= names; n++) {
            printf "%-24s", name[n]
            for (s = 1; s <= sizes; s++) {
                if (s > 1) {
                    before = work[name[n], size[s - 1]]
                    now = work[name[n], size[s]]
                    if (before > 0 && now > 0)
                        printf " %5.2f", log(now / before) / \
                            log(size[s] / size[s - 1])
                    else
                        printf " %5s", "-"
                }
                printf " %10.1f %9s", ms[name[n], size[s]],
                    hits[name[n], size[s]]
            }
            print ""
        }
    }' "$measured"
