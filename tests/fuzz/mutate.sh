#!/usr/bin/env bash
# `make mutate COUNT=2000`: changed copies of the files of REAL, else of
# corpus-demo, each given to cellar-index: built as users have it, for time and
# memory, and under ASan and UBSan.  What did badly is kept in build/mutate.
set -u
cd "$(dirname "$0")/../.."
build=${BUILD:-build}
real=${REAL:-../shared/real}
count=${COUNT:-2000}
seed=${SEED:-1}

if [ ! -d "$real" ]; then
    echo "there is no folder '$real': corpus-demo is changed instead"
    real=corpus-demo
fi
mapfile -t files < <(find "$real" -type f \( -name '*.xml' -o \
    -name '*.musicxml' -o -name '*.mxl' \) | LC_ALL=C sort)
export ASAN_OPTIONS=exitcode=99:allocator_may_return_null=1
export UBSAN_OPTIONS=halt_on_error=1:exitcode=99:print_stacktrace=1
"$build/tests/mutate" "$build/cellar-index" build/asan/cellar-index "$count" \
    "$seed" build/mutate "${files[@]}"
