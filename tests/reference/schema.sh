#!/usr/bin/env bash
# Every score of corpus-demo is valid against the schema of MusicXML 4.0.
# Usage: schema.sh MUSICXML.XSD (with a catalog.xml beside it)
set -u
cd "$(dirname "$0")/../.."
xsd=$1
XML_CATALOG_FILES=$(dirname "$xsd")/catalog.xml
export XML_CATALOG_FILES
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
while read -r file; do
    score=$file
    if [ "${file##*.}" = mxl ]; then
        unzip -qq -o "$file" -d "$work" -x 'META-INF/*'
        score=$(find "$work" -name '*.musicxml' -o -name '*.xml' | head -n 1)
    fi
    if xmllint --nonet --noout --schema "$xsd" "$score" 2>"$work/err"; then
        passed=$((passed + 1))
    else
        head -n 3 "$work/err"
        failed=$((failed + 1))
    fi
    rm -rf "${work:?}"/*
done < <(find corpus-demo -name '*.musicxml' -o -name '*.mxl' | sort)
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
