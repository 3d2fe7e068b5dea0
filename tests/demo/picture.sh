#!/usr/bin/env bash
# The picture of the page in README.md: the lesson of the tour, as Chromium
# shows it.  Usage: picture.sh BUILD OUT.png
set -eu
build=$(cd "$1" && pwd)
out=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp -r "$(dirname "$0")/../../corpus-demo" "$work/solos"
rm -rf "$work/solos/.cellar"
export CELLAR_LIBRARY=$work/solos
"$build/cellar-index" --quiet "$work/solos"
"$build/cellar" list new lesson
"$build/cellar" list fill lesson "5 b3 2 1" --over m7 --reharmonized --size 4
"$build/cellar" list note lesson 1 slowly, then at tempo
"$build/cellar" list export lesson --format html --for Bb \
    --output "$work/lesson.html"
chromium --headless --no-sandbox --disable-gpu --no-first-run \
    --user-data-dir="$work/profile" --window-size=900,1150 --hide-scrollbars \
    --screenshot="$out" "file://$work/lesson.html" 2>/dev/null
