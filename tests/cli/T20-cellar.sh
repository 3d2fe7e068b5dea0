#!/usr/bin/env bash
# T20: cellar - help, options, library, solos, solo, find, and what goes wrong.
# Prints TAP.  CELLAR_BUILD is the folder with the programs (default: build).
# The solos are written below; their degrees over the chords are common
# practice, no source, unless a line says otherwise.
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

# --- a small library ---------------------------------------------------------

# A note NAME[:LENGTH][~]: Eb4 is a quarter, Eb4:1 an eighth, ~ ties it on.
note() {
    local text=${1%"~"} tie="" length=2 alter="" name
    [ "$text" = "$1" ] || tie='<tie type="start"/>'
    case $text in *:*) length=${text#*:} ;; esac
    name=${text%%:*}
    case $name in
    ?b?) alter="<alter>-1</alter>" ;;
    ?#?) alter="<alter>1</alter>" ;;
    esac
    echo "<note><pitch><step>${name:0:1}</step>$alter<octave>${name: -1}" \
        "</octave></pitch><duration>$length</duration>$tie</note>"
}

harmony() { # STEP:KIND
    echo "<harmony><root><root-step>${1%%:*}</root-step></root>" \
        "<kind>${1#*:}</kind></harmony>"
}

# solo FILE TITLE PERFORMER ATTRIBUTES BAR...: a bar is a list of notes, of
# chords written =STEP:KIND, and :| for a repeat; NUMBER/ in front numbers it.
solo() {
    local file=$1 title=$2 performer=$3 attributes=$4 number=0 bar token
    shift 4
    {
        echo '<?xml version="1.0" encoding="UTF-8"?>'
        echo '<score-partwise version="4.0">'
        echo "<work><work-title>$title</work-title></work><identification>"
        echo "<creator type=\"performer\">$performer</creator>"
        echo '</identification><part-list><score-part id="P1">'
        echo '<part-name>Tenor</part-name></score-part></part-list>'
        echo '<part id="P1">'
        for bar in "$@"; do
            number=$((number + 1))
            case $bar in
            */*)
                echo "<measure number=\"${bar%%/*}\">"
                bar=${bar#*/}
                ;;
            *) echo "<measure number=\"$number\">" ;;
            esac
            [ $number -gt 1 ] || echo "<attributes><divisions>2</divisions>" \
                "<key><fifths>0</fifths><mode>major</mode></key><time><beats>4" \
                "</beats><beat-type>4</beat-type></time>$attributes" \
                "</attributes>"
            for token in $bar; do
                case $token in
                =*) harmony "${token#=}" ;;
                ":|") echo '<barline location="right"><repeat' \
                    'direction="backward"/></barline>' ;;
                *) note "$token" ;;
                esac
            done
            echo '</measure>'
        done
        echo '</part></score-partwise>'
    } >"$file"
}

lib=$dir/library
mkdir -p "$lib/ada" "$lib/bo"
solo "$lib/ada/lantern-walk.musicxml" "Lantern Walk" "Ada Quill" "" \
    "=D:minor-seventh A4 F4 E4 D4" "=G:dominant A4 F4 E4 D4" \
    "=C:major-seventh C5 E5 G5 B5" "12a/=G:minor-seventh D5 Bb4 A4 G4"
# Written a whole step higher than it sounds.
solo "$lib/bo/lantern-waltz.musicxml" "Lantern Waltz" "Bo Tarn" \
    "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>" \
    "=A:minor-seventh E5 C5 B4 A4" "=none:none A4 F4 E4 D4"
sed -i 's|<harmony><root><root-step>none</root-step></root> <kind>none|<harmony><kind>none|' \
    "$lib/bo/lantern-waltz.musicxml"
# A title that would turn the line round and steer the terminal (C1 CSI).
solo "$lib/odd.musicxml" "Odd&#x202E;eman&#x9b;31m &quot;q&quot;" "" "" \
    "C4 C4 C4 C4"
"$bin/cellar-index" --quiet "$lib" >"$dir/out" 2>"$dir/err"
ok $? "the library is indexed"

# --- help, version, commands -------------------------------------------------

run --version
[ "$status" -eq 0 ] && [ "$(cat "$dir/out")" = "cellar 0.1.0" ]
ok $? "--version prints name and number"
run find --version
expect "--version also after a command" 0 "cellar 0.1.0" -
run --help
expect "--help lists the commands" 0 "every place where a fragment occurs" -
cp "$dir/out" "$dir/help"
run help
cmp -s "$dir/out" "$dir/help"
ok $? "'help' prints the same as --help"
bad=0
while read -r command; do
    run help "$command"
    [ "$status" -eq 0 ] && holds out "usage: cellar $command" || bad=1
    cp "$dir/out" "$dir/help"
    run "$command" --help
    cmp -s "$dir/out" "$dir/help" || bad=1
    awk 'length($0) > 80 { exit 1 }' "$dir/out" || bad=1
done < <("$bin/cellar" --help | sed -n '/^Commands:/,/^$/s/^  \([a-z]*\) .*/\1/p')
ok $bad "each command listed has help, by either way, within 80 columns"
run help find
bad=0
for option in over from bars any-octave rhythm edits reharmonized relation \
    into explain weights count limit format chorus bar section beat at \
    within-phrase performer \
    title composer instrument key metre tempo words path where library color \
    variants keep output for context practice
do
    holds out "--$option" || bad=1
done
ok $bad "help find names every option"
run
expect "no command is wrong use" 2 - "cellar help"
run slos
expect "an unknown command gets the nearest" 2 - "did you mean 'solos'?"
run xyzzy
expect "an unknown command far from all points to help" 2 - "'cellar help'"
run help xyzzy
expect "help of an unknown command" 2 - "unknown command 'xyzzy'"
run solos --perfomer Ada
expect "an unknown option gets the nearest" 2 - "did you mean '--performer'?"
run solos --limit many
expect "a bad option value" 2 - "'--limit' must be a whole number"
run --limit 3 solos
expect "an option of a command before it" 2 - "before the command"

# --- which library -----------------------------------------------------------

run solos
expect "without a library: status 3 and how to mend it" 3 - "cellar-index DIR"
run solos --library "$lib"
expect "--library" 0 "3 solos" -
run --library "$lib" solos
expect "--library before the command" 0 "3 solos" -
CELLAR_LIBRARY=$lib run solos
expect "CELLAR_LIBRARY" 0 "3 solos" -
CELLAR_LIBRARY=$dir/none run solos --library "$lib"
expect "--library goes before CELLAR_LIBRARY" 0 "3 solos" -
mkdir -p "$lib/bo/deep/er"
(cd "$lib/bo/deep/er" && "$bin/cellar" solos) >"$dir/out" 2>"$dir/err"
status=$?
expect "the nearest folder upwards with .cellar/" 0 "3 solos" -
run solos --library "$dir/none"
expect "a library folder that is not there" 3 - "$dir/none"
mkdir "$dir/empty"
run solos --library "$dir/empty"
expect "a folder without an index" 3 - "cellar-index"

export CELLAR_LIBRARY=$lib

# --- solos -------------------------------------------------------------------

run solos
expect "solos: a table with a heading" 0 "title  " -
holds out "ada/lantern-walk " && holds out "C major" &&
    grep -qE 'Lantern Waltz +Bo Tarn +bo/lantern-waltz +Bb major +4/4 ' \
        "$dir/out"
ok $? "solos: facts, the key as it sounds"
run solos --limit 1
expect "solos: --limit says how many more" 0 "2 more; --limit 0 shows all" -
run solos --limit 0
expect "solos: --limit 0 is all" 0 "Lantern Waltz" -
run solos --performer ada
expect "solos: a field as an option" 0 "1 solo" -
run solos --where performer=tarn --title waltz
expect "solos: --where, and all must hold" 0 "1 solo" -
run solos --performer nobody
expect "solos: none is status 1 with a hint" 1 "0 solos" "performer nobody"
run solos --where colour=red
expect "solos: an unknown field" 2 - "performer, title"
run solos surplus
expect "solos: no argument" 2 - "surplus"
run solos --format json --performer ada
holds out '{"total":1,"solos":[{"path":"ada/lantern-walk.musicxml","sha256":"'"$(
    sha256sum <"$lib/ada/lantern-walk.musicxml" | cut -d' ' -f1)"'","title":"Lantern Walk","performer":"Ada Quill","composer":"","instrument":"Tenor","key":"C major","metre":"4/4","tempo":null,"notes":16,"chords":4,"bars":4,"warnings":0}]}'
ok $? "solos: json has every key"

# --- solo --------------------------------------------------------------------

run solo walk
expect "solo: a part of the name is enough" 0 "Lantern Walk" -
grep -qE '^ +1 \| Dm7 +\| G7 +\| Cmaj7 +\|' "$dir/out" &&
    grep -qE '^ +12a \| Gm7' "$dir/out"
ok $? "solo: the chord grid, bars as printed"
chords=$(grep -E '^ +1 \| Dm7' "$dir/out")
functions=$(grep -A1 -E '^ +1 \| Dm7' "$dir/out" | tail -n 1)
under() { # CHORD FUNCTION: it stands in the same column
    local a=${chords%%"$1"*} b=${functions%%"$2"*}
    [ "$a" != "$chords" ] && [ "$b" != "$functions" ] && [ ${#a} = ${#b} ]
}
under Dm7 "C: ii7" && under G7 V7 && under Cmaj7 Imaj7
ok $? "solo: functions stand below their chords, with the key first"
run solo lantern walk
expect "solo: a name of several words without quotes" 0 "Lantern Walk" -
run solo walk --notes
grep -qE '^ +1 +2 +F4 +quarter +b3 +Dm7$' "$dir/out" &&
    grep -qE '^ +12a +1 +D5 +quarter +5 +Gm7$' "$dir/out"
ok $? "solo: --notes, a line a note"
run solo lantern
expect "solo: several candidates are listed" 2 - "bo/lantern-waltz.musicxml"
run solo nowhere
expect "solo: none points to 'cellar solos'" 1 - "'cellar solos'"
run solo
expect "solo: the name is missing" 2 - "which solo?"
run solo waltz --format json
holds out '"fifths":0,"mode":"major","metre":"4/4","tempo":null,"transpose":-2,"bars":2,"notes":8,"rests":0,"grace":0,"chords":2,"warnings":[]},"form":{"length":null,"first_bar_index":0,"source":"none","confidence":null,"choruses":[]},"chords":[{"bar_index":0,"onset":"0/1","symbol":"Gm7","root":7,"kind":"minor-seventh","bass":7,"function":"vi7","key":"Bb major"},{"bar_index":1,"onset":"0/1","symbol":"N.C.","root":null,"kind":"none","bass":null,"function":null,"key":"Bb major"}],"notes":['
ok $? "solo: json header, form and chords, transposed"
holds out '{"index":1,"bar":"1","bar_index":0,"onset":"1/1","duration":"1/1","midi":70,"spelling":"Bb4","written":"C5","chord":"Gm7","root":7,"kind":"minor-seventh","degree":"b3","semitones":3,"anticipates":null,"function":"vi7","key":"Bb major","chorus":null,"chorus_bar":null,"section":null,"phrase":1}'
ok $? "solo: json note, sounding and written"
holds out '{"index":4,"bar":"2","bar_index":1,"onset":"0/1","duration":"1/1","midi":67,"spelling":"G4","written":"A4","chord":null,"root":null,"kind":null,"degree":null,"semitones":null,"anticipates":null,'
ok $? "solo: json note without a chord"

# --- find --------------------------------------------------------------------

run find "5 b3 2 1" --over m7
expect "find: the count" 0 "3 places in 2 solos" -
grep -q '5 b3 2 1 over m7' <(head -n 1 "$dir/out")
ok $? "find: the fragment as understood comes first"
grep -qE '^Ada Quill · Lantern Walk · ada/lantern-walk.musicxml$' "$dir/out" &&
    grep -qE '^  bar +1  beat 1  Dm7  A4 F4 E4 D4 +5 b3 2 1$' "$dir/out" &&
    grep -qE '^  bar +12a  beat 1  Gm7  D5 Bb4 A4 G4 +5 b3 2 1$' "$dir/out"
ok $? "find: heading and rows"
run find A4 F4 E4 D4 --limit 0
holds out "5 places in 2 solos" && grep -qE 'bar +2  .* G7 .* 9 b7 (6|13) 5' \
    "$dir/out" && grep -qE 'G4 Eb4 D4 C4 +down M2$' "$dir/out"
ok $? "find: note names as several arguments, over any chord"
run find --over m7 -4 -1 -2
expect "find: steps down are no options" 0 "3 places in 2 solos" -
run find --over m7 -- -4 -1 -2
expect "find: nor after --" 0 "3 places in 2 solos" -
run find "5 b3 2 1" --over m7 --count
[ "$status" -eq 0 ] && [ "$(cat "$dir/out")" = "3 places in 2 solos" ]
ok $? "find: --count prints the count alone"
run find "5 b3 2 1" --over m7 --limit 1
expect "find: --limit says how many more" 0 "2 more; --limit 0 shows all" -
run find "5 b3 2 1" --over m7 --performer tarn
expect "find: a field as an option" 0 "1 place in 1 solo" -
run find "5 b3 2 1" --over m7 --performer nobody
expect "find: nothing is status 1, says what and how" 1 "0 places" \
    "no place with '5 b3 2 1' over m7; drop --over"
run find "5:4 b3:4 2:4 1:4" --over m7
expect "find: note values that are written must fit" 0 "3 places in 2" -
run find "5:8 b3:8 2:8 1:8" --over m7
expect "find: other note values do not" 1 "0 places" "--rhythm any"
run find "5:8 b3:8 2:8 1:8" --over m7 --rhythm scaled
expect "find: --rhythm scaled" 0 "3 places in 2 solos" -
run find "5 b3 2 1" --rhythm same
expect "find: --rhythm without note values" 2 - "note values"
run find "5 b3' 2, 1" --over m7 --any-octave
expect "find: --any-octave" 0 "3 places in 2 solos" -
run find --from "$lib/ada/lantern-walk.musicxml" --bars 1-1
expect "find: --from FILE --bars" 0 "3 places in 2 solos" -
run find --from "$lib/ada/lantern-walk.musicxml" --bars 12a
expect "find: --bars may be text" 0 "3 places in 2 solos" -
run find --from "$dir/none.musicxml"
expect "find: --from a file that is not there" 3 - "$dir/none.musicxml"
echo "no music" >"$dir/none.musicxml"
run find --from "$dir/none.musicxml"
expect "find: --from a file that is no music" 3 - "$dir/none.musicxml"
run find --from "$lib/ada/lantern-walk.musicxml" --bars 77
expect "find: --bars that are not there" 3 - "77"
run find "5 b3" --bars 1-2
expect "find: --bars without --from" 2 - "--from"
run find "5 b3" --from x
expect "find: a fragment and --from" 2 - "not both"
run find
expect "find: the fragment is missing" 2 - "which fragment?"

run find "5 b3 zz 1" --over m7
[ "$status" -eq 2 ] && [ "$(sed -n 2,3p "$dir/err")" = "  5 b3 zz 1
       ^" ]
ok $? "find: a caret under the wrong token"
run find 5 b3 2 1 --over "Dm7|Gzz"
grep -qxF '  Dm7|Gzz' "$dir/err" && [ "$status" -eq 2 ] &&
    grep -qE '^ {6,8}\^$' "$dir/err"
ok $? "find: and in --over"
run find "$(printf 'b3 \342\231\257\342\231\257q 1')"
[ "$status" -eq 2 ] && [ "$(tail -n 1 "$dir/err")" = "     ^" ]
ok $? "find: the caret counts columns, not bytes"
run find "$(printf 'A \033[2J B')"
[ "$status" -eq 2 ] && ! grep -q "$(printf '\033')" "$dir/err"
ok $? "find: what was typed cannot steer the terminal"
long=$(printf '%0.s5 b3 ' {1..15})
run find "$long" --over m7
[ "$status" -eq 1 ] && awk 'length($0) > 100 { exit 1 }' "$dir/out"
ok $? "find: 30 notes, described within 100 columns"

run find "A4 F4 E4 D4" --over Dm7 --format json
sed -E 's/"milliseconds":[0-9.]+/"milliseconds":T/' "$dir/out" >"$dir/json"
grep -qF '{"query":{"fragment":"A4 F4 E4 D4","from":null,"bars":null,"language":"names","notes":["A4","F4","E4","D4"],"intervals":[-4,-1,-2],"values":null,"over":["Dm7"],"any_octave":false,"rhythm":"any","edits":0,"reharmonized":false,"relation":null,"into":null,"chorus":null,"chorus_bar":null,"section":null,"beat":null,"at":null,"within_phrase":false,"filters":[]},"total":3,"solos":2,"milliseconds":T,"hits":[' "$dir/json"
ok $? "find: json, the question as understood"
grep -qF '"path":"ada/lantern-walk.musicxml","title":"Lantern Walk","performer":"Ada Quill","bar":"12a","bar_index":3,"onset":"0/1","first_note":12,"note_indexes":[12,13,14,15],"notes":["D5","Bb4","A4","G4"],"degrees":["5","b3","2","1"],"chord":"Gm7","kind":"minor-seventh","function":"v7","key":"C major","home":"Gm7","relation":"as written","edits":0,"transposition":5,"chorus":null,"chorus_bar":null,"section":null,"plays":1}' "$dir/json"
ok $? "find: json, a hit with every key"
part='[01]\.[0-9]{3}'
grep -qE '"hits":\[\{"rank":1,"score":[01]\.[0-9]{6},"parts":\{"harmony":\{"total":'$part',"weight":0.550,"relation":'$part',"follows":'$part',"fit":'$part'\},"position":\{"total":'$part',"weight":0.300,"where":'$part',"metre":'$part'\},"rhythm":\{"total":'$part',"weight":0.150,"ratios":'$part'\}\},"path":' "$dir/json"
ok $? "find: json, the rank, the score and its parts"
run find -4 -1 -2 --format json --limit 0
grep -qF '"notes":["G4","Eb4","D4","C4"],"degrees":null,"chord":null,"kind":null,' "$dir/out"
ok $? "find: json, a hit over no chord"
run find "5 b3 2 1" --over m7 --format json --count --where "performer=Ada Quill"
holds out '"filters":[{"name":"performer","value":"Ada Quill"}]' &&
    holds out '"total":2,"solos":1,' && holds out '"hits":[]}'
ok $? "find: json, filters and --count"
run find 5 b3 --over 7alt --format json
[ "$status" -eq 1 ] && holds out '"total":0,"solos":0,' && holds out '"hits":[]}'
ok $? "find: json when nothing is found"
run find 5 b3 2 1 --over m7
cp "$dir/out" "$dir/first"
run find 5 b3 2 1 --over m7
cmp -s "$dir/first" "$dir/out"
ok $? "find: the same question prints the same bytes"

# Functions.
run find "9 b7 6 5" --over V7
expect "find: --over V7" 0 "1 place in 1 solo" -
grep -q '^4 notes, 9 b7 6 5 over V7 of the key (from the root C: ' "$dir/out" &&
    grep -A1 -xF '  bar 2  beat 1  G7  A4 F4 E4 D4  9 b7 6 5' "$dir/out" |
    grep -qE '^      over V7 in C as written · starts on the 9th( ·|$)'
ok $? "find: the function asked for, and in its key in the reason below"
run find "9 b7 6 5" --over 7
! head -n 1 "$dir/out" | grep -q V7 &&
    grep -A1 -xF '  bar 2  beat 1  G7  A4 F4 E4 D4  9 b7 6 5' "$dir/out" |
    grep -qE '^      over V7 in C as written · '
ok $? "find: the reason names the function where none is asked, too"
run find "9 b7 6 5" --over "V7/ii"
expect "find: V7 is not V7/ii" 1 "0 places" "over V7/ii; drop --over"
run find "5 b3 2 1" --over ii7
expect "find: --over ii7 finds ii7, not v7 or vi7" 0 \
    "1 place in 1 solo" -
run find "5 b3 2 1" --over ii7 --format json
holds out '"over":["ii7"],' && holds out '"function":"ii7","key":"C major","home":"Dm7","relation":"as written",'
ok $? "find: json, a function"
run find "2 1 5'" --over "ii7|V7"
expect "find: functions that change inside" 0 "1 place in 1 solo" -
mkdir "$dir/second"
solo "$dir/second/a.musicxml" "Lantern Turn" "Ada Quill" "" \
    "=C:major-seventh C5 E5 G5 B5" "=A:dominant G4 E4 C#4 A3" \
    "=D:minor-seventh A4 F4 D4 C4" "=G:dominant F4 D4 B3 G3" "=C:major E4 E4"
"$bin/cellar-index" --quiet "$dir/second" >"$dir/out" 2>"$dir/err"
run find "b7 5 3 1" --over V7/ii --library "$dir/second"
holds out "1 place in 1 solo" && grep -A1 '^  bar 2  beat 1  A7  ' "$dir/out" |
    grep -q '^      over V7/ii in C as written · starts on the b7 · '
ok $? "find: --over V7/ii"
run find "b7 5 3 1" --over V13 --library "$dir/second"
holds out "1 place in 1 solo" && grep -A1 '^  bar 4  beat 1  G7  ' "$dir/out" |
    grep -q '^      over V7 in C as written · starts on the b7 · '
ok $? "find: V13 is V7"
run find "b7 5 3 1 ? ? ? ? ? ?" --over "V7|Imaj7" --library "$dir/second"
expect "find: functions that are not there" 1 "0 places" "V7|Imaj7"
run find "b7 5 3 1" --over "m7|Vx"
[ "$status" -eq 2 ] && holds err "'Vx' is no function" &&
    [ "$(tail -n 2 "$dir/err")" = "  m7|Vx
      ^" ]
ok $? "find: a wrong roman numeral is pointed at"
run find "b7 5 3 1" --over "Imaj7/ii"
expect "find: what cannot lead anywhere" 2 - "only V, subV, ii and vii lead"

# Reharmonized: a ii cell over the chords that it is played over (the worked
# checks of relations: common practice, no source).
mkdir "$dir/uses"
solo "$dir/uses/cells.musicxml" "Lantern Cells" "Ada Quill" "" \
    "=D:minor-seventh A4 F4 E4 D4" "=G:dominant A4 F4 E4 D4" \
    "=C:major-seventh A4 F4 E4 D4" "=G:dominant Eb5 Cb5 Bb4 Ab4" \
    "=C:major-seventh G4 E4 C4 C4" "=D:minor-seventh A4 G4:1 F4:1 E4 D4" \
    "=G:dominant D4:8" "=G:dominant A4 F4 E4 D4" \
    "=B:major-seventh A4 F4 E4 D4" "=none:none A4 F4 E4 D4"
sed -i 's|<harmony><root><root-step>none</root-step></root> <kind>none|<harmony><kind>none|' \
    "$dir/uses/cells.musicxml"
"$bin/cellar-index" --quiet "$dir/uses" >"$dir/out" 2>"$dir/err"
uses() { run find "$@" --library "$dir/uses"; }
uses 5 b3 2 1 --over m7
expect "find: without --reharmonized, only as written" 0 "1 place in 1 solo" -
uses 5 b3 2 1 --over m7 --reharmonized
cp "$dir/out" "$dir/first"
{ [ "$status" -eq 0 ] && holds out "7 places in 1 solo" &&
    [ "$(sed -n 's/^  *\([0-9][0-9]*\)  [a-z].*/\1/p' "$dir/out" |
        tr '\n' ' ')" = "2 1 1 1 1 1 " ]; }
ok $? "find: --reharmonized, the groups add up to all places, most first"
bad=0
for group in "2  ii cell over the V it leads to: 9 b7 6 5; gives 9 13" \
    "1  over its own chord: 5 b3 2 1; gives 9" \
    "1  ii cell over the I of its key: 13 4 3 2; gives 9 11 13" \
    "1  minor cell a semitone above a dominant's root: b13 3 #9 b9; gives b9 #9 b13" \
    "1  minor over the major a minor third below: b7 #11 4 #9; gives #9 11 #11" \
    "1  over no chord"; do
    grep -qE "^ +$group" "$dir/out" || bad=1
done
ok $bad "find: --reharmonized names each group and what it gives"
grep -A1 '^  bar  4  .* Eb5 Cb5 Bb4 Ab4  b13 3 #9 b9' "$dir/out" |
    grep -q " · over V7 in C as minor a semitone above a dominant's root · starts on"
ok $? "find: a hit says how its chord stands to the home chord"
uses 5 b3 2 1 --over m7 --reharmonized
cmp -s "$dir/first" "$dir/out"
ok $? "find: --reharmonized prints the same bytes twice"
uses 5 b3 2 1 --over m7 --reharmonized --count
sed -n '/^7 places/,/^Ada/p' "$dir/first" | head -n -2 >"$dir/groups"
[ "$(wc -l <"$dir/groups")" -eq 8 ] && cmp -s "$dir/groups" "$dir/out"
ok $? "find: --count with --reharmonized has the groups and no places"
uses A4 F4 E4 D4 --reharmonized
holds out "over any chord, taken as spelling Dm7" && holds out "7 places" &&
    grep -qE '^ +2  ii cell over the V it leads to' "$dir/out"
ok $? "find: without --over, the home chord is what the notes spell"

uses A4 F4 E4 D4 --over Dm7 --reharmonized --format json
sum=0
for n in $(sed -n 's/.*"relations":\[\(.*\)\],"hits".*/\1/p' "$dir/out" |
    grep -oE '"count":[0-9]+' | cut -d: -f2); do
    sum=$((sum + n))
done
holds out '"edits":0,"reharmonized":true,"relation":null,' &&
    holds out '"total":7,' && [ "$sum" -eq 7 ] &&
    holds out '"relations":[{"relation":"ii over its V","count":2,"degrees":["9","b7","6","5"]},{"relation":"as written","count":1,"degrees":["5","b3","2","1"]},' &&
    holds out '{"relation":null,"count":1,"degrees":null}'
ok $? "find: json, the relations and their counts"
# The places one a line, to look at a single bar.
bar() { # NUMBER TEXT: the hit in that bar holds it
    sed 's/{"rank":/\n&/g' "$dir/out" | grep -F "\"bar\":\"$1\"," |
        grep -qF -e "$2"
}
bar 1 '"degrees":["5","b3","2","1"],"chord":"Dm7",' &&
    bar 1 '"home":"Dm7","relation":"as written",'
ok $? "find: json, a Dm7 cell over Dm7 is as written"
bar 2 '"degrees":["9","b7","6","5"],"chord":"G7",' &&
    bar 2 '"home":"Dm7","relation":"ii over its V",'
ok $? "find: json, the same over G7 is ii over its V"
bar 3 '"degrees":["13","4","3","2"],"chord":"Cmaj7",' &&
    bar 3 '"home":"Dm7","relation":"ii over its I",'
ok $? "find: json, the same over Cmaj7 is ii over its I"
bar 4 '"degrees":["b13","3","#9","b9"],"chord":"G7",' &&
    bar 4 '"home":"Abm7","relation":"minor a semitone above a dominant'"'"'s root",'
ok $? "find: json, an Abm7 cell over G7 is minor a semitone above its root"
bar 9 '"home":"Dm7","relation":"minor over the major a minor third below",' &&
    bar 10 '"chord":null,"kind":null,"function":null,"key":null,"home":"Dm7","relation":null,'
ok $? "find: json, a relation without a name, and none without a chord"
uses 5 b3 2 1 --over m7 --reharmonized
grep -A1 '^  bar  9  ' "$dir/out" |
    grep -q ': minor over the major a minor third below · starts on'
ok $? "find: the reason has the words of the group"

uses 5 b3 2 1 --over m7 --relation "ii over its V"
expect "find: --relation by name" 0 "2 places in 1 solo" -
grep -q 'only as ii over its V' "$dir/out" &&
    [ "$(grep -c '^  bar [28]  .* G7 ' "$dir/out")" -eq 2 ] &&
    [ "$(grep -cE '^ +[0-9]+  [a-z]' "$dir/out")" -eq 1 ]
ok $? "find: and nothing else than that relation"
uses 5 b3 2 1 --over m7 --relation "II-over its v" --count
expect "find: --relation, however it is written" 0 "2 places in 1 solo" -
uses 5 b3 2 1 --over m7 --relation "minor over the major a minor third below"
holds out "1 place in 1 solo" && grep -q '^  bar 9  .* Bmaj7 ' "$dir/out"
ok $? "find: --relation by the words of a group without a name"
uses 5 b3 2 1 --over m7 --relation "tritone substitute"
expect "find: --relation that does not occur" 1 "0 places" "drop --relation"
uses 5 b3 2 1 --over m7 --relation "ii over V"
{ [ "$status" -eq 2 ] && holds out - && [ "$(wc -l <"$dir/err")" -eq 1 ] &&
    holds err "'ii over V'" && holds err "ii over its V, " &&
    holds err "ii over its I" && ! grep -q backdoor "$dir/err"; }
ok $? "find: a wrong --relation gets the names that come near"

# A few notes changed.
uses 5 b3 2 1 --over m7 --edits 1
holds out "with at most 1 note changed" && holds out "2 places in 1 solo" &&
    grep -q '^  bar 1  .* A4 F4 E4 D4 *5 b3 2 1$' "$dir/out" &&
    grep -q '^  bar 6  .* A4 G4 F4 E4 D4  5 4 b3 2 1  G4 inserted (passing note)$' "$dir/out"
ok $? "find: --edits 1 says what was inserted and what it is"
uses 5 b3 2 1 --over m7 --edits 1 --format json
holds out '"rhythm":"any","edits":1,' && bar 1 '"edits":0,"changes":[],' &&
    bar 6 '"note_indexes":[20,21,22,23,24],"notes":["A4","G4","F4","E4","D4"],"degrees":["5","4","b3","2","1"],' &&
    bar 6 '"edits":1,"changes":[{"what":"inserted","note":"G4","wanted":null,"role":"passing note"}],'
ok $? "find: json, --edits 1"
uses 5 4 b3 2 1 --over m7 --edits 1
grep -q '^  bar 1  .* A4 F4 E4 D4  .*  G4 left out$' "$dir/out"
ok $? "find: --edits 1, a note left out"
uses 5 3 2 1 --over m7 --edits 1
grep -q '^  bar 1  .* A4 F4 E4 D4  5 b3 2 1  F4 for F#4$' "$dir/out"
ok $? "find: --edits 1, a note changed"
uses 5 b3 2 1 --over m7 --edits 4
expect "find: --edits 4 is refused" 2 - "from 0 to 3"

# What comes next.
uses 9 b7 6 5 --over 7 --into maj7
holds out "going to maj7" && holds out "2 places in 1 solo" &&
    grep -q '^  bar 2  ' "$dir/out" && grep -q '^  bar 8  ' "$dir/out"
ok $? "find: --into a kind of chord"
uses 9 b7 6 5 --over G7 --into Cmaj7
holds out "1 place in 1 solo" && grep -q '^  bar 2  ' "$dir/out"
ok $? "find: --into a chord, by the way from the one before"
uses 9 b7 6 5 --over Db7 --into Gbmaj7 --count
expect "find: --into in any key" 0 "1 place in 1 solo" -
uses 9 b7 6 5 --over G7 --into A7
expect "find: --into what does not follow" 1 "0 places" "drop --into"
uses 9 b7 6 5 --over 7 --into V7
expect "find: --into takes no roman numeral" 2 - "--into V7: write the chord"
uses 9 b7 6 5 --over 7 --into "C|F"
expect "find: --into takes one chord" 2 - "give one chord"
uses 9 b7 6 5 --over 7 --into xyzzy
expect "find: --into what is no chord" 2 - "--into xyzzy"

# The score, to the last digit.  Numbers are made millionths, sums of products
# millionths of millionths.
millionths() { # 0.55
    local decimals=${1#*.}000000
    echo $((10#${1%%.*}${decimals:0:6}))
}
sum_of() { # TEXT: its "1.000 x 0.5 + 0.650 x 0.2", added up
    local sum=0 part weight
    while read -r part _ weight; do
        sum=$((sum + $(millionths "$part") * $(millionths "$weight")))
    done < <(grep -oE '[0-9.]+ x [0-9.]*[0-9]' <<<"$1")
    echo $sum
}
check_sums() { # of $dir/out; prints how many scores there were
    local scores=0 wrong=0 score=0 sum=0 part=0 line value
    while read -r line; do
        value=$(cut -d' ' -f2 <<<"$line")
        case $line in
        "score "*)
            [ $sum -eq $((score * 1000000)) ] || wrong=1
            score=$(millionths "$value") sum=0 scores=$((scores + 1))
            ;;
        "= "*) [ "$(sum_of "$line")" -eq $((part * 1000000)) ] || wrong=1 ;;
        *)
            part=$(millionths "$value")
            sum=$((sum + $(sum_of "${line%%:*}")))
            ;;
        esac
    done < <(sed -nE 's/^ +(score|harmony|position|rhythm|=) /\1 /p' "$dir/out")
    [ $sum -eq $((score * 1000000)) ] && [ $wrong -eq 0 ] && echo $scores
}
uses 5 b3 2 1 --over m7 --reharmonized --edits 1 --explain
[ "$(check_sums)" = "$(grep -cE '^  bar' "$dir/out")" ] &&
    [ "$(grep -c '^ *= relation .* + follows .* + fit ' "$dir/out")" -ge 8 ]
ok $? "find: --explain, parts times weights are the score exactly"
uses 5 b3 2 1 --over m7 --reharmonized --explain --weights harmony=2,rhythm=0.7
[ "$(check_sums)" = 7 ]
ok $? "find: and with other weights"
uses 5 b3 2 1 --over m7 --reharmonized --edits 1 --format json
bad=0
places=0
while read -r score harmony w1 position w2 rhythm w3; do
    [ $((10#$harmony * 10#$w1 + 10#$position * 10#$w2 + 10#$rhythm * 10#$w3)) \
        -eq $((10#$score)) ] || bad=1
    places=$((places + 1))
done < <(sed 's/{"rank":/\n&/g' "$dir/out" | grep '^{"rank"' | sed -E \
    's/.*"score":([0-9.]+),"parts":.*"harmony":\{"total":([0-9.]+),"weight":([0-9.]+),.*"position":\{"total":([0-9.]+),"weight":([0-9.]+),.*"rhythm":\{"total":([0-9.]+),"weight":([0-9.]+),.*/\1 \2 \3 \4 \5 \6 \7/' |
    tr -d .)
[ $bad -eq 0 ] && [ $places -eq 8 ]
ok $? "find: json, parts times weights are the score exactly"

order() { # the bars in the order shown
    grep -oE '^  bar +[0-9]+' "$dir/out" | tr -dc '0-9\n' | tr '\n' ' '
}
uses 5 b3 2 1 --over m7 --edits 1
[ "$(order)" = "1 6 " ]
ok $? "find: an exact place before one with a note more"
uses 5 b3 2 1 --over m7 --reharmonized
default=$(order)
uses 5 b3 2 1 --over m7 --reharmonized --weights harmony=0,position=1,rhythm=0
echo "default $default now $(order)" >"$dir/err"
[ "$(order)" != "$default" ] && holds out "7 places in 1 solo"
ok $? "find: --weights changes the order, not the places"
uses 5 b3 2 1 --over m7 --reharmonized --weights harmony=0
[ "$(order)" = "1 9 8 2 3 4 10 " ]
ok $? "find: --weights without harmony; of places as good, the earlier first"
for weights in harmony=x harmnoy=1 harmony=1,harmony=2 harmony=-1 \
    harmony=0,position=0,rhythm=0 ""; do
    uses 5 b3 --over m7 --weights "$weights"
    expect "find: --weights '$weights' is refused" 2 - "--weights"
done

# A note tied into the next chord, a repeat, and a pickup that is not numbered.
mkdir "$dir/more"
solo "$dir/more/ahead.musicxml" "Ahead" "Cy Fenn" "" \
    "/=D:minor-seventh D4:4 F4 A4:1 B4:1~" "1/=G:dominant B4 D5 F5 G5 :|"
"$bin/cellar-index" --quiet "$dir/more"
run solo ahead --format json --library "$dir/more"
holds out '"onset":"7/2","duration":"3/2","midi":71,"spelling":"B4","written":"B4","chord":"Dm7","root":2,"kind":"minor-seventh","degree":"13","semitones":9,"anticipates":{"chord":"G7","root":7,"kind":"dominant","degree":"3","semitones":4},'
ok $? "solo: json, a note ahead of its chord has both readings"
run solo ahead --notes --library "$dir/more"
grep -qE '^ +\[1\] +4 and +B4 +dotted quarter +3 +G7 \(ahead of it\)$' \
    "$dir/out" && grep -qE '^ +1 \| .* :\|$' "$dir/out"
ok $? "solo: in words, a bar without a number, and the repeat in the grid"
run find D5 F5 G5 --library "$dir/more"
grep -qE '^  bar 1  beat 2  G7  D5 F5 G5  5 b7 1  same key, played twice$' \
    "$dir/out"
ok $? "find: how often a place is played"

# --- JSON that other programs read -------------------------------------------

if command -v jq >/dev/null; then
    reads_json() { jq -e . >/dev/null 2>&1; }
elif command -v node >/dev/null; then
    reads_json() { node -e 'JSON.parse(require("fs").readFileSync(0))'; }
elif python3 -c '' 2>/dev/null; then
    reads_json() { python3 -c 'import json,sys; json.load(sys.stdin)'; }
else
    reads_json() { return 2; }
fi
if echo '{}' | reads_json; then
    bad=0
    for name in walk waltz odd; do
        run solo $name --format json
        reads_json <"$dir/out" || bad=1
    done
    run solos --format json
    reads_json <"$dir/out" || bad=1
    run find A F E D --format json
    reads_json <"$dir/out" || bad=1
    uses 5 b3 2 1 --reharmonized --edits 2 --over m7 --format json
    reads_json <"$dir/out" || bad=1
    echo '{"a":1,}' | reads_json && bad=1
    ok $bad "another program reads every kind of JSON"
else
    skip "another program reads every kind of JSON" "no jq, node or python3"
fi

# --- text from files ---------------------------------------------------------

bidi=$(printf '\342\200\256')
c1=$(printf '\302\233')
run solos
! grep -qE "$bidi|$c1" "$dir/out" && grep -qF 'Odd?eman?31m "q"' "$dir/out"
ok $? "a hostile title is harmless in text"
run solo odd
! grep -qE "$bidi|$c1" "$dir/out" && grep -qF 'Odd?eman?31m' "$dir/out"
ok $? "and in the heading of the solo"
run find C4 C4 C4
! grep -qE "$bidi|$c1" "$dir/out" && grep -qF 'Odd?eman?31m' "$dir/out"
ok $? "and in that of its hits"
run solos --format json
holds out '"Odd\u202eeman\u009b31m \"q\""'
ok $? "and escaped in JSON"
run find "$(printf '5 b3 \377')" --over m7
[ "$status" -eq 2 ]
ok $? "bytes that are no UTF-8 are a syntax error"
run find C4 C4 --performer "$(printf 'x\377')" --format json
holds out "$(printf 'x\357\277\275')"
ok $? "and become U+FFFD in JSON"

# --- colour ------------------------------------------------------------------

esc=$(printf '\033')
run find A F E D
! grep -q "$esc" "$dir/out"
ok $? "no colour in a pipe"
cp "$dir/out" "$dir/plain"
run find A F E D --color always
grep -q "$esc" "$dir/out" &&
    sed "s/$esc\[[0-9]*m//g" "$dir/out" | cmp -s - "$dir/plain"
ok $? "--color always, and the text is the same without the colours"
NO_COLOR=1 run find A F E D --color always
grep -q "$esc" "$dir/out"
ok $? "--color always goes before NO_COLOR"
if script -qec true /dev/null </dev/null >/dev/null 2>&1; then
    tty() { # VARIABLE=VALUE... -- ARGUMENT...: run in a terminal
        local -a set=()
        while [ "$1" != -- ]; do set+=("$1"); shift; done
        shift
        script -qec "env TERM=xterm ${set[*]} '$bin/cellar' $*" /dev/null \
            </dev/null >"$dir/out" 2>"$dir/err"
    }
    tty X=1 -- find A F E D
    grep -q "$esc" "$dir/out"
    ok $? "colour in a terminal"
    tty NO_COLOR=1 -- find A F E D
    ! grep -q "$esc" "$dir/out" && grep -q places "$dir/out"
    ok $? "NO_COLOR is honoured"
    tty X=1 -- find A F E D --color never
    ! grep -q "$esc" "$dir/out" && grep -q places "$dir/out"
    ok $? "--color never"
else
    skip "colour in a terminal, NO_COLOR, --color never" \
        "no 'script' to make a terminal"
fi

# --- where the output goes, and damaged libraries ----------------------------

if [ -w /dev/full ]; then
    "$bin/cellar" find A F E D >/dev/full 2>"$dir/err"
    status=$?
    : >"$dir/out"
    expect "a full disk is no empty answer: status 4" 4 - "cannot write"
    "$bin/cellar" solos --format json >/dev/full 2>"$dir/err"
    status=$?
    expect "nor for JSON" 4 - "cannot write"
    "$bin/cellar" --help >/dev/full 2>"$dir/err"
    status=$?
    expect "nor for help" 4 - "cannot write"
else
    skip "a full disk" "no /dev/full"
fi
"$bin/cellar" solos >&- 2>"$dir/err"
status=$?
expect "a closed stdout: status 4" 4 "" "cannot write"
(
    trap '' PIPE
    "$bin/cellar" solo walk --format json 2>"$dir/err"
) | head -c 1 >"$dir/out"
[ ! -s "$dir/err" ]
ok $? "a reader that stops early gets no complaint"

cp -r "$lib" "$dir/damaged"
head -c 20000 /dev/zero | tr '\0' x >"$dir/damaged/.cellar/index.db"
run solos --library "$dir/damaged"
expect "an index that is no index: status 3 and how to mend it" 3 - \
    "cellar-index"
cp "$lib/.cellar/index.db" "$dir/damaged/.cellar/index.db"
size=$(wc -c <"$lib/.cellar/index.db")
truncate -s $((size / 2)) "$dir/damaged/.cellar/index.db"
run find A F E D --library "$dir/damaged"
[ "$status" -eq 3 ] && [ "$(wc -l <"$dir/err")" -eq 1 ]
ok $? "half an index: status 3, one line"
rm "$dir/damaged/.cellar/index.db"
mkdir "$dir/damaged/.cellar/index.db"
run solos --library "$dir/damaged"
[ "$status" -ge 3 ] && [ "$(wc -l <"$dir/err")" -eq 1 ]
ok $? "an index that is a folder: one line"

# Permissions mean nothing to root: go on as nobody.
cp "$bin/cellar" "$dir/cellar"
chmod 755 "$dir" "$dir/cellar"
as_other=("$dir/cellar")
[ "$(id -u)" -ne 0 ] ||
    as_other=(setpriv --reuid=65534 --regid=65534 --clear-groups "$dir/cellar")
if "${as_other[@]}" --version >/dev/null 2>&1; then
    chmod -R a-w "$lib"
    before=$(ls -lA --time-style=full-iso "$lib/.cellar")
    "${as_other[@]}" find A F E D --library "$lib" >"$dir/out" 2>"$dir/err"
    status=$?
    expect "a library that may only be read" 0 "places" -
    [ "$(ls -lA --time-style=full-iso "$lib/.cellar")" = "$before" ]
    ok $? "and nothing was written to it"
    chmod u+w "$lib/.cellar/index.db"
    chmod 000 "$lib/.cellar/index.db"
    "${as_other[@]}" solos --library "$lib" >"$dir/out" 2>"$dir/err"
    status=$?
    { [ "$status" -ge 3 ] && holds out - && [ "$(wc -l <"$dir/err")" -eq 1 ]; }
    ok $? "an index that may not be read: one line"
else
    skip "a library that may only be read" "cannot run as another user"
fi

echo "1..$count"
[ "$failed" -eq 0 ]
