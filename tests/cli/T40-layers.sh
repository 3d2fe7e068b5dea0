#!/usr/bin/env bash
# The rules of the house that a program can check: who may include whom, where
# SQL may stand, and that every header compiles alone.
set -u
shopt -s lastpipe
cd "$(dirname "$0")/../.."
n=0
bad=0

# A list of offenders on stdin: none is good.
none() {
    local found
    found=$(cat)
    n=$((n + 1))
    if [ -z "$found" ]; then
        echo "ok $n - $1"
    else
        echo "not ok $n - $1"
        printf '%s\n' "$found" | sed 's/^/# /'
        bad=1
    fi
}

grep -nE '#include "(indexer|query|tests)/' schema/*.[ch] |
    none "schema includes neither indexer nor query"
grep -nE '#include "(query|tests)/' indexer/*.[ch] |
    none "indexer includes schema only"
grep -nE '#include "(indexer|tests)/' query/*.[ch] |
    grep -vE '"indexer/(musicxml|container)\.h"' |
    none "query includes of indexer only what reads a fragment file"
grep -nE '#include "(indexer|tests)/' query/manual/*.[ch] |
    grep -vE '"indexer/settings\.h"' |
    none "the manual looks of indexer only at its options"
grep -nE '#include ".*\.c"' ./*/*.[ch] query/manual/*.[ch] tests/*/*.[ch] |
    none "no file includes a .c"
grep -lE 'sqlite3_(prepare|exec|step)' schema/*.c indexer/*.c query/*.c |
    grep -vE '^schema/(store[a-z_]*|gram|notebook[a-z_]*)\.c$' |
    none "SQL is spoken by the store and the notebook only"
grep -nE 'libxml/' schema/*.[ch] query/*.[ch] |
    grep -vE '^query/(handout_(musicxml|engrave)|late_xml)\.c:' |
    none "XML is read by the indexer, written and drawn by the handouts"
grep -nE '\b(float|double)\b' schema/*.[ch] indexer/*.[ch] |
    grep -vE '^[^:]*:[0-9]*: ?[/ ]?\*|/\*.*(float|double).*\*/' |
    grep -vE 'double (line|flat|sharp)|BARLINE_DOUBLE' |
    none "no floating point below the scores"
grep -nE '\b(strtod|atof|strtok|gets)\(' ./*/*.c |
    none "no function that reads numbers or text unsafely"

flags="-std=c11 -D_GNU_SOURCE -I. -Wall -Wextra -Wpedantic -Werror"
for header in schema/*.h indexer/*.h query/*.h query/manual/*.h; do
    # shellcheck disable=SC2086
    printf '#include "%s"\ntypedef int not_empty;\n' "$header" |
        ${CC:-gcc} $flags $(pkg-config --cflags libxml-2.0 minizip) \
            -x c -fsyntax-only - >/dev/null 2>&1 || echo "$header"
done | none "every header compiles alone"

echo "1..$n"
exit "$bad"
