#!/usr/bin/env bash
# Folders as they should not be: odd names, long paths, links in circles, and
# things that are no files.  What can be read is read and found by its name,
# each other thing costs one line, and nothing hangs.
. "$(dirname "$0")/tap.sh"

lib=$dir/lib
mkdir "$lib"
export CELLAR_LIBRARY=$lib
demo=$PWD/corpus-demo/odessa-kittleby/turnip-cart-blues.musicxml

index() {
    timeout 60 "$bin/cellar-index" "$@" >"$dir/out" 2>"$dir/err" </dev/null
    status=$?
}

# --- names ---------------------------------------------------------------------

names=(
    "-rf" "--help" "-4 -1" "a'quote" 'a"double' 'a$HOME`id`' "two  blanks "
    $'new\nline' $'tab\tand\rreturn' $'escape\e[31m' $'latin-\xe9'
    $'cut-\xe2\x82' $'utf8-\xc3\xa9t\xc3\xa9' $'wide-\xe6\xbc\xa2'
    $'rtl-\xe2\x80\xaetxt' "percent%s%n%20" "a?b#c&d" "a*b[c]" "file:x"
    "back\\slash" "semi;colon|pipe" "dots.." "100%"
    "$(printf 'x%.0s' {1..246})"
)
for name in "${names[@]}"; do
    cp -- "$demo" "$lib/$name.musicxml"
done
cp "$demo" "$lib/.hidden.musicxml"
mkdir "$lib/-folder" "$lib"/$'line\nfolder' "$lib/folder.xml"
cp "$demo" "$lib/-folder/-deep.MusicXML"
cp "$demo" "$lib"/$'line\nfolder/deep.xml'
cp "$demo" "$lib/folder.xml/inside.XML"
index "$lib"
[ "$status" -eq 0 ] && holds out "$((${#names[@]} + 3)) files read" && holds err -
ok $? "every name is read, the hidden one is not"
index "$lib"
holds out "0 files read, $((${#names[@]} + 3)) unchanged, 0 removed"
ok $? "and known again"
found=0
for name in "${names[@]}"; do
    run solo --format json -- "$name.musicxml"
    [ "$status" -eq 0 ] && holds out '"title":"Turnip Cart Blues"' &&
        found=$((found + 1))
done
[ "$found" -eq "${#names[@]}" ]
ok $? "every solo is found by its name ($found)"
run find --from "$lib/-rf.musicxml" --bars 1-2 --limit 1
expect "a fragment from a file with a dash" 0 "places" ""
(cd "$lib" && "$bin/cellar" find --from=-rf.musicxml --bars 1-2 --count) \
    >"$dir/out" 2>"$dir/err"
status=$?
expect "and from beside it" 0 "places" ""
run check
expect "the index of all of them is sound" 0 "all is well" -
find "$lib" -iname "*xml" -type f ! -name '-rf*' ! -name .hidden.musicxml -delete
index "$lib"
holds out "0 files read, 1 unchanged, $((${#names[@]} + 2)) removed" && holds err -
ok $? "and forgotten"
rm -rf "$lib"
mkdir "$lib"

# --- links and things that are no files ------------------------------------------

cp "$demo" "$lib/good.musicxml"
mkfifo "$lib/fifo.musicxml"
ln -s fifo.musicxml "$lib/link-to-fifo.xml"
ln -s /dev/zero "$lib/zero.xml"
ln -s /dev/full "$lib/full.mxl"
ln -s self.xml "$lib/self.xml"
ln -s b.xml "$lib/a.xml"
ln -s a.xml "$lib/b.xml"
ln -s . "$lib/here"
ln -s .. "$lib/up"
mkdir -p "$dir/outside/inner"
cp "$demo" "$dir/outside/inner/out.musicxml"
ln -s ../../lib "$dir/outside/inner/back"
ln -s . "$dir/outside/loop"
ln -s "$dir/outside" "$lib/away"
ln -s "$dir/outside/inner/out.musicxml" "$lib/one-outside.musicxml"
ln -s good.musicxml "$lib/again.musicxml"
if command -v python3 >/dev/null; then
    python3 -c 'import socket, sys
socket.socket(socket.AF_UNIX).bind(sys.argv[1])' "$lib/socket.xml"
else
    echo "# left out: a socket (no python3)"
fi
index "$lib"
[ "$status" -eq 0 ] && holds out "4 files read, 0 unchanged, 0 removed, 3 unreadable"
ok $? "links lead to what is there, once; pipes, devices and sockets are none"
[ "$(grep -c 'link that leads nowhere\|cannot be looked at' "$dir/err")" -eq 3 ] &&
    [ "$(wc -l <"$dir/err")" -eq 3 ]
ok $? "a line each for the links in circles"
index --strict "$lib"
[ "$status" -eq 3 ]
ok $? "--strict makes that status 3"
timeout 20 "$bin/cellar" find --from "$lib/fifo.musicxml" --bars 1 \
    >"$dir/out" 2>"$dir/err" </dev/null
status=$?
expect "a fragment from a pipe" 3 - "is not a regular file"
timeout 20 "$bin/cellar" find --from /dev/zero --bars 1 \
    >"$dir/out" 2>"$dir/err" </dev/null
status=$?
expect "a fragment from a device" 3 - "is not a regular file"
rm -rf "$lib"
mkdir "$lib"

# --- sizes -----------------------------------------------------------------------

cp "$demo" "$lib/good.musicxml"
truncate -s 0 "$lib/empty.musicxml"
truncate -s 64M "$lib/holes.musicxml"
truncate -s 65M "$lib/large.musicxml"
truncate -s 900G "$lib/huge.mxl" 2>/dev/null || echo "# left out: 900 GB"
printf 'PK\5\6%018d' 0 | tr 0 '\0' >"$lib/empty-zip.mxl"
head -c 100000 /dev/urandom >"$lib/noise.xml"
printf '\xff\xfe' >"$lib/mark.xml"
index "$lib"
bad=$(find "$lib" -maxdepth 1 -type f ! -name good.musicxml | wc -l)
[ "$status" -eq 0 ] && holds out "1 files read, 0 unchanged, 0 removed, $bad unreadable" &&
    [ "$(wc -l <"$dir/err")" -eq "$bad" ]
ok $? "files that are no scores, a line each"
holds err "large.musicxml: is larger than the 64 MB a score may have" &&
    holds err "empty.musicxml: the file is empty"
ok $? "which says why"
[ "$(du -sk "$lib/.cellar" | cut -f 1)" -lt 2000 ]
ok $? "the index stays small"
rm -rf "$lib"
mkdir "$lib"

# A path longer than the 4096 bytes that one call may name.
part=$(printf 'd%.0s' {1..200})
(
    cd "$lib" && cp "$demo" good.musicxml
    for _ in {1..19}; do
        mkdir "$part" && cd "$part" || exit
    done
    cp "$demo" deep.musicxml
    for _ in {1..5}; do
        mkdir "$part" && cd "$part" || exit
    done
    cp "$demo" too-deep.musicxml
) 2>"$dir/sub"
index "$lib"
[ "$status" -eq 0 ] && holds out "2 files read" && [ "$(wc -l <"$dir/err")" -le 1 ]
ok $? "paths up to what the system takes; one line for what lies deeper"
run solos
expect "they are listed" 0 "2 solos" -
run check
expect "and sound" 0 "all is well" -
(
    cd "$lib" && while cd "$part" 2>/dev/null; do :; done
    cd "$dir" || exit
)
# rm goes down folder by folder.
rm -rf "$lib"

echo "1..$count"
[ "$failed" -eq 0 ]
