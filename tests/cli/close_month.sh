#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A closed month on the shell: drawn as of its close by every form, whatever came in since, and held
# against the outside: the digest by b2sum (coreutils; RFC 7693), the sheet and the differences by
# Python's csv, the figures by what audit printed before the month was closed.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
month="audit --month 2026-10"
run --store "$store" init --name "Dr Ada Example" --alone
answers 0 "a practice of one"
run --store "$store" import "$source/demo"
answers 0 "the demo practice is taken in"

# Instants and hashes differ from run to run.
draw() {
    run --store "$store" "$@"
    sed -i -e 's/closed 20[0-9][0-9]-[0-9][0-9]-[0-9][0-9]/closed DATE/' \
        -e 's/20[0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9:]*Z/INSTANT/g' \
        -e "s/^  [0-9a-f]\\{64\\}'\$/  ...'/" "$out"
}

run --store "$store" --format csv $month
answers 0 "before: the figures"
cp "$out" "$work/before.csv"
run --store "$store" $month --changes
refuses 1 "2026-10 is not closed" "nothing to compare yet"
run --store "$store" $month --sheet
refuses 1 "2026-10 is not closed" "nothing signed yet"
run --store "$store" $month --now --changes
refuses 2 "Give one of --as-of, --now, --changes and --sheet" "one of them"
run --store "$store" --format csv $month --sheet
refuses 2 "offered as text only" "the sheet is what it is"
run --store "$store" $month --paper --changes
refuses 2 "--paper goes with neither" "no pages of differences"

python3 "$source/tests/support/press_keys.py" '*7*7~\r\x11' "$program" --store "$store" >"$out" 2>"$err"
code=$?
answers 0 "closed on the screen"

run --store "$store" --format csv $month
cmp -s "$work/before.csv" "$out"
ok $? "closed: the same figures"
says "2026-10 is closed " "and the messages say so"
draw $month
golden 0 audit_closed.text
draw $month --paper
golden 0 audit_closed_paper.text
run --store "$store" $month --changes
answers 1 "nothing changed since"

# Late rows: a visit, and a count of wear. Then a setting cannot be changed here, so that is for
# tests/store/month_test.c.
printf 'case,date,kind,arch,tissue,hardware\r\nC-0035,2026-10-20,check,upper,none,intact\r\n' >"$work/late.csv"
run --store "$store" import "$work/late.csv"
answers 0 "a visit comes in late"
run --store "$store" --format csv $month
cmp -s "$work/before.csv" "$out"
ok $? "the closed month is the same"
draw $month
golden 0 audit_closed_since.text
for format in text csv json; do
    run --store "$store" --format $format $month --changes
    golden 0 audit_changes.$format
done
run --store "$store" --format csv $month --now
cmp -s "$work/before.csv" "$out"
[ $? = 1 ]
ok $? "today's figures are others"
draw $month --now
grep -q "THESE ARE NOT THE FIGURES SIGNED" "$out"
ok $? "and the sheet says so"
draw $month --now --paper
grep -q "THESE ARE NOT THE FIGURES SIGNED" "$out"
ok $? "so does the paper"
run --store "$store" --format csv $month --as-of @2310
cmp -s "$work/before.csv" "$out"
ok $? "as of the row it was closed at: the same again"

run --store "$store" $month --sheet
answers 0 "the signed sheet"
[ "$(b2sum -l 256 "$out" | cut -d ' ' -f 1)" = "$(python3 -c '
import sqlite3, sys
print(sqlite3.connect(sys.argv[1]).execute("SELECT digest FROM month_close").fetchone()[0])' "$store")" ]
ok $? "has the digest that was signed, by b2sum"
python3 -c '
import csv, io, sys
text = open(sys.argv[1], newline="", encoding="utf-8").read()
head, cases = text.split("\r\n\r\n")
figures = dict(csv.reader(io.StringIO(head), strict=True))
rows = list(csv.DictReader(io.StringIO(cases), strict=True))
before = {row["case"]: row for row in csv.DictReader(open(sys.argv[2], newline="", encoding="utf-8"), strict=True)}
assert figures["month"] == "2026-10" and figures["through"] == "2026-10-31"
assert int(figures["cases"]) == len(rows) == len(before)
assert [row["case"] for row in rows] == sorted(before)
same = set(rows[0]) & set(next(iter(before.values()))) - {"case"}
assert len(same) >= 16, same
for row in rows:
    for name in same:
        assert row[name] == before[row["case"]][name], (row["case"], name)
for name, word in (("below", "below"), ("unknown", "unknown"), ("not_seen", "not-seen"), ("meeting", "meeting")):
    assert int(figures[name]) == sum(row["group"] == word for row in rows)
for name in ("visits", "holds", "reductions", "rests", "overrides", "missed"):
    assert int(figures[name]) == sum(int(row[name]) for row in rows)
people = open(sys.argv[3], encoding="utf-8").read().splitlines()[1:]
assert people and not any(name in text for line in people for name in line.split(",")[1:3] if name)
' "$out" "$work/before.csv" "$source/demo/patients.csv"
ok $? "is read by a strict reader, says what audit said, sums up, and names nobody"
# The command that each form of the sheet ends with is one that verify takes, and sees a digit of.
for form in "" --paper; do
    run --store "$store" $month $form
    held=$(sed -n "/verify --against '/,/'\$/p" "$out" | sed "s/.*--against '//; s/'\$//")
    run --store "$store" verify --against "$held"
    answers 0 "the store is held against the sheet ${form:-as text}"
    run --store "$store" verify --against "$(echo "$held" | tail -c +2)"
    [ "$code" != 0 ]
    ok $? "and another row is another"
done
run --store "$store" verify
answers 0 "verify"
grep -qx "closed months: 1, every one as it was signed" "$out"
ok $? "verify draws it again"
finish
