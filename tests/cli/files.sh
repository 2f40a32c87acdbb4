#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Every file that the program makes is new, its owner's alone (0600, folders 0700) whatever umask it
# was started under, and is never written through a name that somebody put there before: not through
# a symbolic link (CWE-59), not into a file that is there (CWE-377). What stands there is refused,
# or, where that is said, replaced.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"
umask 0

place=$work/place
XDG_STATE_HOME=$work/state
XDG_DATA_HOME=$work/data
export XDG_STATE_HOME XDG_DATA_HOME
mkdir -p "$place"
printf 'precious\n' >"$work/victim"
printf 'chart,family,born\r\nP-9001,Inkwell,never\r\n' >"$work/bad.csv"
run --store "$work/store.db" init --alone
run --store "$work/store.db" import "$source/demo"
answers 0 "a store"

untouched() { [ "$(cat "$work/victim")" = precious ] && [ ! -e "$work/nowhere" ]; }
mode() { stat -c '%F %a' "$1"; }

# The table. refuse: what stands at NAME is left, and said. replace: NAME is a new file afterwards.
# Each with a link to a file, a link that leads nowhere, and a file at NAME.
try() { # HOW NAME TITLE ARGUMENT...
    how=$1
    name=$2
    title=$3
    shift 3
    for there in link nowhere file; do
        case $there in
        link) ln -s "$work/victim" "$name" ;;
        nowhere) ln -s "$work/nowhere" "$name" ;;
        file) printf 'what was there\n' >"$name" && chmod 666 "$name" ;;
        esac
        before=$(stat -c '%F %i %s' "$name")
        run "$@"
        if [ "$how" = refuse ]; then
            [ "$code" != 0 ] && [ "$(wc -l <"$err")" -ge 1 ] &&
                [ "$(stat -c '%F %i %s' "$name")" = "$before" ] && untouched
        else
            [ "$(mode "$name")" = "regular file 600" ] && untouched && ! grep -q "what was there" "$name"
        fi
        ok $? "$title: $there at its place: $how"
        [ -z "$(find "$place" -name '*.??????' ! -name '*.*.csv' ! -name '*.db*')" ]
        ok $? "$title: nothing else is left"
        rm -rf "$place"
        mkdir "$place"
    done
}

S=$work/store.db
try refuse "$place/new.db" "init" --store "$place/new.db" init
try refuse "$place/new.db-journal" "init, its journal" --store "$place/new.db" init
try replace "$place/patients.csv" "export" --store "$S" export patients --out "$place"
try replace "$place/visits.csv" "export all" --store "$S" export all --out "$place"
try replace "$place/cases.json" "export JSON" --store "$S" --format json export cases --out "$place"
try replace "$place/rejected.csv" "import, the rejects" \
    --store "$S" import "$work/bad.csv" --rejects "$place/rejected.csv"
try replace "$place/drawn.svg" "chart" --store "$S" chart C-0018 --svg "$place/drawn.svg"
try refuse "$place/copy.db" "backup" --store "$S" backup "$place/copy.db"
try refuse "$place/copy.db.part" "backup, its part" --store "$S" backup "$place/copy.db"
try refuse "$place/copy.db.manifest" "backup, its manifest" --store "$S" backup "$place/copy.db"
try refuse "$place/copy.db.part-journal" "backup, its journal" --store "$S" backup "$place/copy.db"

# Where nothing stands.
new() { # NAME TITLE ARGUMENT...
    name=$1
    title=$2
    shift 2
    run "$@"
    [ "$(mode "$name")" = "regular file 600" ]
    ok $? "$title: a file of its owner alone"
}
new "$place/new.db" "init" --store "$place/new.db" init
new "$place/out/patients.csv" "export" --store "$S" export patients --out "$place/out"
[ "$(mode "$place/out")" = "directory 700" ]
ok $? "and the folder it makes"
new "$work/bad.rejects.csv" "the rejects, beside what was read" --store "$S" import "$work/bad.csv"
new "$place/drawn.svg" "chart" --store "$S" chart C-0018 --svg "$place/drawn.svg"
new "$place/copy.db" "backup" --store "$S" backup "$place/copy.db"
[ "$(mode "$place/copy.db.manifest")" = "regular file 600" ]
ok $? "and its manifest"
new "$work/data/springline/practice.db" "init at the default place" init
[ "$(mode "$work/data/springline")" = "directory 700" ]
ok $? "and its folder"

# The rejects beside what was read, where a link is planted.
ln -sf "$work/victim" "$work/bad.rejects.csv"
run --store "$S" import "$work/bad.csv"
[ "$(mode "$work/bad.rejects.csv")" = "regular file 600" ] && untouched
ok $? "the rejects take the place of a link"

# A journal that leads elsewhere: SQLite may not follow it, and nothing of the store is lost.
cp "$work/store.db" "$work/linked.db"
ln -s "$work/victim" "$work/linked.db-journal"
run --store "$work/linked.db" import "$work/bad.csv"
untouched
ok $? "a journal that is a link is not followed by a read"
printf 'chart,family\r\nP-9001,Inkwell\r\n' >"$work/good.csv"
run --store "$work/linked.db" import "$work/good.csv"
[ "$code" != 0 ] && [ "$(wc -l <"$err")" -ge 1 ] && untouched
ok $? "nor by a save, which is refused"
rm "$work/linked.db-journal"
run --store "$work/linked.db" verify
answers 0 "the store is sound"

# What the screens write: the sheet of a month where the program stands, the order of a list.
mkdir -p "$work/state/springline"
chmod 700 "$work/state" "$work/state/springline"
ln -s "$work/victim" "$work/state/springline/lists"
ln -s "$work/victim" "$place/audit-2026-10.txt"
ln -s "$work/nowhere" "$place/audit-2026-10-2.txt"
cd "$place" || exit 1
python3 - "$program" "$S" >"$out" 2>"$err" <<'PYTHON'
import os, pty, select, sys
program, store = sys.argv[1:]
os.environ.update(TERM="xterm-256color", LC_ALL="C.UTF-8", SPRINGLINE_READY_MARK="1")
child, terminal = pty.fork()
if child == 0:
    os.execv(program, [program, "--store", store])
def ready():
    seen = b""
    while b"\x1b]777;ready;" not in seen or not seen.endswith(b"\a"):
        assert select.select([terminal], [], [], 20)[0], seen[-300:]
        seen += os.read(terminal, 65536)
    return seen
ready()
for key in "*", "7", "\t", "*", "6":
    os.write(terminal, key.encode())
    print(repr(key), ready()[-400:])
os.write(terminal, b"\x11")
try:
    while os.read(terminal, 65536):
        pass
except OSError:
    pass
print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
PYTHON
ok $? "the screens write a month and the order of its list"
cd "$source" || exit 1
[ "$(mode "$place/audit-2026-10-3.txt")" = "regular file 600" ] && untouched &&
    grep -q '2026-10' "$place/audit-2026-10-3.txt"
ok $? "the sheet passes by what stands in its way"
[ "$(mode "$work/state/springline/lists")" = "regular file 600" ] && untouched &&
    grep -q '^sort ' "$work/state/springline/lists"
ok $? "the order of the lists takes the place of a link"
[ "$(find "$work/state/springline" -type f | wc -l)" = 1 ]
ok $? "and leaves nothing else"
finish
