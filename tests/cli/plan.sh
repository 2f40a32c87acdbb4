#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# springline plan: two cases of the demo practice against golden files, in each format; JSON and CSV
# are also read by Python's own readers. C-0007: both arches, one over and one under way; C-0047:
# planned, nothing in the mouth yet. And a case of which nothing is measured, and bad input.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"

for case in C-0007 C-0047; do
    for format in text csv json; do
        run --store "$store" --format $format plan $case
        golden 0 plan_$case.$format
        case $format in
        json)
            python3 -c '
import json, math, sys
rows = json.load(open(sys.argv[1], encoding="utf-8"), parse_constant=lambda word: 1 / 0)
assert isinstance(rows, list) and len(rows) > 30
assert all(row["format_version"] == 1 and row["case"] == sys.argv[2] for row in rows)
rows = {(row["arch"], row["section"], row["name"]): row for row in rows}
room = {name: rows["upper", "room", name]["value"] for name in
        ("available_mm", "required_mm", "balance_mm", "incisors_mm", "right_mm", "left_mm")}
# Signs and sums of space analysis; lengths are rounded to hundredths, each by itself.
assert abs(room["available_mm"] - room["required_mm"] - room["balance_mm"]) < 0.011
assert abs(room["incisors_mm"] + room["right_mm"] + room["left_mm"] - room["required_mm"]) < 0.016
# Tanaka & Johnston 1974 (published): half the lower incisors and 11.0 upper.
lower = rows["upper", "room", "lower_incisors_mm"]["value"]
assert abs(lower / 2 + 11 - room["right_mm"]) < 0.011
curves = rows["upper", "width", "curves_mm"]
assert curves["least"] <= curves["most"]' "$out" "$case"
            ok $? "plan $case: JSON is one array that adds up"
            ;;
        csv)
            python3 -c '
import csv, sys
rows = list(csv.reader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True))
assert len(rows) > 30 and len({len(row) for row in rows}) == 1' "$out"
            ok $? "plan $case: CSV is read by a strict reader, every row of one length"
            ;;
        esac
    done
done

cp "$store" "$work/before.db"
run --store "$store" plan C-0007
cmp -s "$store" "$work/before.db"
ok $? "nothing is recorded"
run --store "$store" plan C-0002
grep -q 'back right segment of the upper arch is not measured' "$out"
ok $? "what is not measured is named"
! grep -qiE '(^|[^a-z])(nan|inf)([^a-z]|$)' "$out"
ok $? "no number that is none"
run --store "$store" plan C-9999
refuses 4 "There is no case C-9999" "an unknown case: 4"
run --store "$store" plan
refuses 2 "a case number" "no case: 2"
run --store "$store" plan C-0007 --arch upper
refuses 2 "" "an option there is none of: 2"
run help plan
golden 0 help_plan.text
finish
