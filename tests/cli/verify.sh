#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What the chain can not see by itself, a cut end and a whole ledger hashed anew, is seen against a
# head that was kept outside: typed or pasted from the printed month, or in a backup's manifest.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
"$program" --store "$store" init 2>/dev/null && "$program" --store "$store" import "$source/demo" >/dev/null
ok $? "the demo is imported"
run --store "$store" backup "$work/early.db"
answers 0 "a backup is made"
cp "$store" "$work/older.db"
printf 'case,at,channel,outcome,by\nC-0007,2026-11-20T09:15:00Z,letter,left-word,desk\n' >"$work/contacts.csv"
run --store "$store" import "$work/contacts.csv"
answers 0 "more is recorded"
run --store "$store" backup "$work/late.db"
answers 0 "and backed up"
kept=$(sed -n 's/.*; head \([0-9]*:[0-9a-f]\{64\}\)$/\1/p' "$out")
row=${kept%%:*} hash=${kept#*:}
[ -n "$row" ] && [ "$hash" = "$(sqlite3 "$work/late.db" "SELECT lower(hex(hash)) FROM ledger WHERE sequence = $row")" ]
ok $? "backup prints a row and its hash"
fits="row $row has the hash that was kept: up to there it is the ledger of then"

# ---- what is printed can be typed and pasted ----

run --store "$store" verify --against "$kept"
[ "$code" = 0 ] && grep -qxF "$fits" "$out"
ok $? "what backup prints is taken by verify"
run --store "$work/late.db" verify
printed=$(sed -n 's/^ledger: .* head \([0-9]*:[0-9a-f]\{64\}\)$/\1/p' "$out")
run --store "$store" verify --against "$printed"
answers 0 "and what verify itself prints"
run --store "$store" verify --against "$row:$(printf %s "$hash" | cut -c 1-16 | tr 'a-f' 'A-F')"
[ "$code" = 0 ] && grep -qxF "$fits" "$out"
ok $? "sixteen digits will do, capitals or not"

run --store "$store" audit --month 2026-10 --paper
sed -n "/^springline verify --against '/,/'\$/p" "$out" >"$work/command"
[ "$(wc -l <"$work/command")" = 3 ] && [ "$(awk 'length > 80' "$work/command")" = "" ]
ok $? "the printed month ends with the command, within the paper"
(
    springline() { "$program" --store "$store" "$@"; }
    . "$work/command"
) >"$out" 2>"$err"
code=$?
[ "$code" = 0 ] && grep -qxF "row $(sed -n "s/.*'\([0-9]*\):.*/\1/p" "$work/command") has the hash that was kept: up to there it is the ledger of then" "$out"
ok $? "pasted into a shell as it is it is held against the store"

run --store "$store" verify --manifest "$work/early.db.manifest"
[ "$code" = 0 ] && grep -q '^row [0-9]* has the hash that was kept' "$out"
ok $? "an old manifest fits a store that went on"
run --store "$store" --format csv verify --manifest "$work/late.db.manifest"
[ "$code" = 0 ] && grep -qF "$fits" "$out"
ok $? "as CSV too"

# ---- what is none ----

for wrong in "" "$row" "$row:" ":$hash" "$row:abc" "0:$hash" "-$row:$hash" "$row:${hash}00" "$row:${hash%??}gg" \
    "99999999999999999999:$hash" "$row $hash"; do
    run --store "$store" verify --against "$wrong"
    refuses 2 "is no row of the ledger with its hash" "no anchor: $wrong"
done
run --store "$store" verify --manifest "$work/none.manifest"
refuses 4 "can not be opened" "a manifest that is not there"
run --store "$store" verify --manifest "$work"
refuses 4 "can not be" "a folder"
run --store "$store" verify --manifest "$work/contacts.csv"
refuses 4 "is no manifest of a backup" "another file"
run --store "$store" verify --manifest "$store"
refuses 4 "larger than" "a large one"
sed 's/^head ..../head /' "$work/late.db.manifest" >"$work/short.manifest"
run --store "$store" verify --manifest "$work/short.manifest"
refuses 4 "is no manifest of a backup" "one that is cut"

# ---- what does not fit ----

digit=$(printf %s "$hash" | cut -c 1)
run --store "$store" verify --against "$row:$(printf %s "$hash" | sed "s/^./$([ "$digit" = 0 ] && echo 1 || echo 0)/")"
refuses 1 "Row $row of the ledger does not have the hash that was kept outside: unless a digit was mistyped" \
    "another digit"
run --store "$store" verify --against "$((row - 1)):$hash"
refuses 1 "Row $((row - 1)) of the ledger does not have the hash" "another row"
"$program" --store "$work/other.db" init 2>/dev/null
"$program" --store "$work/other.db" backup "$work/stranger.db" >/dev/null
run --store "$store" verify --manifest "$work/stranger.db.manifest"
refuses 1 "The manifest is of another store" "the manifest of another store"

# An older copy in the place of the store: its end is cut off, and all of it matches.
run --store "$work/older.db" verify
answers 0 "an older copy is sound by itself"
run --store "$work/older.db" verify --manifest "$work/late.db.manifest"
refuses 1 "but row $row was kept outside: its end was cut off" "against the manifest its end is missing"
run --store "$work/older.db" verify --against "$kept"
refuses 1 "The ledger ends at row" "and against what was printed"
run --store "$work/older.db" verify --manifest "$work/early.db.manifest"
answers 0 "what was kept before fits"

# A width changed, and the whole ledger hashed anew by another program.
cp "$store" "$work/forged.db"
python3 "$source/tests/support/rehash_chain.py" "$work/forged.db" \
    "UPDATE width SET um = um - 1500 WHERE sequence = (SELECT min(sequence) FROM width)" 2>"$err"
ok $? "a width is changed and the ledger hashed anew"
python3 "$source/tests/support/check_chain.py" "$work/forged.db" >"$out" 2>"$err"
ok $? "its chain is whole for a reader of another language"
run --store "$work/forged.db" verify
answers 0 "and for verify, which can not see it alone"
run --store "$work/forged.db" verify --manifest "$work/early.db.manifest"
refuses 1 "does not have the hash that was kept outside" "against an old manifest it shows"
run --store "$work/forged.db" verify --against "$kept"
refuses 1 "does not have the hash that was kept outside" "and against what was printed"
run --store "$work/forged.db" audit --month 2026-10 --paper
[ "$code" = 0 ] && [ "$(sed -n "/^springline verify/,\$p" "$out" | head -n 3)" != "$(cat "$work/command")" ]
ok $? "a sheet printed from it does not close with the same hash"

# Damage and a head that does not fit: the damage is the sentence, the head a line.
sqlite3 "$work/forged.db" "DROP TRIGGER width_is_never_changed; UPDATE width SET um = um + 1 WHERE sequence = (SELECT min(sequence) FROM width)"
run --store "$work/forged.db" verify --against "$kept"
refuses 1 "is not what was recorded" "a store that does not even match"
grep -q '^ledger row [0-9]*, width ' "$out" && grep -q "does not have the hash" "$out"
ok $? "is held against the head all the same"
finish
