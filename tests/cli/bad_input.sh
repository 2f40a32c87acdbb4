#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What an import must not take: each row gets one clear sentence that names file, line and column,
# the exit code is 4, the row lies in the rejects, and nothing of the file is kept.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

store=$work/practice.db
patients=chart,family,given,born,sex,guardian,phone,guardian2,phone2,alerts
cases=case,chart,opened,consent_on,asked_on,protocol,closed_on,closed_reason,clinician
trainers=case,issued_on,ended_on,ended_reason
expanders=case,arch,separators_on,banded_on,fitted_on,wire_mm,loop_right_mm,sides,plan_gap_mm,site,landmark,teeth,target_mm,passive_on,out_on,out_reason
visits=case,date,kind,arch,right_mm,left_mm,tissue,hardware,repaired,elsewhere,override_reason,next_on,by,note
widths=case,date,arch,site,landmark,teeth,method,repeat,mm,by
wear_days=case,date,day_minutes,night,source
wear_counts=case,from,to,days_met,days_asked,source
contacts=case,at,channel,outcome,again_on,by,note
bookings=case,date,time,kind,state,cancelled_by

# file KIND ROW...: a file of that kind with these rows.
file() {
    kind=$1
    shift
    eval "printf '%s\r\n' \"\$$kind\"" >"$work/$kind.csv"
    printf '%s\r\n' "$@" >>"$work/$kind.csv"
}

# good KIND TITLE ROW...: is taken.
good() {
    kind=$1 title=$2
    shift 2
    file "$kind" "$@"
    run --store "$store" import "$work/$kind.csv"
    answers 0 "taken: $title"
}

# bad KIND COLUMN TEXT TITLE ROW: one row, one sentence about COLUMN that holds TEXT; rejected whole.
bad() {
    kind=$1 column=$2 text=$3 title=$4
    file "$kind" "$5"
    rm -f "$work/$kind.rejects.csv"
    run --store "$store" import "$work/$kind.csv"
    place="$kind.csv line 2${column:+, $column}: "
    [ "$code" = 4 ] &&
        [ "$(grep -cv 'Nothing was kept. Mend' "$err")" = 1 ] &&
        grep -F -- "$place" "$err" | grep -qF -- "$text" &&
        grep -q '0 rows good, 0 already recorded, 1 refused; nothing was kept' "$out" &&
        cmp -s "$work/$kind.csv" "$work/$kind.rejects.csv"
    ok $? "$title"
}

run --store "$store" init
answers 0 "a new store"
good patients "one patient" 'P-1,Inkwell,Ann,2016-05-04,female,,,,,'
good cases "one case" 'C-1,P-1,2026-01-05,2026-01-05,2026-01-05,,,,'
good trainers "one trainer" 'C-1,2026-01-05,2026-06-01,broken'
good expanders "two expanders, one after the other" \
    'C-1,upper,2026-01-05,2026-01-12,2026-01-19,0.70,6.00,both,0.00,intermolar,gingival,16-26,38.00,,2026-06-01,repair' \
    'C-1,upper,,,2026-07-01,0.70,6.00,both,0.00,intermolar,gingival,16-26,38.00,,2026-09-01,rest'
good visits "one activation" 'C-1,2026-02-02,activation,upper,1.00,1.00,none,intact,,no,,2026-02-23,,'
good wear_counts "one count" 'C-1,2026-01-05,2026-01-18,12,14,told'
run --store "$store" verify
cp "$out" "$work/before"

# ---- the cell ----
bad patients born 'There is no day 2016-02-30' "30 February" 'P-2,Inkwell,Bob,2016-02-30,,,,,,'
bad patients born 'YYYY-MM-DD' "a date in another order" 'P-2,Inkwell,Bob,04/05/2016,,,,,,'
bad patients born 'lies after today' "born after today" 'P-2,Inkwell,Bob,2027-01-01,,,,,,'
bad patients sex 'male, female, other or unknown' "an unknown word names the known ones" \
    'P-2,Inkwell,Bob,2016-05-04,boy,,,,,'
bad patients family 'is empty' "a needed cell is empty" 'P-2,,Bob,2016-05-04,,,,,,'
bad patients chart 'blank' "a blank behind a number" 'P-2 ,Inkwell,Bob,,,,,,,'
bad patients family 'UTF-8' "bytes that are not UTF-8" "$(printf 'P-2,Ink\377well,Bob,,,,,,,')"
bad patients family 'control' "a control character in a name" "$(printf 'P-2,Ink\033[31mwell,Bob,,,,,,,')"
bad patients family 'direction of writing' "a bidi control in a name" "$(printf 'P-2,Ink\342\200\256well,Bob,,,,,,,')"
long=$(printf '%0200d' 0 | tr 0 n)
good patients "a name of 200 characters" "P-3,$long,Bob,2016-05-04,,,,,,"
run --store "$store" verify
cp "$out" "$work/before"
bad patients family '400' "a name of 401 characters" "P-4,$long${long}n,Bob,2016-05-04,,,,,,"
bad visits right_mm 'comma' "a decimal comma" 'C-1,2026-03-02,activation,upper,"1,25",1.00,none,intact,,no,,,,'
bad visits right_mm 'outside 0.00 to 20.00' "negative millimetres" 'C-1,2026-03-02,activation,upper,-1.00,1.00,none,intact,,no,,,,'
bad visits left_mm 'slip' "125 for 1.25" 'C-1,2026-03-02,activation,upper,1.25,125,none,intact,,no,,,,'
bad visits left_mm 'two decimals' "three decimals" 'C-1,2026-03-02,activation,upper,1.25,1.255,none,intact,,no,,,,'
bad visits arch 'upper or lower' "an arch that does not exist" 'C-1,2026-03-02,activation,middle,1.00,1.00,none,intact,,no,,,,'
bad visits hardware 'loose-wire' "a fault that does not exist" 'C-1,2026-03-02,check,upper,,,none,loose-wire,,no,,,,'
bad visits case 'There is no case C-9' "an unknown case" 'C-9,2026-03-02,check,upper,,,none,intact,,no,,,,'
bad visits date 'lies after today' "a visit to come" 'C-1,2026-11-26,check,upper,,,none,intact,,no,,,,'
bad widths teeth 'There is no tooth 19' "a tooth that ISO 3950 does not have" 'C-1,2026-03-02,upper,intermolar,gingival,19-26,mouth,1,33.00,'
bad widths teeth 'not in the upper arch' "teeth of the other arch" 'C-1,2026-03-02,upper,intermolar,gingival,46-36,mouth,1,33.00,'
bad widths mm 'outside 5.00 to 100.00' "a width of 335 mm" 'C-1,2026-03-02,upper,intermolar,gingival,16-26,mouth,1,335,'
bad widths mm 'outside 5.00 to 100.00' "a width of 3.35 mm" 'C-1,2026-03-02,upper,intermolar,gingival,16-26,mouth,1,3.35,'
bad widths repeat 'counted from 1' "measurement number 0" 'C-1,2026-03-02,upper,intermolar,gingival,16-26,mouth,0,33.50,'
bad wear_days day_minutes '1440' "more minutes than a day has" 'C-1,2026-03-02,1441,yes,sensor'
bad wear_days day_minutes 'whole number' "half minutes" 'C-1,2026-03-02,60.5,yes,sensor'
bad contacts at 'YYYY-MM-DDTHH:MM:SSZ' "a moment without a zone" 'C-1,2026-03-02 10:00,telephone,reached,,,'
bad bookings time 'HH:MM' "25 o'clock" 'C-1,2026-12-02,25:00,activation,booked,'

# ---- the row ----
bad trainers ended_on 'before issued_on' "a trainer that ended before it was issued" 'C-1,2026-06-02,2026-05-02,lost'
bad trainers ended_reason 'ended_on is empty' "a reason without a day" 'C-1,2026-06-02,,lost'
bad cases closed_on 'before opened' "closed before it was opened" 'C-2,P-1,2026-01-05,,,,2025-01-05,,'
bad cases protocol 'no protocol' "a protocol nobody knows" 'C-2,P-1,2026-01-05,,,swift,,,'
bad cases chart 'no patient' "a patient nobody knows" 'C-2,P-77,2026-01-05,,,,,,'
bad cases opened 'before the patient was born' "opened before birth" 'C-2,P-1,2015-01-05,,,,,,'
bad expanders fitted_on 'before banded_on' "fitted before it was banded" \
    'C-1,lower,,2026-03-02,2026-02-02,0.70,6.00,both,0.00,intermolar,fossa,46-36,42.00,,,'
bad expanders out_reason 'out_on is empty' "out for a reason without a day" \
    'C-1,lower,,,2026-02-02,0.70,6.00,both,0.00,intermolar,fossa,46-36,42.00,,,rest'
bad visits arch 'needs its arch' "an activation of no arch" 'C-1,2026-03-02,activation,,1.00,1.00,none,intact,,no,,,,'
bad visits arch 'need their arch' "a wound of no arch" 'C-1,2026-03-02,check,,,,wound,,,no,,,,'
bad visits kind 'missed' "an amount at a missed visit" 'C-1,2026-03-02,missed,upper,1.00,,,,,no,,,,'
bad visits right_mm 'needs right_mm or left_mm' "an activation without amounts" 'C-1,2026-03-02,activation,upper,,,none,intact,,no,,,,'
bad visits left_mm 'left_mm is empty; write 0.00 if nothing was given on that side' "an activation without the amount of a side in plan" 'C-1,2026-03-02,activation,upper,1.00,,none,intact,,no,,,,'
bad visits right_mm 'right_mm is empty; write 0.00' "the same on the right" 'C-1,2026-03-02,activation,upper,,1.00,none,intact,,no,,,,'
bad visits '' 'Every cell of the row is empty' "an empty row" ',,,,,,,,,,,,,'
bad widths date '2026-11-26 lies after today (2026-11-25); check the date' "a width to come" 'C-1,2026-11-26,upper,intermolar,gingival,16-26,mouth,1,33.00,'
bad visits next_on 'after the date' "the next visit before this one" 'C-1,2026-03-02,check,upper,,,none,intact,,no,,2026-03-01,,'
bad visits next_on 'two years' "the next visit in a hundred years" 'C-1,2026-03-02,check,upper,,,none,intact,,no,,2126-03-30,,'
bad wear_counts to 'before from' "a count that ends before it begins" 'C-1,2026-03-14,2026-03-01,1,1,told'
bad wear_counts days_met 'more than all' "more days met than asked" 'C-1,2026-03-01,2026-03-14,13,12,told'
bad wear_counts days_asked 'more than the 14 days' "more days asked than there are" 'C-1,2026-03-01,2026-03-14,13,15,told'
bad bookings state 'can not be kept yet' "a booking kept before its day" 'C-1,2026-12-02,10:00,activation,kept,'
bad bookings cancelled_by 'state is kept' "who cancelled what was kept" 'C-1,2026-11-02,10:00,activation,kept,family'
good bookings "a booking to come" 'C-1,2026-12-02,10:00,activation,booked,'
good wear_counts "counts that overlap" 'C-1,2026-01-12,2026-01-25,12,14,told'
run --store "$store" verify
cp "$out" "$work/before"

# ---- the case ----
bad visits date 'before the fit' "an activation before the fit" 'C-1,2026-01-12,activation,upper,1.00,1.00,none,intact,,no,,,,'
bad visits date 'taken out on 2026-06-01' "an activation between two expanders" 'C-1,2026-06-15,activation,upper,1.00,1.00,none,intact,,no,,,,'
bad visits date 'taken out on 2026-09-01' "an activation on a removed expander" 'C-1,2026-09-02,activation,upper,1.00,1.00,none,intact,,no,,,,'
bad visits arch 'No expander of this arch' "an activation of an arch without an expander" 'C-1,2026-03-02,activation,lower,1.00,1.00,none,intact,,no,,,,'
bad visits date 'before the case was opened' "a visit before the case was opened" 'C-1,2025-12-01,check,,,,,,,no,,,,'
good visits "the same at another practice, without amounts" 'C-1,2025-12-01,activation,upper,,,,,,yes,,,,'
bad trainers issued_on '2026-01-05' "two trainers at once" 'C-1,2026-05-02,,'
good trainers "the next trainer on the day the last one ended" 'C-1,2026-06-01,,'
bad expanders arch 'still takes the place' "two expanders in one arch" \
    'C-1,upper,,,2026-05-02,0.70,6.00,both,0.00,intermolar,gingival,16-26,38.00,,,'

# ---- the key ----
bad visits right_mm 'already recorded with other values (here "1.00")' "the same visit with another amount" \
    'C-1,2026-02-02,activation,upper,1.50,1.00,none,intact,,no,,2026-02-23,,'
file visits 'C-1,2026-08-03,activation,upper,1.00,1.00,none,intact,,no,,,,' \
    'C-1,2026-08-03,activation,upper,1.25,1.00,none,intact,,no,,,,'
run --store "$store" import "$work/visits.csv"
[ "$code" = 4 ] && grep -qF 'visits.csv line 3, right_mm: Line 2 of this file has the same key and other values (there "1.00"); keep one of the two.' "$err"
ok $? "one visit twice in a file with two amounts"
file visits 'C-1,2026-02-02,activation,upper,1.00,1.00,none,intact,,no,,2026-02-23,,'
run --store "$store" import "$work/visits.csv"
[ "$code" = 0 ] && grep -q '^0 rows added, 1 already recorded, 0 refused$' "$out"
ok $? "the same visit again is passed over"
bad visits right_mm '12.50 mm is above 5.00 mm, the most that is taken as no slip' "12.5 for 1.25" \
    'C-1,2026-08-03,activation,upper,12.50,1.00,none,intact,,no,,,,'
file visits 'C-1,2026-08-03,activation,upper,1.00,1.00,none,intact,,no,,,,' \
    'C-1,2026-08-03,activation,upper,1.00,1.00,none,intact,,no,,,,'
run --store "$store" import "$work/visits.csv" --dry-run
[ "$code" = 0 ] && grep -qF 'line 3: Line 2 of this file has the same key and the same values; this row is passed over.' "$err" &&
    grep -q '^1 row good, 0 already recorded, 1 repeated, 0 refused; nothing was kept$' "$out"
ok $? "a row that stands twice in a file is not called already recorded"

# ---- the file ----
file patients 'P-8,Inkwell,Bob'
run --store "$store" import "$work/patients.csv"
[ "$code" = 4 ] && grep -qF 'patients.csv line 2: The row has 3 cells and the header 10' "$err"
ok $? "a ragged row"
cmp -s "$work/patients.csv" "$work/patients.rejects.csv"
ok $? "a ragged row goes to the rejects as it is"
printf '%s\n' "$patients" 'P-8,"Ink' 'well' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
[ "$code" = 4 ] && grep -qF 'patients.csv line 2: A quotation mark opens here and is never closed' "$err"
ok $? "an unclosed quotation mark, named by the line on which it opens"
grep -qF 'The line after it was not read.' "$err"
ok $? "and what it swallowed"
printf '%s\n' "$patients" 'P-8,"Ink' >"$work/wanted"
cmp -s "$work/wanted" "$work/patients.rejects.csv" ||
    { tr -d '\r' <"$work/patients.rejects.csv" | cmp -s "$work/wanted" -; }
ok $? "its line goes to the rejects as it stands"
printf '%s\n' "$patients" 'P-8,"Ink"well,Bob,,,,,,,' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
[ "$code" = 4 ] && grep -qF 'patients.csv line 2: Text follows a closing quotation mark' "$err"
ok $? "text after a closing quotation mark"
! grep -q 'not read' "$err" && [ "$(sed -n 2p "$work/patients.rejects.csv")" = 'P-8,"Ink"well,Bob,,,,,,,' ]
ok $? "goes to the rejects as it stands, and nothing came after it"
printf '%s\n' "$patients" 'P-7,Inkwell,Al,2016-02-30,,,,,,' 'P-8,"Ink' 'w"ell,Bob,,,,,,,' 'P-9,I,C,,,,,,,' 'P-10,I,D,,,,,,,' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
[ "$code" = 4 ] && grep -qF 'patients.csv line 4: Text follows' "$err" &&
    grep -qF 'The 2 lines after it were not read.' "$err" &&
    sed -n 2,9p "$work/patients.csv" | head -n 3 >"$work/wanted" &&
    tr -d '\r' <"$work/patients.rejects.csv" | sed 1d | cmp -s "$work/wanted" -
ok $? "a bad row and a broken one of two lines, both in the rejects"
printf 'chart,family\r\nP-8,Ink\000well\r\n' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
[ "$code" = 4 ] && grep -qF 'line 2: There is a NUL byte' "$err"
ok $? "a NUL byte"
printf 'chart,family,family\r\nP-8,a,b\r\n' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
refuses 4 'names the column "family" twice' "a column named twice"
printf 'chart;family;given\r\nP-8;a;b\r\n' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
refuses 4 'semicolons' "semicolons"
printf 'chart\tfamily\tgiven\r\nP-8\ta\tb\r\n' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
refuses 4 'tabs' "tabs"
printf '\377\376c\000h\000' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
refuses 4 'UTF-16' "UTF-16"
: >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
refuses 4 'empty' "an empty file"
printf 'case,date,arch\r\n' >"$work/visits.csv"
run --store "$store" import "$work/visits.csv"
[ "$code" = 4 ] && [ "$(wc -l <"$err")" = 1 ]
ok $? "a header of no kind"
run --store "$store" import "$work/nowhere.csv"
refuses 4 'There is no such file' "a file that is not there"
mkdir "$work/void"
run --store "$store" import "$work/void"
refuses 4 'no .csv file' "a folder without files"
printf '\357\273\277chart,family\r\nP-9,"Ink\r\nwell"\r\n' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv"
[ "$code" = 4 ] && grep -qF 'line 2, family: ' "$err"
ok $? "a line break in a name is refused, a byte order mark is not"
printf 'chart,family,colour\r\nP-9,Inkwell,green\r\n' >"$work/patients.csv"
run --store "$store" import "$work/patients.csv" --dry-run
[ "$code" = 0 ] && grep -qF 'left alone: colour' "$err"
ok $? "an unknown column is named and left alone"

# ---- the order of the messages, what to do, and a dry run ----
file visits 'C-2,2026-01-12,check,,,,,,,no,,,,' 'C-1,2026-01-12,activation,upper,1.00,1.00,none,intact,,no,,,,' 'C-9,2026-03-02,check,,,,,,,no,,,,'
rm -f "$work/visits.rejects.csv"
run --store "$store" import "$work/visits.csv" --dry-run
[ "$code" = 4 ] && [ "$(sed -n 's/.* line \([0-9]*\).*/\1/p' "$err" | tr '\n' ' ')" = '2 3 4 ' ]
ok $? "what the whole case shows stands among the rows, in the order of lines"
[ ! -e "$work/visits.rejects.csv" ] && grep -qxF "springline: Nothing was kept. Mend $work/visits.csv itself and import it whole again." "$err"
ok $? "a dry run writes no rejects"
run --store "$store" import "$work/visits.csv" --dry-run --rejects "$work/asked.csv"
[ "$code" = 4 ] && [ "$(wc -l <"$work/asked.csv")" = 4 ]
ok $? "unless they are asked for"
run --store "$store" import "$work/visits.csv"
[ "$code" = 4 ] && grep -qxF "springline: Nothing was kept. Mend $work/visits.csv itself and import it whole again; $work/visits.rejects.csv shows only the refused rows." "$err"
ok $? "the file itself is to be mended, never its rejects"

# ---- all or nothing ----
file patients 'P-10,Inkwell,Cy,2016-05-04,,,,,,' 'P-11,Inkwell,Di,2016-02-30,,,,,,'
run --store "$store" import "$work/patients.csv" --rejects "$work/elsewhere.csv"
[ "$code" = 4 ] && [ "$(wc -l <"$work/elsewhere.csv")" = 2 ] && grep -q 'P-11' "$work/elsewhere.csv"
ok $? "--rejects names the file of the bad rows"
run --store "$store" export patients
! grep -q 'P-1[01]' "$out"
ok $? "the good row of a bad file is not kept either"
run --store "$store" import "$work/patients.csv" --rejects "$work/patients.csv"
refuses 2 'names the file that is read' "rejects never overwrite what is read"
mkdir "$work/folder"
printf 'chart,family\r\nP-20,\r\n' >"$work/folder/patients.csv"
printf 'case,chart,opened\r\nC-20,P-20,2026-01-05\r\n' >"$work/folder/cases.csv"
printf 'case,date,kind,arch\r\nC-20,2026-01-05,check,\r\n' >"$work/folder/visits.csv"
run --store "$store" import "$work/folder"
[ "$code" = 4 ] && [ "$(grep -c ' line ' "$err")" = 1 ]
ok $? "what hangs on a refused row is not reported over and over"
for kind in patients cases trainers expanders visits widths wear_days wear_counts contacts bookings \
    tooth_widths arch_segments arch_depths plans; do
    run --store "$store" export $kind
    [ "$code" = 0 ] || break
done
answers 0 "every kind can be exported"
run --store "$store" verify
[ "$code" = 0 ] && [ "$(sed -n 's/^ledger: \([0-9]*\).*/\1/p' "$out")" = \
    $(($(sed -n 's/^ledger: \([0-9]*\).*/\1/p' "$work/before") + 4 + 2 * 15)) ]
ok $? "of all the refused files nothing was kept: two rows and their two saves since, and 15 exports in the log"
finish
