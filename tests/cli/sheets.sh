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

# ---- audit ----
for cells in 80 100 132; do
    at $cells "audit --month 2026-10"
    fits $cells "audit fits $cells cells"
    [ "$(grep -c '^C-' "$out")" = 40 ]
    ok $? "with every row"
done
run --store "$store" audit --month 2026-10
fits 132 "audit fits where there is no terminal"
head -n 1 "$out" | grep -q 'run$' || sed -n '/^case/p' "$out" | grep -q 'change.*run$'
ok $? "and has every column there"
has 'Audit of 2026-10, 2026-10-01 to 2026-10-31. Cases not closed at the month'"'"'s end that have had a trainer.' \
    "the head says what it covers"
has 'A day is met with 60 minutes by day and the night worn. The minimum is 80 % of the days known; low is below 50 %.' \
    "and what it is judged by"
has 'self-report exceeds sensors by 3.8 to 5.0 h a day (published)' "told runs high, by how much"
# Wilson 1927 for 19 of 28: 0.493 to 0.821 (computed with Python's own arithmetic below): unsure.
python3 -c '
from math import sqrt
def wilson(met, known, z=1.959963984540054):
    p, n = met / known, known
    middle, half = p + z * z / (2 * n), z * sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return [round(100 * (middle + sign * half) / (1 + z * z / n)) for sign in (-1, 1)]
import re, sys
below = 0
for line in open(sys.argv[1], encoding="utf-8"):
    found = re.search(r"(below|low|meeting)[a-z, ]* (sensor|diary|told) +(\d+)/(\d+) +(\d+) % +(\d+)-(\d+) %", line)
    if found is None:
        continue
    met, known, share, low, high = map(int, found.groups()[2:])
    assert [low, high] == wilson(met, known), line
    assert share == met * 100 // known, line
    assert ("unsure" in line) == (share < 80 <= high), line
    assert (found.group(1) == "meeting") == (share >= 80), line
    below += found.group(1) != "meeting"
assert below == 4' "$out"
ok $? "shares, Wilson intervals, and unsure where the interval reaches the minimum"
grep -q '^C-0018 .* -30 pt ' "$out"
ok $? "a change is in percentage points"
has 'Of these cases: visits 44, holds 5, reductions 11, rests 1, overrides 2, missed bookings 3.' "the sums"
grep -qx '  C-0015    6 of  16 known days met, of  16 days' "$out"
ok $? "what is known since the last visit, one case a line"
! grep -q ' 0 of   0 known' "$out" && grep -qx '  2[0-9] cases nothing is known of since' "$out"
ok $? "the others as one count"
has 'Printed 2026-11-25. Signature: ____' "the day it was printed, and room to sign"

# The printed month against the CSV of the same month, read by Python's own reader; the pages
# counted; the hash against the ledger as sqlite3 reads it.
run --store "$store" --format csv audit --month 2026-10
cp "$out" "$work/october.csv"
run --store "$store" audit --month 2026-10 --paper
python3 -c '
import csv, re, sys
paper = open(sys.argv[1], encoding="utf-8").read()
pages = paper.split("\f")
for at, page in enumerate(pages, 1):
    lines = page.split("\n")
    assert lines[-1] == "" and len(lines) - 1 == 65, len(lines)
    assert lines[0].endswith(f"page {at} of {len(pages)}"), lines[0]
    assert "Decision support only" in page and "local law and guidance come first." in page
assert 4 <= len(pages) <= 6, len(pages)
# A block that ends with its page has no blank line behind it.
body = "\n\n".join("\n".join(page.split("\n")[4:-4]) for page in pages)
group, found = None, {}
for block in re.split(r"\n\n+", body.strip("\n")):
    head = re.match(r"(BELOW|UNKNOWN|NOT SEEN|MEETING|MORE GIVEN)[A-Z ]*: (\d+)\n?", block)
    if head:
        group, block = head.group(1), block[head.end():]
    if block.startswith("C-") and group != "MORE GIVEN":
        assert block[:6] not in found
        found[block[:6]] = (group, " ".join(block.split()))
rows = list(csv.DictReader(open(sys.argv[2], newline="", encoding="utf-8"), strict=True))
assert len(rows) == len(found) == 40
names = {"below": "BELOW", "unknown": "UNKNOWN", "not-seen": "NOT SEEN", "meeting": "MEETING"}
def count(text, word):
    match = re.search(rf"\b{word} (\d+)", text)
    return match.group(1) if match else "0"
for row in rows:
    group, text = found[row["case"]]
    assert group == names[row["group"]], text
    assert row["family"] in text and row["given"] in text and row["clinician"] in text, text
    for word, column in (("visits", "visits"), ("holds", "holds"), ("reductions", "reductions"),
                         ("rests", "rests"), ("overrides", "overrides"), ("missed", "missed"),
                         ("short run", "short_run")):
        assert count(text, word) == row[column], (word, text)
    judged = re.search(r"(\d+) of (\d+) known days met \((\w+)[^)]*\), (\d+) %.*?95 % interval (\d+)-(\d+) %", text)
    assert (judged is not None) == (row["adherence"] != ""), text
    if judged:
        met, known, source, share, low, high = judged.groups()
        assert (met, known, source) == (row["days_met"], row["days_known"], row["source"]), text
        assert int(share) == int(met) * 100 // int(known), text
        assert abs(int(low) - 100 * float(row["low95"])) <= 0.51, text
        assert abs(int(high) - 100 * float(row["high95"])) <= 0.51, text
        assert ("unsure" in text) == (row["group"] == "below" and float(row["high95"]) >= 0.8), text
    change = re.search(r"([+-]\d+) points? against", text)
    assert (change is not None) == (row["change"] != ""), text
    if change:
        assert abs(int(change.group(1)) - 100 * float(row["change"])) <= 0.51, text' \
    "$out" "$work/october.csv"
ok $? "the paper says of each case what the CSV says, in whole pages"
has 'MORE GIVEN THAN PERMITTED: 2' "the overrides"
has 'C-0037 Ngozimbali, Adaeze: 2026-10-30 upper: given right 2.50, left 2.50 mm; permitted right 2.00, left 2.00 mm (recomputed). Reason: Away until January' \
    "each with its reason"
# The paper names the last row before the one that says that it was printed.
last=$(sqlite3 "$store" "SELECT sequence - 2 FROM access WHERE what = 'printed' ORDER BY sequence DESC LIMIT 1")
hash=$(sqlite3 "$store" "SELECT lower(hex(hash)) FROM ledger WHERE sequence = $last")
printed=$(sed -n "s/^    \(\([0-9a-f]\{4\} \)\{7\}[0-9a-f]\{4\}\)'\{0,1\}\$/\1/p" "$out" | tr -d ' \n')
[ -n "$hash" ] && [ "$hash" = "$printed" ]
ok $? "the hash of the ledger's last row"
# Drawn of the past it leaves out the safety items of today; each printing adds rows behind it.
run --store "$store" audit --month 2026-10 --paper --as-of "@$last"
cp "$out" "$work/now"
run --store "$store" audit --month 2026-10 --paper --as-of "@$last"
grep -q "ledger row $last" "$out" && cmp -s "$out" "$work/now"
ok $? "as of that row it is the same paper, however often it is printed"
run --store "$store" audit --month 2026-10 --paper --as-of "@$((last - 1))"
hash=$(sqlite3 "$store" "SELECT lower(hex(hash)) FROM ledger WHERE sequence = $last - 1")
printed=$(sed -n "s/^    \(\([0-9a-f]\{4\} \)\{7\}[0-9a-f]\{4\}\)'\{0,1\}\$/\1/p" "$out" | tr -d ' \n')
[ -n "$hash" ] && [ "$hash" = "$printed" ]
ok $? "as of an earlier row it is the hash of that"
run --store "$store" audit --month 2026-09 --paper
# In September more was given than permitted twice, and both were seen again since.
has 'Followed by: 2026-' "what followed an override"
has 'no reason recorded' "or that nobody wrote why"

run --store "$store" audit --month 2026-11
has 'Audit of 2026-11, running, up to 2026-11-25.' "a month that is still running says so"
finish
