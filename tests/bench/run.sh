#!/usr/bin/env bash
# How fast, as a ratio to a baseline that is run beside it in the same call.
# Usage: run.sh [SOLOS]; 1000 where not said.  The solos are invented
# (invent.h), the same on every machine.  Each number is the median of 9 runs
# of a whole process, of 3 where a run takes more than 2 seconds (the row says
# so).  BENCH=DIR keeps the corpus and the rows in DIR; QUICK=1 leaves out how
# fast files are indexed.  The last table holds the numbers against aims;
# nothing here fails because one is missed.
set -eu
# shellcheck source=tests/bench/table.sh
. "$(dirname "$0")/table.sh"
solos=${1:-${SOLOS:-1000}}
files=$((solos < 1000 ? solos : 1000)) # indexing is measured on so many
corpus "$solos"
: >"$rows"

# ask KEY NAME BASELINE-NAME OPTION... -- BASELINE...: a find of $question.
ask() {
    local key=$1 name=$2 base=$3
    shift 3
    row "$key" "$name" "$base" "$cellar" find "${question[@]}" \
        --library "$library" "$@"
}
here=(--library "$library")
find=("$cellar" find)

if command -v rg >/dev/null; then
    finder=(rg -o -b -F --no-messages)
    finder_name="rg -o -b -F"
    lister=(rg -F -o -b -f)
else
    echo "ripgrep is not here (apt-get install ripgrep); grep stands in for it"
    finder=(grep -o -b -F)
    finder_name="grep -o -b -F"
    lister=(grep -F -o -b -f)
fi

# --- find ------------------------------------------------------------------

# Each fragment: all of its hits counted, and the best twenty.
fragment_rows() {
    local kind=$1 notes=$2 letters
    letters=$(pick "$kind" "$notes" 4)
    question=("$(pick "$kind" "$notes" 3)")
    ask "exact-$kind-$notes-top" \
        "$kind, $notes notes: top 20 of $(pick "$kind" "$notes" 5)" \
        "$finder_name" -- "${finder[@]}" -- "$letters" "$text"
    ask "exact-$kind-$notes-count" "the same: count" "$finder_name" --count \
        -- "${finder[@]}" -- "$letters" "$text"
}

chord_rows() {
    question=("5 b3 2 1")
    ask find-class-m7 "5 b3 2 1 over m7: top 20" "the same without m7" \
        --over m7 -- "${find[@]}" "-4 -1 -2" "${here[@]}"
    ask find-home-m7 "the same, reharmonized" "the same without m7" --over m7 \
        --reharmonized -- "${find[@]}" "-4 -1 -2" "${here[@]}"
    ask find-relation "the same, ii cell over the V it leads to" \
        "reharmonized" --over m7 --relation "ii over its V" \
        -- "${find[@]}" "${question[@]}" --over m7 --reharmonized "${here[@]}"
    ask find-function-ii7 "5 b3 2 1 over ii7: top 20" "the same over m7" \
        --over ii7 -- "${find[@]}" "5 b3 2 1" --over m7 "${here[@]}"
    question=("3 5 b7 b9")
    ask find-function-V7 "3 5 b7 b9 over V7: top 20" "the same over 7" \
        --over V7 -- "${find[@]}" "3 5 b7 b9" --over 7 "${here[@]}"
    question=("5 ? 2 1")
    ask find-wildcard "one wildcard, over m7: top 20" "$finder_name" --over m7 \
        -- "${finder[@]}" -- "$(pick frequent 4 4)" "$text"
    question=("$(pick frequent 5 3)")
    ask find-octave "any octave, 5 notes: top 20" "$finder_name" --any-octave \
        -- "${finder[@]}" -- "$(pick frequent 5 4)" "$text"
    question=("5:8 b3:8 2:8 1:8" --over m7)
    ask find-rhythm-same "5:8 b3:8 2:8 1:8, same rhythm: top 20" \
        "in any rhythm" \
        -- "${find[@]}" "${question[@]}" --rhythm any "${here[@]}"
    ask find-rhythm-scaled "the same at any speed" "in any rhythm" \
        --rhythm scaled \
        -- "${find[@]}" "${question[@]}" --rhythm any "${here[@]}"
}

# filter OPTION...: the frequent five notes, with it and without.
filter() {
    ask "find${1#-}" \
        "$*: top 20 of $(hits find "${question[@]}" "$@" --limit 1)" \
        "without it" "$@" -- "${find[@]}" "${question[@]}" "${here[@]}"
}

filter_rows() {
    question=("$(pick frequent 5 3)")
    filter --performer "Player 7"
    filter --title blues
    filter --composer "Nobody 3"
    filter --instrument tenor
    filter --words swing
    filter --key "Eb major"
    filter --metre 2/2
    filter --tempo 100-140
    filter --path 000
    filter --performer "Player 7" --tempo 100-140
    filter --chorus 2
    filter --chorus last
    filter --bar 1-4
    filter --section B
    filter --beat 2.5
    filter --at chorus
    filter --at section
    filter --at phrase
    filter --at phrase-end
    filter --within-phrase
    filter --into 7
    ask find.1000 "the best thousand (--limit 1000)" "top 20" --limit 1000 \
        -- "${find[@]}" "${question[@]}" "${here[@]}"
    ask find.all "all of them (--limit 0)" "top 20" --limit 0 \
        -- "${find[@]}" "${question[@]}" "${here[@]}"
    ask find-variants "their rhythms (--variants)" "top 20" --variants \
        -- "${find[@]}" "${question[@]}" "${here[@]}"
    ask find-explain "with the score explained" "top 20" --explain \
        -- "${find[@]}" "${question[@]}" "${here[@]}"
}

# A process that reads the intervals and scans them once.
scan_name="read and memchr once"
scanner=("$BUILD/tests/scan" "$text")

edit_rows() {
    local steps
    steps=$(pick middling 8 3)
    # shellcheck disable=SC2086 # the intervals are words
    "$BUILD/tests/corpus" variants $steps >"$work/variants"
    question=("$steps")
    ask find-edit-1 "8 notes, 1 edit: top 20" "rg -F -f all variants" \
        --edits 1 -- "${lister[@]}" "$work/variants" "$text"
    ask find-edit-2 "8 notes, 2 edits: top 20" "$scan_name" --edits 2 \
        -- "${scanner[@]}"
    ask find-edit-3 "8 notes, 3 edits: top 20" "$scan_name" --edits 3 \
        -- "${scanner[@]}"
    question=("$(pick frequent 8 3)")
    ask find-edit-2-frequent "8 frequent notes, 2 edits: top 20" "$scan_name" \
        --edits 2 -- "${scanner[@]}"
    ask find-edit-2-over "the same over m7" "$scan_name" --edits 2 --over m7 \
        -- "${scanner[@]}"
    question=("$(pick frequent 5 3)")
    ask find-edit-3-short "5 frequent notes, 3 edits: top 20" "$scan_name" \
        --edits 3 -- "${scanner[@]}"
}

# --- the other questions -----------------------------------------------------

tension_rows() {
    local three=("${finder[@]}" -- "$(pick frequent 3 4)" "$text")
    row tension-b9 "tension b9 --over 7: top 20" "$finder_name, 3 notes" \
        "$cellar" tension b9 --over 7 "${here[@]}" -- "${three[@]}"
    row tension-resolves "tension b9 --over V7 --resolves 5: top 20" \
        "$finder_name, 3 notes" "$cellar" tension b9 --over V7 --resolves 5 \
        "${here[@]}" -- "${three[@]}"
    row tension-table "tension --table" "$finder_name, 3 notes" \
        "$cellar" tension --table "${here[@]}" -- "${three[@]}"
    row tension-one-table "tension 9 --table" "$finder_name, 3 notes" \
        "$cellar" tension 9 --table "${here[@]}" -- "${three[@]}"
}

cells_rows() {
    local all=("$cellar" cells "${here[@]}")
    "$BUILD/tests/corpus" ngrams "$text" "$work/ngrams"
    row cells "cells of 3 to 7 notes, top 20" "GNU sort of the same n-grams" \
        "${all[@]}" -- env LC_ALL=C sort -S 2G --parallel="$(nproc)" \
        -T "$work" -o /dev/null "$work/ngrams"
    rm "$work/ngrams"
    row cells-over "cells --over 7" "cells over any chord" \
        "${all[@]}" --over 7 -- "${all[@]}"
    row cells-player "cells --performer 'Player 7'" "cells of everybody" \
        "${all[@]}" --performer "Player 7" -- "${all[@]}"
    row cells-of "cells --of '5 b3 2 1' --over m7" "find the same" \
        "${all[@]}" --of "5 b3 2 1" --over m7 \
        -- "${find[@]}" "5 b3 2 1" --over m7 "${here[@]}"
    row coverage "coverage of a solo, by the commonest" "cells" \
        "$cellar" coverage solo-000000 "${here[@]}" -- "${all[@]}"
    "$cellar" bank new bench "${here[@]}" >/dev/null 2>&1 || true
    "$cellar" bank add bench "5 b3 2 1" "b3 5 b7 9" "1 2 b3 5" --over m7 \
        "${here[@]}" >/dev/null 2>&1 || true
    row coverage-bank "coverage of a solo, by a bank" "solo" \
        "$cellar" coverage solo-000000 --bank bench "${here[@]}" \
        -- "$cellar" solo solo-000000 "${here[@]}"
    row openings "openings that recur" "$finder_name, 3 notes" \
        "$cellar" openings "${here[@]}" \
        -- "${finder[@]}" -- "$(pick frequent 3 4)" "$text"
    row openings-solo "openings of a solo" "solo" \
        "$cellar" openings solo-000000 "${here[@]}" \
        -- "$cellar" solo solo-000000 "${here[@]}"
}

# --- what is kept and what goes on paper -------------------------------------

paper_rows() {
    local out=$work/excerpts hundred=("5 b3 2 1" --reharmonized --limit 100)
    local again="$cellar list delete bench ${here[*]}; \
        $cellar list new bench ${here[*]}"
    question=("${hundred[@]}" --over m7)
    before="{ $again; } >/dev/null 2>&1"
    row list-fill "list fill of 8 places" "find the same" \
        "$cellar" list fill bench "5 b3 2 1" --over m7 --reharmonized \
        "${here[@]}" \
        -- "${find[@]}" "5 b3 2 1" --over m7 --reharmonized "${here[@]}"
    before=
    local base=("${find[@]}" "${question[@]}" "${here[@]}")
    ask export-musicxml "100 excerpts as MusicXML" "find the same" \
        --format musicxml --output "$out" -- "${base[@]}"
    ask export-abc "100 excerpts as ABC" "find the same" \
        --format abc --output "$out" -- "${base[@]}"
    if command -v abcm2ps >/dev/null; then
        ask export-html "100 excerpts as a page" "find the same" \
            --format html --output "$out" -- "${base[@]}"
    else
        echo "abcm2ps is not here (apt-get install abcm2ps):" \
            "pages are not measured"
    fi
    rm -f "$out"
}

# --- indexing ----------------------------------------------------------------

index_rows() {
    local plain=$work/plain packed=$work/packed spare=$work/spare one other
    local mark=$work/files-made-by
    if [ "$(cat "$mark" 2>/dev/null)" != "$files $made_by" ]; then
        rm -rf "$plain" "$packed" "$mark"
        mkdir "$plain" "$packed"
        "$BUILD/tests/corpus" write "$plain" "$packed" "$files"
        echo "$files $made_by" >"$mark"
    fi
    one=$packed/000/solo-000000.mxl other=$packed/000/solo-000001.mxl
    before="rm -rf '$packed/.cellar'"
    row index "index $files solos (.mxl)" "xmllint --stream, unzipped" \
        "$BUILD/cellar-index" --quiet "$packed" \
        -- xmllint --noout --stream "$plain"/*/*
    before=
    row index-same "index again, nothing changed" "find -printf" \
        "$BUILD/cellar-index" --quiet "$packed" \
        -- find "$packed" -type f -printf '%p %s %T@\n'
    [ "$files" -gt 1 ] || return 0
    rm "$mark" # until the file is as it was
    cp "$one" "$spare"
    before="cmp -s '$spare' '$one' && cp '$other' '$one' || cp '$spare' '$one'"
    row index-one "index again, 1 of $files changed" "find -printf" \
        "$BUILD/cellar-index" --quiet "$packed" \
        -- find "$packed" -type f -printf '%p %s %T@\n'
    before=
    mv "$spare" "$one"
    echo "$files $made_by" >"$mark"
}

# --- aims --------------------------------------------------------------------

# What is to be reached, not what must hold: the rows by their keys; what of
# them is compared, the worst of them (the ratio; ms more than `cellar
# --version`; MB; bytes a note of the index); at most how much; and how much
# from 100,000 solos on.
aims='
index, of reading the same XML        ; ^index$            ; ratio ; 0.8  ; 0.8
5 frequent notes, top 20, of rg -o    ; ^exact-frequent-5-t; ratio ; 0.35 ; 0.35
8 notes or more, top 20, of rg -o     ; ^exact-.*(8|12)-top; ratio ; 0.5  ; 0.4
any exact find, more than --version   ; ^exact-            ; ms    ; 10   ; 60
chord and degree, of the same without ; ^find-class        ; ratio ; 1.2  ; 1.2
8 notes, 1 edit, of rg -f             ; ^find-edit-1$      ; ratio ; 0.5  ; 0.5
8 notes, 2 edits, of one scan         ; ^find-edit-2       ; ratio ; 40   ; 40
cells, of GNU sort                    ; ^cells$            ; ratio ; 0.25 ; 0.25
nothing changed, of find -printf      ; ^index-same$       ; ratio ; 4    ; 4
memory of find, a list of 20          ; ^find-|^exact-     ; MB    ; 40   ; 150
memory of find --limit 0              ; ^find[.]all$       ; MB    ; 40   ; 150
memory of index                       ; ^index             ; MB    ; 400  ; 400
memory of cells                       ; ^cells             ; MB    ; 700  ; 3000
index, bytes a note                   ; ^bytes$            ; bytes ; 40   ; 40
'

aims_table() {
    awk -F' *; *' -v large=$((solos >= 100000)) -v bytes="$bytes" '
        FNR == NR {
            split($0, n, "[ \t]")
            key[++count] = n[1]
            ratio[count] = n[2] / n[3]; ms[count] = n[2] / 1000
            mb[count] = n[4] / 1024
            if (n[1] == "version") version = ms[count]
            next
        }
        NF == 5 {
            worst = -1; same = 1; aim = large ? $5 : $4
            if ($3 == "bytes") worst = bytes
            for (i = 1; i <= count; i++) {
                if (key[i] !~ $2) continue
                value = $3 == "ratio" ? ratio[i] : \
                        $3 == "MB" ? mb[i] : ms[i] - version
                if (worst >= 0) same = 0
                if (value > worst) { worst = value; at = key[i] }
            }
            if (worst < 0)
                printf "%10s %10s  %-10s  %s\n", aim + 0, "-",
                    "not asked", $1
            else
                printf "%10s %10.2f  %-10s  %s\n", aim + 0, worst,
                    worst <= aim + 0 ? "within" : "not within",
                    $1 ($3 == "ms" || $3 == "MB" ? ", " $3 : "") \
                    (same ? "" : " (worst: " at ")")
        }' "$rows" - <<<"$aims"
}

# --- all of it -------------------------------------------------------------

notes=$(tr -d '\n' <"$text" | wc -c)
notes=$((notes + solos))
# What the tables take, and what the file does: some of its pages are free, to be
# used by what is put next ("Database File Format", sqlite.org, 1.3: the size of
# a page at 16, pages at 28, of them free at 36, big-endian).
number_at() {
    od -A n -t u1 -j "$1" -N "$2" "$library/.cellar/index.db" |
        awk '{ for (i = 1; i <= NF; i++) n = n * 256 + $i; print n }'
}
page=$(number_at 16 2)
bytes=$(awk "BEGIN { printf \"%.1f\",
    ($(number_at 28 4) - $(number_at 36 4)) * $page / $notes }")
file=$(awk "BEGIN { printf \"%.1f\", $(number_at 28 4) * $page / $notes }")
read -r scan cached < <("$BUILD/tests/corpus" memchr "$text")
echo "$solos solos, $notes notes; $(date +%F); $(machine); medians of $runs"
echo "index: $bytes bytes a note in its tables, $file with free pages; a scan of" \
    "the intervals by memchr inside a process: $scan us, then $cached us"
heading
row version "cellar --version" "/bin/true" "$cellar" --version -- /bin/true
row opening "solos --limit 1" "cellar --version" \
    "$cellar" solos --limit 1 "${here[@]}" -- "$cellar" --version
row solo "solo SOLO" "cellar --version" \
    "$cellar" solo solo-000000 "${here[@]}" -- "$cellar" --version
for size in 3 4 5 6 8 12; do
    for kind in frequent middling rare; do
        fragment_rows "$kind" "$size"
    done
done
chord_rows
filter_rows
edit_rows
tension_rows
cells_rows
paper_rows
if [ -n "${QUICK:-}" ]; then
    echo "left out (QUICK): indexing"
elif command -v xmllint >/dev/null; then
    index_rows
else
    echo "xmllint is not here (apt-get install libxml2-utils):" \
        "indexing is not measured"
fi
echo
echo "Aims, at most; they are no tests, and nothing fails where one is missed"
printf '%10s %10s\n' aim measured
aims_table
echo "load $(cut -d' ' -f1-3 /proc/loadavg) at the end"
