#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# How each sub-command ends: 0 good, 1 the answer is no, 2 usage, 3 store or output unusable, 4 input
# refused; data on the output, messages beside it, one sentence each.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"

silent() { # TITLE: nothing on the messages
    [ ! -s "$err" ]
    ok $? "$1"
}

# ---- 0 ----
for command in recall "audit --month 2026-10" "advise C-0018" "chart C-0018" "export cases" verify \
    "recall --on 2026-11-25 --within 28" "--format csv recall" "--format=json recall"; do
    # shellcheck disable=SC2086
    case $command in
    --*) run $command --store "$store" ;;
    *) run --store "$store" $command ;;
    esac
    [ "$code" = 0 ] && [ -s "$out" ] && [ ! -s "$err" ]
    ok $? "$command ends well and says nothing beside"
done
run --store "$store" recall --format csv
cp "$out" "$work/after"
run --store "$store" --format csv recall
cmp -s "$out" "$work/after"
ok $? "--format may stand before or after the sub-command"
SPRINGLINE_STORE=$store
export SPRINGLINE_STORE
run recall
answers 0 "SPRINGLINE_STORE names the store"
unset SPRINGLINE_STORE

# The default place: its folders are made by init, for the owner alone.
XDG_DATA_HOME=$work/home/data
export XDG_DATA_HOME
run init
answers 0 "init at the default place"
[ -f "$XDG_DATA_HOME/springline/practice.db" ] && [ -z "$(find "$work/home" -perm /077)" ]
ok $? "the store and its folders are for their owner alone"
run recall
answers 1 "and it is found there"
run --store "$work/no/such/folder/practice.db" init
refuses 3 "" "folders of a place that was given are not made"

# ---- 1 ----
run --store "$store" recall --on 2024-01-01
[ "$code" = 1 ] && [ "$(wc -l <"$out")" = 1 ] && [ ! -s "$err" ]
ok $? "an empty recall is its header alone"
run --store "$store" --format csv recall --on 2024-01-01
[ "$code" = 1 ] && [ "$(wc -l <"$out")" = 1 ]
ok $? "as CSV too"
run --store "$store" --format json recall --on 2024-01-01
[ "$code" = 1 ] && [ "$(cat "$out")" = "[]" ]
ok $? "as JSON an empty array"
run --store "$store" audit --month 2024-01
[ "$code" = 1 ] && [ "$(wc -l <"$out")" = 1 ] && [ ! -s "$err" ]
ok $? "an empty audit is its header alone"
run --store "$store" audit --month 2024-01 --paper
[ "$code" = 1 ] && grep -q 'page 1 of 1' "$out"
ok $? "an empty month on paper is one page"
run --store "$store" audit --month 2026-10 --as-of 2001-01-01T00:00:00Z
refuses 1 "" "an audit as of before the first row"
run --store "$store" audit --month 2026-10 --as-of @0
refuses 1 "begins with row 1" "an audit as of row 0"
run --store "$store" audit --month 2026-10 --as-of @2
[ "$code" = 1 ] && [ "$(wc -l <"$out")" = 1 ]
ok $? "as of a row before the import there was nobody"
run --store "$store" --format csv audit --month 2026-10
cp "$out" "$work/now"
last=$("$program" --store "$store" verify | sed -n 's/^ledger: \([0-9]*\).*/\1/p')
run --store "$store" --format csv audit --month 2026-10 --as-of "@$last"
cmp -s "$out" "$work/now"
ok $? "as of the last row it is the audit of now"
run --store "$store" audit --month 2026-10 --as-of "@$last"
grep -qx "As of ledger row $last." "$out"
ok $? "and the sheet says as of which row it is"
run --store "$store" audit --month 2026-10 --as-of "@$((last + 1))"
refuses 4 "The ledger ends with row $last" "a row that is not there yet"

# ---- 2 ----
usage() { # TEXT TITLE ARGUMENT...
    text=$1 title=$2
    shift 2
    run --store "$store" "$@"
    refuses 2 "$text" "$title"
    [ ! -s "$out" ]
    ok $? "... and nothing on the output"
}
usage 'no sub-command "recal"; the nearest is recall' "a letter too few" recal
usage 'the nearest is audit' "two letters in the wrong order" audti
usage 'the nearest is chart' "another letter" chars
usage 'the nearest is verify' "a letter too many" verrify
usage 'no sub-command "reca"; see springline help' "two letters too few: nothing is guessed" reca
usage 'see springline help' "nor for what is like none" frobnicate
usage '--bogus' "an option that is none" recall --bogus
usage 'needs a value' "an option without its value" recall --on
usage 'not a day of the calendar' "30 February" recall --on 2026-02-30
usage 'whole number' "days that are none" recall --within soon
usage 'safety, overdue, due, booked, resting or retention' "a group that is none" recall --group late
usage 'one word too many' "a word too many" recall now
usage 'Give the month' "an audit of no month" audit
usage 'no month' "month 13" audit --month 2026-13
usage 'no moment' "a moment that is none" audit --month 2026-10 --as-of yesterday
usage 'audit --paper is offered as text only' "paper as CSV" --format csv audit --month 2026-10 --paper
usage 'Give a case number such as C-0001 after advise' "advice on nobody" advise
usage 'Give a case number such as C-0001 after chart' "a chart of nobody" chart
usage 'Give a CSV file or a folder' "an import of nothing" import
usage 'Give a kind of record such as visits, or all' "an export of nothing" export
usage 'upper or lower' "an arch that is none" advise C-0018 --arch middle
usage 'both --right and --left' "half a proposal" advise C-0018 --right 1.00
usage 'below 0' "less than nothing" advise C-0018 --right=-1 --left 1
usage 'none, mild or wound' "tissue that is none" advise C-0018 --tissue fine
usage '--hardware' "hardware that is none" advise C-0018 --hardware rust
usage 'what was repaired' "repaired, but what" advise C-0018 --repaired
usage 'file to draw into' "a drawing without a file" chart C-0018 --svg=
usage 'text only' "a drawing as CSV" --format csv chart C-0018 --svg "$work/chart.svg"
usage 'text only' "a chart as JSON" --format json chart C-0018
usage 'text, csv or json' "a format that is none" --format xml recall
usage 'folder' "every kind without a folder" export all
usage 'patients, cases' "a kind that is none" export teeth
usage 'csv or json' "an export as text" --format text export cases
usage 'no sub-command' "help on what is none" help teeth
[ ! -e "$work/chart.svg" ]
ok $? "no drawing was made"
run --store
refuses 2 '--store' "no store after --store"

# ---- 3 ----
for command in recall "audit --month 2026-10" "advise C-0018" "chart C-0018" "export cases" verify \
    "import $source/demo"; do
    # shellcheck disable=SC2086
    run --store "$work/none.db" $command
    refuses 3 "none.db" "$command without a store"
done
run --store "$store" init
refuses 4 "" "init where a store is"
if [ -c /dev/full ]; then
    for command in recall "--format csv recall" "--format json recall" "audit --month 2026-10" \
        "advise C-0018" "chart C-0018" "export wear_days" verify help version; do
        # shellcheck disable=SC2086
        "$program" --store "$store" $command >/dev/full 2>"$err"
        code=$?
        : >"$out"
        refuses 3 "could not be written whole" "$command on a full disk"
    done
fi
"$program" --store "$store" export wear_days 2>"$err" | head -n 1 >"$out"
silent "a reader that has seen enough is no reason to complain"
# A stream that was closed must not become the number of the store's file, or of another.
cp "$store" "$work/closed.db"
chmod 600 "$work/closed.db"
"$program" --store "$work/closed.db" export wear_days >&- 2>"$err" <&-
code=$?
: >"$out"
refuses 3 "could not be written whole" "an output that is closed"
"$program" --store "$work/closed.db" recall >&- 2>&- <&-
code=$?
[ $code = 3 ]
ok $? "every stream closed"
"$program" --store "$work/closed.db" chart C-0018 --svg "$work/closed.svg" >&- 2>&- <&-
run --store "$work/closed.db" verify
answers 0 "the store is as it was"
grep -q '^</svg>' "$work/closed.svg" && ! grep -q 'springline:' "$work/closed.svg"
ok $? "and what is printed went into no file"

# ---- 4 ----
run --store "$store" advise C-9999
refuses 4 'There is no case C-9999' "advice on a case nobody knows"
[ ! -s "$out" ]
ok $? "and nothing on the output"
run --store "$store" --format json chart c-0018
refuses 2 'text only' "the format is looked at first"
run --store "$store" chart c-0018
[ "$code" = 0 ] && grep -q 'C-0018' "$out" && ! grep -q 'c-0018' "$out"
ok $? "a case number in small letters finds the one case it can mean"
printf 'chart,family\r\nP-1,Inkwell\r\n' >"$work/patients.csv"
printf 'case,chart,opened\r\nAb-1,P-1,2026-01-05\r\naB-1,P-1,2026-01-05\r\n' >"$work/cases.csv"
run --store "$work/two.db" init
run --store "$work/two.db" import "$work/patients.csv"
run --store "$work/two.db" import "$work/cases.csv"
run --store "$work/two.db" advise aB-1
[ "$code" = 0 ] && grep -q '^aB-1' "$out"
ok $? "two that differ in nothing else are told apart"
run --store "$work/two.db" advise ab-1
refuses 4 'There is no case ab-1' "and where both can be meant neither is"
run --store "$store" audit --month 2027-01
refuses 4 '2027-01' "the audit of a month to come"
run --store "$store" export all --out "$source/Makefile"
refuses 4 'Makefile' "an export into a file"

run --store "$store" export cases --out /proc/no/such/place
refuses 4 '/proc/no/such/place' "an export where no folder can be made"

# ---- a full disk, played by a limit on the size of files: EFBIG in place of ENOSPC ----
run --store "$store" export all --out "$work/kept"
silent "a first export replaces nothing"
run --store "$store" export visits --out "$work/kept"
[ "$code" = 0 ] && [ "$(cat "$err")" = "springline: replaced: $work/kept/visits.csv" ]
ok $? "a second one names what it replaced"
cp -r "$work/kept" "$work/before"
(
    ulimit -f 1
    "$program" --store "$store" export all --out "$work/kept" >"$out" 2>"$err"
)
code=$?
refuses 3 "could not be written whole" "an export that does not fit"
diff -r "$work/kept" "$work/before" >"$out" 2>&1
ok $? "the files of the last export are as they were, and nothing lies beside them"
sum=$(cksum <"$store")
sed 's/^P-/Q-/' "$source/demo/patients.csv" >"$work/patients.csv"
size=$(($(wc -c <"$store") / 512 + 4))
(
    ulimit -f $size
    "$program" --store "$store" import "$work/patients.csv" >"$out" 2>"$err"
)
code=$?
[ "$code" = 3 ] && [ "$(wc -l <"$err")" = 1 ] && [ ! -s "$out" ]
ok $? "an import that does not fit says so in one sentence"
run --store "$store" verify
answers 0 "and the store is sound"
[ "$(cksum <"$store")" = "$sum" ]
ok $? "and as it was, byte for byte"
finish
