#!/usr/bin/env bash
# cellar-index and cellar over corpus-demo under valgrind: no error, no leak.
set -u
cd "$(dirname "$0")/.."
BUILD=${BUILD:-build}
if ! command -v valgrind >/dev/null; then
    echo "left out: valgrind is not installed"
    exit 0
fi
make -s -j2 all || exit 1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp -r corpus-demo "$work/library"
rm -rf "$work/library/.cellar"
passed=0
failed=0

under() {
    local want=$1 got
    shift
    valgrind --quiet --suppressions=tests/valgrind.supp --leak-check=full --show-leak-kinds=all \
        --errors-for-leak-kinds=all --error-exitcode=99 \
        "$@" >"$work/out" 2>"$work/err"
    got=$?
    if [ "$got" -eq "$want" ] && ! grep -q '^==' "$work/err"; then
        echo "ok: ${*##*/}"
        passed=$((passed + 1))
    else
        echo "not ok: $* (status $got, expected $want)"
        head -n 40 "$work/err"
        failed=$((failed + 1))
    fi
}

L=$work/library
under 0 "$BUILD/cellar-index" --jobs 2 "$L"
under 0 "$BUILD/cellar-index" "$L"
under 0 "$BUILD/cellar" solos --library "$L"
under 0 "$BUILD/cellar" find "5 b3 2 1" --over m7 --library "$L"
under 0 "$BUILD/cellar" find "5 ? 2 1" --any-octave --library "$L" \
    --format json
under 0 "$BUILD/cellar" tension b9 --over 7 --explain --library "$L"
under 0 "$BUILD/cellar" tension --table --library "$L"
under 2 "$BUILD/cellar" tension b9 --resolves "b9>b33" --library "$L"
under 1 "$BUILD/cellar" find "+12 +12 +12 +12" --library "$L"
under 2 "$BUILD/cellar" find "5 b33" --library "$L"
under 0 "$BUILD/cellar" bank new mine --library "$L"
under 0 "$BUILD/cellar" bank add mine "5 b3 2 1" "b3 5 b7 9" --over m7 \
    --library "$L"
under 2 "$BUILD/cellar" bank add mine "5 ? 2 1" --over m7 --library "$L"
under 1 "$BUILD/cellar" bank add mien "5 b3 2 1" --over m7 --library "$L"
under 1 "$BUILD/cellar" bank add mine 1,3 --library "$L"
under 0 "$BUILD/cellar" bank show mine --details --library "$L"
under 0 "$BUILD/cellar" bank show mine --format json --library "$L"
under 0 "$BUILD/cellar" bank list --library "$L"
under 0 "$BUILD/cellar" bank note mine 1 slow --library "$L"
under 0 "$BUILD/cellar" bank drop mine 2,1 --library "$L"
under 0 "$BUILD/cellar" bank rename mine yours --library "$L"
under 0 "$BUILD/cellar" bank delete yours --library "$L"
under 0 "$BUILD/cellar" cells --limit 3 --library "$L"
under 0 "$BUILD/cellar" cells --of "5 b3 2 1" --over m7 --library "$L"
under 0 "$BUILD/cellar" coverage wrenmoor/borrowed --library "$L"
under 0 "$BUILD/cellar" openings --library "$L"
under 0 "$BUILD/cellar" list new lesson --library "$L"
under 0 "$BUILD/cellar" list fill lesson "5 b3 2 1" "3 5 b7 b9" --over m7 \
    --reharmonized --size 4 --library "$L"
under 0 "$BUILD/cellar" list note lesson 1 slow --library "$L"
under 0 "$BUILD/cellar" list order lesson 3 --library "$L"
under 0 "$BUILD/cellar" list show lesson --library "$L"
for format in musicxml abc html csv json; do
    under 0 "$BUILD/cellar" list export lesson --format $format --for Eb \
        --practice fourths --library "$L"
done
under 0 "$BUILD/cellar" list drop lesson 1 --library "$L"
under 0 "$BUILD/cellar" list delete lesson --library "$L"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
