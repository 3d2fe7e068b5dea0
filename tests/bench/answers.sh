#!/usr/bin/env bash
# The answers to 200 questions as one digest, for comparing two programs that
# should answer alike, such as before and after a change for speed.
# Usage: answers.sh CELLAR LIBRARY [-v]; -v prints a digest a question.
set -eu
cellar=$1
library=$2
verbose=${3:-}

# Every line is a question; the words of a fragment are joined by '_'.
fragments=(5_b3_2_1 3_5_b7_b9 1_2_3_5 b3_5_b7_9 -2_-2 -2_-1_-2 -3_-4_-5_+5
    +1_+3 -2_+2_+3_-4 -2_+4_-7_+2_-3_-1 -3_-4_-5_+5_+0_+2_+2 A4_F4_E4_D4
    5_?_2_1 +2_?_-2 -2_+2_-2_-3_-3_-2_+2 5:8_b3:8_2:8_1:8 G_F_E_D_C
    -4_-1_-2 +4_+3_+3 -1_-1)
options=("" "--over_m7" "--over_7" "--over_dominant --limit_0"
    "--over_m7 --reharmonized" "--any-octave --limit_50" "--edits_1"
    "--edits_2 --limit_100" "--edits_2 --over_7" "--at_phrase" "--at_chorus"
    "--at_section" "--at_phrase-end" "--within-phrase --over_maj7"
    "--chorus_2" "--bar_1-4" "--section_A" "--beat_1" "--into_7" "--limit_0"
    "--count" "--weights_harmony=1,rhythm=2" "--over_m7|7" "--over_V7"
    "--over_ii7" "--edits_1 --any-octave" "--edits_3" "--limit_1"
    "--over_m7 --into_7 --limit_40" "--title_AABA" "--variants"
    "--over_sus" "--over_7alt" "--over_Dm7 --edits_1 --limit_30"
    "--reharmonized" "--edits_1 --reharmonized --over_7"
    "--weights_position=1" "--over_m7b5" "--edits_2 --at_phrase --limit_0"
    "--key_C_major --limit_60" "--rhythm_scaled")

ask() {
    local words=() word
    for word in $2; do
        words+=("${word%%_*}")
        [[ $word != *_* ]] || words+=("$(tr _ ' ' <<<"${word#*_}")")
    done
    "$cellar" find "$(tr _ ' ' <<<"$1")" "${words[@]}" --library "$library" \
        --format json 2>&1 | sed 's/"milliseconds":[0-9.]*//'
}

for ((i = 0; i < 200; i++)); do
    fragment=${fragments[i % ${#fragments[@]}]}
    option=${options[(i * 7 + i / ${#fragments[@]}) % ${#options[@]}]}
    digest=$(ask "$fragment" "$option" | sha256sum | cut -c1-16)
    [ -z "$verbose" ] || echo "$digest $fragment $option" >&2
    echo "$digest"
done | sha256sum | cut -c1-32
