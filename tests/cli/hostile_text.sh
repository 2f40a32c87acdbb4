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

# Each piece of tests/support/hostile.c in each text column of each kind of file.
spoil=${SPRINGLINE_BUILD:-$source/build}/tests/support/spoil
"$spoil" --list >"$work/pieces"
"$spoil" --columns >"$work/columns"
run --store "$work/demo.db" init --alone
run --store "$work/demo.db" import "$source/demo"
answers 0 "the demo practice is taken in"
python3 - "$work" "$source/demo" <<'PYTHON'
import csv, os, sys
work, demo = sys.argv[1:]
pieces = [bytes.fromhex(line.split()[0]) for line in open(work + "/pieces")
          if line.split()[1] == "refused"]
os.mkdir(work + "/typed")
for line in open(work + "/columns"):
    kind, column = line.split()
    with open(f"{demo}/{kind}.csv", newline="", encoding="utf-8") as file:
        header, first = list(csv.reader(file))[:2]
    with open(f"{work}/typed/{kind}.{column}.csv", "wb") as out:
        out.write(",".join(header).encode() + b"\r\n")
        for piece in pieces:
            cells = [b'"' + cell.encode().replace(b'"', b'""') + b'"' for cell in first]
            cells[header.index(column)] = b'"In' + piece + b'k"'
            out.write(b",".join(cells) + b"\r\n")
PYTHON
refused=$(grep -c refused "$work/pieces")
wrong=
total=0
: >"$work/all"
for file in "$work"/typed/*.csv; do
    column=${file%.csv}
    column=${column##*.}
    run --store "$work/demo.db" import --dry-run "$file"
    cat "$out" "$err" >>"$work/all"
    told=$(grep -o " line [0-9]*, $column: Character" "$err" | sort -u | wc -l)
    [ "$code" = 4 ] && [ "$told" = "$refused" ] || wrong="$wrong ${file##*/}:$told"
    total=$((total + 1))
done
[ -z "$wrong" ] && [ "$refused" -gt 40 ] && [ "$total" -gt 25 ]
ok $? "$refused pieces in $total columns: each is refused by one sentence that names its column $wrong"
cp "$work/all" "$out"
clean "and nothing of them is in the sentences"

# A practice that was written by something else: hostile text in every text column. Whatever got
# past every check is shown harmlessly by every sub-command in every format.
cp "$work/demo.db" "$work/spoilt.db"
"$spoil" "$work/spoilt.db"
ok $? "every text column is spoilt"
number() {
    "$spoil" --say "$1"
    printf x
}
one=$(number C-0007)
one=${one%x}
two=$(number C-0018)
two=${two%x}
unclean=
: >"$work/shown"
show() { # NAME ARGUMENT...: runs it, and keeps what it wrote
    name=$1
    shift
    run --store "$work/spoilt.db" "$@"
    cat "$out" "$err" >>"$work/shown"
    cp "$out" "$work/kept.$name"
    [ "$code" -le 4 ] && [ -s "$work/kept.$name" ] || unclean="$unclean $name:$code"
}
for format in text json; do
    show recall.$format --format $format recall
    show audit.$format --format $format audit --month 2026-10
    show verify.$format --format $format verify
    for number in "$one" "$two"; do
        show advise.$format --format $format advise "$number"
        show plan.$format --format $format plan "$number"
    done
done
show chart chart "$two"
show chart_assessed chart "$one"
show again import --dry-run "$source/demo"
run --store "$work/spoilt.db" audit --month 2026-10 --paper
answers 0 "the month is printed"
sed 's/^\f//' "$out" >>"$work/shown" # a page of its own begins a new sheet
run --store "$work/spoilt.db" chart "$two" --svg "$work/drawn.svg"
answers 0 "a chart is drawn"
cat "$work/drawn.svg" "$out" "$err" >>"$work/shown"
run --store "$work/spoilt.db" undo-import @1
cat "$out" "$err" >>"$work/shown"
run --store "$work/spoilt.db" backup "$work/copy.db"
cat "$out" "$err" >>"$work/shown"
[ -z "$unclean" ]
ok $? "every sub-command answers over a spoilt store $unclean"
[ "$(grep -o 'qZ' "$work/shown" | wc -l)" -gt 300 ]
ok $? "and what they write holds the hostile text"
cp "$work/shown" "$out"
: >"$err"
clean "but nothing raw reaches the terminal"
if command -v xmllint >/dev/null; then
    xmllint --noout "$work/drawn.svg" 2>"$err"
    ok $? "the drawing is XML"
fi

# CSV and JSON are data: every row is there, is read by an outside parser, and is what is stored; a
# byte that is not UTF-8 can not stand in JSON and is U+FFFD there (RFC 8259).
for kind in $(cut -d' ' -f1 "$work/columns" | sort -u); do
    run --store "$work/spoilt.db" export "$kind"
    cp "$out" "$work/data.$kind.csv"
    run --store "$work/spoilt.db" --format json export "$kind"
    cp "$out" "$work/data.$kind.json"
    run --store "$work/demo.db" export "$kind"
    cp "$out" "$work/data.$kind.sound"
done
python3 - "$work" >"$out" 2>"$err" <<'PYTHON'
import csv, io, json, os, subprocess, sys
work = sys.argv[1]
columns = [line.split() for line in open(work + "/columns")]
compared = 0
for kind in {kind for kind, _ in columns}:
    def read(end):
        data = open(f"{work}/data.{kind}.{end}", "rb").read().decode("utf-8", "surrogateescape")
        return list(csv.DictReader(io.StringIO(data, newline="")))
    spoilt, sound = read("csv"), read("sound")
    objects = json.load(open(f"{work}/data.{kind}.json", encoding="utf-8"))
    assert len(spoilt) == len(sound) == len(objects) > 0, kind
    for row, object in zip(spoilt, objects):
        for column in [column for k, column in columns if k == kind]:
            cell = row[column]
            assert not cell.startswith(tuple("=+-@\t\r")), (kind, column, cell)
            stored = cell[1:] if cell.startswith("'") else cell
            try:
                stored.encode("utf-8")
            except UnicodeEncodeError:
                assert "\ufffd" in object[column], (kind, column, object[column])
            else:
                assert (object[column] or "") == stored, (kind, column, cell, object[column])
            compared += 1
assert compared > 3000, compared
print(compared, "cells compared")
PYTHON
ok $? "CSV and JSON of every kind are read by outside parsers and say the same"

# On a terminal CSV is only looked at: there it is shown like text.
python3 - "$program" "$work" >"$out" 2>"$err" <<'PYTHON'
import os, pty, sys
program, work = sys.argv[1:]
def shown(*arguments):
    child, terminal = pty.fork()
    if child == 0:
        os.execv(program, [program, "--store", work + "/spoilt.db", *arguments])
    parts = []
    while True:
        try:
            part = os.read(terminal, 65536)
        except OSError:
            break
        if not part:
            break
        parts.append(part)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    return b"".join(parts).replace(b"\r\r\n", b"\n").replace(b"\r\n", b"\n")
every = shown("export", "patients") + shown("--format", "csv", "recall")
assert every.count(b"qZ") > 100
sys.stdout.buffer.write(every)
PYTHON
ok $? "CSV is written to a terminal"
clean "and nothing raw reaches it"

# A name of a file is no text that may be stored as it is.
strange=$(printf 'strange\033[31m\377\n.csv')
printf 'chart,family\r\nP-9001,Inkwell\r\n' >"$work/$strange"
run --store "$work/demo.db" import "$work/$strange"
answers 0 "a file with a strange name is taken in"
python3 - "$work/demo.db" >"$out" 2>"$err" <<'PYTHON'
import sqlite3, sys
store = sqlite3.connect(sys.argv[1])
label, = store.execute("SELECT label FROM request ORDER BY sequence DESC LIMIT 1").fetchone()
assert label.endswith("strange\\x1B[31m\\xFF\\x0A.csv"), label
PYTHON
ok $? "and the name is stored as it can be shown"
run --store "$work/demo.db" verify
answers 0 "the store is sound"
finish
