#!/usr/bin/env bash
# cellar check: what is said of a sound library, of damage, of what changed on
# disk, and what a repair does.  tests/unit/check_store_check.c damages every
# table in turn.
. "$(dirname "$0")/tap.sh"

lib=$dir/lib
export CELLAR_LIBRARY=$lib
copy_demo "$lib"
"$bin/cellar-index" --quiet "$lib"
index=$lib/.cellar/index.db
notebook=$lib/.cellar/notebook.db

sql() { # FILE SQL
    sqlite3 "$1" "$2" 2>"$dir/sql"
}

# Without the shell of SQLite a file is overwritten in the middle instead.
scribble() { # FILE OFFSET BYTES
    head -c "$3" /dev/zero | tr '\0' 'Z' |
        dd of="$1" bs=1 seek="$2" conv=notrunc 2>/dev/null
}

# --- a sound library -----------------------------------------------------------

run check
expect "a sound library" 0 "all is well" -
holds out "29 files known, as on disk: all good" &&
    holds out "29 solos read, 7024 notes: all good" &&
    holds out "77264 facts of notes compared: all good" &&
    holds out "notebook  none yet"
ok $? "every part says what was looked at"
run check --format json
expect "as JSON" 0 '"sound":true,"problems":0,"repair":null' -
if command -v python3 >/dev/null; then
    python3 -m json.tool <"$dir/out" >/dev/null
    ok $? "JSON that another program reads"
else
    skip "JSON that another program reads" "no python3"
fi
run check --repair
expect "nothing to repair" 0 "all is well" -
holds out "laid anew"
[ $? -ne 0 ]
ok $? "nothing was laid anew"
run check what
expect "no argument" 2 - "'check' takes no argument 'what'"
run check --progress always
expect "progress" 0 "all is well" "of 58 solos checked"
run check --help
expect "help" 0 "put a copy of yours in its place" -
before=$(cksum <"$index")
run check
[ "$before" = "$(cksum <"$index")" ]
ok $? "a check writes nothing"

# --- what the user wrote ------------------------------------------------------

find=("5 b3 2 1" --over m7)
run bank new ii-V
run bank add ii-V "${find[@]}"
run find "${find[@]}" --title lemon --performer wrenmoor --limit 2 --keep lesson
run find "${find[@]}" --title borrowed --performer wrenmoor --limit 1 --keep lesson
run form wrenmoor/lemon --set length=16
run check
expect "a notebook" 0 "all is well" -
holds out "1 form set by you: all good" &&
    holds out "1 bank, 1 cell: all good" &&
    holds out "1 study list, 3 entries: all good"
ok $? "forms, banks and lists are counted"

run find "${find[@]}" --limit 0 --format json
sed 's/"milliseconds":[0-9.]*//' "$dir/out" >"$dir/answer"

mv "$lib/tobiah-wrenmoor/lemon-peel-ledger.musicxml" "$dir/away.musicxml"
touch -d '2001-01-01' "$lib/odessa-kittleby/damp-matches.mxl"
run check
expect "files that changed are no damage" 0 "1 changed since; 1 not there any more" -
holds out "damp-matches.mxl: was changed or touched since; cellar-index" &&
    holds out "lemon-peel-ledger.musicxml: is not there any more; cellar-index"
ok $? "they are named"
"$bin/cellar-index" --quiet "$lib"
run check
expect "entries whose solo is gone are no damage" 0 "2 kept by the notes only" -
holds out "entry 1 of 'lesson' is kept by its notes only" &&
    holds out "the form you set is kept, though its solo is"
ok $? "they are named by list and number"
mv "$dir/away.musicxml" "$lib/tobiah-wrenmoor/lemon-peel-ledger-2.musicxml"
"$bin/cellar-index" --quiet "$lib"
run check
expect "found again in the file that moved" 0 "2 found in a file that moved" -
mv "$lib/tobiah-wrenmoor/lemon-peel-ledger-2.musicxml" \
    "$lib/tobiah-wrenmoor/lemon-peel-ledger.musicxml"
"$bin/cellar-index" --quiet "$lib"

# --- damage -------------------------------------------------------------------

if command -v sqlite3 >/dev/null; then
    kept=$(cksum <"$notebook")
    # Which numbers segments have depends on how long the indexing took.
    sql "$index" "DELETE FROM strand WHERE id = (SELECT min(id) FROM strand);
                  UPDATE solo SET title = 'Other' WHERE id = 7;
                  UPDATE segment SET notes = 3
                  WHERE id = (SELECT min(id) FROM segment);"
    run check --limit 1
    expect "damage is status 3" 3 "--repair mends it" \
        "'cellar check --repair' writes the index anew"
    holds out "more; --limit 0 shows all"
    ok $? "--limit says how many are left out"
    run check --repair
    expect "repaired" 0 "laid anew from the notes; the notebook was left" -
    run find "${find[@]}" --limit 0 --format json
    sed 's/"milliseconds":[0-9.]*//' "$dir/out" | cmp -s - "$dir/answer"
    ok $? "the same answers as before the damage"
    [ "$kept" = "$(cksum <"$notebook")" ]
    ok $? "the notebook is the same, byte for byte"
    sql "$index" "DELETE FROM strand
                  WHERE id = (SELECT min(id) FROM strand)"
    run check --repair --format json
    expect "a repair as JSON" 0 '"solos":29,"to_be_read_again":0}' -
    grep -qE '"repair":\{"problems_before":[1-9]' "$dir/out"
    ok $? "says how much was wrong before it"

    # A solo whose form was corrected is read before that.
    mv "$notebook" "$dir/notebook"
    cp "$index" "$dir/whole"
    sql "$index" "UPDATE body SET bytes = x'0102'"
    for limit in 20 0; do
        run find "+1 +2" --limit "$limit"
        expect "a list of notes that do not read is not begun" 3 - \
            "run cellar-index --full"
    done
    cp "$dir/whole" "$index"
    mv "$dir/notebook" "$notebook"

    sql "$index" "UPDATE body SET bytes = x'0102' WHERE id = 3"
    run check
    expect "notes that do not read" 3 "its notes do not read; --repair" ""
    run check --repair
    expect "a repair says what has to be read again" 3 \
        "1 file to be read again" \
        "1 of the files must be read again: run cellar-index $lib"
    "$bin/cellar-index" --quiet "$lib"
    run check
    expect "and then it is well" 0 "all is well" -
    run find "${find[@]}" --limit 0 --format json
    sed 's/"milliseconds":[0-9.]*//' "$dir/out" | cmp -s - "$dir/answer"
    ok $? "with the same answers again"

    cp "$notebook" "$dir/notebook"
    sql "$notebook" "UPDATE list_entry SET midi = '' WHERE place = 2"
    kept=$(cksum <"$notebook")
    run check --repair
    expect "a damaged notebook" 3 "entry 2 of 'lesson' has no notes" \
        "1 problem of the notebook, which is left as it is"
    [ "$kept" = "$(cksum <"$notebook")" ]
    ok $? "it is left as it is"
    cp "$dir/notebook" "$notebook"
else
    skip "damage by SQL" "no sqlite3; tests/unit/check_store_check.c does it"
fi

cp "$notebook" "$dir/notebook"
scribble "$notebook" 0 4096
run check
expect "no notebook at all" 3 "notebook  1 problem" "put a copy of yours"
cp "$dir/notebook" "$notebook"

scribble "$index" 8192 8192
run check
expect "a page of the index" 3 "" ""
run check --repair
[ "$status" -eq 3 ] && holds err "cellar-index --full $lib"
ok $? "damage that goes too deep names --full"
"$bin/cellar-index" --quiet --full "$lib"
run check
expect "which mends it" 0 "all is well" -
scribble "$index" 0 100
run check --format json
expect "no index at all" 3 '"index":null' "cellar-index"
rm -rf "$lib/.cellar"
run check
expect "never indexed" 3 "" "run cellar-index $lib"
mkdir "$dir/empty"
run check --library "$dir/empty/none"
expect "no folder" 3 "" "there is no folder"

# --- where nothing may be written ----------------------------------------------

"$bin/cellar-index" --quiet --full "$lib"
chmod a-w "$lib/.cellar" "$lib"/.cellar/*
if [ "$(id -u)" -ne 0 ]; then
    run check
    expect "a folder that may not be written to" 0 "only from outside" -
else
    skip "a folder that may not be written to" "root may write everywhere"
fi
chmod u+w "$lib/.cellar" "$lib"/.cellar/*

echo "1..$count"
[ "$failed" -eq 0 ]
