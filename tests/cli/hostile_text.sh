#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Nothing that is stored, read or given may steer a terminal (CWE-150) or a spreadsheet (CWE-1236):
# every byte from 1 to 255 and the characters that turn, hide or end text.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
run --store "$store" init
answers 0 "a new store"

# Are the streams free of what steers a terminal? Line feeds, and in CSV carriage returns, are good.
clean() { # TITLE
    python3 -c '
import sys, unicodedata
for name in sys.argv[1:]:
    data = open(name, "rb").read().decode("utf-8")  # must be UTF-8
    for character in data:
        bad = unicodedata.category(character) in ("Cc", "Cf", "Cs", "Zl", "Zp", "Cn") \
            and character not in "\n\r\u200c\u200d"
        assert not bad, (name, hex(ord(character)))' "$out" "$err"
    ok $? "$1"
}

# Each byte alone in a name, in a case number, as a word, as a number, in a header, in a path.
python3 - "$work" <<'PYTHON'
import os, sys
work = sys.argv[1]
header = b"chart,family,sex,born\r\n"
hidden = ["\u061c", "\u200b", "\u200e", "\u200f", "\u2028", "\u2029", "\u202a", "\u202e", "\u2060",
          "\u2066", "\u2069", "\ufeff", "\u0085", "\u009b", "\U000e0041", "\ufffe"]
pieces = [bytes([b]) for b in range(1, 256)] + [c.encode() for c in hidden]
with open(work + "/names.csv", "wb") as names:
    names.write(header)
    for number, piece in enumerate(pieces):
        if piece not in (b'"', b",", b"\r", b"\n"):
            names.write(b"P-%d,Ink" % number + piece + b"well,,\r\n")
with open(work + "/words.csv", "wb") as words:
    words.write(header)
    for number, piece in enumerate(pieces):
        if piece not in (b'"', b",", b"\r", b"\n"):
            words.write(b"W" + piece + b",Inkwell,x" + piece + b",2016" + piece + b"\r\n")
with open(work + "/header.csv", "wb") as out:
    out.write(b"chart,family," + b",".join(
        b"c%d" % n + p for n, p in enumerate(pieces) if p not in (b'"', b",", b"\r", b"\n")))
    out.write(b"\r\n")
PYTHON
run --store "$store" import "$work/names.csv"
[ "$code" = 4 ] && [ "$(grep -c ' line ' "$err")" = \
    $((31 - 2 + 1 + 128 + 16)) ]
ok $? "names: every control, every byte above 127 and every hidden character is refused"
clean "names: nothing raw reaches the terminal"
run --store "$store" import "$work/words.csv"
answers 4 "words, dates and numbers with them are refused"
clean "words: nothing raw reaches the terminal"
run --store "$store" import "$work/header.csv"
clean "columns: nothing raw reaches the terminal"
evil=$(printf 'C\033[31m\302\233\342\200\256x\377')
for command in "advise" "chart" "export" "import" "help" "recall"; do
    run --store "$store" $command "$evil"
    [ "$code" != 0 ] && [ "$(wc -l <"$err")" = 1 ]
    ok $? "$command: one sentence on a hostile word"
    clean "$command: nothing raw reaches the terminal"
done
run --store "$work/$evil" recall
[ "$code" = 3 ]
ok $? "a hostile path is no store"
clean "a path: nothing raw reaches the terminal"
run "--$evil"
clean "an option: nothing raw reaches the terminal"

# Formulas: written with a guard, read without it, the same again after.
printf 'chart,family,given,phone\r\nP-1,=1+1,+1,@sum\r\n' >"$work/formulas.csv"
printf "P-2,'quoted,-1,+49 000 000\r\n" >>"$work/formulas.csv"
printf "P-3,''twice,=HYPERLINK(A1),-\r\n" >>"$work/formulas.csv"
run --store "$store" import "$work/formulas.csv"
answers 0 "names that begin like formulas are taken"
run --store "$store" export patients
! cut -d, -f2-3,7 "$out" | grep -Eq '(^|,)[=+@-]'
ok $? "they come out with a guard"
cp "$out" "$work/first.csv"
run --store "$work/second.db" init
run --store "$work/second.db" import "$work/first.csv"
run --store "$work/second.db" export patients
cmp -s "$out" "$work/first.csv"
ok $? "and are the same after a second round"
run --store "$store" --format json export patients
python3 -c '
import json, sys
rows = json.load(open(sys.argv[1], encoding="utf-8"))
assert [row["family"] for row in rows] == ["=1+1", "quoted", "\u0027twice"], rows' "$out"
ok $? "JSON needs no guard"

# A store that was written by something else: what got past every check is shown harmlessly.
printf 'case,chart,opened\r\nC-1,P-1,2026-01-05\r\n' >"$work/cases.csv"
printf 'case,arch,fitted_on\r\nC-1,upper,2026-01-12\r\n' >"$work/expanders.csv"
run --store "$store" import "$work/cases.csv"
run --store "$store" import "$work/expanders.csv"
answers 0 "a case to be called"
python3 - "$store" <<'PYTHON'
import sqlite3, sys
store = sqlite3.connect(sys.argv[1])
store.execute("PRAGMA ignore_check_constraints = ON")
evil = "Ink\x1b[31m\x9b2J\u202e\x07well"
store.execute("UPDATE case_state SET family = ?, phone = ?", (evil, evil))
store.commit()
PYTHON
for format in text json; do
    run --store "$store" --format $format recall
    [ "$code" = 0 ] && grep -q 'Ink' "$out"
    ok $? "a spoiled store is shown as $format"
    clean "$format: nothing raw reaches the terminal"
done
run --store "$store" verify
answers 1 "and verify names it"
clean "verify: nothing raw reaches the terminal"
finish
