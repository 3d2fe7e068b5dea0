#!/usr/bin/env bash
# The completions, loaded into the shells they are for.
. "$(dirname "$0")/tap.sh"
shopt -s lastpipe # what is piped into a check counts, too

# The search for leaks may hang where zsh runs a program with the terminal in
# its hands; it is made in all other tests.
export ASAN_OPTIONS=${ASAN_OPTIONS:+$ASAN_OPTIONS:}detect_leaks=0
scripts=$bin/share
export PATH=$bin:$PATH
commands=$(cellar help | sed -n '/^Commands:/,/^$/s/^  \([a-z]*\).*/\1/p')
copy_demo "$dir/solos"
# Names that a shell could take for more than a name.
evil='$(touch evil) `touch evil`; touch evil.musicxml'
cp "$dir/solos/odessa-kittleby/damp-matches.mxl" "$dir/solos/with blank.mxl"
cp "$dir/solos/odessa-kittleby/borrowed-ladder.musicxml" "$dir/solos/$evil"
cellar-index --quiet "$dir/solos"
export CELLAR_LIBRARY=$dir/solos
for name in lesson "my tunes"; do
    cellar list new "$name"
done >/dev/null
cellar bank new warm-up >/dev/null
mkdir "$dir/work" "$dir/work/folder"
touch "$dir/work/file.html"

# The options of a help, the choices of one of them, a word a line.
help_options() { # COMMAND
    cellar help "$1" | sed -n 's/^  \(--[a-z-]*\).*/\1/p' | sort
}
choices() { # COMMAND OPTION
    cellar help "$1" | sed -n "s/^  $2 \([a-z|A-Z-]*\).*/\1/p" | tr '|' '\n' |
        sort
}

# What the program itself says may follow `cellar list`.
words() { # COMMAND
    cellar "$1" 2>&1 | sed 's/.*done? //; s/;.*//; s/,//g; s/ or / /' |
        tr ' ' '\n' | sort
}

# --- what every shell must offer ---------------------------------------------

# Each line is typed up to its end; offers LINE prints what is offered.
check_shell() { # SHELL
    local shell=$1 line command
    local -a lines=("cellar " "cellar find --format " "cellar find --fo"
        "cellar find x --rhythm " "cellar list " "cellar bank "
        "cellar list show " "cellar list --limit 5 show " "cellar list new "
        "cellar bank show " "cellar find 5 --keep l" "cellar coverage x --bank "
        "cellar help c" "cellar --color never bank show " "cellar form tob"
        "cellar find x --output fi" "cellar --library fo" "cellar-index fo"
        "cellar-index --progress " "cellar solo turnip "
        "cellar --library . bank show ")

    for command in $commands cellar-index; do
        lines+=("cellar $command -")
    done
    lines[${#lines[@]} - 1]="cellar-index -"
    offers "${lines[@]}" >"$dir/offers"

    for command in $commands; do
        offered "cellar $command -" | grep '^--' |
            diff <(help_options "$command") - | sed "s/^/$command /"
    done | none "$shell offers the options of each help, no other"
    offered "cellar-index -" | grep '^--' |
        diff <(cellar-index --help | sed -n 's/^  \(--[a-z-]*\).*/\1/p' |
            sort) - | none "$shell offers the options of cellar-index"
    same "$shell offers the commands" "cellar " <<<"$commands"
    choices find --format | same "$shell offers the formats" \
        "cellar find --format "
    printf '%s\n' --for --format | same "$shell finishes an option" \
        "cellar find --fo"
    choices find --rhythm | same "$shell offers the choices of an option" \
        "cellar find x --rhythm "
    words list | same "$shell offers the words of list" "cellar list "
    words bank | same "$shell offers the words of bank" "cellar bank "
    printf '%s\n' lesson "my tunes" | same "$shell offers the lists there are" \
        "cellar list show "
    printf '%s\n' lesson "my tunes" |
        same "$shell is not misled by an option with a value" \
            "cellar list --limit 5 show "
    same "$shell offers no name for what is new" "cellar list new " </dev/null
    echo lesson | same "$shell offers lists to keep in" \
        "cellar find 5 --keep l"
    echo warm-up | same "$shell offers the banks there are" "cellar bank show "
    echo warm-up | same "$shell offers banks to cover with" \
        "cellar coverage x --bank "
    printf '%s\n' cells check coverage |
        same "$shell offers what help explains" "cellar help c"
    echo warm-up | same "$shell finds the command behind an option" \
        "cellar --color never bank show "
    (cd "$dir/solos" && find tob* -name '*.m*x*l') |
        same "$shell offers the solos of the library" "cellar form tob"
    same "$shell offers nothing after the solo" "cellar solo turnip " </dev/null
    echo file.html | same "$shell offers files" "cellar find x --output fi"
    echo folder | same "$shell offers folders to look into" \
        "cellar --library fo"
    echo folder | same "$shell offers folders to index" "cellar-index fo"
    printf '%s\n' always auto never |
        same "$shell offers the choices of cellar-index" \
            "cellar-index --progress "
    same "$shell asks the library that is named" \
        "cellar --library . bank show " </dev/null
    [ -z "$(find "$dir" -name evil -o -path "$dir/work/evil*")" ]
    ok $? "$shell runs nothing that stands in a name"
}

offered() { # LINE
    awk -v line="== $1" '/^== / { inside = $0 == line; next } inside' \
        "$dir/offers" | sed 's,/$,,' | sort
}

# What is offered for LINE is what stands on stdin.
same() { # NAME LINE
    sort >"$dir/wanted"
    offered "$2" | diff "$dir/wanted" - >"$dir/out"
    ok $? "$1"
}

# --- bash --------------------------------------------------------------------

# Words as bash makes them of the line; COMPREPLY as bash would insert it.
offers() {
    (cd "$dir/work" && bash --norc -c '
        source "$1" && shift
        for line; do
            echo "== $line"
            read -ra COMP_WORDS <<<"$line"
            [ "${line% }" = "$line" ] || COMP_WORDS+=("")
            COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
            _cellar "${COMP_WORDS[0]}"
            for reply in "${COMPREPLY[@]}"; do
                eval "printf \"%s\\n\" $reply"
            done
        done' bash "$scripts/cellar.bash" "$@")
}
check_shell bash
bash --norc -c 'source "$1"; complete -p cellar cellar-index' bash \
    "$scripts/cellar.bash" >"$dir/out" 2>"$dir/err"
ok $? "bash knows that both programs are completed"
# bash takes --format=js for three words.
bash --norc -c 'source "$1"; COMP_WORDS=(cellar find --format = js)
    COMP_CWORD=4; _cellar cellar; [ "${COMPREPLY[*]}" = json ] &&
    COMP_WORDS=(cellar find --rhythm =) && COMP_CWORD=3 && _cellar cellar &&
    [ "${COMPREPLY[*]}" = "any same scaled" ]' bash "$scripts/cellar.bash"
ok $? "bash completes --name=VALUE"

# --- zsh, fish ---------------------------------------------------------------

if command -v zsh >/dev/null; then
    mkdir "$dir/functions"
    cp "$scripts/cellar.zsh" "$dir/functions/_cellar"
    driver=$PWD/tests/cli/completion.zsh
    offers() {
        (cd "$dir/work" && zsh -f "$driver" "$dir/functions" "$@") 2>&1
    }
    check_shell zsh
else
    skip "completion for zsh" "no zsh here"
fi

if command -v fish >/dev/null; then
    offers() {
        (cd "$dir/work" && HOME=$dir fish --no-config -c '
            source $argv[1]/cellar.fish
            source $argv[1]/cellar-index.fish
            for line in $argv[2..-1]
                echo "== $line"
                complete -C "$line" | string replace -r "\t.*" "" | sort -u
            end' "$scripts" "$@")
    }
    check_shell fish
else
    skip "completion for fish" "no fish here"
fi

echo "1..$count"
[ "$failed" -eq 0 ]
