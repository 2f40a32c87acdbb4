#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A store that an older program left (tests/store/fixtures/README.md): it climbs the ladder, nothing
# of its ledger changes, the advice stays the same; a newer store is refused and left as it was.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

fixtures=$source/tests/store/fixtures
store=$work/old.db
head=c825240309265fb60fc4457fe59ed40975c448aa1ae0132fea5556b46e63498a
rungs=$(find "$source/schema" -name '*.sql' | wc -l)

# unpack VERSION: into $store.
unpack() {
    python3 -c 'import lzma, shutil, sys
with lzma.open(sys.argv[1]) as packed, open(sys.argv[2], "wb") as store:
    shutil.copyfileobj(packed, store)' "$fixtures/version_$1.db.xz" "$store"
    ok $? "the store of version $1 is unpacked"
    chmod 600 "$store"
}
unpack 1

# number SQL: what SQLite itself says of the store.
number() {
    python3 -c 'import sqlite3, sys
print(sqlite3.connect(sys.argv[1]).execute(sys.argv[2]).fetchone()[0])' "$store" "$1"
}
hash_of() { number "SELECT lower(hex(hash)) FROM ledger WHERE sequence = $1"; }
[ "$(number 'PRAGMA user_version')" = 1 ]
ok $? "it stands on the first rung"

run --store "$store" verify
answers 0 "opened by this program it is sound"
# One row more: the save in which the states were worked out anew.
grep -qF "ledger: 245 rows, every one matches" "$out" && [ "$(hash_of 244)" = "$head" ]
ok $? "every old row has the hash it had, up to the head of then"
[ "$(number 'PRAGMA user_version')" = "$rungs" ]
ok $? "it has climbed to the newest rung"
python3 "$source/tests/support/check_chain.py" "$store" >"$out" 2>"$err" && grep -q "^$(number 'SELECT max(sequence) FROM ledger') " "$out"
ok $? "the chain is whole for a reader of another language too"

cp "$store" "$work/climbed.db"
run --store "$store" verify
answers 0 "it is opened again"
cmp -s "$store" "$work/climbed.db"
ok $? "and not a byte of it has changed"

# Words may change from version to version; what is permitted, and by which rules, may not.
cat >"$work/compare.py" <<'END'
import json, sys
def bare(path):
    told = json.load(open(path, encoding="utf-8"))
    for arch in told:
        for finding in arch["findings"]:
            del finding["text"]
    return told
sys.exit(bare(sys.argv[1]) != bare(sys.argv[2]))
END
# advice VERSION CASE...
advice() {
    version=$1
    shift
    for case; do
        run --store "$store" --format json advise "$case"
        [ "$code" = 0 ] && python3 "$work/compare.py" "$out" "$fixtures/version_$version.$case.json"
        ok $? "the advice for $case is what it was"
    done
}
run --store "$store" advise C-0004
refuses 4 "No orthodontist is recorded here" "nobody is recorded in it: nobody may look"
run --store "$store" init --name "Dr Ada Example"
answers 0 "its first orthodontist is made"
advice 1 C-0004 C-0007 C-0035

[ "$(number 'SELECT count(*) FROM draft')" = 1 ] && [ "$(number 'SELECT count(*) FROM judged')" = 1 ]
ok $? "the unsaved visit and the stored verdict are there"
run --store "$store" backup "$work/copy.db"
answers 0 "a backup of it is made"
run --store "$store" undo-import 3
refuses 4 "wear count of case C-0035, from 2026-10-30" "its import stays, for what came with a visit stands on it"

# A program of tomorrow.
python3 -c 'import sqlite3, sys
sqlite3.connect(sys.argv[1]).execute("PRAGMA user_version = %d" % (int(sys.argv[2]) + 1))' \
    "$store" "$rungs"
cp "$store" "$work/newer.db"
run --store "$store" verify
refuses 3 "newer springline" "a store of a newer program is refused in one sentence"
run --store "$store" recall
refuses 3 "newer springline" "whatever is asked of it"
cmp -s "$store" "$work/newer.db"
ok $? "and left as it was"

# Version 3, the last whose ledger and withdrawals were those of the first rung: the fourth makes both
# anew, so that they may name the kinds of an assessment.
store=$work/three.db head=8c3bd736d2752a793147021a92f417112ec05f08aa7e2e4f739158cbd5ed8099
unpack 3
[ "$(number 'PRAGMA user_version')" = 3 ] && [ "$(number 'SELECT count(*) FROM withdrawal')" = 2 ]
ok $? "it stands on the third rung, with two rows withdrawn"
run --store "$store" verify
answers 0 "opened by this program it is sound"
# One row more: the save in which the states were worked out anew.
grep -qF "ledger: 232 rows, every one matches" "$out" && [ "$(hash_of 231)" = "$head" ]
ok $? "every old row has the hash it had, withdrawals among them"
[ "$(number 'PRAGMA user_version')" = "$rungs" ] && [ "$(number 'SELECT count(*) FROM withdrawal')" = 2 ]
ok $? "it has climbed, and the two rows are withdrawn still"
python3 "$source/tests/support/check_chain.py" "$store" >"$out" 2>"$err" && grep -q "^$(number 'SELECT max(sequence) FROM ledger') " "$out"
ok $? "the chain is whole for a reader of another language too"
run --store "$store" init --alone
answers 0 "its first orthodontist is made"
run --store "$store" init
refuses 4 "an orthodontist is recorded in it" "and only the first"
advice 3 C-0007 C-0035
[ "$(number "SELECT count(*) FROM sqlite_schema WHERE name LIKE 'ledger%' OR name LIKE 'withdrawal%'")" = 10 ]
ok $? "nothing is left of the tables that were set aside, and each has its triggers"
[ "$(number "SELECT count(*) FROM sqlite_schema WHERE name LIKE '%aside%'")" = 0 ] &&
    [ "$(number "SELECT group_concat(name) FROM (SELECT name FROM sqlite_schema WHERE tbl_name LIKE 'patient%' AND sql IS NOT NULL ORDER BY name)")" = \
        patient,patient_chart,patient_current,patient_is_never_changed,patient_is_never_deleted,patient_key_is_taken,patient_record,patient_replaces,patient_replaces_the_newest ]
ok $? "patient was made anew with its indexes and triggers"
for change in "UPDATE ledger SET sequence = 9 WHERE sequence = 1" "DELETE FROM ledger" \
    "UPDATE withdrawal SET reason = 'x'" "DELETE FROM withdrawal" \
    "UPDATE patient SET family = 'x'" "UPDATE patient SET family = NULL, salts = zeroblob(128)" \
    "UPDATE visit SET note = NULL, salts = zeroblob(32)" "DELETE FROM patient" \
    "INSERT INTO ledger SELECT 900, kind, row, recorded_at, hash FROM ledger ORDER BY sequence DESC LIMIT 1"; do
    ! python3 -c 'import sqlite3, sys
sqlite3.connect(sys.argv[1]).execute(sys.argv[2])' "$store" "$change" 2>"$err" &&
        grep -qE "never (changed|deleted)|next sequence" "$err"
    ok $? "refused as before: $change"
done
printf 'case,date,tooth,method,repeat,mm,by\nC-0035,2026-07-22,41,cast,1,5.35,\n' >"$work/tooth_widths.csv"
run --store "$store" import "$work/tooth_widths.csv"
answers 0 "a kind of the fourth rung is taken in"
run --store "$store" undo-import "$(sed -n 's/^batch \(@[0-9]*\);.*/\1/p' "$out")"
answers 0 "and withdrawn"
run --store "$store" verify
answers 0 "and the store is sound"

# Version 4, the last that asked nobody who they were: its orthodontist has the login root.
store=$work/four.db head=ce646e31efb3f57ddd3d88e2483c26c8d22c05e80e1809a29047912459ebb1f4
unpack 4
[ "$(number 'PRAGMA user_version')" = 4 ] && [ "$(number 'SELECT login FROM person')" = root ]
ok $? "it stands on the fourth rung, and somebody works there"
run --store "$store" verify
answers 0 "opened by this program it is sound"
grep -qF "ledger: 311 rows, every one matches; head 311:$head" "$out"
ok $? "every old row has the hash it had"
[ "$(number 'PRAGMA user_version')" = "$rungs" ]
ok $? "it has climbed to the newest rung"
python3 "$source/tests/support/check_chain.py" "$store" >"$out" 2>"$err"
ok $? "the chain is whole for a reader of another language too"
if [ "$(id -un)" = root ]; then
    advice 4 C-0007 C-0035
else
    run --store "$store" advise C-0007
    refuses 4 "not among the people" "a login that nobody recorded may not look"
fi
finish
