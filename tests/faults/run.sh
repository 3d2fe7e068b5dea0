#!/usr/bin/env bash
# Faults at every moment of a command: memory, reads, writes, syncs, names,
# locks, the clock, SIGKILL.  Prints a table, the same added up by fault, and
# ends with "N passed, M failed"; a row fails where a single moment had a bad
# outcome.
#
#   bash tests/faults/run.sh              everything
#   QUICK=1 bash tests/faults/run.sh      some moments of some rows, as TAP
#   ONLY='write-.*bank add' ...           the rows that match
#   SHOW=--messages ...                   what the programs said
#
# shim.h says what a fault is, judge.h what a good outcome is.
set -u
cd "$(dirname "$0")/../.." || exit 1
bin=$(cd "${BUILD:-build}" && pwd) || exit 1
demo=$PWD/corpus-demo
base=$(mktemp -d -p "$([ -w /dev/shm ] && echo /dev/shm || echo /tmp)")
trap 'rm -rf "$base"' EXIT
unset CELLAR_LIBRARY NO_COLOR LD_PRELOAD
export LC_ALL=C.UTF-8
passed=0
failed=0
unmet=0 # rows of commands that make no such call

# --- the libraries ------------------------------------------------------------

# The library NAME as it is now is what its rows start from.
keep() {
    cp -r "$base/$1/.cellar" "$base/$1.before.cellar"
    mkdir -p "$base/$1/out" "$base/$1.beforeout"
}

index() { "$bin/cellar-index" --quiet "$base/$1"; }

# Something of each kind that a notebook keeps.
fill_notebook() {
    local CELLAR_LIBRARY=$base/$1
    export CELLAR_LIBRARY
    "$bin/cellar" bank new kept
    "$bin/cellar" bank add kept "5 b3 2 1" "b3 5 b7 9" --over m7
    "$bin/cellar" list new kept
    "$bin/cellar" list add kept 5 b3 2 1 --over m7 --reharmonized --limit 3
    "$bin/cellar" list add kept 3 5 b7 b9 --over 7 --limit 2
    "$bin/cellar" form gravel-lantern --set length=12
    "$bin/cellar" cells --limit 3 --min-solos 2
} >/dev/null 2>&1

# Run the indexer over LIBRARY and kill it while its log holds all that the
# run wrote; the file that readers share is gone, as after a power cut.
leave_log() { # LIBRARY
    local at lib=$base/$1 report=$base/report
    for at in $(seq 400 -10 50); do
        rm -rf "$lib/.cellar"
        cp -r "$base/changed/.cellar" "$lib"
        truncate -s 0 "$report"
        truncate -s 64 "$report"
        CELLAR_FAULT=kill CELLAR_FAULT_AT=$at CELLAR_FAULT_REPORT=$report \
            LD_PRELOAD=$bin/tests/shim.so "$bin/cellar-index" --quiet \
            --jobs 1 "$lib"
        rm -f "$lib/.cellar/index.db-shm"
        [ ! -s "$lib/.cellar/index.db-wal" ] || return 0
    done 2>/dev/null
    return 1
}

# An index of an older version, a damaged one, and the first notebook there
# was: what makes the programs write everything anew.
make_damaged_libraries() {
    local name
    command -v sqlite3 >/dev/null || {
        echo "left out: an older index, a damaged one, an older notebook (no sqlite3)"
        return
    }
    for name in older hurt first-notebook; do
        cp -rp "$base/full" "$base/$name"
    done
    sqlite3 "$base/older/.cellar/index.db" "PRAGMA user_version = 1"
    sqlite3 "$base/hurt/.cellar/index.db" "DELETE FROM strand"
    rm "$base/first-notebook/.cellar/notebook.db"
    {
        sed -n '/^-- version 1/,/^-- version 2/p' schema/notebook.sql
        echo "INSERT INTO form_correction VALUES (1, '', 'other.xml', 'Other',"
        echo "    0, 24, '5'); PRAGMA user_version = 1;"
        echo "PRAGMA application_id = $((0x436c4e62));"
    } | sqlite3 "$base/first-notebook/.cellar/notebook.db"
    for name in older hurt first-notebook; do
        keep "$name"
    done
}

make_libraries() {
    local o=$demo/odessa-kittleby t=$demo/tobiah-wrenmoor name

    mkdir "$base/book" "$base/first" "$base/packed" "$base/new" "$base/full"
    cp "$o"/{gravel-lantern-blues,turnip-cart-blues}.musicxml \
        "$o"/{lemon-peel-ledger.musicxml,damp-matches.mxl} \
        "$t/borrowed-ladder.musicxml" "$base/book"
    index book && fill_notebook book && keep book
    cp "$o/turnip-cart-blues.musicxml" "$base/first"
    cp "$o/damp-matches.mxl" "$base/packed"
    cp "$o/gravel-lantern-blues.musicxml" "$base/full"
    cp "$o"/{gravel-lantern-blues,turnip-cart-blues}.musicxml \
        "$o/damp-matches.mxl" "$base/new"
    index full && fill_notebook full && keep full
    index new && fill_notebook new
    for name in changed gone kept; do
        cp -rp "$base/new" "$base/$name"
    done
    rm "$base/gone/turnip-cart-blues.musicxml"
    cp -rp "$base/gone" "$base/without"
    index without
    cp "$t/borrowed-ladder.musicxml" "$base/changed/turnip-cart-blues.musicxml"
    cp "$t/borrowed-ladder.musicxml" "$base/new"
    touch "$base/kept/"*
    for name in new changed gone kept; do
        keep "$name"
    done
    cp -rp "$base/changed" "$base/logged"
    leave_log logged && keep logged
    [ -n "${QUICK:-}" ] || make_damaged_libraries
    # What a run with --full that was cut short leaves: the notebook.
    mkdir -p "$base/emptied/.cellar"
    cp "$base/full/.cellar/notebook.db" "$base/emptied/.cellar"
}

# --- rows ---------------------------------------------------------------------

# One row: LIBRARY FAULT[+] TITLE OPTION... -- PROGRAM ARGUMENT...
# "+" has every call from there on fail.
row() {
    local library=$1 fault=${2%+} title=$3 stays= out status
    [ "$fault" = "$2" ] || stays=--stays
    shift 3
    [[ "$fault $title" =~ ${ONLY:-} ]] && [ -e "$base/$library" ] || return
    out=$(CELLAR_LIBRARY=$base/$library nice -n 10 "$bin/tests/walk" \
        --library "$base/$library" --cellar "$bin/cellar" \
        --shim "$bin/tests/shim.so" --title "$title" --fault "$fault" \
        $stays ${STRIDE:+--stride "$STRIDE"} ${SHOW:-} "$@" 2>&1)
    status=$?
    if [[ $out =~ " | 0 | 0 | 0 | 0 | 0 | 0 | 0 | 0 |"$ ]]; then
        unmet=$((unmet + 1))
        return
    fi
    if [ "$status" -eq 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
    fi
    if [ -z "${QUICK:-}" ]; then
        echo "$out" | tee -a "$base/rows"
    else
        [ "$status" -eq 0 ] && echo "ok $((passed + failed)) - $fault: $title"
        [ "$status" -eq 0 ] ||
            printf 'not ok %d - %s: %s\n%s\n' $((passed + failed)) "$fault" \
                "$title" "$(sed 's/^[^#]/# &/' <<<"$out")"
    fi
}

cellar_in() { # LIBRARY FAULT TITLE ARGUMENT...
    local library=$1 fault=$2 title=$3
    shift 3
    # shellcheck disable=SC2086
    row "$library" "$fault" "$title" ${answers:-} -- "$bin/cellar" "$@"
}

cellar() { # FAULT TITLE ARGUMENT...
    cellar_in book "$@"
}

# Looking at all of an index takes memory fifteen thousand times.
looking_at_all() { # LIBRARY FAULT TITLE ARGUMENT...
    local library=$1 fault=$2 title=$3
    shift 3
    if [ "$fault" = alloc ]; then
        STRIDE=7 cellar_in "$library" alloc "$title (every 7th)" "$@"
    else
        cellar_in "$library" "$fault" "$title" "$@"
    fi
}

# A run over LIBRARY, with what else may be left.
indexing() { # FAULT LIBRARY TITLE [ARGUMENT...]
    local fault=$1 library=$2 title=$3 allow=
    shift 3
    case $library in
    changed) allow="--allow $base/without" ;;
    full | older) allow="--allow $base/emptied" ;;
    esac
    # shellcheck disable=SC2086
    row "$library" "$fault" "index $title" --indexes $allow -- \
        "$bin/cellar-index" --jobs 1 "$@" "$base/$library"
}

of_indexing() { # FAULT
    indexing "$1" first "a first file"
    indexing "$1" packed "a first .mxl"
    indexing "$1" new "a new file"
    indexing "$1" changed "a changed file"
    indexing "$1" gone "a file gone"
    indexing "$1" kept "files only touched"
    indexing "$1" full "all anew" --full
    indexing "$1" older "an older index"
    looking_at_all hurt "$1" "check --repair" check --repair
}

of_questions() { # FAULT
    local answers=
    [ "$1" != disk-full+ ] || answers=--answers
    cellar_in logged "$1" "find, a log left" find "5 b3 2 1" --over m7
    cellar "$1" "find" find "5 b3 2 1" --over m7 --format json
    cellar "$1" "find, reharmonized" find "5 b3 2 1" --over m7 --reharmonized
    cellar "$1" "find, filtered, edits" find "5 b3 2 1" --over m7 --edits 1 \
        --title blues --performer odessa
    cellar "$1" "find --from" find --from "$base/first/turnip-cart-blues.musicxml" \
        --bars 1-2
    cellar "$1" "tension" tension b9 --over 7
    cellar "$1" "coverage" coverage damp --bank kept
    cellar "$1" "solos" solos
    cellar "$1" "solo" solo damp --format json
    cellar "$1" "openings" openings
    cellar "$1" "form" form damp
    cellar "$1" "bank show" bank show kept
    cellar "$1" "list show" list show kept
    looking_at_all book "$1" "check" check
}

of_handouts() { # FAULT
    local format
    for format in html musicxml csv; do
        cellar "$1" "list export $format" list export kept --format $format \
            --output "$base/book/out/lesson.$format"
    done
}

# Every command that writes to the notebook.
of_notebook() { # FAULT
    cellar "$1" "bank new" bank new other
    cellar "$1" "bank add" bank add kept "1 2 3 5" --over maj7
    cellar "$1" "bank add N" bank add kept 1
    cellar "$1" "bank note" bank note kept 1 slowly
    cellar "$1" "bank drop" bank drop kept 1
    cellar "$1" "bank rename" bank rename kept other
    cellar "$1" "bank delete" bank delete kept
    cellar "$1" "list new" list new other
    cellar "$1" "list add" list add kept 1 2 3 5 --over maj7 --limit 2
    cellar "$1" "list fill" list fill kept "b3 5 b7 9" --over m7 --size 2
    cellar "$1" "find --keep" find "b3 5 b7 9" --over m7 --keep kept --limit 2
    cellar "$1" "list note" list note kept 1 slowly
    cellar "$1" "list order" list order kept 3 1
    cellar "$1" "list drop" list drop kept 2
    cellar "$1" "list rename" list rename kept other
    cellar "$1" "list delete" list delete kept
    cellar "$1" "form --set" form damp --set length=16
    cellar "$1" "form --unset" form gravel-lantern --unset
    cellar "$1" "cells" cells --min-solos 2 --limit 2
    cellar "$1" "cells --keep" cells --min-solos 2 --limit 2 --keep kept:1
    cellar_in first-notebook "$1" "bank new, an older notebook" bank new other
}

calls="read-error read-short read-interrupted write-error write-full"
calls+=" write-short write-interrupted sync-error rename-error remove-error"
calls+=" cut-error open-error open-denied map-error list-error lock-error"
calls+=" disk-full+ clock-back kill"

head_of_table() {
    echo "| fault | command | moments | as usual | refused | (yet done) | left out, named | killed | not ours | bad |"
    echo "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |"
}

everything() {
    local fault
    head_of_table
    for fault in alloc $calls; do
        of_indexing "$fault"
        of_questions "$fault"
        of_handouts "$fault"
        of_notebook "$fault"
    done
    STRIDE=${KILLS:-500}
    of_indexing killed
    of_notebook killed
}

# What `make check` has time for.
some() {
    local answers=--answers
    STRIDE=3
    cellar disk-full+ "find" find "5 b3 2 1" --over m7 --format json
    cellar_in logged disk-full+ "find, a log left" find "5 b3 2 1" --over m7
    answers=
    STRIDE=6
    cellar disk-full+ "cells" cells --min-solos 2 --limit 2
    STRIDE=97
    indexing alloc packed "a first .mxl"
    indexing alloc changed "a changed file"
    cellar alloc "find" find "5 b3 2 1" --over m7 --format json
    STRIDE=23
    cellar alloc "cells --keep" cells --min-solos 2 --limit 2 --keep kept:1
    STRIDE=97
    cellar alloc "bank add" bank add kept "1 2 3 5" --over maj7
    cellar alloc "list export musicxml" list export kept --format musicxml \
        --output "$base/book/out/lesson.musicxml"
    STRIDE=11
    for fault in read-error write-error disk-full+ sync-error kill; do
        indexing $fault changed "a changed file"
        cellar $fault "bank add" bank add kept "1 2 3 5" --over maj7
    done
    cellar read-error "find" find "5 b3 2 1" --over m7 --format json
    STRIDE=10
    indexing killed changed "a changed file"
    cellar killed "list add" list add kept 1 2 3 5 --over maj7 --limit 2
    echo "# left out here: every other moment, command and fault (make faults)"
}

make_libraries || { echo "Bail out! no libraries"; exit 1; }
if [ -n "${QUICK:-}" ]; then
    some
    echo "1..$((passed + failed))"
else
    everything
    echo
    bash tests/faults/sum.sh <"$base/rows"
    echo "no such call is made by the command in $unmet more rows"
    echo "$passed passed, $failed failed"
fi
[ "$failed" -eq 0 ]
