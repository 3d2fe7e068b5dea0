#!/usr/bin/env bash
# `make coverage`: the tests of `make check` in BUILD, which gcc has made with
# --coverage, and then how many lines of each file they have run.  Fails where
# a test does, and where less than FLOOR per cent of a folder were run.
set -u
cd "$(dirname "$0")/.."
floor=${FLOOR:-90}
command -v gcov >/dev/null || {
    echo "coverage: gcov is not installed. Run: sudo apt-get install gcc" >&2
    exit 1
}

find "$BUILD/obj" -name '*.gcda' -delete
# Some tests run a program as another user, who has to be able to add to the
# counts.
(umask 0; "$BUILD/cellar" --version; "$BUILD/cellar-index" --version) >/dev/null
# As under the sanitisers, fewer of the cases that are many.
CELLAR_TWIN_CASES=${CELLAR_TWIN_CASES:-150} \
    CELLAR_FORM_SOLOS=${CELLAR_FORM_SOLOS:-10} \
    bash tests/run.sh >"$BUILD/tests.txt" 2>&1
status=$?
grep -E -A 8 '^not ok' "$BUILD/tests.txt"
tail -n 1 "$BUILD/tests.txt"

# gcov says "File 'schema/a.c'" and "Lines executed:95.00% of 200".
for notes in "$BUILD"/obj/{schema,indexer,query}/*.gcno; do
    gcov -n -o "${notes%/*}" "$notes" 2>/dev/null
done | awk -v floor="$floor" '
/^File / {
    split($0, quoted, "\x27")
    file = quoted[2]
    sub(/^\.\//, "", file)
}
/^Lines executed:/ && file ~ /^(schema|indexer|query)\/[^\/]*\.c$/ {
    split($0, part, /[:%]/)
    folder = file
    sub(/\/.*/, "", folder)
    lines = $NF
    run = int(part[2] * lines / 100 + 0.5)
    printf "%6.1f %% of %5d  %s\n", part[2], lines, file | "sort -k4"
    sum[folder] += lines
    ran[folder] += run
}
/^Lines executed:/ || /^No executable/ { file = "" }
END {
    close("sort -k4")
    print ""
    for (folder in sum) {
        share = 100 * ran[folder] / sum[folder]
        low += share < floor
        printf "%6.1f %% of %5d  %s/%s\n", share, sum[folder], folder,
            share < floor ? ": less than " floor " %" : "" | "sort -k4"
    }
    close("sort -k4")
    exit low > 0 || length(sum) < 3
}' || status=1
exit "$status"
