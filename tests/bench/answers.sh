#!/usr/bin/env bash
# The answers to 300 questions as one digest, for comparing two programs
# that should answer alike.  Before and after a change for speed:
#
#   make && cp build/cellar /tmp/before       # before the change
#   make                                      # after it
#   bash tests/bench/answers.sh /tmp/before LIBRARY
#   bash tests/bench/answers.sh build/cellar LIBRARY
#
# The last lines must be the same.  Where they are not, -v after LIBRARY prints
# a digest a question on stderr, and diff shows which of them differ.  A change
# of the index needs a library made by each program from the same files.
# LIBRARY is any library, such as a corpus of `make bench`; names to filter by
# are taken from its thirtieth solo.  How long an answer took is left out; all
# else counts, scores too.
# Usage: answers.sh CELLAR LIBRARY [-v]
set -eu
cellar=$1
library=$2
verbose=${3:-}
asked=0

# ask WORD...: the digest of one answer, or of the complaint.
ask() {
    local digest
    digest=$("$cellar" "$@" --library "$library" 2>&1 |
        sed 's/"milliseconds":[0-9.]*//' | sha256sum | cut -c1-16)
    [ -z "$verbose" ] || echo "$digest $*" >&2
    echo "$digest"
    asked=$((asked + 1))
}

# --- finds: fragments with everything that can be asked of a place -----------

# The words of a fragment are joined by '_', as are an option and its value.
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
    "--key_C_major --limit_60" "--rhythm_any")

find_digests() {
    local i words word fragment
    for ((i = 0; i < 200; i++)); do
        fragment=${fragments[i % ${#fragments[@]}]}
        words=()
        for word in ${options[(i * 7 + i / ${#fragments[@]}) %
            ${#options[@]}]}; do
            words+=("${word%%_*}")
            [[ $word != *_* ]] || words+=("$(tr _ ' ' <<<"${word#*_}")")
        done
        ask find "$(tr _ ' ' <<<"$fragment")" "${words[@]}" --format json
    done
}

# --- filters -----------------------------------------------------------------

thirtieth=$("$cellar" solos --limit 30 --format json --library "$library" |
    sed 's/.*{"path"/{"path"/')

# fact NAME: what the thirtieth solo says of itself.
fact() {
    sed -n 's/.*"'"$1"'":"\{0,1\}\([^",]*\).*/\1/p' <<<"$thirtieth"
}
solo=$(fact path)
player=$(fact performer)
tempo=$(fact tempo)
if [ -z "$solo" ]; then
    echo "$library gives no solos; see 'cellar solos --library $library'" >&2
    exit 2
fi
tempo=${tempo%.*}

filter_digests() {
    local filters=(performer "$player" title "$(fact title)" composer
        "$(fact composer)" instrument "$(fact instrument)" key "$(fact key)"
        metre "$(fact metre)" metre 3/4 tempo "$((tempo - 20))-$tempo"
        tempo "$tempo" words swing path "${solo%/*}" path "$solo"
        where "performer=$player" chorus last bar 1 section B beat "2 and")
    local i
    for ((i = 0; i < ${#filters[@]}; i += 2)); do
        set -- "--${filters[i]}" "${filters[i + 1]}" --format json
        ask find "-2 -2" "$@"
        ask find "-2 -1 -2" --over m7 --reharmonized "$@"
        ask find "-2 -1 -2 +3 +4" --edits 2 "$@"
    done
    ask find "-2 -2" --performer "$player" --chorus 1 --at phrase --format json
    ask find "5:8 b3:8 2:8 1:8" --over m7 --rhythm scaled --format json
    ask find "5:8 b3:8 2:8 1:8" --over m7 --rhythm any --format json
}

# --- the other questions -----------------------------------------------------

tension_digests() {
    local degree
    for degree in b9 9 '#9' '#11' b13 13 1 b7; do
        ask tension "$degree" --over 7 --limit 40 --format json
    done
    ask tension 9 --over m7 --in-phrase last --format json
    ask tension b9 --over V7 --resolves 'b9>5' --format json
    ask tension b9 --over 7 --length 4+ --accent strong --explain --format json
    ask tension 11 --over m7 --approach step-below --format json
    ask tension b9 --table --format json
    ask tension --table --format json
    ask tension --table --performer "$player" --format json
    ask tension --table --chorus last
}

cells_digests() {
    ask cells --limit 200 --format json
    ask cells --limit 50
    ask cells --over 7 --length 4-5 --by spread --format json
    ask cells --length 3-3 --no-folding --limit 100 --format json
    ask cells --performer "$player" --format json
    ask cells --performer "$player" --versus others --format json
    ask cells --into 7 --within-phrase --format json
    ask cells --path "$solo" --all --limit 500 --format json
    ask cells --of "5 b3 2 1" --over m7 --format json
    ask cells --at chorus --min-count 2 --format json
}

coverage_digests() {
    ask coverage "$solo" --format json
    ask coverage "$solo"
    ask coverage "$solo" --bars 1-8 --format json
    ask coverage "$solo" --performer "$player" --format json
    ask coverage "$solo" --commonest 200 --length 4-7 --format json
    ask coverage "$solo" --commonest 0 --format json
    ask coverage "$solo" --cell "-2 -1" --cell "-2 -2 -1" --format json
    ask coverage "$solo" --cell "5 b3 2 1" --over m7 --format json
}

openings_digests() {
    ask openings --format json
    ask openings --limit 50
    ask openings --notes 6 --with-pickup --format json
    ask openings --performer "$player" --min-count 3 --format json
    ask openings "$solo" --format json
    ask openings "$solo"
}

solo_digests() {
    ask solos --limit 0 --format json
    ask solo "$solo" --format json
    ask form "$solo" --format json
    ask find "5 b3 2 1" --over m7 --format musicxml
    ask find "5 b3 2 1" --over m7 --format abc --for Eb
    ask find "5 b3 2 1" --over m7 --format csv --limit 0
}

{
    find_digests
    filter_digests
    tension_digests
    cells_digests
    coverage_digests
    openings_digests
    solo_digests
    echo "$asked questions" >&2
} | sha256sum | cut -c1-32
