#!/usr/bin/env bash
# T54: cellar coverage.  Prints TAP.
# CELLAR_BUILD is the folder with the programs (default: build).
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

# --- a corpus whose share is known -------------------------------------------

# A score of BARS, each "CHORD:notes": roots and kinds are those of `kinds`,
# notes midi numbers, eighths.
declare -A kinds=([m]=minor-seventh [d]=dominant [M]=major-seventh)
steps=(C C D D E F F G G A A B)
alters=(0 1 0 1 0 0 1 0 1 0 1 0)
score() { # FILE BAR...
    local file=$1 number=0 bar midi pc
    shift
    {
        echo '<score-partwise version="4.0"><part-list><score-part id="P">' \
            '<part-name>P</part-name></score-part></part-list><part id="P">'
        for bar in "$@"; do
            number=$((number + 1))
            echo "<measure number=\"$number\"><attributes>" \
                "<divisions>2</divisions><time><beats>4</beats>" \
                "<beat-type>4</beat-type></time></attributes>" \
                "<harmony><root><root-step>${bar:0:1}</root-step></root>" \
                "<kind>${kinds[${bar:1:1}]}</kind></harmony>"
            for midi in ${bar#*:}; do
                pc=$((midi % 12))
                echo "<note><pitch><step>${steps[pc]}</step>" \
                    "<alter>${alters[pc]}</alter><octave>$((midi / 12 - 1))" \
                    "</octave></pitch><duration>1</duration></note>"
            done
            echo "</measure>"
        done
        echo "</part></score-partwise>"
    } >"$dir/known/$file.musicxml"
}

mkdir "$dir/known"
# Bar 1 the cell 5 b3 2 1 and four notes of a scale; bar 2 the cell over G7;
# bar 3 an enclosure and an arpeggio; bar 4 the cell, a repeated note.
score one "Dm:69 65 64 62 60 59 57 55" "Gd:69 65 64 62 71 80 71 80" \
    "CM:65 63 64 67 71 80 70 80" "Dm:69 65 64 62 74 74 74 60"
score two "Dm:69 65 64 62 84 72 61 85" "Dm:69 65 64 62 60 86 73 62"
score three "Dm:69 65 64 62 51 84 50 85" "Gd:49 83 50 82 51 81 52 80"
bars=()
for i in $(seq 30); do
    bars+=("Dm:69 65 64 62 69 65 64 62")
done
score often "${bars[@]}"
"$bin/cellar-index" --quiet "$dir/known" || { echo "Bail out! no index"; exit 1; }

known() { run coverage --library "$dir/known" "$@"; }

known one --cell "5 b3 2 1" --over m7
expect "a bound cell: the exact share" 0 "8 of 32 notes, 25.0 %: 2 places, 1 different cell" -
grep -qE '^  1  5 b3 2 1 over minor +2 times +bars 1, 4$' "$dir/out"
ok $? "its places by bar"
known one --cell "-4 -1 -2"
expect "anywhere: the exact share" 0 "12 of 32 notes, 37.5 %: 3 places" -
known one --cell "5 b3 2 1" --over m7 --bars 1-2
expect "a passage" 0 "4 of 16 notes, 25.0 %: 1 place" -
holds out "bars        1-2" && ! holds out "  3 |"
ok $? "a passage: no other bars"
known one --cell "5 b3 2 1" --over m7 --bars 2
expect "a passage without it" 1 "0 of 8 notes, 0.0 %" "leave out --bars"
known one --cell "5 b3 2 1" --over m7 --format json
holds out '"notes":32,"covered":8,"share":0.250000,' &&
    holds out '{"first_note":0,"last_note":3,"what":"cell","cell":["5","b3","2","1"],' &&
    holds out '{"first_note":4,"last_note":7,"what":"scale","cell":null,' &&
    holds out '{"first_note":16,"last_note":17,"what":"enclosure","cell":null,"target":18,' &&
    holds out '{"first_note":18,"last_note":20,"what":"arpeggio",' &&
    holds out '{"first_note":28,"last_note":30,"what":"repeat",'
ok $? "json: the share, cells and joins"
grep -o '"first_note":[0-9]*,"last_note":[0-9]*' "$dir/out" | tr -c '0-9\n' ' ' |
    awk '$1 != next_note { bad = 1 } { next_note = $2 + 1 }
         END { exit bad || next_note != 32 }'
ok $? "json: every note once, in order"
known one --cell "5 b3 2 1" --over m7
grep -A3 -E '^  1 \| Dm7 +\| G7 ' "$dir/out" >"$dir/bars"
sed -n 2p "$dir/bars" | grep -qE '^ +A4  F4  E4  D4  C4  B3  A3  G3 +A4' &&
    sed -n 3p "$dir/bars" | grep -qE '^ +5   b3  2   1   b7  6   5   4 +9 ' &&
    sed -n 4p "$dir/bars" | grep -qE '^ +1-{14} scale-{10} '
ok $? "text: notes, degrees and what they are"

known often --cell "5 b3 2 1" --over m7
expect "many places" 0 "240 of 240 notes, 100.0 %: 60 places, 1 different cell" -
tr -s ' \n' ' ' <"$dir/out" |
    grep -q '60 times bars 1, 2, 3, .* 23, 24 and 6 more $'
ok $? "many places: bars once each, and not without end"
rm "$dir/known/often.musicxml"
"$bin/cellar-index" --quiet "$dir/known"

# --- the commonest of the other solos ----------------------------------------

# The cell stands twice in two, once in three: three times in two other solos.
known one
expect "the commonest: of the other solos" 0 "5 b3 2 1 over minor" -
holds out "8 of 32 notes" && holds out "the 1 commonest of the other solos"
ok $? "the commonest: nothing that is only here"
known two
expect "the commonest: the others have it in two solos" 0 "8 of 16 notes" -
known one --length 5-7
expect "no common cell of that length" 1 "0 of 32 notes" \
    "no cell of that length is used 3 times in 2 other solos"
known one --commonest 0 --length 3-4
expect "as many as there are" 0 "8 of 32 notes" -

# --- against find, on the demo corpus ----------------------------------------

lib="$dir/lib"
copy_demo "$lib"
"$bin/cellar-index" --quiet "$lib" || { echo "Bail out! no index"; exit 1; }
export CELLAR_LIBRARY=$lib

# Two places of this cell can share one note at most, and never do here.
bad=0
solos=0
for path in $(cd corpus-demo && echo */*.m*x*l); do
    run find "-4 -1 -2" --path "$path" --count
    places=$(grep -oE '^[0-9]+' "$dir/out")
    run coverage "$path" --cell "-4 -1 -2" --format json
    solos=$((solos + 1))
    holds out "\"covered\":$((4 * ${places:-0}))," || bad=1
done
[ "$bad" -eq 0 ] && [ "$solos" -eq 29 ]
ok $? "a cell covers as many notes as find finds places of it, in $solos solos"

# --- what is asked wrongly ---------------------------------------------------

run coverage
expect "the name is missing" 2 - "which solo?"
run coverage lemon
expect "several candidates" 2 - "lemon-peel-ledger"
run coverage no-such-solo
expect "no such solo" 1 - "cellar solos"
run coverage wrenmoor/lemon --bars 99
expect "no such bar" 2 - "the bars run from 0 to 64"
run coverage wrenmoor/lemon --bars 8-
expect "half a range of bars" 2 - "--bars"
run coverage wrenmoor/lemon --over m7
expect "--over without a cell" 2 - "--cell"
run coverage wrenmoor/lemon --cell "5 b3 2 1" --over m7 --commonest 5
expect "two kinds of cells" 2 - "--commonest"
run coverage wrenmoor/lemon --cell "5 b3"  --over m7
expect "too short for a cell" 2 - "3 to 7 notes"
run coverage wrenmoor/lemon --bank no-such-bank
expect "no such bank" 1 - "there are no banks yet"
run coverage wrenmoor/lemon --bank x --cell "C D E"
expect "a bank and cells" 2 - "not both"
run coverage wrenmoor/lemon --bank x --length 3-4
expect "a bank has its own lengths" 2 - "--length"
run coverage --help
expect "help" 0 "usage: cellar coverage SOLO" -

# --- width -------------------------------------------------------------------

for name in kittleby/lemon marchetvale/an-umb wrenmoor/bramble; do
    run coverage $name --commonest 0
    awk 'length($0) > 100 || / $/ { exit 1 }' "$dir/out"
    ok $? "within 100 columns, no blanks at the end: $name"
    run coverage $name --performer kittleby --format json
    [ "$(grep -c '^{"path":.*}$' "$dir/out")" -eq 1 ]
    ok $? "json is one line: $name"
done

echo "1..$count"
[ "$failed" -eq 0 ]
