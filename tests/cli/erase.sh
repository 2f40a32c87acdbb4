#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A lawful erasure as the shell has it (GDPR 17, from memory): shown, confirmed by the chart number,
# done, and nowhere a trace of the name: not in any answer, not in a byte of the file. The ledger is
# whole for a reader of another language too, and what export writes of an erased practice can be read
# by another.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"
ground="asked for in writing on 2026-11-20"

number() {
    python3 -c 'import sqlite3, sys
print(sqlite3.connect(sys.argv[1]).execute(sys.argv[2]).fetchone()[0])' "$store" "$1"
}
# in_file WORD: is it in the store or its journal, byte for byte?
in_file() { cat "$store" "$store"-* 2>"$err" | grep -qaF -- "$1"; }
in_file Brambleworth && in_file "000 10 0101"
ok $? "name and telephone of the child are there before"
run --store "$store" chart C-0001
cp "$out" "$work/chart_before"

# ---- what is refused ----

run --store "$store" erase P-0001
refuses 2 "--ground" "without a ground it is a wrong command line"
run --store "$store" --format json erase P-0001 --ground "$ground"
refuses 2 "text only" "as JSON it is not offered"
run --store "$store" erase
refuses 2 "chart number of a patient" "without a patient too"
run --store "$store" erase P-9999 --ground "$ground" --confirm P-9999
refuses 4 "P-9999" "a number nobody has"
run --store "$store" erase p-0001 --ground "$ground" --confirm p-0001
refuses 4 "as it was recorded" "nor one that is only alike"
run --store "$store" erase P-0007 --ground "$ground" --confirm P-0007
refuses 4 "the lower expander is in the mouth" "a child with an expander in place"
run --store "$store" erase P-0004 --ground "$ground" --confirm P-0004
refuses 4 "in the mouth" "though its case is closed"
run --store "$store" erase P-0001 --ground "request" --confirm P-0001
refuses 4 "Say in some words" "a ground that says nothing"
run --store "$store" erase P-0001 --ground "letter of the Brambleworth family" --confirm P-0001
refuses 4 "brambleworth" "a ground that holds the name"
run --store "$store" erase P-0001 --ground "$ground" --confirm P-0005
refuses 4 "--confirm names another chart number" "another number to confirm it"
run --store "$store" erase P-0001 --ground "$ground"
golden 4 erase_look.text
says "it was not confirmed" "without a terminal and without --confirm it is only shown"
[ "$(number 'SELECT count(*) FROM erasure')" = 0 ] && in_file Brambleworth
ok $? "and nothing was erased so far"

# ---- on a terminal ----

# typed TEXT: runs erase on a pseudo-terminal and types TEXT at the question.
typed() {
    python3 - "$program" "$store" "$ground" "$1" >"$out" 2>"$err" <<'PY'
import os, pty, sys, time
program, store, ground, answer = sys.argv[1:]
child, master = pty.fork()
if child == 0:
    os.execv(program, [program, "--store", store, "erase", "P-0001", "--ground", ground])
said = b""
while b"to erase: " not in said:
    part = os.read(master, 4096)
    if not part:
        break
    said += part
os.write(master, answer.encode() + b"\n")
while True:
    try:
        part = os.read(master, 4096)
    except OSError:
        break
    if not part:
        break
    said += part
sys.stdout.buffer.write(said)
sys.exit(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
PY
    code=$?
}
typed P-0010
[ "$code" = 4 ] && grep -qF "another number" "$out" && in_file Brambleworth
ok $? "another number typed at the question erases nothing"
typed P-0001
[ "$code" = 0 ] && grep -qF "Brambleworth, Tansy, born 2016-06-09" "$out" && grep -qF "values of 9 rows erased" "$out"
ok $? "who it is stands there, and its number typed again erases it"

# ---- afterwards ----

for word in Brambleworth brambleworth Tansy tansy "000 10 0101" "Separators placed for Tansy"; do
    ! in_file "$word"
    ok $? "no byte of the file holds $word"
done
run --store "$store" verify
answers 0 "the store is sound"
python3 "$source/tests/support/check_chain.py" "$store" >"$out" 2>"$err"
ok $? "and for a reader of another language"
for asked in "chart C-0001" "advise C-0001" "recall" "audit --month 2026-08" "audit --month 2026-08 --paper" "export patients" "export visits" "plan C-0001"; do
    # shellcheck disable=SC2086 # the words of a command line
    run --store "$store" $asked
    [ "$code" -le 1 ] && ! grep -qiE "Brambleworth|Tansy|000 10 0101" "$out" "$err"
    ok $? "$asked: no name"
done
run --store "$store" chart C-0001
[ "$code" = 0 ] && head -n 1 "$out" | grep -qF "C-0001  (erased)"
ok $? "the chart says so"
sed '1,6d' "$work/chart_before" | grep -E '^20[0-9-]* (upper|lower)' >"$work/clinical_before"
grep -E '^20[0-9-]* (upper|lower)' "$out" >"$work/clinical_after"
[ -s "$work/clinical_before" ] && cmp -s "$work/clinical_before" "$work/clinical_after"
ok $? "what was found and given stands as it stood"
run --store "$store" audit --month 2026-08 --paper
grep -qF "C-0001 (erased)" "$out"
ok $? "the month on paper too"
[ "$(number "SELECT count(*) FROM access WHERE what = 'erased' AND subject = 'P-0001'")" = 1 ]
ok $? "that it was done is in the log"
[ "$(number "SELECT group_concat(DISTINCT reason) FROM erasure")" = "$ground" ]
ok $? "the ground stands with each row"

# ---- nothing more is recorded ----

printf 'case,date,arch,kind\nC-0001,2026-11-20,,check\n' >"$work/v.csv"
run --store "$store" import "$work/v.csv"
[ "$code" = 4 ] && grep -qF "The patient was erased" "$err"
ok $? "a visit of it is not taken in"
printf 'chart,family\nP-0001,Another\n' >"$work/p.csv"
run --store "$store" import "$work/p.csv"
[ "$code" = 4 ] && grep -qF "of this chart number was erased" "$err"
ok $? "nor a name for its number"
printf 'case,chart,opened\nC-0999,P-0001,2026-11-20\n' >"$work/c.csv"
run --store "$store" import "$work/c.csv"
[ "$code" = 4 ] && grep -qF "The patient was erased" "$err"
ok $? "nor another case"

# ---- once more, by a script ----

run --store "$store" erase P-0001 --ground "$ground" --confirm P-0001
[ "$code" = 0 ] && grep -qF "nothing is left to blank" "$out" && grep -qF "written anew" "$out"
ok $? "given once more it only writes the file anew"
run --store "$store" erase P-0005 --ground "$ground" --confirm P-0005
[ "$code" = 0 ] && ! grep -qi "hemelrijk" "$out"
ok $? "a script that confirms sees no name"
run --store "$store" backup "$work/copy.db"
answers 0 "a backup is made and is sound"
! grep -qa Brambleworth "$work/copy.db"
ok $? "without the name"

# ---- to another practice ----

run --store "$store" export all --out "$work/all"
answers 0 "the practice is exported"
grep -qF 'P-0001,(erased),,,female,,,,,' "$work/all/patients.csv"
ok $? "the erased child is a row without anything personal"
run --store "$work/other.db" init
run --store "$work/other.db" import "$work/all"
answers 0 "another practice reads it"
run --store "$work/other.db" export all --out "$work/again"
diff -r "$work/all" "$work/again" >"$out" 2>&1
ok $? "and exports the same, byte for byte"

finish
