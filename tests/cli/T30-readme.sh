#!/usr/bin/env bash
# The examples of README.md print what README.md says they print.
#
# Every ```console block holds commands after "$ " and their output, run from
# a folder that holds a copy of corpus-demo, which is the library.
# `T30-readme.sh --update` writes the output anew.
set -u
cd "$(dirname "$0")/../.."
build=$(cd "${CELLAR_BUILD:-build}" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp -r corpus-demo "$work/solos"
rm -rf "$work/solos/.cellar"
ln -s "$work/solos" "$work/corpus-demo"
export PATH=$build:$PATH CELLAR_LIBRARY=$work/solos NO_COLOR=1

# Run one command line as the README shows it; time is not compared.
run() {
    (cd "$work" && eval "$1" 2>&1) | sed -E 's/[0-9.]+ seconds/0.0 seconds/'
}

n=0
bad=0
: >"$work/new"
in_block=0
command=
expected=

# Compare what a command printed with what stands below it.
finish() {
    [ -n "$command" ] || return
    n=$((n + 1))
    run "$command" >"$work/got"
    cat "$work/got" >>"$work/new"
    if [ "$expected" = "$(cat "$work/got")" ]; then
        echo "ok $n - $command"
    else
        echo "not ok $n - $command"
        diff <(printf '%s\n' "$expected") "$work/got" | sed 's/^/# /'
        bad=1
    fi
    command=
    expected=
}

while IFS= read -r line; do
    if [ "$line" = '```console' ]; then
        in_block=1
    elif [ "$in_block" = 1 ] && [ "$line" = '```' ]; then
        finish
        in_block=0
    elif [ "$in_block" = 1 ] && [ "${line#\$ }" != "$line" ]; then
        finish
        command=${line#\$ }
    elif [ "$in_block" = 1 ]; then
        expected=${expected:+$expected$'\n'}$line
        continue
    fi
    printf '%s\n' "$line" >>"$work/new"
done <README.md

if [ "${1:-}" = --update ]; then
    cp "$work/new" README.md
    echo "README.md is written anew"
    exit 0
fi
echo "1..$n"
exit "$bad"
