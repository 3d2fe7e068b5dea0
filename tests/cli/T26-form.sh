#!/usr/bin/env bash
# T26: cellar form, and the form in solo and find.  Prints TAP.
# CELLAR_BUILD is the folder with the programs (default: build).  The solos are
# those of the demo corpus; its README.md says what form each has.
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

lib="$dir/lib"
copy_demo "$lib"
"$bin/cellar-index" --quiet "$lib" || { echo "Bail out! no index"; exit 1; }
export CELLAR_LIBRARY=$lib

# --- text --------------------------------------------------------------------

run form kittleby/lemon
expect "form: AABA and its length" 0 "AABA, 32 bars" -
holds out "marks in the score" && grep -qE '^choruses +2$' "$dir/out"
ok $? "form: what tells it, and how many choruses"
grep -qE '^  chorus 1 +1-26 +A 1-8  A 1-10  B 11-18  A 19-26$' "$dir/out" &&
    grep -qE '^  chorus 2 +27-58 +A 27-34  A 35-42  B 43-50  A 51-58$' \
        "$dir/out"
ok $? "form: the chorus map, bars as printed, endings taken"
grep -qE '^  B +17 \| G7 +\| % +\| C7 +\| % +\|$' "$dir/out" &&
    grep -qE '^ +21 \| F9 +\|' "$dir/out"
ok $? "form: the grid of one chorus, bars counted from its start"
run form wrenmoor/turnip
grep -qE '^form +12 bars$' "$dir/out" && holds out "its chords;" &&
    grep -qE '^choruses +4$' "$dir/out" &&
    grep -qE '^  chorus 4 +37-48$' "$dir/out"
ok $? "form: one section has no letter"
run form agnes kittleby
expect "form: a name that no solo has" 1 - "cellar solos"
run form kittleby/an-umbrella
grep -qE '^before it +1 bar$' "$dir/out" &&
    grep -qE '^  chorus 1 +1-32 ' "$dir/out"
ok $? "form: a pickup is no bar of it"
run form
expect "form: the name is missing" 2 - "which solo?"
run form lemon
expect "form: several candidates are listed" 2 - "lemon-peel-ledger"
run form wrenmoor/lemon --set 16
expect "form: no option that does nothing" 2 - "--set"
run form --help
expect "form: help" 0 "usage: cellar form SOLO" -
for name in kittleby/lemon marchetvale/an-umb wrenmoor/twenty; do
    run form $name
    awk 'length($0) > 100 { exit 1 }' "$dir/out"
    ok $? "form: within 100 columns: $name"
done

# --- JSON --------------------------------------------------------------------

run form kittleby/gravel --format json
holds out '{"path":"odessa-kittleby/gravel-lantern-blues.musicxml","length":12,"first_bar_index":0,"source":"marks","confidence":99,"choruses":[{"number":1,"first_bar":"1","first_bar_index":0,"bars":12,"complete":true,"sections":[{"letter":"A","first_bar_index":0,"bars":12}]},{"number":2,"first_bar":"1","first_bar_index":0,'
ok $? "form: json, a repeated chorus twice"
holds out '{"number":4,"first_bar":"25","first_bar_index":24,"bars":12,"complete":true,"sections":[{"letter":"A","first_bar_index":24,"bars":12}]}],"grid":[["Bb7"],["Eb7"],["Bb7"],["Fm7","Bb7"],["Eb7"],["Edim7"],["Bb7"],["Dm7b5","G7b9"],["Cm7"],["F7"],["Bb7","G7"],["Cm7","F7"]]}'
ok $? "form: json, the chords of chorus 1"
run solo kittleby/gravel --format json
holds out '"form":{"length":12,"first_bar_index":0,"source":"marks","confidence":99,"choruses":[{"number":1,' &&
    ! holds out '"grid"'
ok $? "solo: json, the form without path and grid"
# Bar 13 as printed is the first of the third chorus played.
grep -qE '"bar":"13","bar_index":12,[^{}]*"chorus":3,"chorus_bar":1,"section":"A","phrase":[0-9]+\}' "$dir/out" &&
    grep -qE '"bar":"11","bar_index":10,[^{}]*"chorus":1,"chorus_bar":11,' \
        "$dir/out"
ok $? "solo: json, where a note stands in the form"
run solo kittleby/an-umbrella --format json
grep -qE '"bar":"0","bar_index":0,[^{}]*"chorus":null,"chorus_bar":null,"section":null,"phrase":1\}' "$dir/out" &&
    grep -qE '"bar":"18","bar_index":18,[^{}]*"chorus":1,"chorus_bar":18,"section":"B",' "$dir/out"
ok $? "solo: json, a pickup is in no chorus; the bridge is B"

# --- find --------------------------------------------------------------------

run find 5 b3 2 1 --over m7 --section B --performer marchetvale
grep -A1 -E '^  bar 56 +beat 1  Em7 .*  5 b3 2 1$' "$dir/out" |
    grep -q 'bar 24 of chorus 2'
ok $? "find: the place in the form"
awk 'length($0) > 101 { exit 1 }' "$dir/out"
ok $? "find: within 100 columns"
run find 5 b3 2 1 --over m7 --section B --performer marchetvale --format json
holds out '"chorus":2,"chorus_bar":24,"section":"B","plays":1}'
ok $? "find: json, the place in the form"

# --- a piece without one -----------------------------------------------------

mkdir "$dir/vamp"
{
    echo '<score-partwise version="4.0"><part-list><score-part id="P">' \
        '<part-name>P</part-name></score-part></part-list><part id="P">'
    for i in $(seq 1 32); do
        step=D kind=minor-seventh
        [ $((i % 2)) -eq 1 ] || { step=G kind=dominant; }
        echo "<measure number=\"$i\"><attributes><divisions>1</divisions>" \
            "<time><beats>4</beats><beat-type>4</beat-type></time>" \
            "</attributes><harmony><root><root-step>$step</root-step></root>" \
            "<kind>$kind</kind></harmony><note><pitch><step>A</step>" \
            "<octave>4</octave></pitch><duration>4</duration></note></measure>"
    done
    echo '</part></score-partwise>'
} >"$dir/vamp/vamp.musicxml"
"$bin/cellar-index" --quiet "$dir/vamp"
run form vamp --library "$dir/vamp"
expect "form: a vamp has none, and says so" 0 "none found" -
run form vamp --library "$dir/vamp" --format json
[ "$(cat "$dir/out")" = '{"path":"vamp.musicxml","length":null,"first_bar_index":0,"source":"none","confidence":null,"choruses":[],"grid":[]}' ]
ok $? "form: json of none"

echo "1..$count"
[ "$failed" -eq 0 ]
