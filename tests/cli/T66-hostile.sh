#!/usr/bin/env bash
# No character of a file, a name or an argument steers the terminal: every
# command over files whose every text is hostile prints no control character
# (C0, DEL, C1), no bidirectional override and nothing that is no UTF-8.
. "$(dirname "$0")/tap.sh"

lib=$dir/lib
mkdir "$lib"
export CELLAR_LIBRARY=$lib

# U+009B and U+0085 (C1), DEL, overrides and isolates, breaks; as XML allows.
evil=$'\xc2\x9b31m\xc2\x85\x7f\xe2\x80\xae\xe2\x80\xaa\xe2\x81\xa6\xe2\x81\xa9\xe2\x80\xa8'
# A \& stands for itself in what sed puts in.
xml="$evil\\&#10;\\&#9;\\&#13;\\&#x9b;2J\\&#x202e;"
# What XML does not allow a path or an argument may hold.
esc=$'\e]0;owned\a\e[31m\x9b2J\xff\n\r\b'

# A demo solo with the hostile text in each of its texts.
spoil() { # FILE
    sed -E \
        -e "s|<(work-title)>|<\\1>Night $xml|" \
        -e "s|<(creator type=\"[a-z]*\")>|<\\1>$xml Vell|" \
        -e "s|<(part-name)>|<\\1>Sax $xml|" \
        -e "s|<(instrument-name)>|<\\1>Sax $xml|" \
        -e "s|<(words[^>]*)>|<\\1>slowly $xml|" \
        -e "s|<(rehearsal)>|<\\1>$xml|" \
        -e "s|<(mode)>|<\\1>$xml|" \
        -e "s|<measure number=\"3\"|<measure number=\"3$xml\"|" \
        -e "s|<measure number=\"7\"|<measure number=\"$xml\"|" \
        -e "s|<kind[^>]*>dominant<|<kind text=\"7$xml\">odd$xml<|" \
        -e "s|<kind[^>]*>minor-seventh<|<kind text=\"$xml\">minor-seventh<|" \
        -e "s|<(beat-unit)>|<\\1>$xml|" \
        "$1"
}

spoil "corpus-demo/tobiah-wrenmoor/lemon-peel-ledger.musicxml" >"$lib/one.musicxml"
mkdir "$lib/folder$esc"
spoil "corpus-demo/odessa-kittleby/turnip-cart-blues.musicxml" \
    >"$lib/folder$esc/two$esc$evil.musicxml"
# What cannot be read, and says so with what stands in it.
printf '<?xml version="1.0"?><score%s/>' "$evil" >"$lib/bad-1$esc.xml"
printf '<?xml version="1.0"?><%s>' "$esc" >"$lib/bad-2.xml"
printf '<a><b></%s></a>' "$esc" >"$lib/bad-3.xml"
printf '<score-partwise><part-list/><x>&%s;</x>' "$evil" >"$lib/bad-4.xml"
printf '<?xml version="1.0" encoding="%s"?><a/>' "$esc" >"$lib/bad-5.xml"
printf 'PK\3\4%s' "$esc" >"$lib/bad-6$evil.mxl"
mkdir "$lib/locked$esc" && chmod 000 "$lib/locked$esc"
ln -s "nowhere$esc" "$lib/link$esc.xml"

# --- the judge -----------------------------------------------------------------

steers='[\x00-\x09\x0b-\x1f\x7f]|\xc2[\x80-\x9f]|\xe2\x80[\xa8-\xae]|\xe2\x81[\xa6-\xa9]'
tried=0
crashed=0
: >"$dir/all"

# Keep what a run said, below a line that says which run it was.
keep() {
    tried=$((tried + 1))
    [ "$status" -le 4 ] || crashed=$((crashed + 1))
    {
        LC_ALL=C printf '@@@'
        LC_ALL=C printf ' %q' "$@"
        echo
        case "$*" in # the tabs of a drawing are its own
        *html*) tr -d '\t' <"$dir/out" ;;
        *csv*) tr -d '\r' <"$dir/out" ;; # its lines end so (RFC 4180)
        *) cat "$dir/out" ;;
        esac
        cat "$dir/err"
    } >>"$dir/all"
}

try() {
    run "$@"
    keep cellar "$@"
}

try_index() {
    "$bin/cellar-index" "$@" >"$dir/out" 2>"$dir/err" </dev/null
    status=$?
    keep cellar-index "$@"
}

verdict() { # NAME
    local bad
    echo "# $tried runs"
    bad=$(LC_ALL=C grep -anP "^@@@|$steers" "$dir/all" |
        LC_ALL=C grep -aP -B1 "^[0-9]+:(?!@@@)" | cat -v | cut -c 1-200 | head -n 40)
    iconv -f UTF-8 -t UTF-8 "$dir/all" >/dev/null 2>"$dir/iconv" ||
        bad="$bad $(cat "$dir/iconv")"
    [ -z "$bad" ] || printf '%s\n' "$bad" | sed 's/^/#   /'
    [ -z "$bad" ] && [ "$crashed" -eq 0 ]
    ok $? "$1"
    tried=0 crashed=0
    : >"$dir/all"
}

# --- indexing -------------------------------------------------------------------

try_index --warnings "$lib"
[ "$status" -eq 0 ] && holds out "2 files read"
ok $? "two hostile files are read, the others are named"
[ "$(wc -l <"$dir/err")" -gt 8 ] && [ "$(wc -l <"$dir/out")" -eq 1 ]
ok $? "every bad file has its line"
try_index --warnings --full "$lib"
try_index --warnings "$lib" "$dir/none$esc"
try_index --part "$esc" --full "$lib"
try_index --full --quiet "$lib"
try_index "--$esc" "$lib"
try_index --jobs "$esc" "$lib"
verdict "cellar-index says nothing that steers"

# --- every command over them ----------------------------------------------------

formats=(text json)
two=$(basename "$lib"/folder*/two*)
for solo in one "$lib/one.musicxml" two night "$two" "$esc" "$evil"; do
    for format in "${formats[@]}"; do
        for command in solo form openings coverage; do
            try "$command" "$solo" --format "$format"
        done
        try solo "$solo" --notes --format "$format"
        try coverage "$solo" --bars "3-9" --format "$format"
    done
done
for format in "${formats[@]}" musicxml abc html csv; do
    try find "-4 -1" --limit 0 --explain --format "$format"
    try find "5 b3 2 1" --over m7 --reharmonized --format "$format"
    try find "A4 F4 E4 D4" --edits 2 --format "$format"
    try find "-2 -2" --limit 30 --format "$format"
done
for format in "${formats[@]}"; do
    try solos --format "$format"
    try solos --title night --words slowly --path folder --format "$format"
    try cells --min-count 1 --min-solos 1 --limit 0 --format "$format"
    try cells --of "5 b3 2 1" --over m7 --format "$format"
    try cells --performer vell --versus "" --format "$format"
    try openings --format "$format"
    try tension 9 --explain --limit 0 --format "$format"
    try tension 9 --table --format "$format"
    try check --limit 0 --format "$format"
done
try find "-2 -2" --limit 30 --format html --output "$dir/page$esc.html"
verdict "every command over hostile files"

# --- arguments --------------------------------------------------------------------

for text in "$esc" "$evil" "5 b3 $esc" "A4$evil"; do
    try "$text"
    try help "$text"
    try find "$text"
    try find "5 b3 2 1" --over "$text"
    try find "5 b3 2 1" --over m7 --into "$text"
    try find "5 b3 2 1" --over m7 --relation "$text"
    for option in chorus section bar beat at performer title composer \
        instrument key metre tempo words path weights rhythm edits limit \
        format keep; do
        try find "5 b3 2 1" --over m7 "--$option" "$text"
    done
    try find --from "$lib/$text" --bars 1
    try find --from "$lib/one.musicxml" --bars "$text"
    try find "--$text"
    try tension "$text"
    try tension 9 --length "$text"
    try solos --library "$text"
    try check --library "$dir/$text"
    try cells --of "$text"
    try coverage one --bank "$text"
    try form one --set "$text"
    try form one --set "length=8,first=$text"
    for verb in new show note drop delete rename add "$text"; do
        try bank "$verb" "$text" "5 b3 2 1" --over m7
        try bank "$verb" "$text" "$text"
        try bank "$verb" "$text"
        try list "$verb" "$text" "$text"
        try list "$verb" "$text"
    done
done
verdict "arguments are repeated safely"

# --- what is kept ------------------------------------------------------------------

run bank new "kept"
run bank add kept "5 b3 2 1" --over m7
run list new "lesson"
run bank new other
run list new other
try find "-2 -2" --limit 5 --keep lesson
try bank note kept 1 "remark $evil$esc"
try list note lesson 1 "remark $evil$esc"
try form one --set length=16
if command -v sqlite3 >/dev/null; then
    # A notebook from elsewhere may hold anything.
    hex=$(printf '%s%s' "$evil" "$esc" | od -An -v -tx1 | tr -d ' \n')
    bad="CAST(x'$hex' AS TEXT)"
    sqlite3 "$lib/.cellar/notebook.db" "
        UPDATE bank SET name = name || $bad WHERE name = 'other';
        UPDATE bank_cell SET degrees = $bad, over_chord = 'm7', given = $bad,
            note = $bad, origin = $bad;
        UPDATE study_list SET name = name || $bad WHERE name = 'other';
        UPDATE list_entry SET notes = $bad, degrees = $bad, chord = $bad,
            home = $bad, relation = $bad, question = $bad, remark = $bad,
            bar = $bad, performer = $bad, title = $bad;
        UPDATE list_entry SET path = $bad, sha256 = '$(printf '0%.0s' {1..64})'
            WHERE place > 2;
        UPDATE form_correction SET path = $bad, first_bar = $bad;
        UPDATE listing SET question = $bad;"
else
    echo "# left out: a notebook from elsewhere (no sqlite3)"
fi
for format in "${formats[@]}"; do
    try bank list --format "$format"
    try bank show kept --format "$format"
    try list lists --format "$format"
    try list show lesson --limit 0 --format "$format"
    try coverage one --bank kept --format "$format"
    try check --limit 0 --format "$format"
done
for format in musicxml abc html csv json; do
    try list export lesson --format "$format"
done
try bank show other
try list show other
try bank show "other$evil$esc"
try list show less
try list note lesson 1 "words"
try list order lesson 2
try list drop lesson 1
try list rename lesson third
try bank note kept 1 "words"
try bank rename kept third
try find "-2 -2" --limit 5 --keep third
try list delete third
try bank delete third
verdict "a hostile notebook"

# --- a damaged index ---------------------------------------------------------------

if command -v sqlite3 >/dev/null; then
    sqlite3 "$lib/.cellar/index.db" "
        UPDATE solo SET title = $bad, performer = $bad, metre = $bad,
            concert_key = $bad;
        UPDATE file SET unreadable = $bad WHERE unreadable <> '';
        UPDATE file SET sha256 = $bad;"
    try solos
    try solo one
    try find "-2 -2"
    try check
    try check --repair
    try_index --warnings "$lib"
    verdict "a hostile index"
else
    skip "a hostile index" "no sqlite3"
fi
chmod 755 "$lib/locked$esc"

echo "1..$count"
[ "$failed" -eq 0 ]
