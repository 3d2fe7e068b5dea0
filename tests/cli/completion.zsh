# What zsh offers at the end of each line, typed into an interactive shell:
#     zsh -f completion.zsh FOLDER-WITH-_cellar LINE...
# Prints "== LINE" and below it what is offered, a word a line.
zmodload zsh/zpty
out=$(mktemp)
trap 'rm -f $out' EXIT
zpty shell zsh -f -i
zpty -w shell "PS1= RPS1=; unset zle_bracketed_paste; LISTMAX=1000 KEYTIMEOUT=1"
zpty -w shell "fpath=(${(q)1} \$fpath); autoload -Uz compinit; compinit -D -u"
# Everything that is offered goes through compadd.
zpty -w shell "compadd() {
    local -a hits
    builtin compadd -O hits \"\$@\"
    print -rl -- \$hits >>$out
    builtin compadd \"\$@\"
}"
zpty -w shell "finish() { print -r -- DONE >>$out; BUFFER= }
zle -N finish; bindkey '^X' finish"
shift
for line; do
    : >$out
    zpty -w -n shell "$line"$'\t'$'\x18'
    # Not a test of speed: a busy machine has time enough.
    for i in {1..600}; do
        grep -q DONE $out && break
        sleep 0.05
    done
    grep -q DONE $out || { print "no answer to: $line"; break }
    print -r -- "== $line"
    grep -v DONE $out | grep . | sort -u
done
zpty -d shell
exit 0
