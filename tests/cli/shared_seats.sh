#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# A practice with several seats, on a host set up as the manual says: a real sshd and sudo, logins of
# their own, one account that owns the store. Each person is recorded as the login that signed in, by
# the kernel's word or by sudo's, whatever variables say; a store that others could reach is refused
# with the command that closes it. sudoers(5) and pam_loginuid(8) say what they keep.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"
. "$source/tests/support/seats.sh"
seats_begin "$0" "$@"
set_up

# ---- two people, each recorded as themselves ----

# saves: which login did what, in order.
saves() {
    asked "SELECT substr(seat, 1, instr(seat, '@')), command FROM request
           WHERE command IN ('person', 'contact') AND seat IS NOT NULL ORDER BY sequence"
}

sit chair "$(ssh_line ada seat)"
sees chair "$first"
ok $? "ada sits down: the program"
press chair '*' "What can be done" && press chair 0 "people: 1" && add_to_people chair bea "Bea Example" 2 assistant
ok $? "ada enters bea"

sit desk "$(ssh_line bea seat)"
sees desk "$first" && contact desk Bea
ok $? "bea, at another seat, records a contact"

saves >"$out"
printf 'ada@|person\nbea@|contact\n' | cmp -s - "$out"
ok $? "the saves bear the logins that made them"
asked "SELECT login FROM contact JOIN person ON person.id = contact.person" >"$out"
[ "$(cat "$out")" = bea ]
ok $? "the contact bears the person of bea's login"
asked "SELECT count(DISTINCT seat) FROM request WHERE seat LIKE '___@pts/%'" >"$out"
[ "$(cat "$out")" = 2 ]
ok $? "two seats"
of_chair=$(processes springline | head -n 1)
kept=$(cat "/proc/$of_chair/loginuid" 2>/dev/null)
if [ "$kept" = "" ] || [ "$kept" = 4294967295 ]; then
    skipped "the kernel keeps the login" "this kernel keeps none"
else
    [ "$kept" = "$(id -u ada)" ]
    ok $? "the kernel keeps the login"
fi

# ---- the month's sheet, copies ----

leave desk
press chair Escape "$first" && press chair '*' "who does not comply" && press chair 7 "Audit of" &&
    press chair '*' "write the month" && press chair 6 "Written: /srv/springline/sheets/audit-"
ok $? "the month is written into the folder of the sheets"
find /srv/springline/sheets -name 'audit-*.txt' -user $service -perm 600 | grep -q .
ok $? "for the account alone"
press chair Escape "$first" && press chair '*' "What can be done" && press chair 0 "people: 2"
press chair Tab "login"
tries=0
until [ -s /srv/springline/.local/state/springline/ada/lists ] || [ $tries = 100 ]; do
    tries=$((tries + 1))
    sleep 0.05
done
grep -q '^sort people' /srv/springline/.local/state/springline/ada/lists &&
    [ ! -e /srv/springline/.local/state/springline/bea/lists ]
ok $? "the order of lists is remembered for each person"
leave chair
gone springline
ok $? "terminals that are closed leave no process"

write_step cron /etc/cron.d/springline 644
# As cron(8) does: the variables, and the line behind the user with each \% as %; from the home.
grep '^[A-Z_]*=' /etc/cron.d/springline >"$host/cron.sh"
sed -i 's/^/export /' "$host/cron.sh"
sed -n 's/^[0-9].* \* springline \(.*\)/\1/p' /etc/cron.d/springline | sed 's/\\%/%/g' >>"$host/cron.sh"
[ "$(wc -l <"$host/cron.sh")" = 3 ] &&
    (cd /srv/springline && runuser -u $service -- env -i HOME=/srv/springline sh -eu) \
        <"$host/cron.sh" >"$out" 2>"$err"
ok $? "cron's line makes a copy"
copy=$(find /srv/springline/copies -name '*.db' -user $service -perm 600)
[ -n "$copy" ] && runuser -u $service -- springline --store "$copy" verify >"$out" 2>"$err"
ok $? "the copy is sound"

# ---- where the kernel keeps no login: sudo's word ----

# There is no program that could set it anew for whoever signs in.
stop_sshd
sed -i '/pam_loginuid/d' /etc/pam.d/sshd
start_sshd 4294967295
ok $? "sshd without a login kept by the kernel"
for person in ada bea; do
    name=$([ $person = ada ] && echo Ada || echo Bea)
    sit trial "$(ssh_line $person seat)"
    sees trial "$first" && contact trial "$name"
    ok $? "who sits there is $person"
    kept=$(cat "/proc/$(processes springline)/loginuid" 2>/dev/null)
    [ "$kept" = "" ] || [ "$kept" = 4294967295 ]
    ok $? "and the kernel did not say so"
    leave trial
    gone springline
done
saves | tail -n 2 >"$out"
printf 'ada@|contact\nbea@|contact\n' | cmp -s - "$out"
ok $? "the saves bear the two logins"

# had_shell PERSON VARIABLES COMMAND: the terminal of somebody who had a shell after all.
had_shell() {
    echo "cd / && $2 setpriv --reuid $1 --regid $1 --init-groups $3"
}
sit trial "$(had_shell ada "SUDO_UID=$(id -u bea) SUDO_USER=bea LOGNAME=bea USER=bea TZ=UTC+14 \
SPRINGLINE_TODAY=2020-01-01 HOME=$open TERMINFO=$open" /usr/local/bin/springline-seat)"
sees trial "$first" && ! look trial | grep -q 'date fixed' && contact trial Ada
ok $? "variables that name another, and another day, do not get through sudo"
leave trial

# What sudo may be told to let through is not read.
echo 'Defaults:%springline-seats env_keep += "SPRINGLINE_STORE SPRINGLINE_TODAY TZ TERMINFO"' \
    >/etc/sudoers.d/zz-lax
sit trial "$(had_shell ada "SPRINGLINE_STORE=/x SPRINGLINE_TODAY=2020-01-01 TZ=UTC+14 TERMINFO=/x" \
    /usr/local/bin/springline-seat)"
sees trial "read behind sudo: SPRINGLINE_STORE, SPRINGLINE_TODAY, TZ, TERMINFO." &&
    look trial | grep -qF "$first" && ! look trial | grep -q 'date fixed'
ok $? "what a lax sudoers lets through is not read, and told"
leave trial
rm /etc/sudoers.d/zz-lax

# ---- the names a user could only say ----

# An own store of ada's: what she sets does not make her bea.
install -d -o ada -g ada -m 700 $open/own
own=$open/own/practice.db
here ada springline --store "$own" init
here ada env SUDO_UID="$(id -u bea)" SUDO_USER=bea springline --store "$own" import $open/csv
answers 0 "and does not keep her from it"
says "not confirmed by the kernel, and not believed: rows are recorded under ada" "it is told"
# A parent that is called sudo, and has no more rights than she; one that has root's, started by her.
cp /bin/sh $open/sudo
here ada $open/sudo -c "SUDO_UID=$(id -u bea) springline --store $own import $open/csv --dry-run"
says "not confirmed" "a parent by the name of sudo confirms nothing"
install -m 4755 /bin/sh $open/sudo
here ada env SUDO_UID="$(id -u bea)" $open/sudo -p -c \
    "setpriv --reuid ada --regid ada --clear-groups springline --store $own import $open/csv; true"
says "not confirmed" "nor does one with root's rights that ada started"
runuser -u ada -- sqlite3 -readonly "$own" "SELECT DISTINCT substr(seat, 1, 4) FROM request
    WHERE seat IS NOT NULL" >"$out"
[ "$(cat "$out")" = ada@ ]
ok $? "the rows of ada's own store bear ada"

# To a practice of one it is told, and nothing more.
chmod 644 $own
sit trial "$(had_shell ada "" "/usr/local/bin/springline --store $own")"
sees trial "chmod 600" && look trial | grep -qF "$first"
ok $? "a store of one's own that others may read is told on the first screen"
leave trial

# Several who write one file each under their own login: nothing would hold them.
install -d -m 777 $open/common
cp $store $open/common/practice.db
chown bea $open/common/practice.db
chmod 666 $open/common/practice.db
here ada springline --store $open/common/practice.db recall
refuses 3 "belongs to bea and the program runs as ada" "a file that everybody may write"

# ---- two names at once ----

stop_sshd
if (echo 4711 >/proc/self/loginuid) 2>/dev/null; then
    start_sshd 4711
    sit trial "$(ssh_line ada seat)"
    sees trial "user 4711 signed in here, sudo says ada" && sees trial "ended 3"
    ok $? "a login that is left over from whoever started sshd is refused"
    leave trial
    stop_sshd
else
    skipped "two names" "this kernel keeps no login"
fi
start_sshd 4294967295

# ---- a store that others could reach ----

# closes TITLE PLACE: the seat is refused; the command it tells, run by root, mends it.
closes() {
    as ada ssh -tt seat
    tr -d '\r' <"$out" >"$host/told"
    grep -q "^springline: $2: " "$host/told" && [ $code = 3 ] &&
        sed -n 's/.*as root: \(ch.*\)/\1/p' "$host/told" >"$host/mend" && [ -s "$host/mend" ] &&
        sh -eu "$host/mend"
    ok $? "$1: refused, with what mends it"
}
chmod 640 $store
closes "a file that a group may read" $store
chmod 602 $store
closes "a file that others may write" $store
chown carl $store
closes "a file of somebody else's" $store
chown root $store
chmod 644 $store
closes "a file of root's" $store
closes "that others may read" $store
chmod 710 /srv/springline
closes "a folder that a group may enter" /srv/springline
chown root /srv/springline
chmod 777 /srv/springline
closes "a folder of root's" /srv/springline
closes "that others may write in" /srv/springline
chmod 757 /srv
closes "a folder above that others may write in" /srv
chown carl /srv
closes "a folder above of somebody else's" /srv
sit trial "$(ssh_line ada seat)"
sees trial "$first"
ok $? "all is mended: the program"
leave trial

# ---- who leaves ----

step leave >/dev/null && sh -eu "$host/step" >"$out" 2>"$err"
ok $? "the manual's step works: leave"
as ada ssh -tt seat
[ $code = 255 ] && ! grep -q springline "$out"
ok $? "who left does not get in"
sit trial "$(ssh_line bea seat)"
sees trial "$first"
ok $? "who stayed does"
leave trial
runuser -u $service -- springline --store $store verify >"$out" 2>"$err"
ok $? "the store is sound"

finish
