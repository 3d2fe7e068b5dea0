#!/usr/bin/env bash
# `make lint`: clang-tidy with .clang-tidy and tests/.clang-tidy, cppcheck with
# tests/lint/cppcheck.txt.  LINT_CFLAGS is how the compiler is called.  Clang's
# analyzer looks as deep as a minute or two allow; with DEEP=1 it does that and
# then looks as deep as it can.
set -u
cd "$(dirname "$0")/../.."
missing=()
command -v clang-tidy >/dev/null || missing+=(clang-tidy)
command -v cppcheck >/dev/null || missing+=(cppcheck)
if [ ${#missing[@]} -gt 0 ]; then
    echo "lint: ${missing[*]} not installed. Run:" >&2
    echo "    sudo apt-get install ${missing[*]}" >&2
    exit 1
fi
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
jobs=$(nproc)
bad=0

# Of several files in one process clang-tidy 14 takes what it knows of va_list
# from one to the next, and finds what is not there.
tidy() { # CLANG-TIDY-ARGUMENT... ; the files on stdin
    # shellcheck disable=SC2086
    xargs -r -P "$jobs" -I FILE clang-tidy --quiet "$@" FILE -- $LINT_CFLAGS
}

shallow=(--extra-arg=-Xclang --extra-arg=-analyzer-config
    --extra-arg=-Xclang --extra-arg=mode=shallow)
programs=(schema/*.c indexer/*.c query/*.c query/manual/*.c)
{
    printf '%s\n' "${programs[@]}" | tidy "${shallow[@]}"
    [ -z "${DEEP:-}" ] || printf '%s\n' "${programs[@]}" | tidy
    printf '%s\n' tests/*/*.c | tidy
} >"$out/tidy" 2>"$out/noise"
grep -E '(^Error|error:|No such file)' "$out/noise" && bad=1

# A finding is a line FILE:LINE:COLUMN: ... [CHECK] and what follows it.
# tests/lint/tidy.txt lets FILE:CHECK through.
awk -v root="$PWD/" -v deep="${DEEP:-}" -v allowed=tests/lint/tidy.txt '
BEGIN {
    while ((getline line < allowed) > 0)
        if (line !~ /^(#|$)/)
            let[line] = 1
}
/: (warning|error): .*\[[^]]*\]$/ {
    sub(root, "")
    file = $0
    sub(/:.*/, "", file)
    check = $0
    sub(/.*\[/, "", check)
    sub(/[],].*/, "", check)
    key = file ":" check
    show = !(key in let) && !seen[$0]++
    met[key] = 1
    found += show
}
show { print }
END {
    for (key in let)
        if (deep && !(key in met)) {
            print allowed ": " key " is not met any more"
            found++
        }
    exit found > 0
}
' "$out/tidy" || bad=1

# shellcheck disable=SC2046,SC2086
cppcheck --quiet -j "$jobs" --std=c11 --error-exitcode=1 --template=gcc \
    --enable=warning,performance,portability,information \
    --suppressions-list=tests/lint/cppcheck.txt \
    $(printf '%s\n' $LINT_CFLAGS | grep -E '^-[ID]') \
    schema indexer query || bad=1

[ "$bad" -eq 0 ] && echo "lint: nothing to say"
exit "$bad"
