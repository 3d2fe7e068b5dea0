#!/usr/bin/env bash
# T60: study lists and the handouts made of them.
# Prints TAP.  CELLAR_BUILD is the folder with the programs (default: build).
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

lib="$dir/lib"
copy_demo "$lib"
"$bin/cellar-index" --quiet "$lib" || { echo "Bail out! no index"; exit 1; }
export CELLAR_LIBRARY=$lib
book="$lib/.cellar/notebook.db"
index() { "$bin/cellar-index" --quiet "$@" "$lib"; }

# --- a lesson in four commands -------------------------------------------------

run list lists
expect "no lists yet: how to make one" 1 - "cellar list new lesson"
run list new lesson
expect "a new list" 0 "lesson is a new study list" -
run list fill lesson "5 b3 2 1" --over m7 --reharmonized --size 6
expect "filled with what is good and varied" 0 "kept 6 places in lesson" -
run list note lesson 1 slowly, then at tempo
expect "a remark" 0 "lesson, entry 1: slowly, then at tempo" -
run list export lesson --format html --output "$dir/lesson.html"
expect "a page" 0 - -
grep -q '<figure id="excerpt-6">' "$dir/lesson.html" &&
    grep -q 'slowly, then at tempo' "$dir/lesson.html" &&
    ! grep -q '<figure id="excerpt-7">' "$dir/lesson.html"
ok $? "the page has the six, and the remark"
"$bin/cellar" help list >"$dir/out"
grep -c '^  cellar list' "$dir/out" | grep -qx 4
ok $? "the help shows those four commands"

# --- what fill chooses -----------------------------------------------------------

run list show lesson --format json
levels=$(grep -oE '"score":[0-9]+' "$dir/out" | cut -d: -f2)
[ "$levels" = "$(sort -n <<<"$levels")" ] && [ "$(wc -w <<<"$levels")" -eq 6 ]
ok $? "from easy to hard"
kinds=$(grep -oE '"relation":"[^"]*"' "$dir/out" | sort -u | wc -l)
players=$(grep -oE '"performer":"[^"]*"' "$dir/out" | sort -u | wc -l)
[ "$kinds" -ge 3 ] && [ "$players" -ge 2 ]
ok $? "several relations ($kinds) and players ($players)"
run list new two
run list fill two "5 b3 2 1" "b3 5 b7 9" --over m7 --size 8
expect "of two fragments" 0 "kept 8 places in two" -
[ "$("$bin/cellar" list show two --format json |
    grep -oE '"question":"[^"]*"' | sort -u | wc -l)" -eq 2 ]
ok $? "some of each"
run list fill two "5 b3 2 1" "b3 5 b7 9" --over m7 --size 8
expect "the same once more adds nothing" 1 - "all of it is in two already"
run list fill two "1 b2 1 b2 1 b2 1" --over maj7
expect "what is not there" 1 - "no place with"

# --- keep and add ------------------------------------------------------------------

run find "3 5 b7 b9" --over 7 --limit 4
cp "$dir/out" "$dir/shown"
run find "3 5 b7 b9" --over 7 --limit 4 --keep found:1,3
[ "$status" -eq 0 ] && cmp -s "$dir/out" "$dir/shown" &&
    holds err "kept 2 places in the new study list found"
ok $? "find keeps what it shows, and shows the same"
run find "3 5 b7 b9" --over 7 --limit 4 --keep found --format json
expect "all that is shown, in any format" 0 '"hits":[' \
    "kept 2 places in found; 2 were in it already"
run find "3 5 b7 b9" --over 7 --limit 4 --keep found:5
expect "a rank that is not shown" 2 "" "there is no place 5 to keep: 4 are shown"
run find "3 5 b7 b9" --over 7 --count --keep found
expect "--count shows no places" 2 - "--keep keeps places"
run list add found 1 2 3 5 --over maj7 --limit 2
expect "add puts in the best" 0 "kept 2 places in found" -
run list add fuond 1 2 3 5 --over maj7
expect "a name mistyped" 1 - "did you mean 'found'?"

# --- order, drop, names ------------------------------------------------------------

notes() {
    "$bin/cellar" list show "${1:-found}" --limit 0 --format json |
        grep -oE '"sha256":"[^"]*","notes":\[[^]]*' | cut -d: -f2-
}
before=$(notes)
run list order found 6 2
after=$(notes)
[ "$after" = "$(sed -n '6p;2p' <<<"$before" | tac | sed -n '1!G;h;$p'
    sed -n '1p;3p;4p;5p' <<<"$before")" ] ||
    [ "$after" = "$(sed -n 6p <<<"$before"; sed -n 2p <<<"$before"
        sed -n '1p;3p;4p;5p' <<<"$before")" ]
ok $? "the named ones first, in that order"
run list drop found 1-2
[ "$(notes)" = "$(sed -n '1p;3p;4p;5p' <<<"$before")" ]
ok $? "dropped; the others as they stood"
run list drop found 5
expect "a number that is not there" 2 - "there is no entry 5"
run list rename found "for Tuesday"
expect "another name" 0 "found is called for Tuesday now" -
run list lists
[ "$(cat "$dir/out")" = "for Tuesday: 4 entries
lesson: 6 entries
two: 8 entries" ]
ok $? "all lists"
run list show "FOR TUESDAY" --limit 1
expect "case does not matter; a part is said to be one" 0 "3 more" -
run list delete "for tuesday"
expect "deleted" 0 "for tuesday is deleted, with 4 entries" -
run list shwo lesson
expect "a word mistyped" 2 - "did you mean 'show'?"
run list export lesson
expect "export into what?" 2 - "--format musicxml"
run list show ""
expect "no name" 2 - "is empty"

# --- every format ----------------------------------------------------------------------

for format in musicxml abc html csv json; do
    run list export lesson --format "$format" --output "$dir/page.$format"
    [ "$status" -eq 0 ] && [ -s "$dir/page.$format" ]
    ok $? "$format into a file"
done
[ "$(wc -l <"$dir/page.csv")" -eq 7 ] && grep -q $'\r$' "$dir/page.csv"
ok $? "the rows, with their heading"
grep -c '^X:' "$dir/page.abc" | grep -qx 6
ok $? "a tune an excerpt"
"$bin/cellar" list export lesson --format musicxml >"$dir/out"
cmp -s "$dir/out" "$dir/page.musicxml"
ok $? "the same without --output"
run list export lesson --format html --output "$dir/none/page.html"
expect "a folder that is not there" 4 - "cannot write"
: >"$dir/old.html"
chmod 444 "$dir/old.html"
run list export lesson --format html --for Eb --practice fourths \
    --context 0 --output "$dir/eb.html"
grep -q "for an instrument in Eb" "$dir/eb.html" &&
    grep -q "To practise" "$dir/eb.html"
ok $? "for a reader, with practice"
PATH=/nowhere run list export lesson --format html
grep -q "apt install abcm2ps" "$dir/out" && ! grep -q "<figure.*<svg" "$dir/out" &&
    grep -q '<th scope="row">degrees</th>' "$dir/out"
ok $? "without abcm2ps: names, and what to install"
mkdir "$dir/dies"
printf '#!/bin/sh\nkill -9 $$\n' >"$dir/dies/abcm2ps"
chmod +x "$dir/dies/abcm2ps"
PATH=$dir/dies:$PATH run list export lesson --format html \
    --output "$dir/old.html"
expect "abcm2ps stopped while it draws" 4 - "stopped by signal 9"
[ ! -s "$dir/old.html" ]
ok $? "and the page that was there is kept"
run find "-2" --limit 200 --keep many
run list export many --format musicxml
[ "$status" -eq 0 ] && [ "$(grep -c 'new-system' "$dir/out")" -eq 199 ]
ok $? "two hundred excerpts"

run find "1 b2 1 b2 1 b2 1" --over maj7 --format html --output "$dir/no.html"
[ "$status" -eq 1 ] && [ ! -e "$dir/no.html" ]
ok $? "nothing found, nothing written"
run find "5 b3 2 1" --over m7 --count --format abc
expect "a count is no excerpt" 2 - "text or json"

# --- found again --------------------------------------------------------------------------

state() { # NUMBER
    "$bin/cellar" list show lesson --format json |
        grep -oE '"state":"[a-z]*"' | sed -n "${1}p" | cut -d'"' -f4
}
path() { # NUMBER
    "$bin/cellar" list show lesson --format json |
        grep -oE '"path":"[^"]*"' | sed -n "${1}p" | cut -d'"' -f4
}
was=$(notes lesson)
index --full
[ "$(notes lesson)" = "$was" ] && [ "$(state 1)" = found ]
ok $? "indexed anew: where they were"
rm -f "$lib"/.cellar/index.db*
index
[ "$(state 1)" = found ]
ok $? "without the index: where they were"
first=$(path 1)
mkdir "$lib/elsewhere"
mv "$lib/$first" "$lib/elsewhere/${first##*/}"
index
[ "$(state 1)" = moved ] && [ "$(path 1)" = "elsewhere/${first##*/}" ]
ok $? "a file that moved"
run list show lesson
holds out "moved: it is in elsewhere/${first##*/} now"
ok $? "is said to have moved"
# Another number of quarters a minute makes it another file.
second=$(path 2)
case $second in
*.mxl) (cd "$lib" && cp "../lib/$second" "$dir/packed.mxl" &&
    unzip -qq -o "$dir/packed.mxl" -d "$dir/unpacked" &&
    rm "$second" && find "$dir/unpacked" -name '*.musicxml' -o -name '*.xml' |
    grep -v META-INF | head -n 1 | xargs -I{} cp {} "${second%.mxl}.musicxml") ;;
esac
second=${second%.mxl}
edited=$(ls "$lib/${second%.musicxml}"*)
sed -i 's/<software>[^<]*/<software>edited/; s|</work-title>|</work-title> |' \
    "$edited"
echo "<!-- edited -->" >>"$edited"
index
[ "$(state 2)" = edited ]
ok $? "a file that was edited"
run list show lesson
holds out "was edited since; the notes stand here now"
ok $? "is said to have been edited"
rm "$edited"
index
[ "$(state 2)" = gone ]
ok $? "a file that is gone"
run list show lesson
holds out "gone: neither" && holds out "lesson: 6 entries, 1 gone"
ok $? "is said to be gone, with its notes"
[ "$(notes lesson)" = "$was" ]
ok $? "and its notes are kept"
run list export lesson --format html
[ "$status" -eq 0 ] && holds err "1 entry is gone" &&
    [ "$(grep -c '<figure' "$dir/out")" -eq 5 ]
ok $? "the page leaves it out, and says so"

# --- the notebook ---------------------------------------------------------------------------

# A notebook as the version before had it: without lists.
cp "$book" "$dir/mine.db"
if command -v sqlite3 >/dev/null; then
    sqlite3 "$book" "DROP TABLE list_entry; DROP TABLE study_list;
        PRAGMA user_version = 2"
    run list lists
    expect "an older notebook has no lists" 1 - "no study lists yet"
    run list new fresh
    [ "$status" -eq 0 ] && [ -s "$book.version-2.copy" ]
    ok $? "and is migrated, with a copy made first"
    sqlite3 "$book" "PRAGMA user_version = 99"
    run list lists
    expect "a newer one is refused" 3 - "written by a newer Cellar"
else
    skip "an older notebook has no lists" "no sqlite3"
    skip "and is migrated, with a copy made first" "no sqlite3"
    skip "a newer one is refused" "no sqlite3"
fi
head -c 5000 /dev/urandom >"$book"
sum=$(cksum <"$book")
run list new other
[ "$status" -eq 3 ] && [ "$(cksum <"$book")" = "$sum" ]
ok $? "a damaged one is reported, and left as it is"
rm -f "$book"*
cp "$dir/mine.db" "$book"

# --- killed at any moment ---------------------------------------------------------------------

entries() { notes "$1" 2>/dev/null | wc -l; }
killed=0
acknowledged=0
lost=0
torn=0
RANDOM=60 # the same moments each time, as far as the machine goes
"$bin/cellar" list new kept >"$dir/out"
for i in $(seq 1 40); do
    had=$(entries kept)
    case $((i % 5)) in
    1 | 2 | 4) set -- add kept "$((i % 7 - 3))" -1 --limit 2 ;;
    3) set -- note kept 1 "remark $i" ;;
    0) set -- drop kept 1 ;;
    esac
    said=0
    cut_short list "$@" && said=1
    has=$(entries kept)
    case $1 in
    add) [ "$has" -eq "$had" ] || [ "$has" -eq $((had + 2)) ] ||
        [ "$has" -eq $((had + 1)) ] || torn=$((torn + 1))
        [ $said -eq 0 ] || [ "$has" -gt "$had" ] || lost=$((lost + 1)) ;;
    drop) [ $said -eq 0 ] || [ "$has" -eq $((had - 1)) ] || lost=$((lost + 1)) ;;
    note) [ $said -eq 0 ] || "$bin/cellar" list show kept | grep -q "remark $i" ||
        lost=$((lost + 1)) ;;
    esac
    "$bin/cellar" list lists >/dev/null 2>&1 || torn=$((torn + 1))
done
[ $killed -ge 1 ] && [ $acknowledged -ge 1 ] # else nothing was tried
ok $? "killed $killed changes before their end, $acknowledged after"
[ "$lost" -eq 0 ]
ok $? "nothing that was acknowledged is lost ($lost)"
[ "$torn" -eq 0 ]
ok $? "every change is whole or not at all ($torn)"

echo "1..$count"
[ "$failed" -eq 0 ]
