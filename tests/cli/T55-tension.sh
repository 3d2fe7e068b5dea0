#!/usr/bin/env bash
# T55: cellar tension, notes on a degree and the table.  Prints TAP.
# CELLAR_BUILD is the folder with the programs (default: build).  The solos are
# those of the demo corpus and one that is written here.
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

lib="$dir/lib"
copy_demo "$lib"
"$bin/cellar-index" --quiet "$lib" || { echo "Bail out! no index"; exit 1; }
export CELLAR_LIBRARY=$lib

# --- a solo written out ------------------------------------------------------
# G7: B (3) for a half note, Ab (b9) for a half; Cmaj7: G (5) for a whole.  G7:
# Ab for a whole; N.C.: G.  G7sus4: C (4) for a whole.

note() { # STEP ALTER OCTAVE QUARTERS
    echo "<note><pitch><step>$1</step><alter>$2</alter><octave>$3</octave>" \
        "</pitch><duration>$4</duration></note>"
}
chord() { # ROOT KIND
    echo "<harmony><root><root-step>$1</root-step></root><kind>$2</kind>" \
        "</harmony>"
}
mkdir "$dir/one"
{
    echo '<score-partwise version="4.0"><work><work-title>Tin Kettle' \
        '</work-title></work><part-list><score-part id="P"><part-name>P' \
        '</part-name></score-part></part-list><part id="P">' \
        '<measure number="1"><attributes><divisions>1</divisions><time>' \
        '<beats>4</beats><beat-type>4</beat-type></time></attributes>'
    chord G dominant
    note B 0 4 2
    note A -1 4 2
    echo '</measure><measure number="2">'
    chord C major-seventh
    note G 0 4 4
    echo '</measure><measure number="3">'
    chord G dominant
    note A -1 4 4
    echo '</measure><measure number="4">'
    chord C none
    note G 0 4 4
    echo '</measure><measure number="5">'
    echo "<harmony><root><root-step>G</root-step></root><kind>dominant</kind>" \
        "<degree><degree-value>4</degree-value><degree-alter>0</degree-alter>" \
        "<degree-type>add</degree-type></degree><degree><degree-value>3" \
        "</degree-value><degree-alter>0</degree-alter><degree-type>subtract" \
        "</degree-type></degree></harmony>"
    note C 0 5 4
    echo '</measure></part></score-partwise>'
} >"$dir/one/kettle.musicxml"
"$bin/cellar-index" --quiet "$dir/one"

run tension b9 --over 7 --library "$dir/one"
expect "the notes, and what was understood" 0 "b9 (also b2) over 7" -
holds out "2 notes in 1 solo" &&
    holds out "  bar 3  beat 1  G7  Ab4  b9  whole  from a semitone below, down a semitone" &&
    holds out "  bar 1  beat 3  G7  Ab4  b9  half   from a minor third above, down a semitone to 5 of "
ok $? "the longer first; bar, beat, chord, note, length, moves"
run tension b2 --over 7 --resolves 'b9>5' --library "$dir/one"
holds out "1 note in 1 solo" && holds out "bar 1" && ! holds out "bar 3"
ok $? "only the note that leads across to a chord resolves"
run tension --resolves 'b9>5' --library "$dir/one"
expect "the degree may stand in --resolves alone" 0 "1 note in 1 solo" -
run tension 4 --library "$dir/one"
holds out "G7sus" && holds out "  4  whole"
ok $? "the 4 of a sus keeps its name"
run tension --table --library "$dir/one"
expect "the table: chord tones are no tensions" 0 "2 notes in 1 solo" -
grep -qE '^  dominant +b9 +2 +50\.0 % +3\.00 +1 +5 over major \(1\)$' "$dir/out"
ok $? "the table: count, share, mean length, resolution"
run tension --table 4 --library "$dir/one"
grep -qE '^  dominant +4 +1 +25\.0 % +4\.00 +0$' "$dir/out"
ok $? "the table of one degree, whatever it is called"

# --- JSON --------------------------------------------------------------------

run tension b9 --library "$dir/one" --format json --limit 0
holds out '"total":2,"solos":1,"hits":[{"rank":1,"score":0.750000,"parts":{"length":{"total":1.000,"weight":0.400},"beat":{"total":1.000,"weight":0.250},"peak":{"total":0.500,"weight":0.200},"end":{"total":0.000,"weight":0.150}},"path":"kettle.musicxml","title":"Tin Kettle","performer":"","bar":"3","bar_index":2,"onset":"0/1","first_note":3,"note":"Ab4","midi":68,"duration":"4/1","degree":"b9","chord":"G7","kind":"dominant","class":"dominant","function":"V7","key":"C major","chorus":null,"chorus_bar":null,"section":null,'
ok $? "json: a hit"
holds out '"approach":"chromatic from below","approach_semitones":1,"departure":"chromatic down","departure_semitones":-1,"resolves":null,"plays":1}' &&
    holds out '"approach":"leap from above","approach_semitones":-3,"departure":"chromatic down","departure_semitones":-1,"resolves":{"degree":"5","chord":"Cmaj7","class":"major",'
ok $? "json: approach, departure and resolution"
run tension --table --library "$dir/one" --format json
holds out '"total":2,"notes":5,"solos":1,"rows":[{"class":"dominant","degree":"b9","count":2,"notes":4,"mean_duration":"3/1","resolved":1,"resolutions":[{"degree":"5","class":"major","count":1}]}]}'
ok $? "json: the table"

# --- the table and the questions it stands for -------------------------------

run tension --table --format json
cp "$dir/out" "$dir/table"
sum=0
for degree in b9 9 '#9' 11 '#11' b13 13; do
    run tension "$degree" --format json --limit 0
    one=$(grep -o "\"degree\":\"$degree\",\"chord\":\"[^\"]*\",\"kind\"" \
        "$dir/out" | wc -l)
    sum=$((sum + one))
done
[ "$sum" -gt 1000 ] && holds table "\"total\":$sum,"
ok $? "the table holds what the single questions find"

# --- filters together --------------------------------------------------------

run tension 9 --over m7 --length 4+ --performer kittleby
total=$(sed -n 's/^\([0-9]*\) notes in.*/\1/p' "$dir/out")
run tension 9 --over m7 --performer kittleby
all=$(sed -n 's/^\([0-9]*\) notes in.*/\1/p' "$dir/out")
[ "$total" -gt 0 ] && [ "$total" -lt "$all" ] &&
    holds out "only solos with performer kittleby"
ok $? "length and player narrow it down, and are said"
run tension 9 --over m7 --accent strong --approach step-above --in-phrase first \
    --departure down --beat 1 --chorus 1
holds out "9 (also 2) over m7; on the bar line or in the middle of the bar; first of its"
ok $? "what was understood"
for way in strong weak off; do
    run tension 9 --accent $way --format json
    sed -n 's/.*"total":\([0-9]*\),"solos".*/\1/p' "$dir/out"
done >"$dir/parts"
run tension 9 --format json
[ "$(awk '{ s += $1 } END { print s }' "$dir/parts")" = \
    "$(sed -n 's/.*"total":\([0-9]*\),"solos".*/\1/p' "$dir/out")" ]
ok $? "every note is strong, weak or off the beat"

# --- explain, limit, width ---------------------------------------------------

run tension b9 --over 7 --explain --limit 1
holds out "      score 0." && holds out "      length 0." &&
    holds out " x 0.40: " && holds out " x 0.15: " &&
    holds out "119 more; --limit 0 shows all"
ok $? "--explain and --limit"
run tension b9 --limit 0
[ "$(wc -L <"$dir/out")" -le 100 ]
ok $? "within 100 columns"
cp "$dir/out" "$dir/all"
run tension b9 --limit 0
cmp -s "$dir/out" "$dir/all"
ok $? "the same question prints the same"

# --- nothing, and mistakes ---------------------------------------------------

run tension b9 --over 7 --length 1+ --in-phrase last
expect "nothing found: what could be loosened" 1 "0 notes in 0 solos" \
    "drop --over, or drop --length, or drop --in-phrase"
run tension --table --over 7 --length 1+ --in-phrase first
expect "the same of the table" 1 "0 notes" "no tension over 7"
run tension b9 --over 7 --in-phrase last --length 1+ --format json
expect "the same as json" 1 '"total":0,"solos":0,"hits":[]}' ""
run tension
expect "no degree" 2 - "cellar tension b9"
run tension b33
expect "no such degree, with a caret" 2 - "is no degree"
tail -n 1 "$dir/err" | grep -q '^  ^$'
ok $? "the caret"
run tension b9 9
expect "one at a time" 2 - "one degree at a time"
run tension b9 --over 'm7|7'
expect "one chord" 2 - "give one"
run tension b9 --over N.C.
expect "no degree over nothing" 2 - "without a chord"
run tension b9 --over m77
expect "a chord that does not read" 2 - "is no chord"
run tension b9 --resolves '9>5'
expect "another degree in --resolves" 2 - "another degree than b9"
run tension b9 --resolves 'b9>q'
tail -n 1 "$dir/err" | grep -q '^     ^$'
ok $? "a caret in --resolves"
run tension b9 --length 5
expect "no note value" 2 - "a note value as in a fragment"
run tension b9 --approach up
expect "an approach is from somewhere" 2 - "from below or above"
run tension b9 --departure below
expect "a departure goes somewhere" 2 - "up or down"
run tension --table --limit 3
expect "the table has no limit" 2 - "leave out --limit"
run tension --table --explain
expect "the table explains nothing" 2 - "give one of them"
run tension --help
expect "help" 0 "usage: cellar tension DEGREE" -

echo "1..$count"
[ "$failed" -eq 0 ]
