#!/usr/bin/env bash
# The tests of `make check`: the unit tests, then every tests/cli/T*.sh.
# BUILD is the folder with the programs.  Ends with "N passed, N failed".
set -u
cd "$(dirname "$0")/.."
export CELLAR_BUILD=${BUILD:-build}
# A busy machine is no failure: only what really hangs is stopped.
export CK_DEFAULT_TIMEOUT=${CK_DEFAULT_TIMEOUT:-300}
passed=0
failed=0
out=$(mktemp)
trap 'rm -f "$out"' EXIT

# The corpora of the tests that can use real files.
if [ -d "${REAL:-}/leadsheets" ]; then
    CELLAR_REAL=$(cd "$REAL" && pwd)
    export CELLAR_REAL
else
    echo "left out: checks on real files (no folder '${REAL:-}')"
fi

"$CELLAR_BUILD/tests/unit" 2>&1 | tee "$out"
line=$(grep -E '^[0-9]+%: Checks: ' "$out" | tail -n 1)
if [[ $line =~ Checks:\ ([0-9]+),\ Failures:\ ([0-9]+),\ Errors:\ ([0-9]+) ]]
then
    bad=$((BASH_REMATCH[2] + BASH_REMATCH[3]))
    passed=$((passed + BASH_REMATCH[1] - bad))
    failed=$((failed + bad))
else
    echo "the unit tests did not run to their end"
    failed=$((failed + 1))
fi

for script in tests/cli/T*.sh; do
    echo "-- $script"
    bash "$script" 2>&1 | tee "$out"
    status=${PIPESTATUS[0]}
    good=$(grep -cE '^ok ' "$out")
    bad=$(grep -cE '^not ok ' "$out")
    plan=$(grep -E '^1\.\.[0-9]+$' "$out" | tail -n 1)
    if [ "${plan#1..}" != "$((good + bad))" ] ||
        { [ "$status" -ne 0 ] && [ "$bad" -eq 0 ]; }; then
        echo "$script did not run to its end"
        bad=$((bad + 1))
    fi
    passed=$((passed + good))
    failed=$((failed + bad))
done

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
