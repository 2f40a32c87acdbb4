#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The lists as sheets: they fit the line (cells counted by Python's unicodedata, which nobody here
# wrote), lose columns rather than rows when it is narrow, and say what their figures count.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"

# fits CELLS TITLE: no line of the output takes more cells.
fits() {
    python3 -c '
import sys, unicodedata
def cells(line):
    return sum(0 if unicodedata.combining(c) else 1 + (unicodedata.east_asian_width(c) in "WF")
               for c in line)
lines = open(sys.argv[1], encoding="utf-8").read().split("\n")
wide = [line for line in lines if cells(line) > int(sys.argv[2])]
assert len(lines) > 20 and not wide, wide[0]' "$out" "$1"
    ok $? "$2"
}
has() { # TEXT TITLE
    tr -s '\n ' '  ' <"$out" | grep -qF -- "$1"
    ok $? "$2"
}
lacks() { # TEXT TITLE
    ! tr -s '\n ' '  ' <"$out" | grep -qF -- "$1"
    ok $? "$2"
}
at() { # COLUMNS ARGUMENT...
    COLUMNS=$1 "$program" --store "$store" $2 >"$out" 2>"$err"
    code=$?
}

# ---- recall ----
for cells in 60 80 100 132; do
    at $cells recall
    fits $cells "recall fits $cells cells"
    [ "$(grep -c '^C-' "$out")" = 44 ]
    ok $? "with every row"
done
at 500 recall
fits 132 "recall is never wider than 132"
run --store "$store" recall
fits 132 "nor where there is no terminal"
head -n 1 "$out" | grep -q 'last_verdict$'
ok $? "where it has every column"
at 80 recall
head -n 1 "$out" | grep -q 'phone.*due_on.*late.*booked$'
ok $? "at 80 those one calls by"
run --store "$store" recall
"$program" --store "$store" --format csv recall | sed 1d >"$work/recall.csv"
for group in safety overdue due booked resting retention; do
    has "$(grep -c ",$group," "$work/recall.csv") $group" "the sum of $group is that of the CSV rows"
done
has "$(grep -cE ',(safety|overdue|due),' "$work/recall.csv") to call: " "and of those to call"
has 'SAFETY: expander-unseen since 2026-04-18; closed-with-expander since 2026-05-22' \
    "each safety item with its day"
has 'C-0048 Greengagely, Leopold no number' "a missing number is said"
lacks 'as they stand now' "today's list needs no word on bookings"
run --store "$store" recall --on 2026-11-24
has 'The list is that of 2026-11-24; bookings are as they stand now.' "a list of the past does"
finish
