#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# undo-import and backup as the shell has them (interchange.md): what they say, how they end, and
# that an import taken back and given again leaves the same practice.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"
batch=$(sed -n 's/^batch \(@[0-9]*\);.*/\1/p' "$out")
[ -n "$batch" ] && grep -qx "batch $batch; springline undo-import $batch takes it back" "$out"
ok $? "import says by which number it is taken back"
run --store "$store" export all --out "$work/before"
for case in C-0001 C-0007 C-0035; do
    "$program" --store "$store" --format json advise $case
done >"$work/advice_before" 2>&1
run --store "$store" --format csv import "$source/demo"
[ "$code" = 0 ] && grep -q '^0,2305,0,yes,' "$out" && ! grep -q '@' "$out"
ok $? "an import that brings nothing new has no number"

# ---- undo-import ----

for unknown in @1 0 12x all @999999999999999999999; do
    run --store "$store" undo-import "$unknown"
    [ "$code" = 4 ] && [ ! -s "$out" ] && grep -q "^$batch  .*  2305 rows\$" "$err" &&
        [ "$(tail -n 1 "$err")" = \
            "springline: There is no import \"$unknown\"; give one of these." ]
    ok $? "an unknown batch $unknown: those there are"
done
run --store "$store" undo-import
refuses 2 "undo-import" "without a batch it is a wrong command line"
run --store "$store" --format json undo-import "$batch"
refuses 2 "text only" "as JSON it is not offered"

cat >"$work/more.csv" <<'END'
case,at,channel,outcome,again_on,by,note
C-0007,2026-11-20T09:15:00Z,letter,,,Pia Lanternhouse,
END
run --store "$store" import "$work/more.csv"
answers 0 "a second import, of a contact"
more=$(sed -n 's/^batch \(@[0-9]*\);.*/\1/p' "$out")
run --store "$store" undo-import "$batch"
refuses 4 "contact of case C-0007, at 2026-11-20T09:15:00Z, channel letter" \
    "the first that stands in the way is named"
refuses 4 "take back import $more first" "and what to do"
run --store "$store" export all --out "$work/untouched"
run --store "$store" undo-import "$more"
[ "$code" = 0 ] && grep -qF "1 row withdrawn, 0 cases among them" "$out"
ok $? "the second is taken back"
run --store "$store" export all --out "$work/again"
diff -r "$work/before" "$work/again" >"$out" 2>&1
ok $? "and the practice is what it was before it"

run --store "$store" undo-import "${batch#@}"
[ "$code" = 0 ] && grep -qF "2305 rows withdrawn, 50 cases among them" "$out"
ok $? "then the first, spelled without the sign"
run --store "$store" recall
answers 1 "nobody is left to be called"
run --store "$store" advise C-0007
refuses 4 "C-0007" "no case is left"
run --store "$store" verify
answers 0 "the store is sound"
run --store "$store" undo-import "$batch"
refuses 4 "taken back already" "a second time there is nothing to take back"

run --store "$store" import "$source/demo"
answers 0 "the same files are imported again"
run --store "$store" export all --out "$work/after"
diff -r "$work/before" "$work/after" >"$out" 2>&1
ok $? "the export is the same, byte for byte"
for case in C-0001 C-0007 C-0035; do
    "$program" --store "$store" --format json advise $case
done >"$work/advice_after" 2>&1
cmp -s "$work/advice_before" "$work/advice_after"
ok $? "and so is the advice"
run --store "$store" verify
answers 0 "sound"

# ---- backup ----

copy=$work/copy.db
run --store "$store" backup "$copy"
answers 0 "a backup is made"
run --store "$copy" verify
answers 0 "it is a sound store"
# The head of the copy, as verify walks it, is the one in the manifest. Opening it added nothing.
head=$(sed -n 's/.*head [0-9]*:\([0-9a-f]\{64\}\)$/\1/p' "$out")
[ -n "$head" ] && grep -qx "head $head" "$copy.manifest" &&
    grep -qx "rows $(sed -n 's/^ledger: \([0-9]*\) rows.*/\1/p' "$out")" "$copy.manifest"
ok $? "the manifest holds its head and its rows"
[ -z "$(find "$copy" "$copy.manifest" ! -perm 0600)" ] && [ ! -e "$copy.part" ]
ok $? "both are for their owner alone, and nothing is left aside"
run --store "$copy" export all --out "$work/copied"
diff -r "$work/before" "$work/copied" >"$out" 2>&1
ok $? "it exports the same practice"
[ "$(python3 -c 'import sqlite3, sys
print(sqlite3.connect(sys.argv[1]).execute(
    "SELECT label FROM request WHERE command = ?", ("backup",)).fetchone()[0])' "$store")" = \
    "$(cd "${copy%/*}" && pwd -P)/copy.db" ]
ok $? "the store remembers that it was made, and where"
run --store "$store" verify
answers 0 "and is sound with it"

cp "$copy" "$work/kept"
run --store "$store" backup "$copy"
refuses 4 "exists already" "a file that is there is left as it is"
cmp -s "$copy" "$work/kept"
ok $? "byte for byte"
run --store "$store" backup "$work/no/folder/copy.db"
refuses 3 "could not be written" "where there is no folder nothing is written"
run --store "$store" backup "$work"
refuses 4 "exists already" "a folder is no name for a backup"
run --store "$work/none.db" backup "$work/other.db"
refuses 3 "no store" "without a store there is none"
[ ! -e "$work/other.db" ] && [ ! -e "$work/other.db.part" ]
ok $? "and nothing is left"
run --store "$store" backup
refuses 2 "backup" "without a file it is a wrong command line"
(cd "$work" && "$program" --store "$store" backup 'a name with ÄÖ; and $(blanks)' >"$out" 2>"$err")
[ -s "$work/a name with ÄÖ; and \$(blanks)" ]
ok $? "any name will do"

# ---- help ----

run help undo-import
golden 0 help_undo_import.text
run help backup
golden 0 help_backup.text
finish
