#!/usr/bin/env bash
# T25: a correction of the form outlives all that happens to index and files.
# Prints TAP.  CELLAR_BUILD is the folder with the programs (default: build).
set -u
cd "$(dirname "$0")/../.." || exit 1
bin=$(cd "${CELLAR_BUILD:-build}" && pwd) || exit 1
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
export LC_ALL=C.UTF-8
lib=$dir/library
n=0
bad=0

ok() { # STATUS NAME
    n=$((n + 1))
    if [ "$1" -eq 0 ]; then
        echo "ok $n - $2"
    else
        echo "not ok $n - $2"
        sed 's/^/# /' "$dir/out" "$dir/err" | head -n 12
        bad=1
    fi
}
form() { "$bin/cellar" form "$@" --library "$lib" >"$dir/out" 2>"$dir/err"; }
index() { "$bin/cellar-index" --quiet "$lib" "$@" 2>"$dir/err"; }
says() { grep -qE -- "$1" "$dir/out"; }
# The solo has the form that was said: 24 bars from the bar printed 13, which
# are a blues twice.
corrected() {
    form "$1" && says '^form +AA, 24 bars' && says 'what you said' &&
        says 'chorus 1 +13-36'
}

mkdir "$lib"
cp corpus-demo/odessa-kittleby/turnip-cart-blues.musicxml "$lib/blues.musicxml"
cp corpus-demo/odessa-kittleby/borrowed-ladder.musicxml "$lib/other.musicxml"
index
form blues && says '^form +12 bars' && says '% sure'
ok $? "the form is found at first"
form blues --set length=24,first=13 && says 'what you said'
ok $? "a correction is shown at once"
corrected blues
ok $? "and by the next command"
form other && ! says 'what you said'
ok $? "another solo has none of it"
form blues --format json && says '"length":24' && says '"source":"user"'
ok $? "JSON says who said it"
"$bin/cellar" find "5 13 1" --library "$lib" --title turnip --format json \
    --limit 0 >"$dir/out" && ! says '"chorus":3'
ok $? "find counts choruses by it"

index
corrected blues
ok $? "it survives indexing again"
index --full
corrected blues
ok $? "and --full"
mv "$lib/blues.musicxml" "$lib/renamed.musicxml"
index
corrected renamed
ok $? "and a new name of the file"
rm -rf "$lib"/.cellar/index.db*
index
corrected renamed
ok $? "and the loss of the index"
# Another tempo and another note: the chords stay.
sed -i -e 's/tempo="[0-9]*"/tempo="99"/' -e '0,/<step>C</s//<step>D</' \
    "$lib/renamed.musicxml"
index
corrected renamed
ok $? "and an edit elsewhere than in the form"
mkdir "$lib/moved"
mv "$lib/renamed.musicxml" "$lib/moved/again.musicxml"
sed -i 's/tempo="99"/tempo="98"/' "$lib/moved/again.musicxml"
index
corrected again
ok $? "and an edit and a new place at once"
cp "$lib/other.musicxml" "$lib/moved/again.musicxml"
index
form moved/again && ! says 'what you said'
ok $? "another solo in its place is not taken for it"

cp corpus-demo/odessa-kittleby/turnip-cart-blues.musicxml "$lib/blues.musicxml"
index
corrected blues
ok $? "it is there again with the solo"
form blues --set length=0 && says 'none, as you said'
ok $? "a solo may have no form"
form blues --unset && says '^form +12 bars' && ! says 'what you said'
ok $? "--unset takes it back"
form blues --unset
[ $? -eq 1 ]
ok $? "once"
form blues --set first=13 && says '^form +12 bars' && says 'chorus 1 +13-24'
ok $? "what is left out stays as it is"
form blues --set first=999
[ $? -eq 2 ] && grep -q '999' "$dir/err"
ok $? "a bar that is not there is refused"
form blues --set length=many
[ $? -eq 2 ] && grep -q 'length=32' "$dir/err"
ok $? "a length that is no number is refused"
form blues --set colour=red
[ $? -eq 2 ] && grep -q 'length=N' "$dir/err"
ok $? "and a word that is not known"
chmod a-w "$lib/.cellar" "$lib/.cellar/notebook.db"
if [ "$(id -u)" = 0 ]; then
    chmod -R a+rX "$dir"
    setpriv --reuid 65534 --clear-groups "$bin/cellar" form blues \
        --set length=8 --library "$lib" >"$dir/out" 2>"$dir/err"
else
    form blues --set length=8
fi
[ $? -eq 4 ] && grep -q 'written to' "$dir/err"
ok $? "a notebook that may not be written to: one line"
chmod u+w "$lib/.cellar" "$lib/.cellar/notebook.db"
printf 'no notebook any more, but bytes enough to be read as one' \
    >"$lib/.cellar/notebook.db"
form blues
[ $? -eq 3 ] && grep -q 'damaged' "$dir/err"
ok $? "a damaged notebook is said, not overwritten"
grep -q 'no notebook any more' "$lib/.cellar/notebook.db"
ok $? "and left as it is"
echo "1..$n"
exit "$bad"
