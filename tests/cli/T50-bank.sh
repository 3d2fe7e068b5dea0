#!/usr/bin/env bash
# T50: cellar bank, and that nothing it acknowledged is lost.  Prints TAP.
# CELLAR_BUILD is the folder with the programs (default: build).
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

lib="$dir/lib"
mkdir "$lib"
cp corpus-demo/odessa-kittleby/turnip-cart-blues.musicxml "$lib/blues.musicxml"
"$bin/cellar-index" --quiet "$lib" || { echo "Bail out! no index"; exit 1; }
export CELLAR_LIBRARY=$lib
book=$lib/.cellar/notebook.db

# The output is exactly the lines of stdin.
prints() { diff - "$dir/out" >"$dir/diff"; }

# --- making and showing ------------------------------------------------------

run bank list
expect "list: none yet, and how to make one" 1 "" "cellar bank new mine"
[ ! -e "$book" ]
ok $? "asking makes no notebook"
run bank show mine
expect "show: none yet" 1 - "there are no banks yet"
run bank new " Minor cells "
expect "new: blanks around the name do not count" 0 "Minor cells is a new" -
run bank new "MÏNOR CELLS"
expect "new: case and accents do not make another" 2 - \
    "there is a bank 'Minor cells' already"
run bank show "minor cells"
expect "show: one without cells" 0 "Minor cells: no cells yet" -
run bank add "minor cells" "5 b3 2 1" "b3 5 b7 9" --over m7
prints <<'END'
minor cells: 2 cells added
  1  5 b3 2 1   over m7  in C: G Eb D C
  2  b3 5 b7 9  over m7  in C: Eb G Bb D
END
ok $? "add: several, with their numbers"
run bank add "minor cells" "A F E D" --over Dm7
expect "add: the same cell in other words is not doubled" 1 - \
    "is cell 1 of minor cells already"
run bank add "minor cells" "5 b3 2 1" --over minor
expect "add: and it is said how it is kept" 1 - "5 b3 2 1 over m7 is cell 1"
run bank add "minor cells" "A F E D" "-4 -1 -2" "1 2 b3 5" --over minor
prints <<'END'
minor cells: 2 cells added
  3  A F E D   over minor
  4  1 2 b3 5  over minor  in C: C D Eb G
minor cells: 1 cell in it already
  3  -4 -1 -2  over minor
END
ok $? "add: the ones that are new, and the others said"
run bank note "minor cells" 2 slow, then over the V
expect "note: said" 0 "cell 2: slow, then over the V" -
run bank show "minor cells"
prints <<'END'
Minor cells: 4 cells
  1  5 b3 2 1   over m7     in C: G Eb D C
  2  b3 5 b7 9  over m7     in C: Eb G Bb D
       slow, then over the V
  3  A F E D    over minor
  4  1 2 b3 5   over minor  in C: C D Eb G
END
ok $? "show: every cell, the remark below it"
run bank show "minor cells" --limit 1
holds out "3 more; --limit 0 shows all" && ! holds out "  2  "
ok $? "show: a limit"
run bank show "minor cells" --details
grep -qE '^ +added 20[0-9]{2}-[01][0-9]-[0-3][0-9], written A F E D$' "$dir/out"
ok $? "show: details"
run bank show "minor cells" --format json
sed 's/"added":"20..-..-..T..:..:..Z"/"added":""/g' "$dir/out" >"$dir/json"
[ "$(cat "$dir/json")" = '{"name":"Minor cells","total":4,"cells":[{"number":1,"degrees":["5","b3","2","1"],"intervals":[-4,-1,-2],"class":"minor","start":"5","over":"m7","fragment":"5 b3 2 1","given":"5 b3 2 1","note":null,"from":null,"added":""},{"number":2,"degrees":["b3","5","b7","9"],"intervals":[4,3,4],"class":"minor","start":"b3","over":"m7","fragment":"b3 5 b7 9","given":"b3 5 b7 9","note":"slow, then over the V","from":null,"added":""},{"number":3,"degrees":null,"intervals":[-4,-1,-2],"class":"minor","start":null,"over":null,"fragment":"A F E D","given":"A F E D","note":null,"from":null,"added":""},{"number":4,"degrees":["1","2","b3","5"],"intervals":[2,1,4],"class":"minor","start":"1","over":null,"fragment":"1 2 b3 5","given":"1 2 b3 5","note":null,"from":null,"added":""}]}' ]
ok $? "show: json"
run bank new altered
run bank list
prints <<'END'
2 banks
  altered      0 cells
  Minor cells  4 cells
END
ok $? "list: by name"
run bank list --format json
[ "$(cat "$dir/out")" = '{"total":2,"banks":[{"name":"altered","cells":0},{"name":"Minor cells","cells":4}]}' ]
ok $? "list: json"
run bank new "$(printf 'Lange Linien – für später, alle Tonarten und auch rückwärts, %.0s' 1)"
run bank note "minor cells" 1 "$(printf 'many words %.0s' $(seq 45))"
{ "$bin/cellar" bank list && "$bin/cellar" bank show "minor cells"; } \
    >"$dir/out" 2>"$dir/err"
awk 'length($0) > 100 { exit 1 }' "$dir/out"
ok $? "within 100 columns"
run bank add altered "bb7 b9' #11, b13 #9 b7' b9" --over 7alt
run bank add altered "5 1, 5 1''"
run bank show altered
awk 'length($0) > 80 { exit 1 }' "$dir/out" && holds out "5 1, 5 1''"
ok $? "octaves are shown as they are written; within 80 columns"

# --- changing ----------------------------------------------------------------

run bank drop "minor cells" 1,9
expect "drop: all or none" 2 - "there is no cell 9 in the bank, which has 4"
run bank drop "minor cells" 1 3-3
[ "$(head -n 2 "$dir/out"; tail -n 1 "$dir/out")" = "minor cells: 2 cells dropped
  1  5 b3 2 1  over m7     in C: G Eb D C
  3  A F E D   over minor" ]
ok $? "drop: says what went, with its numbers"
run bank show "minor cells"
prints <<'END'
Minor cells: 2 cells
  1  b3 5 b7 9  over m7     in C: Eb G Bb D
       slow, then over the V
  2  1 2 b3 5   over minor  in C: C D Eb G
END
ok $? "drop: the numbers close up"
run bank note "minor cells" 1 ""
expect "note: taken away" 0 "cell 1: no remark now" -
run bank show "minor cells"
! holds out slow
ok $? "note: it is gone"
run bank rename "minor cells" altered
expect "rename: a name that is taken" 2 - "there is a bank 'altered' already"
run bank rename "minor cells" "MINOR"
expect "rename" 0 "minor cells is called MINOR now" -
run bank delete minor
expect "delete" 0 "minor is deleted, with 2 cells" -
run bank show MINOR
expect "delete: it is gone" 1 - "there is no bank 'MINOR'"

# --- what is refused ---------------------------------------------------------

while IFS='~' read -r name wanted said; do
    eval "run bank $name"
    [ "$status" -eq "$wanted" ] && [ ! -s "$dir/out" ] && holds err "$said" &&
        [ "$(head -n 1 "$dir/err" | cut -c1-8)" = "cellar: " ]
    ok $? "refused: bank $name"
done <<'END'
~2~what shall be done? new, add, show
shwo altered~2~did you mean 'show'?
mauve~2~write new, add
new~2~cellar bank new NAME
new a b~2~a name with blanks goes in quotes
new ''~2~the name of the bank is empty
new $'a\tb'~2~without control characters
new $'a\xff'~2~UTF-8
new mine:1-2~2~a colon and numbers
new $(printf 'x%.0s' {1..81})~2~at most 80 characters; this one has 81
new x --over m7~2~--over goes with 'bank add'
new x --format json~2~go with 'bank show' and 'bank list'
show altred~1~did you mean 'altered'?
add altred '5 b3 2'~1~did you mean 'altered'?
drop altred 1~1~did you mean 'altered'?
note altred 1 x~1~did you mean 'altered'?
rename altred x~1~did you mean 'altered'?
delete altred~1~did you mean 'altered'?
add altered~2~cellar bank add NAME FRAGMENT...
add altered '5 b3' --over m7~2~a cell has 3 to 7 notes; '5 b3' has 2
add altered '1 2 3 4 5 6 7 8' --over m7~2~has 8
add altered '5 ? 2' --over m7~2~has no '?': write every note
add altered '5:8 b3:8 2:8' --over m7~2~leave the note values out
add altered '5 b33 2' --over m7~2~'b33' is no degree
add altered '5 b3 2' --over zz~2~'zz' is no chord
add altered '5 b3 2' --over 'm7|7'~2~one chord
add altered '5 b3 2' --over ii7~2~not a function: write minor
add altered 5 b3 2 1 --over m7~2~bank add altered "5 b3 2 1" --over m7
add altered 1 2 3 --over m7~2~bank add altered "1 2 3" --over m7
add altered '1 2 3'~2~may be numbers of cells or degrees
add altered 1 '-4 -1 -2'~2~one after the other
add altered 1,3-5~1~no cells were listed yet: run 'cellar cells' first
add altered 5-3~2~runs backwards: write 3-5
drop altered x~2~'x' is no number: write 3, or 1,3-5
drop altered 0~2~'0' is no number
drop altered 1-99999~2~at most 1000 numbers
note altered 1,2 x~2~beside one cell
note altered 9 x~2~which has 2
note altered 1 $'a\eb'~2~without control characters
note altered 1 $(printf 'x%.0s' {1..501})~2~at most 500 characters
list --library /nowhere~3~there is no folder /nowhere
list --library /~3~is no library yet; run 'cellar-index /' first
END

# --- the notebook ------------------------------------------------------------

run bank show altered --format json
cp "$dir/out" "$dir/wanted"
rm -rf "$lib"/.cellar/index.db*
run bank show altered --format json
cmp -s "$dir/out" "$dir/wanted"
ok $? "banks are there without an index"
"$bin/cellar-index" --quiet --full "$lib"
run bank show altered --format json
cmp -s "$dir/out" "$dir/wanted"
ok $? "and after indexing again"
cp "$book" "$dir/kept.db"
chmod a-w "$lib/.cellar" "$book"
if [ "$(id -u)" = 0 ]; then
    chmod -R a+rX "$dir"
    setpriv --reuid 65534 --clear-groups "$bin/cellar" bank new other \
        >"$dir/out" 2>"$dir/err"
    status=$?
else
    run bank new other
fi
expect "a notebook that may not be written to: one line" 4 - "written to"
chmod u+w "$lib/.cellar" "$book"
printf 'no notebook any more, but bytes enough to be read as one' >"$book"
run bank new other
[ "$status" -eq 3 ] && holds err damaged && grep -q 'no notebook any' "$book"
ok $? "a damaged notebook is said, and left as it is"
cp "$dir/kept.db" "$book"
run bank show altered --format json
cmp -s "$dir/out" "$dir/wanted"
ok $? "a copy put in its place holds everything"

# --- killed at any moment ----------------------------------------------------

# What is in the bank $1: "intervals note", a line a cell.
cells() {
    "$bin/cellar" bank show "$1" --limit 0 --format json 2>&1 |
        grep -oE '"intervals":[^]]*|"note":[^,]*' | paste -d' ' - -
}
killed=0
acknowledged=0
lost=0
torn=0
RANDOM=50 # the same moments each time, as far as the machine goes
"$bin/cellar" bank new kept >"$dir/out"
"$bin/cellar" bank add kept "+1 +1" "+1 +2" "+1 +3" >"$dir/out"
for i in $(seq 4 43); do
    before=$(cells kept)
    last=$(printf '%s\n' "$before" | wc -l)
    case $((i % 6)) in
    0 | 3)
        after=${before:+$before$'\n'}$(printf '"intervals":[1,%d "note":null' "$i")
        set -- add kept "+1 +$i"
        ;;
    1)
        after=$(printf '%s\n' "$before" | sed '1d')
        set -- drop kept 1
        ;;
    2)
        after=$(printf '%s\n' "$before" |
            sed "${last}s/\"note\":.*/\"note\":\"remark $i\"/")
        set -- note kept "$last" "remark $i"
        ;;
    4)
        after=$before
        set -- new "bank $i"
        ;;
    5)
        after=$before
        set -- rename "bank $((i - 1))" "renamed $i"
        ;;
    esac
    if cut_short bank "$@"; then
        said=1
    else
        said=0
    fi
    now=$(cells kept)
    [ "$now" = "$before" ] || [ "$now" = "$after" ] || torn=$((torn + 1))
    [ $said -eq 0 ] || [ "$now" = "$after" ] || lost=$((lost + 1))
    if [ $said -eq 1 ] && [ "$1" = new ]; then
        "$bin/cellar" bank show "$2" >"$dir/out" 2>&1 || lost=$((lost + 1))
    elif [ "$1" = new ]; then
        "$bin/cellar" bank new "$2" >"$dir/out" 2>&1 # for the next round
    elif [ $said -eq 1 ] && [ "$1" = rename ]; then
        "$bin/cellar" bank show "$3" >"$dir/out" 2>&1 || lost=$((lost + 1))
        cut_short bank delete "$3" && "$bin/cellar" bank show "$3" >"$dir/out" \
            2>&1 && lost=$((lost + 1))
    fi
done
[ $killed -ge 1 ] && [ $acknowledged -ge 1 ] # else nothing was tried
ok $? "killed $killed changes before their end, $acknowledged after"
[ "$lost" -eq 0 ]
ok $? "nothing that was acknowledged is lost ($lost)"
[ "$torn" -eq 0 ]
ok $? "every change is whole or not at all ($torn)"

# --- two at once -------------------------------------------------------------

"$bin/cellar" bank new both >"$dir/out"
for i in $(seq 8); do
    "$bin/cellar" bank add both "+2 +$i" >>"$dir/many" 2>&1 &
    "$bin/cellar" bank show both >>"$dir/many" 2>&1 &
done
wait
[ "$(cells both | wc -l)" -eq 8 ]
ok $? "eight programs at once add eight cells"

echo "1..$count"
[ "$failed" -eq 0 ]
