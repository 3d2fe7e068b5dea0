#!/usr/bin/env bash
# Is there a clang that can link libFuzzer?  It needs its runtime, which is a
# package of its own.
made=$(mktemp) || exit 1
trap 'rm -f "$made"' EXIT
echo 'int LLVMFuzzerTestOneInput(void) { return 0; }' |
    clang -x c -fsanitize=fuzzer,address,undefined -o "$made" - 2>/dev/null
