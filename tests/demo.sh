#!/usr/bin/env bash
# Index the demo solos and show the main questions answered.
set -u
cd "$(dirname "$0")/.."
BUILD=${BUILD:-build}
export CELLAR_LIBRARY=corpus-demo

show() {
    local word line='$'

    for word in "$@"; do
        case $word in
        *[\ #]*) line="$line \"$word\"" ;;
        *) line="$line $word" ;;
        esac
    done
    printf '\n%s\n' "$line"
    "$BUILD/$1" "${@:2}"
}

show cellar-index corpus-demo || exit
show cellar solos --limit 8
show cellar find "5 b3 2 1" --over m7 --limit 6
show cellar find "3 5 b7 b9" --over 7 --limit 6
show cellar find "b9 #9 3 b13" --over 7 --limit 4
show cellar find "D4:8 E4:8 F#4:8 A4:8" --over Dmaj7 --performer wrenmoor --limit 4
show cellar coverage wrenmoor/parsnip --bars 1-8
show cellar cells --performer marchetvale --versus others --limit 2
show cellar tension "b9" --over 7 --resolves "b9>5" --limit 3
show cellar openings kittleby/turnip-cart
show cellar solo kittleby/damp-matches
show cellar find "5 b3 2 1" --over m7 --reharmonized --limit 6 \
    --format html --output "$BUILD/lesson.html"
printf 'The page of these places is in %s.\n' "$BUILD/lesson.html"
printf '\nMore in README.md; your own folder: %s DIR\n' "$BUILD/cellar-index"
