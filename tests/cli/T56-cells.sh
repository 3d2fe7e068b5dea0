#!/usr/bin/env bash
# T56: cellar cells, what recurs, what marks a player, the page of one cell.
# Prints TAP.  CELLAR_BUILD is the folder with the programs (default: build).
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

lib="$dir/lib"
copy_demo "$lib"
"$bin/cellar-index" --quiet "$lib" || { echo "Bail out! no index"; exit 1; }
export CELLAR_LIBRARY=$lib

# --- the listing -------------------------------------------------------------

run cells --length 7 --performer wrenmoor --limit 1
expect "the longest, which nothing holds" 0 "cells of 7 notes" -
run cells --performer wrenmoor
expect "what recurs, with what was left out" 0 "places over no chord" -
holds out "only solos with performer wrenmoor" &&
    holds out "313 shorter ones folded into these (--no-folding lists them);" &&
    holds out "that come more rarely"
ok $? "what is not shown is told"
holds out " 6  5 b3 2 1 over minor · 52 times in 9 solos · keys 8.7.3+.91653" &&
    holds out "    holds 5 b3 2 (52)"
ok $? "a cell with its keys, and what was folded into it"
head -n 8 "$dir/out" | grep -q "^ 1  4 #9 3 over dominant · 73 times in 10 solos"
ok $? "the most used first"
holds out "Gravel Lantern Blues, bar 13, beat 1 (bar 1 of chorus 2), in tobiah-" ||
    holds out "tobiah-wrenmoor/gravel-lantern-blues-later.musicxml"
ok $? "an example of two solos of one name says which"
[ "$(grep -c '^ *[0-9]*  .* over .* keys' "$dir/out")" = 20 ]
ok $? "twenty cells"

run cells --performer wrenmoor --limit 3
holds out "529 more; --limit 0 shows all"
ok $? "how many more there are"
run cells --performer wrenmoor --over m7 --length 4 --limit 1
expect "over one chord, of one length" 0 "1  5 b3 2 1 over minor" -
run cells --over V7 --limit 1
expect "over a function" 0 "over dominant" -
run cells --title "damp matches" --path tobiah-wrenmoor --limit 1
expect "in one solo" 0 "at least 3 times in at least 1 solo" -
run cells --at chorus --performer kittleby --limit 1
expect "where choruses open" 0 "1  5 6 1" -
run cells --no-folding --performer wrenmoor --limit 0
holds out "845 cells in 10 solos" && ! holds out "folded into these"
ok $? "--no-folding lists the shorter ones as well"
run cells --by spread --limit 2
expect "by spread" 0 "keys" -

# --- comparing ---------------------------------------------------------------

run cells --performer kittleby --versus others --limit 0
expect "what marks a player" 0 "b7 1 b3 1 over minor · 11 times in 7 solos" -
holds out "What marks all other solos" && holds out "    mark -"
ok $? "and what marks the others"
run cells --performer kittleby --versus performer=wrenmoor --limit 1
expect "one player against another" 0 \
    "What marks the solos with performer wrenmoor" -
run cells --performer kittleby --by distinct
expect "--by distinct asks with whom to compare" 2 - "--versus performer=NAME"
run cells --versus others
expect "there are no others" 1 - "say which ones are asked"
run cells --performer kittleby --versus performer=nobody
expect "nobody of that name" 1 - "no solo with performer nobody"
run cells --performer kittleby --versus title=damp --limit 1
expect "a solo on both sides is told" 0 "1 solo on both sides" -
run cells --versus tune=x
expect "a filter that is none" 2 - "--versus"

# --- the page of one ---------------------------------------------------------

run cells --of "5 b3 2 1" --over m7
expect "the page of a cell" 0 "5 b3 2 1 over minor · as written" -
holds out "9 b7 6 5 over dominant · ii over its V" && holds out "starts on"
ok $? "its uses by class, start and relation"
"$bin/cellar" find "5 b3 2 1" --over m7 --reharmonized --count >"$dir/found"
uses=$(sed -nE 's/^([0-9]+) uses over a chord.*/\1/p' "$dir/out")
grep -q "^$uses places" "$dir/found"
ok $? "as many as find --reharmonized has"
run cells --of "5 b3 2"
expect "three notes, without a chord" 0 "the one the notes spell" -
run cells --of "5 b3"
expect "two notes are no cell" 2 - "a cell has 3 to 7 notes"
run cells --of "5 ? 2 1"
expect "a cell has no ?" 2 - "'cellar find' takes it"
run cells --of "5 b33 2"
expect "a slip is shown where it is" 2 - "    ^"
run cells --of "1 b9 1 b9 1 b9 1"
expect "a cell that nobody plays" 1 "" "no place with"
run cells --of "5 b3 2 1" --all
expect "what has no meaning with --of" 2 - "have no meaning with it"

# --- mistakes ----------------------------------------------------------------

run cells wrenmoor
expect "no argument" 2 - "--performer keeps to a player"
run cells --length 2-4
expect "a length out of range" 2 - "length"
run cells --over "m7|7"
expect "two chords" 2 - "--over takes one chord"
run cells --into V7
expect "a function to go to" 2 - "not a roman numeral"
run cells --performer nobody
expect "nobody" 1 "" "no solo with performer nobody"
run cells --min-count 5000
expect "nothing so often" 1 "" "lower --min-count"

# --- JSON --------------------------------------------------------------------

run cells --limit 1 --format json
expect "JSON" 0 '"cells":[{"rank":1,"degrees":[' -
holds out '"distinct":null' && holds out '"examples":[{"path":"'
ok $? "without a comparison nothing is distinct"
run cells --of "5 b3 2 1" --over m7 --format json --limit 1
expect "JSON of a page" 0 '"uses":[{"degrees":["5","b3","2","1"],' -
holds out '"start":"5","start_semitones":7,"relation":"as written"'
ok $? "with class, start and relation"
if command -v node >/dev/null; then
    node tests/reference/cells.js "$bin/cellar" "$lib" "Odessa Kittleby" \
        >"$dir/out" 2>"$dir/err"
    ok $? "every cell there is, counted again from what solo says"
else
    skip "every cell there is, counted again from what solo says" "no node"
fi

# The same bytes each time, and with details in any number of batches.
run cells --limit 0 --format json
cp "$dir/out" "$dir/first"
run cells --limit 0 --format json
cmp -s "$dir/out" "$dir/first"
ok $? "the same bytes again"

# --- into banks ----------------------------------------------------------------

run bank new mine
run cells --performer wrenmoor --limit 6 --keep mine:2,4-5
cp "$dir/out" "$dir/listed"
[ "$status" -eq 0 ] && holds err "kept 3 cells in mine"
ok $? "cells are kept by their numbers while they are listed"
run cells --performer wrenmoor --limit 6
cmp -s "$dir/out" "$dir/listed"
ok $? "keeping changes nothing of what is listed"
run bank add mine 1-3
expect "and afterwards, those that are new" 0 "mine: 2 cells added" ""
run bank show mine --format json
grep -oE '"degrees":\[[^]]*\]' "$dir/out" | sort >"$dir/kept"
run cells --performer wrenmoor --limit 5 --format json
grep -oE '"degrees":\[[^]]*\]' "$dir/out" | sort >"$dir/first5"
cmp -s "$dir/kept" "$dir/first5"
ok $? "the cells kept are the cells listed"
run coverage wrenmoor/damp --bank mine
expect "a solo covered by them" 0 "5 cells of the bank mine" "-"
run cells --limit 3 --keep min
expect "a bank that is not there" 1 "" "did you mean 'mine'?"
run cells --limit 3 --keep mine:7
expect "a number that is not listed" 2 "" "there is no cell 7 to keep"
run cells --of "5 b3 2 1" --keep mine
expect "--keep and --of" 2 "" "--keep have no meaning"
run coverage wrenmoor/damp --bank min
expect "coverage by a bank that is not there" 1 "" "did you mean 'mine'?"

echo "1..$count"
[ "$failed" -eq 0 ]
