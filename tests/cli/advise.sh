#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What advise says beside the verdict: what was asked for, what is recorded of the same day, what
# stands open, and what was assumed. The answers are those the rules allow (may more be given with a
# reason recorded?), checked here against the amounts written in the same output.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
demo_store "$store"

# has TEXT TITLE: the output, its lines joined, holds TEXT.
has() {
    tr -s '\n ' '  ' <"$out" | grep -qF -- "$1"
    ok $? "$2"
}
# lacks TEXT TITLE
lacks() {
    ! tr -s '\n ' '  ' <"$out" | grep -qF -- "$1"
    ok $? "$2"
}
# asked ANSWER TITLE ARGUMENT...: the answer of the first arch as JSON.
asked() {
    answer=$1 title=$2
    shift 2
    run --store "$store" --format json advise "$@"
    [ "$code" = 0 ] && python3 -c '
import json, sys
row = json.load(open(sys.argv[1], encoding="utf-8"))[0]
asked, answer = row["asked"], sys.argv[2]
assert asked["answer"] == answer, asked
fits = all(asked[s + "_mm"] <= row[s]["permitted_mm"] for s in ("right", "left"))
assert fits == (answer == "permitted"), row
assert asked["text"].startswith("Asked: right %.2f, left %.2f mm: " % (
    asked["right_mm"], asked["left_mm"])), asked' "$out" "$answer"
    ok $? "asked: $title"
}

# ---- what was asked for ----
asked permitted "as much as is permitted" C-0017 --right 0.50 --left 0.50
asked needs-reason "more on one side" C-0017 --right 0.50 --left 0.75
asked refused "above the cap of one entry" C-0017 --right 5.01 --left 0.50
asked refused "an unrepaired fault today" C-0017 --right 0.50 --left 0.50 --hardware bent-wire
asked refused "over a wound more than reduced" C-0017 --right 1.00 --left 0.00 --tissue wound
asked needs-reason "over a wound no more than reduced" C-0017 --right 0.50 --left 0.00 --tissue wound
run --store "$store" advise C-0017 --right 0.50 --left 0.50
has 'Asked: right 0.50, left 0.50 mm: within what is permitted.' "within, in words"
run --store "$store" advise C-0017 --right 1.00 --left 2.50
has 'Asked: right 1.00, left 2.50 mm: more than permitted; it would need a recorded reason.' \
    "more than permitted, in words"
run --store "$store" advise C-0017 --right 1.00 --left 2.50 --hardware bent-wire
has 'can not be given: A hardware fault stands unrepaired' "refused, with the rule that does"
answers 0 "and the exit code is that of any verdict"
run --store "$store" advise C-0027 --arch lower --right 0.5 --left 0.5
has '(if the amounts asked for are given)' "the next visit counts what was asked for, and says so"
run --store "$store" advise C-0027 --arch lower
lacks 'asked for are given' "nothing asked, nothing said"
lacks 'Asked:' "nor answered"
run --store "$store" --format json advise C-0027
python3 -c '
import json, sys
assert all(row["asked"] is None for row in json.load(open(sys.argv[1], encoding="utf-8")))' "$out"
ok $? "nor in JSON"

# ---- the day itself ----
same() { # ANSWER TITLE DATE
    run --store "$store" --format json advise C-0031 --on "$3"
    grep -q "\"recorded_that_day\":$1," "$out"
    ok $? "$2, as JSON"
    run --store "$store" advise C-0031 --on "$3"
}
same true "a visit of the day is recorded" 2026-11-17
has 'A visit of this arch is recorded on 2026-11-17; this answer stands before it. The visit sheet counts it.' \
    "and said"
same false "none is the day after" 2026-11-18
lacks 'stands before it' "and none said"

# ---- the head ----
run --store "$store" advise C-0017
head -n 3 "$out" | grep -qx 'SAFETY: expander-unseen since 2026-11-07'
ok $? "a safety item stands in the head"
run --store "$store" advise C-0017 --on 2026-11-06
lacks SAFETY "not the day before it arose"
run --store "$store" advise C-0018
grep -qx 'ALERT: epilepsy' "$out" && grep -qx 'Stage on 2026-11-25: active, upper active' "$out"
ok $? "the alert and the stage"
run --store "$store" advise C-0036
has 'nothing to judge' "bands without a wire: nothing to judge"
has 'SAFETY: bands-without-wire since 2026-11-13' "but the safety item is told"
has 'upper arch: separators on 2026-09-10, bands on 2026-09-17, no day of fit is recorded.' \
    "and what is missing"

# ---- what was assumed ----
run --store "$store" advise C-0031
has 'Assumed sound, because it was not stated: tissue, hardware. Nobody looked today.' "assumed"
has 'The last visit, 2026-11-17, recorded loose-band:right;bent-wire, NOT repaired.' \
    "although the last visit recorded faults"
has 'rounded down to the protocol'"'"'s step of 0.25 mm.' "the step amounts are rounded to"
run --store "$store" advise C-0031 --hardware intact
has 'not stated: tissue. Nobody' "hardware stated: tissue alone is assumed"
lacks 'NOT repaired' "and the old faults are not brought up"
run --store "$store" advise C-0031 --on 2026-11-17
lacks 'NOT repaired' "nor before the day they were found"
run --store "$store" advise C-0034
has 'recorded a wound.' "a wound at the last visit"
run --store "$store" advise C-0034 --tissue none
lacks 'recorded a wound.' "stated sound: not brought up"
finish
