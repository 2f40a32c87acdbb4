#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What goes in comes out: init, import, export all, new store, import, export all, byte by byte; the
# same advice for every case; a second import adds nothing; a dry run keeps nothing.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

first=$work/first.db second=$work/second.db
demo_store "$first"
run --store "$first" export all --out "$work/a"
answers 0 "every kind is exported"
for file in "$source"/demo/*.csv; do
    cmp -s "$file" "$work/a/${file##*/}"
    ok $? "${file##*/} comes out as it went in"
done
[ "$(find "$work/a" -name '*.csv' | wc -l)" = 14 ]
ok $? "fourteen kinds, fourteen files, nothing left aside"
[ -z "$(find "$work/a" -type f ! -perm 0600)" ]
ok $? "the files are for their owner alone"

run --store "$second" init
answers 0 "another new store"
run --store "$second" import "$work/a"
answers 0 "the export is taken in"
run --store "$second" export all --out "$work/b"
answers 0 "and exported again"
diff -r "$work/a" "$work/b" >"$out" 2>&1
ok $? "both exports are the same, byte for byte"

different=0 cases=0
for case in $(tail -n +2 "$work/a/cases.csv" | cut -d, -f1); do
    "$program" --store "$first" --format json advise "$case" >"$work/advice1" 2>&1 || different=1
    "$program" --store "$second" --format json advise "$case" >"$work/advice2" 2>&1 || different=1
    cmp -s "$work/advice1" "$work/advice2" || different=1
    cases=$((cases + 1))
done
[ $different = 0 ] && [ $cases -ge 40 ]
ok $? "the same advice for each of $cases cases"
for list in "recall" "audit --month 2026-10"; do
    # shellcheck disable=SC2086
    "$program" --store "$first" --format csv $list >"$work/list1" 2>&1
    # shellcheck disable=SC2086
    "$program" --store "$second" --format csv $list >"$work/list2" 2>&1
    cmp -s "$work/list1" "$work/list2"
    ok $? "the same $list"
done

# Ledger rows before and after: nothing was added.
rows() {
    run --store "$1" verify
    sed -n 's/^ledger: \([0-9]*\) rows.*/\1/p' "$out"
}
before=$(rows "$second")
run --store "$second" --format csv import "$work/a"
[ "$code" = 0 ] && grep -q "^0,2305,0,yes" "$out"
ok $? "a second import of the same folder adds nothing and says so"
[ "$(rows "$second")" = "$before" ]
ok $? "and the ledger has not grown"

run --store "$work/third.db" init
before=$(rows "$work/third.db")
run --store "$work/third.db" --format csv import "$work/a" --dry-run
[ "$code" = 0 ] && grep -q "^2305,0,0,no" "$out"
ok $? "a dry run counts the rows"
[ "$(rows "$work/third.db")" = "$before" ]
ok $? "and keeps none"
run --store "$work/third.db" recall
answers 1 "nobody is there to be called"

# One kind at a time, each file alone, in the order in which rows refer to each other.
run --store "$work/fourth.db" init
for kind in patients cases trainers expanders visits widths wear_days wear_counts contacts bookings \
    tooth_widths arch_segments arch_depths plans; do
    run --store "$work/fourth.db" import "$work/a/$kind.csv"
    answers 0 "$kind alone"
done
run --store "$work/fourth.db" export all --out "$work/d"
diff -r "$work/a" "$work/d" >"$out" 2>&1
ok $? "file by file gives the same as the folder"

# An export replaces files whole.
echo spoiled >"$work/d/cases.csv"
run --store "$work/fourth.db" export cases --out "$work/d"
cmp -s "$work/a/cases.csv" "$work/d/cases.csv"
ok $? "an old file is replaced"
run --store "$work/fourth.db" export cases
cmp -s "$work/a/cases.csv" "$out"
ok $? "one kind to the output is the same as to a file"
finish
