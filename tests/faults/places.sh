#!/usr/bin/env bash
# What may happen to the place where a library lies: a full disk, a folder
# that may not be written to, a library that is removed while it is read, two
# indexers at once, readers while it is written.  Prints a table and ends with
# "N passed, M failed".
set -u
cd "$(dirname "$0")/../.." || exit 1
bin=$(cd "${BUILD:-build}" && pwd) || exit 1
demo=$PWD/corpus-demo
base=$(mktemp -d)
mounted=
trap '[ -z "$mounted" ] || umount "$mounted"; chmod -R u+rwX "$base"; rm -rf "$base"' EXIT
unset CELLAR_LIBRARY NO_COLOR LD_PRELOAD
export LC_ALL=C.UTF-8
passed=0
failed=0

copy_demo() {
    rm -rf "$1"
    cp -r "$demo" "$1"
    rm -rf "$1/.cellar"
}

sound() { # LIBRARY: both databases
    local db
    for db in "$1"/.cellar/index.db "$1"/.cellar/notebook.db; do
        [ ! -e "$db" ] || [ "$(sqlite3 "$db" 'PRAGMA integrity_check')" = ok ] ||
            return 1
    done
}

answer() { # LIBRARY: what it answers, without times
    "$bin/cellar" --library "$1" solos --limit 0 --format json
    "$bin/cellar" --library "$1" find "5 b3 2 1" --over m7 --limit 0 \
        --format json | sed 's/"milliseconds":[0-9.]*//'
}

# The status is 4 or as given, and what was said is one line with WORDS.
said() { # STATUS ALLOWED WORDS
    [[ " $2 " == *" $1 "* ]] || return 1
    [ "$1" -lt 2 ] || { [ "$(wc -l <"$base/err")" -eq 1 ] &&
        grep -qE "$3" "$base/err"; }
}

# A line of the table: WHAT COMMAND RUNS "N words, N words" BAD
line() {
    echo "| $1 | $2 | $3 | $4 | $5 |"
    if [ "$5" -eq 0 ]; then passed=$((passed + 1)); else failed=$((failed + 1)); fi
}

# --- a disk of many sizes, all too small but the last ---------------------------

full_disk() {
    local size runs=0 refused=0 done=0 bad=0 status lost=0 disk=$base/disk
    mkdir "$disk"
    if ! mount -t tmpfs -o size=64k none "$disk" 2>/dev/null; then
        echo "left out: no file system may be mounted here; 'disk-full' of" \
            "run.sh fails every write from the n-th on instead"
        return
    fi
    mounted=$disk
    for size in $(seq 32 48 1500) 4096; do
        umount "$disk"
        mount -t tmpfs -o size="${size}k" none "$disk"
        runs=$((runs + 1))
        "$bin/cellar-index" --quiet --library "$disk" "$base/music" \
            >"$base/out" 2>"$base/err"
        status=$?
        said $status "0 4" "no room|No space|cannot be made" || bad=$((bad + 1))
        if [ $status -eq 0 ]; then done=$((done + 1)); else refused=$((refused + 1)); fi
        mount -o remount,size=8m none "$disk"
        sound "$disk" || bad=$((bad + 1))
        "$bin/cellar-index" --quiet --library "$disk" "$base/music" ||
            bad=$((bad + 1))
        answer "$disk" >"$base/got" 2>&1
        [ -e "$base/wanted" ] || {
            mkdir "$base/whole"
            "$bin/cellar-index" --quiet --library "$base/whole" "$base/music"
            answer "$base/whole" >"$base/wanted"
        }
        cmp -s "$base/got" "$base/wanted" || bad=$((bad + 1))
    done 2>/dev/null
    line "full disk (tmpfs)" "cellar-index" $runs \
        "$refused refused, $done done" $bad

    # A notebook that fills the disk: what was acknowledged stays.
    runs=0 refused=0 done=0 bad=0
    mount -o remount,size=8m none "$disk"
    size=$(($(du -sk "$disk" | cut -f1) + 104))
    mount -o remount,size="${size}k" none "$disk"
    for n in $(seq 300); do
        runs=$((runs + 1))
        "$bin/cellar" --library "$disk" bank new "bank number $n, $(printf 'x%.0s' {1..60})" \
            >"$base/out" 2>"$base/err"
        status=$?
        said $status "0 4" "no room|No space" || bad=$((bad + 1))
        if [ $status -eq 0 ]; then done=$((done + 1)); else refused=$((refused + 1)); fi
    done
    mount -o remount,size=8m none "$disk"
    sound "$disk" || bad=$((bad + 1))
    lost=$("$bin/cellar" --library "$disk" bank list --limit 0 2>/dev/null |
        grep -c 'bank number')
    [ "$lost" -eq $done ] || bad=$((bad + 1))
    [ $refused -gt 0 ] || bad=$((bad + 1))
    line "full disk (tmpfs)" "bank new" $runs "$refused refused, $done kept" $bad
    rm -rf "${disk:?}"/.cellar

    # Questions, with the disk full to its last byte.
    full_questions "$disk"

    # An export: no half a page.
    runs=0 refused=0 done=0 bad=0
    copy_demo "$base/music"
    "$bin/cellar-index" --quiet "$base/music"
    "$bin/cellar" --library "$base/music" list new kept >/dev/null
    "$bin/cellar" --library "$base/music" list add kept 5 b3 2 1 --over m7 \
        --limit 3 >/dev/null
    for format in html musicxml abc csv; do
        umount "$disk"
        mount -t tmpfs -o size=4k none "$disk"
        head -c 4096 /dev/zero >"$disk/filler"
        runs=$((runs + 1))
        "$bin/cellar" --library "$base/music" list export kept \
            --format $format --output "$disk/page" >"$base/out" 2>"$base/err"
        status=$?
        said $status "4" "cannot write .*No space" || bad=$((bad + 1))
        refused=$((refused + 1))
        [ "$(ls "$disk")" = filler ] || bad=$((bad + 1))
    done
    line "full disk (tmpfs)" "list export" $runs "$refused refused" $bad
    read_only_disk "$disk"
    umount "$disk"
    mounted=
}

# A disk that can only be read, to root as to anyone.
read_only_disk() { # DISK
    local disk=$1 ask status runs=0 refused=0 done=0 bad=0
    umount "$disk"
    mount -t tmpfs none "$disk"
    cp -r "$base/three" "$disk/three"
    mount -o remount,ro none "$disk"
    for ask in solos "find 2 1" "cells --min-solos 2" "bank show kept" check \
        "bank new other" "list add kept 2 1"; do
        runs=$((runs + 1))
        # shellcheck disable=SC2086
        "$bin/cellar" --library "$disk/three" $ask >"$base/out" 2>"$base/err"
        status=$?
        case $ask in
        bank\ new* | *add*)
            said $status 4 "may not be written|cannot be made" || bad=$((bad + 1))
            refused=$((refused + 1)) ;;
        *)
            [ $status -le 1 ] && [ ! -s "$base/err" ] || bad=$((bad + 1))
            done=$((done + 1)) ;;
        esac
    done
    "$bin/cellar-index" --quiet "$disk/three" >"$base/out" 2>"$base/err"
    said $? 4 "may not be written|cannot be made" || bad=$((bad + 1))
    line "read-only disk (tmpfs)" "questions, notebook, index" $((runs + 1)) \
        "$done answered, $((refused + 1)) refused" $bad
}

# What only asks is answered; a log that lies there is read, too.
full_questions() { # DISK
    local disk=$1 ask status runs=0 refused=0 done=0 bad=0
    mount -o remount,size=16m none "$disk"
    for log in no yes; do
        rm -rf "${disk:?}"/*  "$disk/.cellar"
        cp -r "$base/three" "$disk/three"
        if [ $log = yes ]; then
            printf 'CREATE TABLE odd (x); DROP TABLE odd;\n.shell cp %s %s\n' \
                "'$disk/three/.cellar/index.db-wal'" "'$base/log'" |
                sqlite3 "$disk/three/.cellar/index.db"
            [ -s "$base/log" ] || { bad=$((bad + 1)); echo "# no log"; }
            cp "$base/log" "$disk/three/.cellar/index.db-wal"
        fi
        for ask in solos "find 2 1" "cells --min-solos 2" "bank show kept" \
            "tension b9 --over 7" "coverage damp --bank kept" openings \
            "form damp" "solo damp" check "bank new other" "list new other" \
            "list add kept 2 1" "form damp --set length=12"; do
            runs=$((runs + 1))
            # A log that was folded in makes room.
            cat /dev/zero 2>/dev/null >>"$disk/filler"
            # shellcheck disable=SC2086
            "$bin/cellar" --library "$disk/three" $ask >"$base/out" 2>"$base/err"
            status=$?
            case $ask in
            *new* | *add* | *set*)
                said $status "4" "no room|No space|may not be written" ||
                    { bad=$((bad + 1)); echo "# $ask: $status $(cat "$base/err")"; }
                refused=$((refused + 1)) ;;
            *)
                # shellcheck disable=SC2086
                "$bin/cellar" --library "$base/three" $ask >"$base/wanted.now" \
                    2>/dev/null
                [ $status -le 1 ] && { [ "$ask" = check ] ||
                    cmp -s "$base/out" "$base/wanted.now"; } ||
                    { bad=$((bad + 1)); echo "# $ask: $status $(cat "$base/err")"; }
                done=$((done + 1)) ;;
            esac
        done
        rm "$disk/filler"
        sound "$disk/three" || { bad=$((bad + 1)); echo "# not sound"; }
        "$bin/cellar-index" --quiet "$disk/three" || bad=$((bad + 1))
    done
    line "full disk (tmpfs)" "questions, notebook" $runs \
        "$done answered, $refused refused" $bad
}

# --- a folder that may not be written to ---------------------------------------

read_only() {
    local as=() bad=0 status runs=0 refused=0 done=0 lib=$base/closed
    if [ "$(id -u)" -eq 0 ]; then
        command -v setpriv >/dev/null ||
            { echo "left out: read-only folders (no setpriv)"; return; }
        as=(setpriv --reuid=65534 --regid=65534 --clear-groups)
    fi
    copy_demo "$lib"
    "$bin/cellar-index" --quiet "$lib"
    "$bin/cellar" --library "$lib" bank new kept >/dev/null
    "$bin/cellar" --library "$lib" solos --limit 0 >"$base/wanted.solos"
    chmod -R a-w,a+rX "$base" "$lib"
    chmod a+rwx "$base"
    local before after
    before=$(cat "$lib"/.cellar/*.db | sha256sum)
    for ask in "solos --limit 0" "find 5 b3 2 1 --over m7" "bank show kept" \
        "cells --limit 2" "bank new other" "list new other" \
        "form umbrella-for-agnes.mxl --set length=12" "index" "index --full"; do
        runs=$((runs + 1))
        case $ask in
        index*)
            "${as[@]}" "$bin/cellar-index" --quiet ${ask#index} "$lib" ;;
        *) # shellcheck disable=SC2086
            "${as[@]}" "$bin/cellar" --library "$lib" $ask ;;
        esac >"$base/out" 2>"$base/err"
        status=$?
        case $ask in
        solos*) cmp -s "$base/out" "$base/wanted.solos" || bad=$((bad + 1)) ;;&
        solos* | find* | cells* | "bank show"*)
            [ $status -le 1 ] || { bad=$((bad + 1)); cat "$base/err"; }
            done=$((done + 1)) ;;
        *)
            said $status 4 "may not be written|cannot be made" ||
                { bad=$((bad + 1)); echo "# $ask: $status $(cat "$base/err")"; }
            refused=$((refused + 1)) ;;
        esac
    done
    after=$(cat "$lib"/.cellar/*.db | sha256sum)
    [ "$before" = "$after" ] || bad=$((bad + 1))
    chmod -R u+rwX "$lib"
    line "read-only folder" "9 commands" $runs \
        "$done answered, $refused refused" $bad
}

# --- removed while it is read ---------------------------------------------------

# The library goes away just before the first, second ... call of the system.
removed() { # COMMAND ARGUMENT...
    local at=0 bad=0 gone=0 done=0 lib=$base/going status report=$base/report
    while :; do
        at=$((at + 1))
        rm -rf "$lib"
        cp -r "$base/three" "$lib"
        [ "$1" = cellar ] || rm -rf "$lib/.cellar"
        head -c 64 /dev/zero >"$report"
        CELLAR_FAULT=gone CELLAR_FAULT_AT=$at CELLAR_FAULT_REPORT=$report \
            CELLAR_FAULT_FOLDER=$lib LD_PRELOAD=$bin/tests/shim.so \
            "$bin/$1" "${@:2}" >"$base/out" 2>"$base/err"
        status=$?
        [ -d "$lib" ] && break # all calls were made before
        if [ $status -le 1 ]; then done=$((done + 1)); else gone=$((gone + 1)); fi
        # A file a line that could not be read any more, and at most one more.
        if [ $status -gt 4 ] || [ $status -eq 2 ] ||
            { [ $status -gt 1 ] && ! grep -q '^cellar' "$base/err"; } ||
            grep -qE 'bug|not an error|\(\)' "$base/err" ||
            { [ "$1" = cellar ] && [ "$(wc -l <"$base/err")" -gt 1 ]; }; then
            bad=$((bad + 1))
            [ $bad -gt 5 ] || echo "# $1, moment $at, status $status: $(cat "$base/err")"
        fi
    done
    [ "$1" = cellar-index ] && set -- cellar-index
    line "removed while read" "$1 ${*:4}" $((at - 1)) \
        "$done done, $gone ended with a line" $bad
}

make_three() {
    mkdir "$base/three"
    cp "$demo"/odessa-kittleby/{gravel-lantern-blues,turnip-cart-blues}.musicxml \
        "$demo"/odessa-kittleby/damp-matches.mxl "$base/three"
    "$bin/cellar-index" --quiet "$base/three"
    for kind in bank list; do
        "$bin/cellar" --library "$base/three" $kind new kept
    done >/dev/null
    "$bin/cellar" --library "$base/three" bank add kept "1 2 3" --over m7 >/dev/null
}

# --- two at once ---------------------------------------------------------------

two_indexers() {
    local i bad=0 waited=0 lib=$base/shared one two s1 s2
    for i in $(seq 25); do
        copy_demo "$lib"
        "$bin/cellar-index" --quiet "$lib" 2>"$base/err1" & one=$!
        # shellcheck disable=SC2046
        "$bin/cellar-index" --quiet $([ $((i % 2)) = 1 ] || echo --full) "$lib" \
            2>"$base/err2" & two=$!
        wait $one; s1=$?
        wait $two; s2=$?
        [ $s1 -eq 0 ] || [ $s2 -eq 0 ] || bad=$((bad + 1))
        for s in "$s1 $base/err1" "$s2 $base/err2"; do
            [ "${s%% *}" -eq 0 ] && continue
            waited=$((waited + 1))
            [ "${s%% *}" -eq 4 ] && grep -q 'another program is writing' "${s#* }" ||
                bad=$((bad + 1))
        done
        sound "$lib" || bad=$((bad + 1))
        "$bin/cellar-index" --quiet "$lib" || bad=$((bad + 1))
        answer "$lib" >"$base/got"
        answer "$base/music" | cmp -s - "$base/got" || bad=$((bad + 1))
    done
    line "two indexers at once" "cellar-index" 25 "$waited told to wait" $bad
}

reader_and_writer() {
    local bad=0 asked=0 lib=$base/shared pid i f
    copy_demo "$lib"
    "$bin/cellar-index" --quiet "$lib"
    answer "$lib" >"$base/wanted.now"
    for i in $(seq 15); do
        for f in "$lib"/*/*.musicxml; do echo >>"$f"; done
        "$bin/cellar-index" --quiet "$lib" & pid=$!
        while kill -0 $pid 2>/dev/null; do
            answer "$lib" 2>&1 | sed 's/"sha256":"[^"]*"//g' >"$base/got"
            sed 's/"sha256":"[^"]*"//g' "$base/wanted.now" |
                cmp -s - "$base/got" || bad=$((bad + 1))
            asked=$((asked + 1))
        done
        wait $pid || bad=$((bad + 1))
    done
    sound "$lib" || bad=$((bad + 1))
    line "asked while written" "solos, find" $asked "$asked answered" $bad
}

two_notebooks() {
    local i bad=0 lib=$base/music kept
    "$bin/cellar" --library "$lib" list new many >/dev/null
    for i in $(seq 40); do
        "$bin/cellar" --library "$lib" bank new "left $i" >/dev/null 2>&1 &
        "$bin/cellar" --library "$lib" bank new "right $i" >/dev/null 2>&1
        wait $! || bad=$((bad + 1))
    done
    kept=$("$bin/cellar" --library "$lib" bank list --limit 0 | grep -cE 'left|right')
    [ "$kept" -eq 80 ] || bad=$((bad + 1))
    sound "$lib" || bad=$((bad + 1))
    line "two writers at once" "bank new" 80 "$kept kept" $bad
}

# --- all -----------------------------------------------------------------------

command -v sqlite3 >/dev/null || { echo "Bail out! no sqlite3"; exit 1; }
echo "| situation | command | runs | outcome | bad |"
echo "| --- | --- | --- | --- | --- |"
copy_demo "$base/music"
make_three
full_disk
[ -e "$base/music/.cellar" ] || "$bin/cellar-index" --quiet "$base/music"
read_only
removed cellar-index --quiet --jobs=1 "$base/going"
for ask in "find 2 1" cells solos "bank show kept" "form damp" check \
    "bank new other"; do
    # shellcheck disable=SC2086
    removed cellar --library "$base/going" $ask
done
two_indexers
reader_and_writer
two_notebooks
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
