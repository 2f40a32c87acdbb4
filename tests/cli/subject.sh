#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Everything of one patient as files (GDPR 15 and 20, from memory; 21 CFR 11.10(b)): complete, checked
# by Python's csv and sqlite3 against the store itself; private; logged; never over what is there.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"
number() {
    python3 -c 'import sqlite3, sys
print(sqlite3.connect(sys.argv[1]).execute(sys.argv[2]).fetchone()[0])' "$store" "$1"
}

# Versions, a withdrawal: a contact twice, and an import taken back.
printf 'case,at,channel,outcome,again_on,by,note\nC-0018,2026-11-20T09:15:00Z,letter,,,Pia Lanternhouse,=1+1\n' >"$work/more.csv"
run --store "$store" import "$work/more.csv"
run --store "$store" undo-import "$(sed -n 's/^batch \(@[0-9]*\);.*/\1/p' "$out")"
answers 0 "a contact is recorded and withdrawn"

run --store "$store" export --patient P-0018 --out "$work/copy"
[ "$code" = 0 ] && [ ! -s "$out" ] && grep -qF "20 files in $work/copy" "$err"
ok $? "a copy of everything of one patient is made"
cat >"$work/check.py" <<'PY'
"""Holds each file against the store: every row of the patient, its place, its hash."""
import csv, os, sqlite3, stat, sys
store, folder, chart = sys.argv[1:]
db = sqlite3.connect(store)
patient = [r[0] for r in db.execute("SELECT DISTINCT record FROM patient WHERE chart = ?", (chart,))]
assert len(patient) == 1
cases = [r[0] for r in db.execute("SELECT DISTINCT record FROM casefile WHERE patient = ?", patient)]
hashes = dict(db.execute("SELECT lower(hex(row)), lower(hex(hash)) FROM ledger"))
assert stat.S_IMODE(os.stat(folder).st_mode) == 0o700
tables = {"patients": "patient", "cases": "casefile", "trainers": "trainer", "expanders": "expander",
          "visits": "visit", "widths": "width", "wear_days": "wear_day", "wear_counts": "wear_count",
          "contacts": "contact", "bookings": "booking", "tooth_widths": "tooth_width",
          "arch_segments": "arch_segment", "arch_depths": "arch_depth", "plans": "plan"}
seen = 0
for name in os.listdir(folder):
    assert stat.S_IMODE(os.stat(os.path.join(folder, name)).st_mode) == 0o600, name
for stem, table in tables.items():
    with open(os.path.join(folder, stem + ".csv"), encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file, strict=True)
        rows = list(reader)
    assert len(set(reader.fieldnames)) == len(reader.fieldnames), stem
    column, keys = ("record", patient) if table == "patient" else \
        ("record", cases) if table == "casefile" else ("casefile", cases)
    marks = ",".join("?" * len(keys))
    cursor = db.execute(f"SELECT * FROM {table} WHERE {column} IN ({marks}) ORDER BY sequence", keys)
    names = [part[0] for part in cursor.description]
    stored = [dict(zip(names, values)) for values in cursor]
    assert [r["row_id"] for r in rows] == [s["id"].hex() for s in stored], stem
    for told, kept in zip(rows, stored):
        assert told["ledger_row"] == str(kept["sequence"]) and told["recorded_at"] == kept["recorded_at"]
        assert told["ledger_hash"] == hashes[told["row_id"]], stem
        assert told["version"] == str(kept["version"]) and told["reason"] == (kept["reason"] or "")
        for field in ("date", "note", "family", "phone", "alerts", "nickel", "issued_on", "time",
                      "override_reason", "landmark", "band_left", "closed_reason"):
            if field in kept and field in told:
                text = str(kept[field] or ("(erased)" if field == "family" else ""))
                guarded = "'" + text if text[:1] in ("=", "+", "-", "@", "'") and text else text
                assert told[field] == guarded, (stem, field, told[field], text)
            elif field in kept:
                raise AssertionError(f"{stem} lacks {field}")
        for field in kept:
            if field.endswith("_um") and kept[field] is not None:
                assert told[field[:-3] + "_mm"] == "%.2f" % (kept[field] / 1000), (stem, field)
        gone = db.execute("SELECT reason, sequence FROM withdrawal WHERE row = ?", (kept["id"],)).fetchone()
        newer = db.execute(f"SELECT 1 FROM {table} WHERE replaces = ?", (kept["id"],)).fetchone()
        assert told["row_state"] == ("withdrawn" if gone else "replaced" if newer else "current")
        if gone:
            assert told["withdrawn_reason"] == gone[0] and told["withdrawn_ledger_row"] == str(gone[1])
        seen += 1
print(seen, "rows held against the store")
PY
python3 "$work/check.py" "$store" "$work/copy" P-0018 >"$out" 2>"$err"
ok $? "every row of the store is in it, with its place and its hash"
echo "# figure: $(cat "$out")"
grep -q "withdrawn" "$work/copy/contacts.csv" && grep -qF "'=1+1" "$work/copy/contacts.csv"
ok $? "the withdrawn one too, guarded against formulas"
cp "$work/copy/record.txt" "$out"
grep -q '^Written on 2026-11-25 by ' "$out" && sed -i '3,/^$/d' "$out" # by whom, and from which store
ok $? "it says when it was written"
code=0
golden 0 subject_record.text
head -n 1 "$work/copy/visits.csv" "$work/copy/verdicts.csv" "$work/copy/log.csv" "$work/copy/signatures.csv" "$work/copy/erasures.csv" "$work/copy/unsaved.csv" |
    sed 's/^==> .*\///; s/\r$//' >"$out"
golden 0 subject_columns.text
[ "$(sed -n 2p "$work/copy/log.csv" | cut -d , -f 1,3,4)" = "exported,export,P-0018" ]
ok $? "the copy tells of itself in the log"
awk 'length > 100' "$work/copy/record.txt" | grep -q .
[ $? = 1 ]
ok $? "the text has no long lines"
grep -qF "Decision support only" "$work/copy/record.txt"
ok $? "the caution stands in it"

# Nobody else's.
for other in Copperkettle Thimblegate P-0017 C-0017 P-0001; do
    ! grep -rqF "$other" "$work/copy"
    ok $? "nothing of $other"
done

# ---- never over anything ----

run --store "$store" export --patient P-0018 --out "$work/copy"
refuses 4 "exists already" "a folder that is there is left as it is"
mkdir "$work/empty"
run --store "$store" export --patient P-0018 --out "$work/empty"
refuses 4 "exists already" "an empty one too"
ln -s "$work/nowhere" "$work/link"
run --store "$store" export --patient P-0018 --out "$work/link"
refuses 4 "exists already" "and a link"
[ ! -e "$work/nowhere" ]
ok $? "which is not followed"
run --store "$store" export --patient P-0018 --out /proc/no/place
refuses 4 "can not be made" "where nothing can be made it is said"

# ---- a wrong command line ----

run --store "$store" export --patient P-0018
refuses 2 "--out FOLDER" "without a folder"
run --store "$store" export visits --patient P-0018 --out "$work/x"
refuses 2 "leave" "with a kind"
run --store "$store" --format json export --patient P-0018 --out "$work/x"
refuses 2 "csv" "as JSON"
run --store "$store" export --patient P-9999 --out "$work/x"
refuses 4 "P-9999" "a number nobody has"
[ ! -e "$work/x" ]
ok $? "nothing is made then"

# ---- a full disk ----

# What can not be logged is not handed out: the log can not grow past this.
for asked in "export --patient P-0018 --out $work/short" "export visits" "export all --out $work/short"; do
    # shellcheck disable=SC2086 # the words of a command line
    (ulimit -f 1 && trap '' XFSZ && "$program" --store "$store" $asked >"$out" 2>"$err")
    code=$?
    [ "$code" = 3 ] || [ "$code" = 4 ] && [ ! -s "$out" ] && ! ls "$work"/short/*.csv >/dev/null 2>&1
    ok $? "where it can not be logged nothing is written: ${asked%% --out*}"
done

# ---- every export is logged ----

before=$(number "SELECT count(*) FROM access WHERE what = 'exported'")
run --store "$store" export cases
run --store "$store" export all --out "$work/all"
run --store "$store" --format json export visits
[ "$(number "SELECT count(*) FROM access WHERE what = 'exported'")" = $((before + 3)) ]
ok $? "each export is one row of the log"
[ "$(number "SELECT detail FROM access WHERE what = 'exported' AND subject IS NULL ORDER BY sequence LIMIT 1")" = "cases 50" ]
ok $? "which kind, and how many"
number "SELECT detail FROM access WHERE what = 'exported' ORDER BY sequence DESC LIMIT 1 OFFSET 1" >"$out"
grep -q "^patients 51, cases 50, trainers [0-9]*, .*, plans [0-9]*$" "$out"
ok $? "of all of them each"
run --store "$store" audit --month 2026-10 --paper
[ "$(number "SELECT subject FROM access WHERE what = 'printed'")" = 2026-10 ]
ok $? "a month on paper is logged as printed"
run --store "$store" audit --month 2026-10
[ "$(number "SELECT count(*) FROM access WHERE what = 'printed'")" = 1 ]
ok $? "and on the screen not"
run --store "$store" verify
answers 0 "the store is sound"

# ---- of an erased one ----

run --store "$store" erase P-0001 --ground "asked for in writing" --confirm P-0001
answers 0 "a patient is erased"
run --store "$store" export --patient P-0001 --out "$work/erased"
[ "$code" = 0 ] && python3 "$work/check.py" "$store" "$work/erased" P-0001 >"$out" 2>"$err"
ok $? "what is left of it can be copied"
grep -qF "asked for in writing" "$work/erased/erasures.csv" && grep -q "(erased)" "$work/erased/record.txt" &&
    ! grep -rqi brambleworth "$work/erased"
ok $? "with the ground and without the name"
finish
