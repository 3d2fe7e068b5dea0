#!/usr/bin/env bash
# Versions, manual pages, and what `make install` puts where.
. "$(dirname "$0")/tap.sh"
shopt -s lastpipe # what is piped into a check counts, too

pages=$bin/share
version=$(sed -n 's/^#define CELLAR_VERSION "\(.*\)"$/\1/p' schema/version.h)
released=$(sed -n 's/^#define CELLAR_RELEASED "\([0-9-]*\)".*/\1/p' \
    schema/version.h)
commands=$("$bin/cellar" help |
    sed -n '/^Commands:/,/^$/s/^  \([a-z]*\).*/\1/p')

help_of() { # COMMAND, or "" for cellar-index
    if [ -n "$1" ]; then
        "$bin/cellar" help "$1"
    else
        "$bin/cellar-index" --help
    fi
}

# --- one version -------------------------------------------------------------

[ -n "$version" ] && [ -n "$released" ]
ok $? "schema/version.h holds version and day"
{
    [ "$("$bin/cellar" --version)" = "cellar $version" ] || echo cellar
    [ "$("$bin/cellar-index" --version)" = "cellar-index $version" ] ||
        echo cellar-index
    for page in "$pages"/*.[17]; do
        grep -qx ".Os Cellar $version" "$page" || echo "$page"
        grep -qx ".Dd $(date -d "$released" '+%B %-d, %Y')" "$page" ||
            echo "$page: day"
    done
    grep -m 1 '^## ' CHANGELOG.md | grep -qxF "## $version ($released)" ||
        echo CHANGELOG.md
    head -n 1 debian/changelog | grep -qF "cellar ($version) " ||
        echo debian/changelog
    grep -m 1 '^ -- ' debian/changelog |
        grep -qF "$(LC_ALL=C date -d "$released" '+%a, %d %b %Y')" ||
        echo "debian/changelog: day"
} | none "programs, pages, CHANGELOG.md and debian/changelog have its version"

# --- pages and help say the same ---------------------------------------------

# The options of a section of a page: Fl \-any\-octave.
page_options() { # HEADING or "" for all; the page on stdin
    awk -v heading="$1" '
        heading == "" || $0 ~ "^[.]S[sh] " { inside = heading == "" ||
            $0 == heading || index($0, heading " ") == 1 }
        inside' | sed -n 's/^\.\(It \)\?Fl \\-\([a-z\\-]*\).*/--\2/p' |
        tr -d '\\' | sed 's/^---*/--/' | sort
}

help_options() {
    grep -oE '^  --[a-z-]+' | tr -d ' ' | sort
}

for command in $commands; do
    # A name twice in a page is as wrong as one too few.
    diff <(help_of "$command" | help_options) \
        <(page_options ".Ss cellar $command" <"$pages/cellar.1") |
        sed "s/^/$command /"
done | none "cellar(1) names for each command the options of its help, no other"
diff <(for command in $commands; do help_of "$command" | help_options; done |
    sort -u) <(page_options "" <"$pages/cellar.1" | sort -u) |
    none "cellar(1) names no option that no command has"
diff <(help_of "" | help_options) <(page_options "" <"$pages/cellar-index.1") |
    none "cellar-index(1) names the options of its help, no other"
diff <(printf '%s\n' "$commands") \
    <(sed -n 's/^\.Ss cellar \([a-z]*\).*/\1/p' "$pages/cellar.1") |
    none "cellar(1) explains every command, in the order of the help"
page_options "" <"$pages/cellar-fragment.7" |
    grep -vxF -f <(help_of find | help_options) |
    none "cellar-fragment(7) speaks only of options that find has"

# Text without line breaks, indents and the blanks after a sentence.
flat() {
    tr -s ' \n' ' '
}

# Each option and its sentence as one line.
help_sentences() {
    awk '/^  --/ || !/^   / { if (text) print text; text = "" }
         /^  --/ || text { text = text " " $0 }
         END { if (text) print text }' | tr -s ' ' | sed 's/^ //; s/ $//'
}

if command -v mandoc >/dev/null; then
    for page in "$pages"/*.[17]; do
        mandoc -Tlint -Wwarning "$page"
    done | none "mandoc finds nothing to warn of"
    for page in cellar.1 cellar-index.1 cellar-fragment.7; do
        mandoc -Tutf8 -Owidth=80 "$pages/$page" | col -bx >"$dir/$page"
        [ "$(wc -L <"$dir/$page")" -le 80 ] || echo "$page"
    done | none "pages fit into 80 columns"
    {
        flat <"$dir/cellar.1" >"$dir/flat"
        for command in $commands; do
            help_of "$command" | help_sentences
        done | sort -u | while IFS= read -r line; do
            grep -qF -e "$line" "$dir/flat" || echo "$line"
        done
        flat <"$dir/cellar-index.1" >"$dir/flat"
        help_of "" | help_sentences | while IFS= read -r line; do
            grep -qF -e "$line" "$dir/flat" || echo "$line"
        done
    } | none "pages explain every option in the words of the help"
else
    for name in "mandoc finds nothing to warn of" \
        "pages fit into 80 columns" \
        "pages explain every option in the words of the help"; do
        skip "$name" "no mandoc here"
    done
fi

# --- the examples of the pages -----------------------------------------------

copy_demo "$dir/solos"
"$bin/cellar-index" --quiet "$dir/solos"
{
    # From the source: lines of displays that start with a program.
    for page in cellar.1 cellar-fragment.7; do
        sed -n 's/^\.Dl //; /^cellar \(find\|cells\|tension\|list\) /p' \
            "$pages/$page" | sed 's/\\-/-/g; s/\\(dq/"/g; s/\\(aq/'\''/g'
    done | grep -v -- --from | awk '!before[$0]++' >"$dir/examples"
    while IFS= read -r line; do
        (cd "$dir/solos" && PATH=$bin:$PATH && eval "$line") >/dev/null \
            2>"$dir/why" </dev/null
        # Some ask for players that the demo does not have.
        [ $? -le 1 ] || { echo "$line"; cat "$dir/why"; }
    done <"$dir/examples"
} >"$dir/wrong"
none "the examples of the pages can be asked" <"$dir/wrong"
examples=$(wc -l <"$dir/examples")
[ "$examples" -ge 20 ]
ok $? "there are 20 examples and more"

# --- install and uninstall ---------------------------------------------------

root=$dir/root
make_quietly() {
    # Whatever the make that runs the tests was told is not meant for this one.
    env -u MAKEFLAGS -u MAKELEVEL -u MFLAGS -u BINDIR -u MANDIR -u DOCDIR \
        -u DEMODIR -u BASHDIR -u ZSHDIR -u FISHDIR make -s "$1" \
        BUILD="${CELLAR_BUILD:-build}" DESTDIR="$root" PREFIX=/opt/x \
        >"$dir/out" 2>"$dir/err"
}
make_quietly install
ok $? "make install takes DESTDIR and PREFIX"
{
    printf '%s\n' 755 bin/cellar bin/cellar-index | paste -sd ' ' |
        awk '{ print $1, $2; print $1, $3 }'
    for file in share/bash-completion/completions/cellar \
        share/bash-completion/completions/cellar-index \
        share/doc/cellar/CHANGELOG.md share/doc/cellar/DEVELOPERS.md \
        share/doc/cellar/LICENSE share/doc/cellar/README.md \
        share/doc/cellar/tests/demo/lesson.png \
        share/fish/vendor_completions.d/cellar-index.fish \
        share/fish/vendor_completions.d/cellar.fish \
        share/man/man1/cellar-index.1 share/man/man1/cellar.1 \
        share/man/man7/cellar-fragment.7 share/zsh/site-functions/_cellar; do
        echo "644 $file"
    done
    (cd corpus-demo && find . -type f -not -path '*/.cellar/*') |
        sed 's,^\./,644 share/cellar/corpus-demo/,'
} | sort >"$dir/wanted"
find "$root" -type f -printf "%m %P\n" | sed 's, opt/x/, ,' | sort |
    diff "$dir/wanted" - | none "just these files are installed"
find "$root" -type f -empty |
    none "none of them is empty"
mkdir "$root/opt/x/share/cellar/corpus-demo/.cellar"
echo mine >"$root/opt/x/share/cellar/corpus-demo/.cellar/notebook.db"
make_quietly uninstall
ok $? "make uninstall"
find "$root" -type f -printf '%P\n' |
    grep -vxF opt/x/share/cellar/corpus-demo/.cellar/notebook.db |
    none "uninstalling leaves no file but what the user kept"
[ -s "$root/opt/x/share/cellar/corpus-demo/.cellar/notebook.db" ]
ok $? "and that it leaves"
rm -r "$root/opt/x/share/cellar"
find "$root" -name '*cellar*' -print |
    none "nor does it leave a folder of its own"

echo "1..$count"
[ "$failed" -eq 0 ]
