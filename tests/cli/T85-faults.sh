#!/usr/bin/env bash
# Some of the faults of `make faults`, which has them all: memory, reads,
# writes, a full disk, SIGKILL, each at some moments of a few commands.
cd "$(dirname "$0")/../.." || exit 1
build=${CELLAR_BUILD:-build}
case $(basename "$build") in
asan) reason="the sanitisers have the memory to themselves" ;;
coverage) reason="counting lines reads and writes files of its own" ;;
*) reason= ;;
esac
if [ -n "$reason" ]; then
    echo "ok 1 - faults # SKIP $reason"
    echo "1..1"
    exit 0
fi
BUILD=$build QUICK=1 exec bash tests/faults/run.sh
