#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The table of requirements in DEVELOPERS.md (21 CFR 11.10(a): evidence of validation): it has its 34
# rows, and every test that it names is in the tree.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

sed -n '/^## Requirements and their tests/,/^## /p' "$source/DEVELOPERS.md" | grep '^| [0-9]' >"$out"
: >"$err"
[ "$(wc -l <"$out")" = 34 ]
ok $? "34 rows"
[ "$(cut -d'|' -f2 "$out" | tr -d ' ' | sort -n | uniq | wc -l)" = 34 ]
ok $? "each number once"
cut -d'|' -f5 "$out" >"$work/held"
! grep -vqE '\`|repository|\*\*Not\*\*' "$work/held"
ok $? "each is answered by a test or by why there is none"

# Files are named `room/name`, tests behind them by their own name.
grep -oE '`[a-z_/.]+`' "$work/held" | tr -d '\`' >"$work/named"
missing=
file=
while read -r name; do
    case $name in
    */*.sh) file=$source/tests/$name; [ -f "$file" ] || missing="$missing $name" ;;
    */*_test) file=$source/tests/$name.c; [ -f "$file" ] || missing="$missing $name" ;;
    set_at) ;;
    *) grep -rqE "cmocka_unit_test[a-z_]*\($name[,)]" "$source/tests" || missing="$missing $name" ;;
    esac
done <"$work/named"
echo "missing:$missing" >"$out"
[ -z "$missing" ]
ok $? "every test it names is there"
echo "# figure: $(wc -l <"$work/named") names of tests held against the tree"
finish
