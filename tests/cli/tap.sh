# tap.sh - what the tests of the programs share; sourced, not run.
#
# Prints TAP.  CELLAR_BUILD is the folder with the programs (default: build).
# shellcheck shell=bash
set -u
cd "$(dirname "$0")/../.." || exit 1
bin=$(cd "${CELLAR_BUILD:-build}" && pwd) || exit 1
dir=$(mktemp -d)
trap 'chmod -R u+w "$dir"; rm -rf "$dir"' EXIT
unset CELLAR_LIBRARY NO_COLOR
export LC_ALL=C.UTF-8
count=0
failed=0
for program in cellar cellar-index; do
    [ -x "$bin/$program" ] || { echo "Bail out! no $bin/$program"; exit 1; }
done

# --- TAP ---------------------------------------------------------------------

ok() { # STATUS NAME
    count=$((count + 1))
    if [ "$1" -eq 0 ]; then
        echo "ok $count - $2"
    else
        failed=$((failed + 1))
        echo "not ok $count - $2"
        sed 's/^/# stdout: /' "$dir/out" | head -n 12
        sed 's/^/# stderr: /' "$dir/err" | head -n 6
    fi
}

# A list of what is wrong on stdin: none is good.  Needs lastpipe.
none() { # NAME
    cat >"$dir/out"
    : >"$dir/err"
    [ ! -s "$dir/out" ]
    ok $? "$1"
}

skip() { # NAME REASON
    count=$((count + 1))
    echo "ok $count - $1 # SKIP $2"
}

# Run cellar; its output is in $dir/out and $dir/err, its status in $status.
run() {
    "$bin/cellar" "$@" >"$dir/out" 2>"$dir/err" </dev/null
    status=$?
}

# The status is $1, stdout holds $2, stderr holds $3 ("" anything, "-" nothing).
holds() { # FILE TEXT
    case $2 in
    "") return 0 ;;
    -) [ ! -s "$dir/$1" ] ;;
    *) grep -qF -e "$2" "$dir/$1" ;;
    esac
}

expect() { # NAME STATUS OUT ERR
    { [ "$status" -eq "$2" ] && holds out "$3" && holds err "$4"; }
    ok $? "$1"
}

# --- the demo solos -----------------------------------------------------------

# A copy of corpus-demo in the folder $1, without what the demonstration or the
# user may have left there.
copy_demo() {
    cp -r corpus-demo "$1"
    rm -rf "$1/.cellar"
}

# --- killed --------------------------------------------------------------------

# Run "cellar $@" and kill it at a moment before $length, in tenths of
# milliseconds; 0 where it was acknowledged.  $killed and $acknowledged count.
# The length follows the machine, however busy it is: shorter after a change
# that was acknowledged, longer after one that was killed before.
length=100
cut_short() {
    timeout --foreground -s KILL \
        "$(printf '0.%04d' $((RANDOM % length + 1)))" \
        "$bin/cellar" "$@" >"$dir/out" 2>"$dir/err" </dev/null
    local status=$?
    if [ -s "$dir/out" ]; then
        acknowledged=$((acknowledged + 1))
        length=$((length - length / 8))
        return 0
    fi
    if [ $status -eq 137 ]; then
        killed=$((killed + 1))
        length=$((length + length / 4 + 1))
    fi
    return 1
}
