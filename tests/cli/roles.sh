#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every sub-command by every role. The login of this test is given one role after the other in copies
# of one store, behind the program, for one that let a login change its own role would be none. What
# each may is written here again, from the words of the order, not taken from the program's table.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"

set_person=${SPRINGLINE_BUILD:-$source/build}/tests/support/set_person
login=$(id -un)
made=$work/made.db
demo_store "$made"
run --store "$made" advise C-0007
answers 0 "whoever made the store may read in it"

number() {
    python3 -c 'import sqlite3, sys
print(sqlite3.connect(sys.argv[1]).execute(sys.argv[2]).fetchone()[0])' "$1" "$2"
}

printf 'case,date,arch,site,landmark,teeth,method,repeat,mm,by\n' >"$work/widths.csv"

# try NAME MAY ARGUMENT...: MAY 1: anything but a refusal for want of authority; 0: refused in one
# sentence, exit 4, nothing on the output, and logged.
try() {
    name=$1 may=$2
    shift 2
    before=$(number "$store" "SELECT count(*) FROM access WHERE what = 'refused'")
    run --store "$store" "$@"
    after=$(number "$store" "SELECT count(*) FROM access WHERE what = 'refused'")
    tried=$((tried + 1))
    echo "$name" >>"$work/tried"
    if [ "$may" = 1 ]; then
        [ "$code" != 3 ] && ! grep -qE "recorded here as|not among the people" "$err" && [ "$after" = "$before" ]
        ok $? "$role may $name"
    else
        [ "$code" = 4 ] && [ ! -s "$out" ] && [ "$(wc -l <"$err")" = 1 ] &&
            grep -qE "recorded here as|not among the people" "$err" && [ "$after" = $((before + 1)) ]
        ok $? "$role may not $name, is told so, and it is logged"
    fi
}

# may ROLE LIST: 1 where the role is in the list.
may() {
    case " $2 " in *" $1 "*) echo 1 ;; *) echo 0 ;; esac
}

tried=0
for role in orthodontist assistant desk reader nobody; do
    store=$work/$role.db
    cp "$made" "$store"
    if [ $role = nobody ]; then
        "$set_person" "$store" "somebody else" orthodontist
    else
        "$set_person" "$store" "$login" $role
    fi
    ok $? "the login of this test is $role"
    all="orthodontist assistant desk reader"
    try recall "$(may $role "$all")" recall
    try audit "$(may $role "$all")" audit --month 2026-10
    try advise "$(may $role "$all")" advise C-0007
    try chart "$(may $role "$all")" chart C-0007
    try plan "$(may $role "$all")" plan C-0047
    try unsigned "$(may $role "$all")" unsigned
    try import "$(may $role "orthodontist assistant")" import "$work/widths.csv"
    try undo-import "$(may $role orthodontist)" undo-import @999999
    try erase "$(may $role orthodontist)" erase P-0005 --ground "asked for in writing" --confirm P-0005
    try "export --patient" "$(may $role orthodontist)" export --patient P-0005 --out "$work/$role.copied"
    try export "$(may $role orthodontist)" export cases
    try backup "$(may $role "orthodontist assistant desk nobody")" backup "$work/$role.copy"
    try log "$(may $role "orthodontist reader")" log
    try verify 1 verify
    try help 1 help
    try version 1 version
done
# Every sub-command there is was tried, but init, which makes a store of one's own.
"$program" help | sed -n 's/^  \([a-z][a-z-]*\)\( .*\)\{0,1\}$/\1/p' | grep -vx init | sort -u >"$work/known"
sed 's/ .*//' "$work/tried" | sort -u >"$work/names"
diff "$work/known" "$work/names" >"$out" 2>"$err"
ok $? "every sub-command was tried"
echo "# figure: $tried sub-commands by five roles tried on the shell"
finish
