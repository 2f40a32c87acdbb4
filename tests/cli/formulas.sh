#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# No cell of a file becomes a formula in a spreadsheet (CWE-1236): in every text column of every
# kind, what begins as one is written behind an apostrophe, which import takes off again. The
# characters are those of OWASP ASVS 5.0, 1.2.10 (= + - @ TAB NUL) and CR; of these TAB, CR and NUL
# are in no stored text. Rows are written and read by Python's csv as well.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

spoil=${SPRINGLINE_BUILD:-$source/build}/tests/support/spoil
"$spoil" --columns >"$work/columns"
[ "$(wc -l <"$work/columns")" -gt 25 ]
ok $? "the text columns are known"

# A practice of one case a beginning: the demo's C-0007, whose every text begins so. Its numbers
# differ by their beginning alone.
python3 - "$work" "$source/demo" <<'PYTHON'
import csv, os, sys
work, demo = sys.argv[1:]
beginnings = ["=", "+", "-", "@", "'", "''", "'=", "=cmd|' /C calc'!A0", "-2+3", "+SUM(A1)",
              "@SUM(1+1)*", '=HYPERLINK("x","y")', "plain "]
columns = {}
for line in open(work + "/columns"):
    kind, column = line.split()
    columns.setdefault(kind, set()).add(column)
os.mkdir(work + "/raw")
for kind, texts in columns.items():
    with open(f"{demo}/{kind}.csv", newline="", encoding="utf-8") as file:
        rows = list(csv.reader(file))
    header, every = rows[0], rows[1:]
    rows = [row for row in every if row[0] in ("C-0007", "P-0007")] or \
        [["C-0007"] + every[0][1:]]
    with open(f"{work}/raw/{kind}.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(header)
        for beginning in beginnings:
            for row in rows:
                # A guard of our own: import takes one apostrophe off.
                out.writerow([("'" if beginning[0] in "=+-@'" else "") + beginning + cell
                              if name in texts and name != "protocol" and
                              (name != "override_reason" or row[2] == "activation") else cell
                              for name, cell in zip(header, row)])
PYTHON
run --store "$work/first.db" init --alone
run --store "$work/first.db" import "$work/raw"
answers 0 "a practice of formulas is taken in"
run --store "$work/first.db" export all --out "$work/once"
answers 0 "and written"
run --store "$work/first.db" --format json export all --out "$work/json"
answers 0 "as JSON too"
run --store "$work/second.db" init --alone
run --store "$work/second.db" import "$work/once"
answers 0 "and read again"
run --store "$work/second.db" export all --out "$work/twice"
diff -r "$work/once" "$work/twice" >"$out" 2>&1
ok $? "and is the same after a second round, byte by byte"
run --store "$work/first.db" import "$work/once"
grep -q '^0 rows added' "$out"
ok $? "nothing in it is new to the first"

python3 - "$work" >"$out" 2>"$err" <<'PYTHON'
import csv, json, sys
work = sys.argv[1]
columns = {}
for line in open(work + "/columns"):
    kind, column = line.split()
    columns.setdefault(kind, set()).add(column)
met = set()
for kind, texts in columns.items():
    def read(folder):
        with open(f"{work}/{folder}/{kind}.csv", newline="", encoding="utf-8") as file:
            return list(csv.DictReader(file))
    def key(row):
        return sorted(row.items())
    raw, once = read("raw"), read("once")
    objects = json.load(open(f"{work}/json/{kind}.json", encoding="utf-8"))
    shared = [name for name in raw[0] if name in once[0]]
    assert sorted(key({n: r[n] for n in shared}) for r in raw) == \
        sorted(key({n: r[n] for n in shared}) for r in once), kind
    for row, plain in zip(once, objects):
        for name, cell in row.items():
            if name not in texts:
                # Numbers, dates and words are the program's own: -0.20 stays a number.
                assert cell[:1] not in "=+@'" or cell == "", (kind, name, cell)
                continue
            assert cell[:1] not in tuple("=+-@\t\r"), (kind, name, cell)
            stored = cell[1:] if cell[:1] == "'" else cell
            assert (plain[name] or "") == stored, (kind, name, cell, plain[name])
            if cell[:2] in ("'=", "'+", "'-", "'@", "''"):
                met.add((kind, name, cell[1]))
missing = {(kind, name) for kind, texts in columns.items() for name in texts} - \
    {(kind, name) for kind, name, _ in met} - {("cases", "protocol")}  # the name of one that is there
print(len(met), "beginnings met; never:", missing)
assert not missing
PYTHON
ok $? "every text column is guarded, no other is, and JSON has the texts themselves"

# What other sub-commands write as CSV is guarded alike.
number="=C-0007"
for command in recall "audit --month 2026-10" verify; do
    run --store "$work/first.db" --format csv $command
    cp "$out" "$work/table.csv"
    python3 - "$work/table.csv" >"$work/said" <<'PYTHON'
import csv, sys
rows = list(csv.reader(open(sys.argv[1], newline="", encoding="utf-8")))
bad = [cell for row in rows for cell in row
       if cell[:1] in ("=", "+", "@") or (cell[:1] == "-" and not cell[1:].replace(".", "").isdigit())]
assert rows and not bad, bad
PYTHON
    ok $? "$command writes no formula"
done
for command in advise plan; do
    run --store "$work/first.db" --format csv $command "$number"
    ! grep -Eq '(^|,)"?[=+@]' "$out" && [ -s "$out" ]
    ok $? "$command of a case called $number writes no formula"
done
finish
