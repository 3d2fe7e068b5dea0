#!/usr/bin/env bash
# All tests one after the other; the last line counts them.
set -u
cd "$(dirname "$0")/.."
REAL=${REAL:-../shared/real}
XSD=${XSD:-../shared/reference/musicxml.xsd}
passed=0
failed=0

# Run a command, show what it prints, and add up its "N passed, N failed".
part() {
    local title=$1 out status counts began=$SECONDS
    shift
    echo "== $title"
    out=$(mktemp)
    "$@" 2>&1 | tee "$out"
    status=${PIPESTATUS[0]}
    counts=$(grep -E '^[0-9]+ passed, [0-9]+ failed$' "$out" | tail -n 1)
    rm -f "$out"
    if [ -n "$counts" ]; then
        passed=$((passed + ${counts%% *}))
        counts=${counts#*, }
        failed=$((failed + ${counts%% *}))
        [ "$status" -eq 0 ] || [ "${counts%% *}" -gt 0 ] ||
            failed=$((failed + 1))
    elif [ "$status" -eq 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
    fi
    echo "-- $title: $((SECONDS - began)) s"
}

if command -v clang-tidy >/dev/null && command -v cppcheck >/dev/null; then
    part "lint" make -s lint
else
    echo "== lint: left out, clang-tidy or cppcheck is not installed"
fi
part "tests" make -s -j2 check
# Fewer of the cases that are many; the plain run has them all.
part "tests under the sanitisers" env CELLAR_TWIN_CASES=150 \
    CELLAR_FORM_SOLOS=10 make -s -j2 asan check
part "valgrind" bash tests/valgrind.sh
if [ -z "${CELLAR_FUZZ_SECONDS:-}" ]; then
    echo "== fuzzing: left out, CELLAR_FUZZ_SECONDS is not set (the inputs" \
        "that are kept are replayed by T80-fuzz.sh)"
elif bash tests/fuzz/able.sh; then
    part "fuzzing" make -s fuzz SECONDS="$CELLAR_FUZZ_SECONDS"
else
    echo "== fuzzing: left out, clang or libclang-rt-dev is not installed"
fi
if [ -f "$REAL/expected.jsonl" ]; then
    part "real files" make -s check-real REAL="$REAL"
else
    echo "== real files: left out, there is no $REAL/expected.jsonl"
fi
part "chords in other programs" make -s check-chords XSD="$XSD"
part "excerpts in other programs" make -s check-handouts XSD="$XSD" REAL="$REAL"
part "pages in a browser" make -s check-pages
if [ -f "$XSD" ]; then
    part "demo solos against the schema" make -s check-schema XSD="$XSD"
else
    echo "== demo solos against the schema: left out, there is no $XSD"
fi

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
