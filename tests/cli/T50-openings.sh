#!/usr/bin/env bash
# T50: cellar openings - how choruses open, and which openings recur.
# Prints TAP.  CELLAR_BUILD is the folder with the programs (default: build).
# The library is a copy of corpus-demo; what its choruses open on is told by
# planted.tsv and README.md there, which the generator of the solos wrote.
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

copy_demo "$dir/library"
rm -rf "$dir/library/.cellar"
export CELLAR_LIBRARY=$dir/library
"$bin/cellar-index" --quiet "$dir/library" >"$dir/out" 2>"$dir/err"
ok $? "the demo solos are indexed"

# --- one solo ----------------------------------------------------------------

run openings odessa-kittleby/damp
expect "a chorus is cited with its bar" 0 "chorus 2, from bar 13" -
expect "how it begins: the pickup, its length, the space after" 0 \
    "starts on beat 3 and of bar 12, a pickup of 1 1/2 beats; 1 bar" -
expect "a riff is told with its motif" 0 \
    "a riff, on Bb3 C4 Eb4 C4 G4: its rhythm comes 3 times" -
expect "an opening that returns" 0 "as chorus 2 opens: the same 5 notes" -
expect "and the arc" 0 "notes a bar, range and highest note" -
run openings odessa-kittleby/gravel
expect "a repeat opens as the first time" 0 \
    "as chorus 1 opens: played from the same bars" -
bad=0
while read -r solo; do
    run openings "$solo"
    [ "$status" -eq 0 ] && awk 'length($0) > 110 { exit 1 }' "$dir/out" ||
        bad=1
    run openings "$solo" --format json
    [ "$status" -eq 0 ] || bad=1
done < <(cut -f 1 corpus-demo/planted.tsv | sed 1d | uniq)
ok $bad "every demo solo has an answer, as text and as JSON"
run openings odessa-kittleby/damp --format json
bad=0
for text in '"path":"odessa-kittleby/damp-matches.mxl"' '"number":3' \
    '"bar":"12"' '"pickup":"3/2"' '"rest_after":"3/1"' '"riff":true' \
    '"recurs":[2]' '"notes_per_bar":"19/6"' '"rest_share":"' '"highest":'
do
    holds out "$text" || { bad=1; echo "# missing: $text"; }
done
ok $bad "JSON holds the promised members"

# --- against what was planted ------------------------------------------------

# "FILE FIRST_BAR_INDEX FIRST_NOTE LAST_NOTE" of each chorus as written.
while read -r solo; do
    "$bin/cellar" openings "$solo" --format json | sed 's/{"number"/\n&/g' |
        sed -nE 's|^.*"first_bar_index":([0-9]+).*"as_chorus":null.*"first_note":([0-9]+),"last_note":([0-9]+),"onset.*|\1 \2 \3|p' |
        sed "s|^|$solo |"
done < <(cut -f 1 corpus-demo/planted.tsv | sed 1d | uniq) >"$dir/phrases"
# The habit planted first in the first bar of each chorus: liked there, and
# within the phrase that is said to open the chorus?
awk -v phrases="$dir/phrases" -F '\t' '
    BEGIN {
        while ((getline line <phrases) > 0) {
            split(line, part, " ")
            split(part[1], folder, "/")
            n++
            at[part[1] " " part[2]] = n
            player[n] = folder[1]
            first[n] = part[3]
            last[n] = part[4]
            choruses[folder[1]]++
        }
    }
    ($1 " " $3) in at {
        i = at[$1 " " $3]
        if (i in seen)
            next
        seen[i] = 1
        if ($6 !~ /^(wrenmoor-steps|kittleby-(call|drop|knot)|marchetvale-(lift|fourths))$/)
            next
        liked[player[i]]++
        if ($5 >= first[i] && $5 <= last[i])
            inside[player[i]]++
    }
    END {
        for (name in choruses)
            print name, choruses[name], liked[name], inside[name]
    }' corpus-demo/planted.tsv | sort >"$dir/out"
sed -n 's/^Of \([0-9]*\) written choruses, \([0-9]*\) open.*/\1 \2 \2/p' \
    corpus-demo/README.md >"$dir/err"
paste -d ' ' <(printf '%s\n' tobiah-wrenmoor odessa-kittleby \
    lucan-marchetvale) "$dir/err" | sort >"$dir/expected"
cmp -s "$dir/out" "$dir/expected"
ok $? "every habit that choruses open on lies in the phrase shown"

# --- the library -------------------------------------------------------------

run openings
expect "the library: what recurs first" 0 "   7  1 2 3 5  over major" -
expect "how many choruses there are" 0 "29 solos, 82 choruses as written" -
expect "the choruses of an opening" 0 \
    "Odessa Kittleby · Borrowed Ladder: chorus 1 (bar 1), chorus 2 (bar 17)" -
run openings --performer kittleby --limit 1 --format json
expect "JSON of the library" 0 '"openings":[{"rank":1,"degrees":["6","5"' -
[ "$(grep -o '"rank"' "$dir/out" | wc -l)" = 1 ] &&
    holds out '"total":4' && holds out '"class":"major","start":"6"' &&
    holds out '"examples":[{"path":"odessa-kittleby/' &&
    ! grep -q 'wrenmoor' "$dir/out"
ok $? "with a limit, the total, and only the solos asked"
run openings --limit 2
expect "more than the limit is said" 0 "--limit 0 shows all" -
run openings --min-count 1 --limit 0 --format json
[ "$(grep -o '"rank"' "$dir/out" | wc -l)" = 46 ]
ok $? "--min-count 1 shows also what comes once"
run openings --notes 7 --with-pickup
expect "--notes and --with-pickup" 0 "by the first 7 notes, pickups included" -

# --- what goes wrong ---------------------------------------------------------

run openings xyzzy
expect "a solo that is not there" 1 - "no solo whose path or title"
run openings gravel
expect "several solos" 2 - "may mean several solos"
run openings damp --performer kittleby
expect "a solo and a restriction" 2 - "not both"
run openings odessa-kittleby/damp --min-count 3
expect "an option of the library with a solo" 2 - "every chorus is shown"
run openings --min-count 99
expect "nothing that often" 1 "82 choruses" "lower --min-count"
run openings --performer nobody
expect "no such player" 1 "" "no solo with performer nobody"
run openings --notes 9
expect "too many notes" 2 - "'--notes' must be"

# A solo without a form.
run form odessa-kittleby/damp --set length=0
run openings odessa-kittleby/damp
expect "without a form it says so, and shows the first phrase" 0 \
    "No form is known" -
holds out "Bb3 C4  Eb4 C4  G4" && holds out "--set length=N,first=BAR" &&
    ! grep -q '^chorus' "$dir/out"
ok $? "with what would mend it"
run openings
expect "and the library leaves it out, aloud" 0 \
    "; 1 solo without a known" -
run openings odessa-kittleby/damp --format json
expect "in JSON, too" 0 '"form_known":false,"choruses":[{"number":null' -

# Choruses that are set to begin inside of phrases.
run form lucan-marchetvale/bramble --set length=4,first=3
run openings lucan-marchetvale/bramble --format json
running=$(grep -o '"opening":"runs on"' "$dir/out" | wc -l)
run openings lucan-marchetvale/bramble
[ "$running" -gt 0 ] &&
    [ "$(grep -c '^  no clear opening: a phrase runs on from ' "$dir/out")" \
        -eq "$running" ]
ok $? "a phrase that runs into a chorus is not its opening"
holds out "from before the first chorus; the first to start here:" &&
    holds out "from chorus 1; the first to start here:"
ok $? "the page says from where it runs on, and shows the next"
holds out "as chorus 3 opens: the same rhythm and shape for 4 notes"
ok $? "and which earlier opening comes back in rhythm and shape"
run form odessa-kittleby/damp --set length=8,first=4
run openings odessa-kittleby/damp
expect "a chorus in which no phrase starts" 0 \
    "a phrase runs on from chorus 4; no other starts here" -
run openings odessa-kittleby/damp --format json
expect "has none in JSON" 0 \
    '"runs_on_from":4,"bar":"36","bar_index":35,"first_note":null,' -

echo "1..$count"
[ "$failed" -eq 0 ]
