#!/usr/bin/env bash
# cellar-index as a program: exit status, messages, interruptions.
# TAP; the programs are in $CELLAR_BUILD (default build).
set -u
build=$(cd "${CELLAR_BUILD:-build}" && pwd) || exit 1
index=$build/cellar-index
cellar=$build/cellar
work=$(mktemp -d)
trap 'chmod -R u+rwX "$work"; rm -rf "$work"' EXIT
cd "$work" || exit 1
unset CELLAR_LIBRARY NO_COLOR
number=0

# is WHAT STATUS: one line of TAP, ok when STATUS is 0.
is() {
    number=$((number + 1))
    if [ "$2" -eq 0 ]; then
        echo "ok $number - $1"
    else
        echo "not ok $number - $1"
    fi
}

# same WHAT GOT WANTED
same() {
    if [ "$2" = "$3" ]; then
        is "$1" 0
    else
        is "$1" 1
        printf '# got:    %s\n# wanted: %s\n' "$2" "$3"
    fi
}

# like WHAT GOT PATTERN
like() {
    if [[ $2 =~ $3 ]]; then
        is "$1" 0
    else
        is "$1" 1
        printf '# got:     %s\n# pattern: %s\n' "$2" "$3"
    fi
}

# run ARGUMENTS: cellar-index into $out, $err and $status.
run() {
    "$index" "$@" >out 2>err
    status=$?
    out=$(cat out)
    err=$(cat err)
}

# solo FILE TITLE SEED BARS: a made-up solo of four notes a bar.
solo() {
    awk -v title="$2" -v seed="$3" -v bars="$4" 'BEGIN {
        split("C D E F G A B", step, " ")
        split("D G C A", root, " ")
        split("minor-seventh dominant major-seventh minor", kind, " ")
        print "<score-partwise version=\"4.0\"><work><work-title>" title \
            "</work-title></work><part-list><score-part id=\"P1\">" \
            "<part-name>Tenor</part-name></score-part></part-list>" \
            "<part id=\"P1\">"
        for (bar = 1; bar <= bars; bar++) {
            chord = (bar + seed) % 4 + 1
            print "<measure number=\"" bar "\">"
            if (bar == 1)
                print "<attributes><divisions>1</divisions><key><fifths>0" \
                    "</fifths></key><time><beats>4</beats><beat-type>4" \
                    "</beat-type></time></attributes>"
            print "<harmony><root><root-step>" root[chord] \
                "</root-step></root><kind>" kind[chord] "</kind></harmony>"
            for (beat = 0; beat < 4; beat++) {
                seed = (seed * 1103515 + 12345) % 65536
                print "<note><pitch><step>" step[int(seed / 64) % 7 + 1] \
                    "</step><octave>4</octave></pitch>" \
                    "<duration>1</duration></note>"
            }
            print "</measure>"
        }
        print "</part></score-partwise>"
    }' >"$1"
}

summary='^[0-9]+ files read, [0-9]+ unchanged, [0-9]+ removed, '
summary+='[0-9]+ unreadable; [0-9]+ notes, [0-9]+ chords, [0-9]+ warnings; '
summary+='[0-9]+\.[0-9] seconds$'

# --- help, usage, exit status --------------------------------------------

run --version
same "the version" "$status $out $err" "0 cellar-index 0.1.0 "
run --help
same "help ends well" "$status $err" "0 "
like "help names the options" "$out" "--jobs N.*--strict.*--color auto"
same "help fits 80 columns" "$(awk 'length > 80' out)" ""
run
same "no folder" "$status $out" "2 "
run --jbos 3 x
same "a mistyped option" "$status $err" \
    "2 cellar-index: unknown option '--jbos'; did you mean '--jobs'?"
run gone
same "a folder that is not there" "$status $out $err" \
    "3  cellar-index: there is no folder gone"
mkdir empty
run empty
same "a folder without music" "$status $out $err" \
    "3  cellar-index: no .musicxml, .xml or .mxl file below empty"
[ ! -e empty/.cellar ]
is "gets no index" $?

mkdir a b
solo a/one.musicxml "One" 1 4
solo b/two.xml "Two" 2 8
run a
counts="1 files read, 0 unchanged, 0 removed, 0 unreadable; "
same "the first run" "$status ${out%; *} $err" \
    "0 ${counts}16 notes, 4 chords, 0 warnings "
like "ends with one line" "$out" "$summary"
run a b
counts="1 files read, 1 unchanged, 0 removed, 0 unreadable; "
same "two folders are two libraries, one summary" "${out%; *}" \
    "${counts}48 notes, 12 chords, 0 warnings"
[ -e b/.cellar/index.db ]
is "each with its index" $?
run empty a
same "one bad folder does not keep the other from it" "$status ${out%%;*}" \
    "3 0 files read, 1 unchanged, 0 removed, 0 unreadable"
mkdir both
run --library both a b
counts="2 files read, 0 unchanged, 0 removed, 0 unreadable; "
same "one library of two folders" "$status ${out%; *}" \
    "0 ${counts}48 notes, 12 chords, 0 warnings"
run --quiet --full a
same "quiet says nothing" "$status$out$err" "0"

# --- files that cannot be read -------------------------------------------

printf '<score-partwise>\n</oops>\n' >a/bad.xml
printf '\033]0;x\007' >"a/$(printf 'c\033[2J').xml"
run a
same "a bad file does not stop a run" "$status ${out%%;*}" \
    "0 0 files read, 1 unchanged, 0 removed, 2 unreadable"
like "it is named with its line" "$err" "bad.xml: line 2: "
same "one line a file" "$(wc -l <err)" 2
same "no control character reaches the terminal" \
    "$(tr -d '\n\40-\176' <err | wc -c)" 0
run --strict a
same "strict makes it status 3, also the next time" "$status ${out%%;*}" \
    "3 0 files read, 1 unchanged, 0 removed, 2 unreadable"
same "and is not said twice" "$err" ""
run --warnings a
like "unless asked" "$err" "bad.xml: line 2: "
rm a/bad.xml a/c*

# --- the terminal --------------------------------------------------------

run --full a
same "no progress where there is no terminal" "$err" ""
run --full --progress always a
like "progress when asked for" "$err" "1 of 1 files  one.musicxml"
if [ -e /dev/full ]; then
    "$index" a >/dev/full 2>err
    same "a full disk is not success" "$? $(cat err)" \
        "4 cellar-index: cannot write the output: No space left on device"
fi
printf 'no music' >a/bad.xml
run --full --color always a
like "colour when asked for" "$err" $'^\033'
NO_COLOR=1 run --full a
same "else none" "$(tr -d '\n\40-\176' <err | wc -c)" 0
rm a/bad.xml

# --- cut short at any moment ---------------------------------------------

count=300
mkdir many fresh
for i in $(seq $count); do
    solo "many/solo$i.xml" "Tune $i" "$i" 40
done
cp -p many/*.xml fresh

# What the library $1 holds, as far as it can be asked.
contents() {
    "$cellar" --library "$1" solos --limit 0 --format json
    "$cellar" --library "$1" find "2 2 ?" --limit 50 --format json |
        sed 's/"milliseconds":[0-9.]*//'
}

start=$(date +%s%N)
run fresh
length=$((($(date +%s%N) - start) / 1000000))
contents fresh >wanted
like "the fresh index holds them all" "$(head -c 40 wanted)" "\"total\":$count"
like "and the fragment occurs" "$(tail -n +2 wanted)" '"total":[1-9]'

killed=0
wrong=0
unusable=0
RANDOM=10 # the same moments each time, as far as the machine goes
for i in $(seq 40); do
    full=
    case $((i % 4)) in
    0) rm -rf many/.cellar ;;       # while it is made
    1) full=--full ;;               # while it is made anew
    2) touch many/*.xml ;;          # while files are found to be the same
    3) for f in many/solo1*.xml; do # while files are read again
           printf '\n' >>"$f"
       done ;;
    esac
    "$index" --quiet $full many >killed.out 2>&1 &
    pid=$!
    sleep "$(printf '0.%03d' $((RANDOM % (length + 1))))"
    kill -9 $pid 2>/dev/null
    wait $pid 2>/dev/null
    [ $? -eq 137 ] && killed=$((killed + 1))
    # Whatever stands there is no index yet or one that can be read.
    if [ -e many/.cellar/index.db ]; then
        "$cellar" --library many solos --limit 0 >asked 2>&1
        case $? in
        0 | 1) ;;
        3) grep -q 'holds no index yet' asked || unusable=$((unusable + 1)) ;;
        *) unusable=$((unusable + 1)) ;;
        esac
    fi
    "$index" --quiet many >again.out 2>&1 || wrong=$((wrong + 1))
    if [ $((i % 4)) -eq 3 ]; then
        rm -rf fresh
        mkdir fresh
        cp -p many/*.xml fresh
        "$index" --quiet fresh
        contents fresh >wanted
    fi
    contents many >got 2>&1
    cmp -s got wanted || wrong=$((wrong + 1))
done
[ $killed -ge 10 ] # else these were no kills at all
is "killed $killed of 40 runs before their end" $?
same "an index that was cut short can be asked" $unusable 0
same "and the next run completes it" $wrong 0

# --- Ctrl-C --------------------------------------------------------------

# interrupt SIGNAL: stop a run that makes the index anew, until one is hit.
interrupt() {
    local try
    for try in $(seq 20); do
        rm -rf many/.cellar
        "$index" --jobs 1 many >out 2>err &
        pid=$!
        sleep "$(printf '0.%03d' $((RANDOM % length)))"
        kill "-$1" $pid 2>/dev/null
        wait $pid
        status=$?
        # Before the handler is set or after the end does not count.
        [ $status -eq 4 ] && return
    done
}

words="stopped; what was read is kept, and running cellar-index again "
words+="completes the index"
# A job in the background of a script ignores SIGINT unless it asks for it.
for signal in INT TERM; do
    interrupt $signal
    same "SIG$signal: status, words" "$status $(cat out err)" \
        "4 cellar-index: $words"
    run many
    same "SIG$signal: completed" "$status $(contents many | cmp - wanted)" "0 "
done

# --- asked while it is written -------------------------------------------

bad=0
asked=0
for round in 1 2 3; do
    for f in many/*.xml; do
        printf '\n' >>"$f"
    done
    "$index" --quiet many &
    pid=$!
    while kill -0 $pid 2>/dev/null; do
        "$cellar" --library many solos --limit 0 --format json >got 2>&1
        [ $? -eq 0 ] && grep -q "\"total\":$count," got || bad=$((bad + 1))
        asked=$((asked + 1))
    done
    wait $pid || bad=$((bad + 1))
done
[ $asked -ge 3 ] && [ $bad -eq 0 ]
is "asked $asked times while it was written, $bad wrong answers" $?

echo "1..$number"
