#!/usr/bin/env bash
# The harnesses of tests/fuzz over their seeds and over what was found with
# them before; and some changed copies of music files through cellar-index.
# shellcheck source=tests/cli/tap.sh
. "$(dirname "$0")/tap.sh"

"$bin/tests/seeds" "$dir/seeds" >"$dir/out" 2>"$dir/err"
ok $? "the seeds that are bytes are made"

for harness in "$bin"/tests/fuzz/*; do
    name=${harness##*/}
    files=()
    texts=$name
    # Both read scores.
    [ "$name" = handout ] && texts=musicxml
    for file in "tests/fuzz/seeds/$texts" "$dir/seeds/$name" \
        tests/fuzz/found/"$name"-*; do
        [ -e "$file" ] && files+=("$file")
    done
    "$harness" "${files[@]}" >"$dir/all" 2>"$dir/err"
    status=$?
    tail -n 3 "$dir/all" >"$dir/out"
    [ "$status" -eq 0 ] && grep -qE '^[1-9][0-9]* files$' "$dir/out"
    ok $? "$name: $(tail -n 1 "$dir/out")"
done

# Time and memory are measured of programs as users have them.
programs=("$bin/cellar-index" -)
[ "${bin##*/}" = asan ] && programs=(- "$bin/cellar-index")
mapfile -t scores < <(find "${CELLAR_REAL:-corpus-demo}" -type f \
    \( -name '*.xml' -o -name '*.musicxml' -o -name '*.mxl' \) | LC_ALL=C sort)
export ASAN_OPTIONS=exitcode=99:allocator_may_return_null=1
export UBSAN_OPTIONS=halt_on_error=1:exitcode=99
"$bin/tests/mutate" "${programs[@]}" 60 7000 "$dir/bad" "${scores[@]}" \
    >"$dir/out" 2>"$dir/err"
ok $? "changed copies: $(tail -n 1 "$dir/out")"

echo "1..$count"
[ "$failed" -eq 0 ]
