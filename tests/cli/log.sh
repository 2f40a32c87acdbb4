#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The log on the shell: what was refused stands in it, a period of it, every format, read by Python's
# csv and json. 45 CFR 164.312(b); 45 CFR 170.315(d)(3).
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

set_person=${SPRINGLINE_BUILD:-$source/build}/tests/support/set_person
login=$(id -un)
store=$work/log.db
demo_store "$store"
run --store "$store" log
answers 1 "nothing is in the log of a store just made"

"$set_person" "$store" "$login" assistant
run --store "$store" export cases
answers 4 "an assistant takes nothing out"
run --store "$store" log
answers 4 "and does not read the log"
"$set_person" "$store" "$login" reader
run --store "$store" --format csv log
answers 0 "a reader reads it"
python3 - "$out" "$login" >"$work/rows" <<'PYTHON'
import csv, datetime, sys
rows = list(csv.DictReader(open(sys.argv[1], newline="")))
assert list(rows[0]) == ["at", "what", "login", "person", "seat", "command", "subject", "detail"]
for row in rows:
    datetime.datetime.strptime(row["at"], "%Y-%m-%dT%H:%M:%SZ")
    assert row["what"] == "refused" and row["login"] == sys.argv[2], row
    assert row["detail"] == "assistant" and row["seat"].startswith(sys.argv[2] + "@"), row
print([row["command"] for row in rows])
assert [row["at"] for row in rows] == sorted((row["at"] for row in rows), reverse=True)
PYTHON
[ $? = 0 ] && [ "$(cat "$work/rows")" = "['log', 'export']" ]
ok $? "the two refusals stand in it, the newest first"
run --store "$store" --format json log
answers 0 "as JSON"
python3 -c 'import json, sys
rows = json.load(open(sys.argv[1]))
assert [row["command"] for row in rows] == ["log", "export"], rows' "$out"
ok $? "which a reader of another language takes"
run --store "$store" log --from 2100-01-01
answers 1 "nothing is in it from a day to come on"
run --store "$store" log --to 1999-12-31
answers 1 "nor to a day before there was any"
run --store "$store" --format csv log --from "$(date -u +%Y-%m-%d)" --to 2999-12-31
answers 0 "a period with both"
[ "$(wc -l <"$out")" = 3 ]
ok $? "holds its rows and a header"
run --store "$store" log
answers 0 "as a table"
grep -q "refused" "$out" && grep -q "assistant" "$out"
ok $? "with what happened"
run --store "$store" log --from yesterday
refuses 2 "not a day" "a day that is none is refused"
finish
