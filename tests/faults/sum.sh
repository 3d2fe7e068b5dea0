#!/usr/bin/env bash
# The rows of run.sh from stdin, added up by fault.  SIGKILL at chance moments
# stays apart for indexing and for the commands that write to the notebook.
awk -F ' *[|] *' '
BEGIN {
    print "| fault | commands | moments | as usual | refused | (yet done) |" \
        " left out, named | killed | not ours | bad |"
    print "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |"
}
/^[|]/ && $4 ~ /^[0-9]+$/ {
    name = $2
    if (name == "killed")
        name = name " while " ($3 ~ /^(index |check --repair)/ ? "indexing" \
            : "writing to the notebook")
    if (!(name in rows))
        order[++count] = name
    rows[name]++
    for (i = 4; i <= 11; i++)
        sum[name, i] += $i
}
END {
    for (n = 1; n <= count; n++) {
        line = "| " order[n] " | " rows[order[n]]
        for (i = 4; i <= 11; i++)
            line = line " | " sum[order[n], i]
        print line " |"
    }
}'
