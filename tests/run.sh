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
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT

# The corpora of the tests that can use real files.
if [ -d "${REAL:-}/leadsheets" ]; then
    CELLAR_REAL=$(cd "$REAL" && pwd)
    export CELLAR_REAL
else
    echo "left out: checks on real files (no folder '${REAL:-}')"
fi

# The suites in two halves beside the scripts: nearly all of it runs on one
# processor.
mapfile -t suites < <(sed -n 's/^ *X(\([a-z0-9_]*\)).*/\1/p' tests/unit/suites.h)
half() { # FIRST: every second suite from there
    local i names=()
    for ((i = $1; i < ${#suites[@]}; i += 2)); do
        names+=("${suites[i]}")
    done
    "$CELLAR_BUILD/tests/unit" "${names[@]}" >"$out/unit-$1" 2>&1
    echo "-- ${#names[@]} suites: $SECONDS s" >>"$out/unit-$1"
}

# One line: how many passed and failed of a script.
count_script() { # SCRIPT STATUS OUTPUT
    local good bad plan
    good=$(grep -cE '^ok ' "$3")
    bad=$(grep -cE '^not ok ' "$3")
    plan=$(grep -E '^1\.\.[0-9]+$' "$3" | tail -n 1)
    if [ "${plan#1..}" != "$((good + bad))" ] ||
        { [ "$2" -ne 0 ] && [ "$bad" -eq 0 ]; }; then
        echo "$1 did not run to its end" >>"$3"
        bad=$((bad + 1))
    fi
    echo "$good $bad" >>"$out/counts"
}

count_unit() { # OUTPUT
    local line bad
    line=$(grep -aE '^[0-9]+%: Checks: ' "$1" | tail -n 1)
    if [[ $line =~ Checks:\ ([0-9]+),\ Failures:\ ([0-9]+),\ Errors:\ ([0-9]+) ]]
    then
        bad=$((BASH_REMATCH[2] + BASH_REMATCH[3]))
        echo "$((BASH_REMATCH[1] - bad)) $bad" >>"$out/counts"
    else
        echo "the unit tests did not run to their end"
        echo "0 1" >>"$out/counts"
    fi
}

half 0 &
half 1 &
for script in tests/cli/T*.sh; do
    began=$SECONDS
    bash "$script" >"$out/script" 2>&1
    count_script "$script" $? "$out/script"
    echo "-- $script: $((SECONDS - began)) s"
    cat "$out/script"
done
wait
for unit in "$out"/unit-*; do
    cat "$unit"
    count_unit "$unit"
done
while read -r good bad; do
    passed=$((passed + good))
    failed=$((failed + bad))
done <"$out/counts"

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
