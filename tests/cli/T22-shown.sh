#!/usr/bin/env bash
# T22: what `cellar find` shows where lines are not enough: rhythms counted,
# fragments longer than the page is wide, note values asked for, titles in HTML.
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

export CELLAR_LIBRARY=$dir/lib
copy_demo "$CELLAR_LIBRARY"
"$bin/cellar-index" --quiet "$CELLAR_LIBRARY"

# The values of "$1":[...] in the JSON on stdin, the first such list only.
listed() { # NAME
    grep -oE "\"$1\":\[[^]]*\]" | head -n 1 | sed -e 's/.*\[//' -e 's/[]"]//g' \
        -e 's/,/ /g'
}

# --- rhythms ------------------------------------------------------------------

run find 5 b3 2 1 --over m7 --count
places=$(grep -oE '^[0-9]+' "$dir/out" | tail -n 1)
run find 5 b3 2 1 --over m7 --variants --limit 0
expect "the rhythms of a fragment" 0 "rhythms" -
grep -E '^ +[0-9]+  [^ ]' "$dir/out" >"$dir/rows"
[ "$(awk '{ n += $1 } END { print n }' "$dir/rows")" = "$places" ]
ok $? "they are as many as there are places"
sort -c -s -k1,1nr "$dir/rows"
ok $? "the commonest first"
awk '!/^ *[0-9]+  / || substr($0, 7, 2) != "  " { bad = 1 }
    END { exit bad || NR < 2 }' "$dir/rows"
ok $? "counts stand below each other, apart from the rhythm"
# Every note value is an eighth, and the first beats add up to the count.
awk '/  8 8 8 8; on beat / {
        sum = 0
        rest = $0
        while (match(rest, /\([0-9]+\)/)) {
            sum += substr(rest, RSTART + 1, RLENGTH - 2)
            rest = substr(rest, RSTART + RLENGTH)
        }
        met = 1
        bad = sum != $1
    }
    END { exit bad || !met }' "$dir/rows"
ok $? "the beats on which a rhythm starts add up to its places"
awk '$1 == 1 && /syncopated/ && !/; syncopated$/ { bad = 1 }
    END { exit bad }' "$dir/rows"
ok $? "of one place no number is said to be syncopated"
rhythms=$(wc -l <"$dir/rows")
awk '{ print $1 }' "$dir/rows" >"$dir/counts"
run find 5 b3 2 1 --over m7 --variants --limit 0 --format json
expect "the same as JSON" 0 "\"variant_total\":$rhythms,\"variants\":[{" -
grep -oE '\],"count":[0-9]+' "$dir/out" | grep -oE '[0-9]+' |
    diff - "$dir/counts" >"$dir/err"
ok $? "with the same counts in the same order"
run find 5 b3 2 1 --over m7 --variants --limit 3
[ "$(grep -cE '^ +[0-9]+  [^ ]' "$dir/out")" -eq 3 ] &&
    holds out "$((rhythms - 3)) more; --limit 0 shows all"
ok $? "--limit shows some of them and says how many more there are"
run find 5 b3 2 1 --over m7 --variants --limit 3 --format json
[ "$(grep -oE '"rhythm":\[' "$dir/out" | wc -l)" -eq 3 ]
ok $? "and so in JSON"

# --- note values --------------------------------------------------------------

run find 5:8 b3:8 2:8 1:4 --over m7 --format json
expect "note values in JSON are fractions of a quarter" 0 \
    '"values":["1/2","1/2","1/2","1/1"]' -
run find 5:8 b3:8 2:8 1:4. --over m7 --rhythm any --format json
holds out '"values":["1/2","1/2","1/2","3/2"]'
ok $? "also where any rhythm will do"

# --- fragments that are wider than the page -----------------------------------

any=$(printf ' ?%.0s' {1..28})
# shellcheck disable=SC2086
run find 5 b3 2 1 $any --over m7 --limit 1
expect "a fragment of 32 notes" 0 "32 notes" -
awk 'length($0) > 100 { bad = 1 } END { exit bad }' "$dir/out"
ok $? "no line is wider than 100 columns"
# A hit is lines of notes, each with one of degrees below, up to the reason.
sed -n '/^  bar/,/ · /p' "$dir/out" | sed -E -e '/ · /d' \
    -e 's/^  bar +[^ ]+  beat [^ ]+( [^ ]+)?  [^ ]+ +//' >"$dir/lines"
awk 'NR % 2 == 1' "$dir/lines" | xargs >"$dir/notes"
awk 'NR % 2 == 0' "$dir/lines" | xargs >"$dir/degrees"
# shellcheck disable=SC2086
run find 5 b3 2 1 $any --over m7 --limit 1 --format json
sed 's/.*"hits"//' "$dir/out" | listed notes | diff - "$dir/notes" >"$dir/err"
ok $? "all notes stand there, in lines"
sed 's/.*"hits"//' "$dir/out" | listed degrees |
    diff - "$dir/degrees" >"$dir/err"
ok $? "and below them their degrees"

# --- on a page of HTML --------------------------------------------------------

# What a file says of itself is text, and never part of the page.
title='\&lt;b id="x">R\&amp;B '"'n'"' \&lt;/b>'
sed -i "s|<work-title>.*|<work-title>$title</work-title>|" \
    "$CELLAR_LIBRARY/lucan-marchetvale/borrowed-ladder.musicxml"
"$bin/cellar-index" --quiet "$CELLAR_LIBRARY"
run solos --path lucan-marchetvale/borrowed-ladder.musicxml
holds out "<b id=\"x\">R&B 'n' </b>"
ok $? "a title with marks of HTML"
run find "-2 -2" --path lucan-marchetvale/borrowed-ladder.musicxml --limit 2 \
    --format html
expect "is escaped on a page" 0 \
    "&lt;b id=&quot;x&quot;&gt;R&amp;B &#39;n&#39; &lt;/b&gt;" ""
! grep -q '<b id=' "$dir/out"
ok $? "everywhere on it"

echo "1..$count"
[ "$failed" -eq 0 ]
