#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The manual: sections that are made from the program's tables are what the tables say, the pages
# are good mdoc by mandoc's own judgement, and they can be read at 80 columns. UPDATE=1 writes the
# made sections anew instead of comparing.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

sections=${SPRINGLINE_BUILD:-$source/build}/tests/support/man_sections

# made PAGE NAME: what stands between the marks of NAME.
made() {
    awk -v begin=".\\\\\" begin made: $2" -v end=".\\\\\" end made: $2" '
        $0 == end { ended = 1; inside = 0 }
        inside { print }
        $0 == begin { begun = 1; inside = 1 }
        END { exit !(begun && ended && !inside) }' "$1"
}

# rewrite PAGE NAME FILE: the same with the lines of FILE between the marks.
rewrite() {
    awk -v begin=".\\\\\" begin made: $2" -v end=".\\\\\" end made: $2" -v file="$3" '
        $0 == end { inside = 0 }
        !inside { print }
        $0 == begin { inside = 1; while ((getline line < file) > 0) print line }' "$1" \
        >"$work/page" && cp "$work/page" "$1"
}

# section PAGE NAME
section() {
    page=$source/man/$1
    "$sections" "$2" >"$work/wanted" 2>"$err"
    code=$?
    [ $code = 0 ] && [ -s "$work/wanted" ]
    ok $? "the tables give the section $2"
    if [ "${UPDATE:-}" = 1 ]; then
        rewrite "$page" "$2" "$work/wanted"
    fi
    made "$page" "$2" >"$work/found"
    ok $? "$1 has a place for $2"
    diff "$work/found" "$work/wanted" >"$out" 2>&1
    ok $? "$1: $2 is what the program's tables say"
}

section springline.1 commands
section springline.1 keys
section springline.1 roles
section springline.5 csv
section springline.5 words
section springline.5 settings

# Every made section of the pages is compared above.
[ "$(cat "$source"/man/springline.[15] | grep -c 'begin made: ')" = 6 ]
ok $? "no section is called made that is not"

: >"$err"
for page in springline.1 springline.5; do
    # Where pages are not installed they are not found.
    mandoc -T lint -W style "$source/man/$page" 2>&1 |
        grep -v 'referenced manual not found\|outdated mandoc.db lacks' >"$out"
    [ ! -s "$out" ]
    ok $? "mandoc finds nothing to say of $page"
    mandoc -T utf8 -O width=80 "$source/man/$page" | sed 's/.\x08//g' >"$out"
    python3 - "$out" >"$err" 2>&1 <<'PY'
import sys
lines = open(sys.argv[1], encoding="utf-8").read().split("\n")
wide = [line for line in lines if len(line) > 80]
assert len(lines) > 100, len(lines)
assert not wide, wide[0]
PY
    ok $? "$page fits 80 columns"
done

# What a reader looks for first.
mandoc -T utf8 "$source/man/springline.1" | sed 's/.\x08//g' >"$out"
for heading in NAME SYNOPSIS DESCRIPTION COMMANDS SCREENS KEYS FILES ENVIRONMENT 'EXIT STATUS' EXAMPLES
do
    grep -qx "$heading" "$out"
    ok $? "springline.1 has $heading"
done

# Each command that the page tells of is one, and the shortest way to it works.
for name in $(made "$source/man/springline.1" commands | sed -n 's/^\.It Ic \([a-z-]*\).*/\1/p'); do
    run help "$name"
    answers 0 "springline help $name"
done

finish
