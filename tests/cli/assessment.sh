#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Tooth widths, arch segments, arch depths and plans as files: what is taken, what is refused in one
# sentence and why, that nothing of a bad file is kept, that an import is taken back whole.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
tooth_widths=case,date,tooth,method,repeat,mm,by
arch_segments=case,date,arch,method,repeat,back_right_mm,front_right_mm,front_left_mm,back_left_mm,by
arch_depths=case,date,arch,teeth,method,repeat,mm,by
plans=case,arch,made_on,equation,balance_mm,site,landmark,teeth,start_width_mm,depth_mm,target_mm,activations_least,activations_most,weeks_least,weeks_most,visits_least,visits_most,separators_on,bands_on,fit_on,active_from,active_to_earliest,active_to_latest,retention_to_earliest,retention_to_latest,by,note

# file KIND ROW...: a file with these rows; its name says nothing of its kind.
file() {
    kind=$1
    shift
    eval "printf '%s\r\n' \"\$$kind\"" >"$work/rows.csv"
    printf '%s\r\n' "$@" >>"$work/rows.csv"
}

# good KIND TITLE ROW...: is taken, by its header alone.
good() {
    kind=$1 title=$2
    shift 2
    file "$kind" "$@"
    run --store "$store" import "$work/rows.csv"
    answers 0 "taken: $title"
}

# bad KIND COLUMN TEXT TITLE ROW: one sentence about COLUMN that holds TEXT; rejected whole.
bad() {
    file "$1" "$5"
    rm -f "$work/rows.rejects.csv"
    run --store "$store" import "$work/rows.csv"
    [ "$code" = 4 ] && [ "$(grep -cv 'Nothing was kept. Mend' "$err")" = 1 ] &&
        grep -F -- "rows.csv line 2, $2: " "$err" | grep -qF -- "$3" &&
        cmp -s "$work/rows.csv" "$work/rows.rejects.csv"
    ok $? "refused: $4"
}

run --store "$store" init
printf 'chart,family,born\nP-1,Inkwell,2017-05-04\n' >"$work/patients.csv"
printf 'case,chart,opened\nC-1,P-1,2026-01-05\n' >"$work/cases.csv"
run --store "$store" import "$work/patients.csv"
run --store "$store" import "$work/cases.csv"
answers 0 "a case"
run --store "$store" verify
cp "$out" "$work/before"

# ---- tooth widths: the 52 codes of ISO 3950 and no other (tests/reference/iso3950.csv) ----
for tooth in 0 9 10 19 20 29 39 40 49 50 56 60 66 76 80 86 90 99 100; do
    bad tooth_widths tooth "There is no tooth $tooth" "tooth $tooth" "C-1,2026-01-05,$tooth,cast,1,7.00,"
done
bad tooth_widths tooth 'not a whole number' "a tooth in words" 'C-1,2026-01-05,upper six,cast,1,7.00,'
bad tooth_widths tooth 'is empty' "no tooth" 'C-1,2026-01-05,,cast,1,7.00,'
bad tooth_widths mm 'outside 1.00 to 15.00' "a width below zero" 'C-1,2026-01-05,11,cast,1,-8.50,'
bad tooth_widths mm 'outside 1.00 to 15.00' "a width of zero" 'C-1,2026-01-05,11,cast,1,0,'
bad tooth_widths mm 'outside 1.00 to 15.00' "ten times a width" 'C-1,2026-01-05,11,cast,1,85.00,'
bad tooth_widths mm 'outside 1.00 to 15.00' "a tenth of a width" 'C-1,2026-01-05,11,cast,1,0.85,'
bad tooth_widths mm 'outside 1.00 to 15.00' "just above the most" 'C-1,2026-01-05,11,cast,1,15.01,'
bad tooth_widths mm 'is empty' "no width" 'C-1,2026-01-05,11,cast,1,,'
bad tooth_widths repeat 'counted from 1' "measurement number 0" 'C-1,2026-01-05,11,cast,0,8.50,'
bad tooth_widths method 'mouth, cast or scan' "a method of no list" 'C-1,2026-01-05,11,ruler,1,8.50,'
bad tooth_widths date 'lies after today' "a measurement to come" 'C-1,2027-01-05,11,cast,1,8.50,'
bad tooth_widths case 'There is no case C-9' "a case that is not there" 'C-9,2026-01-05,11,cast,1,8.50,'

# ---- segments ----
bad arch_segments back_right_mm 'None of the four' "no segment" 'C-1,2026-01-05,upper,cast,1,,,,,'
bad arch_segments front_left_mm 'outside 4.00 to 45.00' "a segment below zero" 'C-1,2026-01-05,upper,cast,1,22.50,17.50,-17.50,22.50,'
bad arch_segments back_left_mm 'outside 4.00 to 45.00' "ten times a segment" 'C-1,2026-01-05,upper,cast,1,22.50,17.50,17.50,225.00,'
bad arch_segments arch 'upper or lower' "no such arch" 'C-1,2026-01-05,middle,cast,1,22.50,,,,'

# ---- depths ----
for depth in 4 400 0 -30 4.99 60.01; do
    bad arch_depths mm 'outside 5.00 to 60.00' "a depth of $depth mm" "C-1,2026-01-05,upper,16-26,cast,1,$depth,"
done
bad arch_depths teeth 'There is no tooth 19' "a line from a tooth that is none" 'C-1,2026-01-05,upper,19-26,cast,1,30.00,'
bad arch_depths teeth 'not in the upper arch' "a line in the other arch" 'C-1,2026-01-05,upper,46-36,cast,1,30.00,'

# ---- plans ----
plan='C-1,upper,2026-01-05,tanaka-johnston,-3.00,intermolar,gingival,16-26,31.00,30.00,38.00,4,6,12,24,5,8'
days='2026-02-02,2026-02-09,2026-02-16,2026-03-09,2026-06-01,2026-09-01,2026-12-01,2027-03-01'
bad plans equation 'tanaka-johnston, india-male' "an equation of no list" "$(echo "$plan" | sed s/tanaka-johnston/moyers/),$days,,"
bad plans balance_mm 'outside -50.00 to 50.00' "a balance that no arch has" "$(echo "$plan" | sed s/-3.00/-300/),$days,,"
bad plans depth_mm 'outside 5.00 to 60.00' "a depth of 4 mm" "$(echo "$plan" | sed s/,30.00,/,4.00,/),$days,,"
bad plans target_mm 'below start_width_mm' "a target below the start" "$(echo "$plan" | sed s/,38.00,/,30.00,/),$days,,"
bad plans landmark 'needs its landmark' "widths of no landmark" "$(echo "$plan" | sed s/gingival//),$days,,"
bad plans site 'needs its site' "widths of no site" "$(echo "$plan" | sed s/intermolar//),$days,,"
bad plans teeth 'needs its two teeth' "widths of no teeth" "$(echo "$plan" | sed s/16-26//),$days,,"
bad plans teeth 'not in the upper arch' "teeth of the other arch" "$(echo "$plan" | sed s/16-26/46-36/),$days,,"
bad plans activations_most '4 at least is more than 3' "more at least than at most" "$(echo "$plan" | sed s/,4,6,/,4,3,/),$days,,"
bad plans weeks_most '12 at least is more than 11' "the same of weeks" "$(echo "$plan" | sed s/,12,24,/,12,11,/),$days,,"
bad plans visits_most '5 at least is more than 4' "the same of visits" "$(echo "$plan" | sed 's/,5,8$/,5,4/'),$days,,"
bad plans bands_on 'before separators_on' "bands before separators" "$plan,$(echo "$days" | sed s/2026-02-09/2026-02-01/),,"
bad plans active_to_latest 'before active_to_earliest' "a latest end before the earliest" "$plan,$(echo "$days" | sed s/2026-09-01/2026-05-01/),,"
bad plans retention_to_latest 'more than 10 years' "a plan for the next century" "$plan,$(echo "$days" | sed s/2027-03-01/2127-03-01/),,"
bad plans made_on 'lies after today' "a plan made tomorrow" "$(echo "$plan" | sed s/2026-01-05/2026-11-26/),$days,,"
bad plans made_on 'is empty' "a plan of no day" "$(echo "$plan" | sed s/2026-01-05//),$days,,"
printf 'case,arch,separators_on,target_mm\r\nC-1,upper,2026-02-02,38.00\r\n' >"$work/rows.csv"
run --store "$store" import "$work/rows.csv"
[ "$code" = 4 ] && ! grep -q 'rows added' "$out"
ok $? "a header of case, arch and a day may be an expander's: it is no plan"

run --store "$store" verify
cmp -s "$out" "$work/before"
ok $? "of all the refused files nothing was kept"

# ---- what is taken ----
good tooth_widths "a permanent and a deciduous tooth, the widest and the least, a repeat" \
    'C-1,2026-01-05,11,cast,1,8.50,Tom' 'C-1,2026-01-05,11,cast,2,8.60,Tom' \
    'C-1,2026-01-05,85,mouth,1,15.00,' 'C-1,2026-01-05,72,scan,1,1.00,'
teeth=$(sed -n 's/^batch \(@[0-9]*\);.*/\1/p' "$out")
good arch_segments "four segments, and one alone" 'C-1,2026-01-05,lower,cast,1,21.00,11.00,11.00,21.00,' \
    'C-1,2026-01-05,upper,cast,1,,,14.50,,'
good arch_depths "depths from the molars and from the canines" 'C-1,2026-01-05,upper,13-23,cast,1,8.50,' \
    'C-1,2026-01-05,upper,16-26,cast,1,30.00,'
good plans "a plan with everything, and one with nothing but its day" \
    "C-1,lower,2026-01-05$(printf ',%.0s' $(seq 24))" "$plan,$days,Dr Moss,narrow palate"
run --store "$store" verify
answers 0 "the ledger covers them"
[ "$(sed -n 's/^ledger: \([0-9]*\).*/\1/p' "$out")" = $(($(sed -n 's/^ledger: \([0-9]*\).*/\1/p' "$work/before") + 14)) ]
ok $? "ten rows and their four saves"
for kind in tooth_widths arch_segments arch_depths plans; do
    run --store "$store" export $kind
    cp "$out" "$work/$kind.csv"
    run --store "$store" --format csv import "$work/$kind.csv"
    [ "$code" = 0 ] && grep -qE '^0,[0-9]+,0,yes' "$out"
    ok $? "$kind: its export brings nothing new"
done
printf '%s\r\n' "$tooth_widths" 'C-1,2026-01-05,11,cast,1,8.50,Tom' 'C-1,2026-01-05,11,cast,2,8.60,Tom' \
    'C-1,2026-01-05,72,scan,1,1.00,' 'C-1,2026-01-05,85,mouth,1,15.00,' | cmp -s - "$work/tooth_widths.csv"
ok $? "in the order of case, day, tooth, method and repeat"

# ---- the same key, other values ----
bad tooth_widths mm 'already recorded with other values (here "8.50")' "another width of the same measurement" 'C-1,2026-01-05,11,cast,1,8.40,Tom'
bad arch_segments front_left_mm 'already recorded with other values (here "14.50")' "another segment" 'C-1,2026-01-05,upper,cast,1,,,14.00,,'
bad arch_depths mm 'already recorded with other values (here "30.00")' "another depth" 'C-1,2026-01-05,upper,16-26,cast,1,31.00,'
bad plans target_mm 'already recorded with other values (here "38.00")' "another plan of the arch" "$(echo "$plan" | sed s/,38.00,/,39.00,/),$days,Dr Moss,narrow palate"

# ---- taken back ----
run --store "$store" undo-import "$teeth"
answers 0 "the tooth widths are taken back"
grep -q '4 rows withdrawn' "$out"
ok $? "all four of them"
run --store "$store" export tooth_widths
[ "$(wc -l <"$out")" = 1 ]
ok $? "and none is exported"
run --store "$store" import "$work/tooth_widths.csv"
answers 0 "they may be imported again"
run --store "$store" verify
answers 0 "the store is sound"
finish
