#!/usr/bin/env bash
# `make fuzz SECONDS=n`: build the harnesses with clang, run each of them for
# n seconds, and print what it came to.  Arguments are names of harnesses.
set -u
cd "$(dirname "$0")/../.."
each=${SECONDS_EACH:-60}
build=build/fuzz
wanted=("$@")
[ $# -gt 0 ] || wanted=(container musicxml fragment chord solo gram notebook
    index handout)
sanitize="address,undefined"

if ! bash tests/fuzz/able.sh; then
    echo "make fuzz needs clang and its runtime; on Debian:" >&2
    echo "    apt-get install clang libclang-rt-dev" >&2
    exit 1
fi
make -s -j2 "${wanted[@]/#/$build/fuzzers/}" $build/tests/seeds \
    BUILD=$build CC=clang OPTIMIZE="-O1 -g" \
    SANITIZE="-fsanitize=fuzzer-no-link,$sanitize \
        -fno-sanitize-recover=undefined -fno-omit-frame-pointer" || exit 1
$build/tests/seeds $build/seeds || exit 1

export ASAN_OPTIONS=allocator_may_return_null=1:detect_stack_use_after_return=1
export UBSAN_OPTIONS=print_stacktrace=1
mkdir -p $build/log
findings=0
format='%-10s %12s %8s %8s\n'
# shellcheck disable=SC2059
printf "$format" harness executions seconds findings

longest() { # bytes of an input
    case $1 in
    fragment | chord) echo 256 ;;
    gram) echo 2048 ;;
    musicxml | handout | solo | container) echo 16384 ;;
    *) echo 65536 ;;
    esac
}

for name in "${wanted[@]}"; do
    corpus=$build/corpus/$name
    log=$build/log/$name
    found="tests/fuzz/found/$name-"
    mkdir -p "$corpus"
    folders=()
    texts=$name
    # Both read scores.
    [ "$name" = handout ] && texts=musicxml
    for folder in "tests/fuzz/seeds/$texts" "$build/seeds/$name"; do
        [ -d "$folder" ] && folders+=("$folder")
    done
    dict=()
    [ -f "tests/fuzz/dict/$name" ] && dict=("-dict=tests/fuzz/dict/$name")
    "$build/fuzzers/$name" "$corpus" "${folders[@]}" "${dict[@]}" \
        -max_total_time="$each" -artifact_prefix="$found" \
        -max_len="$(longest "$name")" -timeout=20 -rss_limit_mb=1536 \
        -print_final_stats=1 >"$log" 2>&1
    status=$?
    runs=$(awk '/stat::number_of_executed_units/ { print $2 }' "$log")
    bad=$((status != 0))
    findings=$((findings + bad))
    # shellcheck disable=SC2059
    printf "$format" "$name" "${runs:-0}" "$each" "$bad"
    [ "$bad" -eq 0 ] || { echo "see $log"; grep -E \
        'ERROR|runtime error|does not hold|Test unit written' "$log"; }
    printf '%s\t%s\t%s\t%s\t%s\n' "$(date -u +%F)" "$name" "$each" \
        "${runs:-0}" "$bad" >>$build/runs.tsv
done
echo "$((${#wanted[@]} - findings)) passed, $findings failed"
[ "$findings" -eq 0 ]
