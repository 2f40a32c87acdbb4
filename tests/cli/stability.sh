#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A case whose expander was taken out at its target, from the removal to the last check: what the
# recall list says on which day. 1, 3, 6 and 12 months after the end of retention: common practice,
# no source; due for 14 days: a setting of our own.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"

# lists DATE GROUP FROM: on that day C-0008, taken out on 2026-09-25, stands in the group and is due
# from that day.
lists() {
    SPRINGLINE_TODAY=$1
    run --store "$store" --format csv recall --on "$1"
    python3 -c '
import csv, sys
rows = [row for row in csv.DictReader(open(sys.argv[1], newline="")) if row["case"] == "C-0008"]
assert [(row["group"], row["due_on"]) for row in rows] == [(sys.argv[2], sys.argv[3])], rows' \
        "$out" "$2" "$3"
    ok $? "on $1 the case is $2 from $3"
}

# seen DATE KIND: a visit of the case as a whole.
seen() {
    printf 'case,date,kind,arch,right_mm,left_mm,tissue,hardware,repaired,elsewhere,override_reason,next_on,by,note\n%s\n' \
        "C-0008,$1,$2,,,,,,,no,,,," >"$work/visits.csv"
    SPRINGLINE_TODAY=$1
    run --store "$store" import "$work/visits.csv"
    answers 0 "a $2 visit on $1 is taken"
}

lists 2026-12-24 overdue 2026-12-23 # a date set by a person goes before
seen 2027-01-05 check
lists 2027-03-23 retention 2027-03-24 # 180 days after the removal
lists 2027-03-24 due 2027-03-24
lists 2027-04-07 due 2027-03-24
lists 2027-04-08 overdue 2027-03-24
seen 2027-04-09 check
lists 2027-04-23 retention 2027-04-24
lists 2027-04-24 due 2027-04-24
lists 2027-05-09 overdue 2027-04-24
seen 2027-05-11 stability
lists 2027-06-23 retention 2027-06-24
lists 2027-06-24 due 2027-06-24
seen 2027-06-26 stability
lists 2027-09-24 due 2027-09-24
seen 2027-09-30 stability
lists 2028-03-23 retention 2028-03-24
lists 2028-03-24 due 2028-03-24
lists 2028-04-08 overdue 2028-03-24
seen 2028-04-10 stability
lists 2028-04-11 retention ""
finish
