#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Each sub-command in each format on the demo practice, against golden files; JSON and CSV are also
# read by Python's own readers (json, csv with strict=True), which nobody here wrote.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"
case=$(cat "$source/demo/ADVISE")

# JSON must be one array of objects of version 1; CSV must have rows of one length.
read_json() {
    python3 -c '
import json, sys
rows = json.load(open(sys.argv[1], encoding="utf-8"))
assert isinstance(rows, list) and len(rows) >= int(sys.argv[2])
assert all(row["format_version"] == 1 for row in rows)' "$out" "$2"
    ok $? "$1: JSON is one array of objects with format_version 1"
}
read_csv() {
    python3 -c '
import csv, sys
rows = list(csv.reader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True))
assert len(rows) > int(sys.argv[2]) and len({len(row) for row in rows}) == 1
assert open(sys.argv[1], "rb").read().endswith(b"\r\n")' "$out" "$2"
    ok $? "$1: CSV is read by a strict reader, every row of one length"
}

for format in text csv json; do
    run --store "$store" --format $format recall
    golden 0 recall.$format
    [ $format = text ] || read_$format recall 30
    run --store "$store" --format $format audit --month 2026-10
    golden 0 audit.$format
    [ $format = text ] || read_$format audit 30
    run --store "$store" --format $format advise "$case"
    golden 0 advise.$format
    [ $format = text ] || read_$format advise 1
done

run --store "$store" audit --month 2026-10 --paper
golden 0 audit_paper.text
run --store "$store" recall --group safety --format csv
golden 0 recall_safety.csv
run --store "$store" recall --within 14 --group due --format csv
golden 0 recall_within.csv
run --store "$store" advise C-0027 --arch lower --tissue mild --hardware "loose-band:right" --repaired \
    --right 0,5 --left 0.5
golden 0 advise_stated.text
run --store "$store" advise C-0050
golden 0 advise_nothing.text
run --store "$store" --format json advise C-0050
golden 0 advise_nothing.json
run --store "$store" chart "$case"
golden 0 chart.text
run --store "$store" chart C-0022
golden 0 chart_forecast.text
run --store "$store" export contacts
golden 0 export_contacts.csv
run --store "$store" --format json export contacts
golden 0 export_contacts.json
read_json export 1
run --store "$store" verify
golden 0 verify.text
run --store "$store" import "$source/demo" --format json
golden 0 import_again.json
read_json import 1
run help
golden 0 help.text
run recall --help
golden 0 help_recall.text
run help recall
golden 0 help_recall.text
run help audit
golden 0 help_audit.text
run help advise
golden 0 help_advise.text
run --version
golden 0 version.text
run version
golden 0 version.text

# The columns are a contract, spelled here as other programs rely on them.
run --store "$store" --format csv recall
head -n 1 "$out" | grep -qxF "$(printf 'case,family,given,phone,group,due_on,days_late,last_seen,last_verdict,safety,last_contact,booked\r')"
ok $? "the columns of recall"
run --store "$store" --format csv audit --month 2026-10
head -n 1 "$out" | grep -qxF "$(printf 'case,family,given,clinician,group,days_known,days_met,adherence,low95,high95,source,unknown_share,visits,holds,reductions,rests,overrides,missed,short_run,change\r')"
ok $? "the columns of audit"
run --store "$store" --format csv unsigned
answers 1 "nobody has to sign what came with an import"
grep -qxF "$(printf 'case,family,given,date,to_sign,kind,arch,right_mm,left_mm,by,days\r')" "$out"
ok $? "the columns of unsigned"
run --store "$store" --format json unsigned
[ "$code" = 1 ] && python3 -c 'import json, sys; sys.exit(json.load(open(sys.argv[1])) != [])' "$out"
ok $? "as JSON it is an empty array"
run --store "$store" --format json advise "$case"
python3 -c '
import json, sys
for row in json.load(open(sys.argv[1], encoding="utf-8")):
    assert list(row)[:8] == ["format_version", "case", "arch", "on", "verdict", "right", "left", "findings"]
    assert row["right"]["permitted_mm"] >= 0 and row["left"]["permitted_mm"] >= 0
    assert set(row["next"]) == {"from", "to"}
    assert row["findings"] and all(
        {"rule", "effect", "standing", "text", "values"} <= set(f) and isinstance(f["values"], dict)
        for f in row["findings"])' "$out"
ok $? "advise as JSON has the members of the contract, in order"
grep -q '"right":{"permitted_mm":0\.00}' "$out"
ok $? "millimetres have two decimals in JSON"
finish
