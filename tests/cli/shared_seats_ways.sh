#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Nothing but the program can be reached from a seat of a practice with several (set up as the manual
# says, with a real sshd and sudo): each attempt ends in the program or in a refusal. Carl, whose
# login is an ordinary one, shows that the attempt would have worked. What is tried is common practice
# for a login that may do one thing, no source; what the keywords promise stands in sshd_config(5) of
# OpenSSH 9.2 and sudoers(5) of sudo 1.9.
. "${SPRINGLINE_SOURCE:-$PWD}/tests/support/cli.sh"
. "$source/tests/support/seats.sh"
seats_begin "$0" "$@"
set_up
sit chair "$(ssh_line ada seat)"
sees chair "$first"
ok $? "ada sits down: the program"

# ---- what the processes are ----

of_chair=$(processes springline | head -n 1)
grep -q '^NoNewPrivs:	1$' "/proc/$of_chair/status" &&
    [ "$(sed -n 's/^Uid:	//p' "/proc/$of_chair/status" | tr '\t' '\n' | sort -u)" = "$(id -u $service)" ]
ok $? "the program runs as the account, and can gain no rights"
! find "/proc/$of_chair/fd" -lname 'socket:*' | grep -q .
ok $? "it holds no socket"
! for process in /proc/[0-9]*; do
    if [ "$(stat -c %u "$process" 2>/dev/null)" = "$(id -u ada)" ]; then cat "$process/comm"; fi
done | grep -v '^sshd$' | grep .
ok $? "nothing but sshd runs as ada"

# ---- keys that stop or end a program, windows, lines ----

terminal send-keys -t chair C-z
terminal send-keys -t chair C-s
press chair '*' "What can be done" && press chair Escape "$first"
ok $? "Ctrl-Z and Ctrl-S leave ada in the program"
terminal resize-window -t chair -x 1 -y 1
sleep 0.5
terminal send-keys -t chair '*'
terminal resize-window -t chair -x 80 -y 24
sees chair "$first" && [ "$(processes springline)" = "$of_chair" ]
ok $? "a window of 1 by 1, and back"
terminal send-keys -t chair C-c
sees chair "ended 0"
ok $? "Ctrl-C ends the session, in nothing else"
leave chair
sit chair "$(ssh_line ada seat)"
sees chair "$first" && terminal send-keys -t chair 'C-\' && sees chair "ended 0"
ok $? "so does Ctrl-\\"
leave chair

sit chair "$(ssh_line ada seat)"
sees chair "$first" && press chair 0001 "> " && press chair '*' "contact" &&
    press chair 3 "channel" && press chair Enter "outcome: 1"
leave chair
gone springline
ok $? "a terminal that is closed while ada types leaves no process"
[ "$(asked 'SELECT user FROM draft')" = ada ] && [ "$(asked 'SELECT count(*) FROM contact')" = 0 ]
ok $? "and what she typed, as hers"

# ---- a terminal, and anything asked for ----

# shows_program TITLE SSH-ARGUMENT...: ada, on a terminal, is in the program.
shows_program() {
    title=$1
    shift
    sit trial "$(ssh_line ada "$*")"
    sees trial "$first" && ! look trial | grep -q 'date fixed'
    ok $? "$title"
    leave trial
}

shows_program "ssh -t host sh" seat sh
shows_program "ssh -t host bash -l" seat "'bash -l'"
shows_program "a command that is meant to end the forced one" seat "'; sh -i; \$(sh -i) || sh'"
shows_program "arguments of the program" seat "-- --store /tmp/other.db init"
shows_program "LD_PRELOAD, TERMINFO, the day, the zone and the store, sent along" \
    -o "'SetEnv LD_PRELOAD=/tmp/x.so TERMINFO=/tmp TZ=Pacific/Kiritimati SPRINGLINE_STORE=/tmp/x.db'" \
    -o "'SetEnv SPRINGLINE_TODAY=2020-01-01'" seat
shows_program "a locale that is a path" -o "'SetEnv LC_ALL=../../tmp/x LC_PAPER=%n/%s'" seat
shows_program "an agent and a display to forward" -A -X seat

# refused_on TITLE TEXT TERM: ada, on a terminal of that type, is refused with a sentence.
refused_on() {
    sit trial "TERM=$3 $(ssh_line ada seat)"
    sees trial "$2" && sees trial "ended 3"
    ok $? "$1"
    leave trial
}
refused_on "a terminal that can not place its cursor" "can not place its cursor" dumb
refused_on "a terminal's type that is a path" "TERM" ../../../tmp/x
gone springline
ok $? "none of them is left"

# ---- no terminal ----

# program_only TITLE: the last command got the program's refusal, and printed nothing.
program_only() {
    [ "$code" != 0 ] && [ ! -s "$out" ] && grep -q 'springline: terminal: The screens need' "$err"
    ok $? "$1"
}
as carl ssh seat 'echo got-a-shell'
[ "$(cat "$out")" = got-a-shell ]
ok $? "control: who is not in the group gets a shell"
as ada ssh seat 'echo got-a-shell'
program_only "ssh host COMMAND"
as ada ssh -T seat
program_only "ssh without a terminal"
as ada ssh seat "sh -c 'cat $store'"
program_only "ssh host cat STORE"
as ada ssh -o 'SetEnv SSH_ORIGINAL_COMMAND=sh' seat sh
program_only "SSH_ORIGINAL_COMMAND"
as ada ssh -s seat sftp # what it says of a subsystem sshd keeps to itself
[ $code = 3 ] && [ ! -s "$out" ]
ok $? "the subsystem sftp"

echo mine >"$host/mine"
install -d -m 777 $open/put
for way in "scp" "scp -O"; do
    # shellcheck disable=SC2086 # the tool and its option
    as carl $way "$host/mine" "seat:$open/put/carl"
    [ $code = 0 ] && [ -f "$open/put/carl" ]
    ok $? "control: $way puts a file"
    # shellcheck disable=SC2086
    as carl $way seat:/etc/hostname "$host/carl.got"
    [ $code = 0 ] && cmp -s /etc/hostname "$host/carl.got"
    ok $? "control: $way gets one"
    # shellcheck disable=SC2086
    as ada $way "$host/mine" "seat:$open/put/ada"
    [ $code != 0 ] && [ ! -e "$open/put/ada" ]
    ok $? "$way puts none"
    # shellcheck disable=SC2086
    as ada $way seat:/etc/hostname "$host/got"
    [ $code != 0 ] && [ ! -s "$host/got" ]
    ok $? "$way gets none"
done
echo "get /etc/hostname $host/got" >"$host/batch"
as ada sftp -b "$host/batch" seat
[ $code != 0 ] && [ ! -s "$host/got" ]
ok $? "sftp gets none"

# ---- forwarding: sshd itself is what could be reached ----

as carl ssh -W 127.0.0.1:$port seat
grep -q '^SSH-2' "$out"
ok $? "control: ssh -W reaches a port"
as ada ssh -W 127.0.0.1:$port seat
[ $code != 0 ] && [ ! -s "$out" ] && grep -q 'forwarding failed' "$err"
ok $? "ssh -W"
as ada ssh -o ExitOnForwardFailure=yes -R 127.0.0.1:3333:127.0.0.1:$port seat
[ $code != 0 ] && grep -q 'forwarding failed' "$err"
ok $? "ssh -R"
for person in carl ada; do
    for way in "-L 127.0.0.1:3001:127.0.0.1:$port" "-D 127.0.0.1:3002"; do
        # shellcheck disable=SC2086 # the option and its value
        ssh -F "$host/client" -i "$host/$person" -l $person -N $way seat 2>/dev/null &
        forward=$!
        python3 - "${way##*:300}" $port >"$out" 2>"$err" <<'PY'
"""What comes through the forwarded port; for a SOCKS proxy it is asked for first (RFC 1928)."""
import socket, sys, time
number, port = 3000 + int(sys.argv[1][0]), int(sys.argv[2])
deadline = time.monotonic() + 15
while True:
    try:
        line = socket.create_connection(("127.0.0.1", number), timeout=15)
        break
    except ConnectionRefusedError:
        if time.monotonic() > deadline:
            raise
        time.sleep(0.05)
if number == 3002:
    line.sendall(b"\x05\x01\x00")
    line.recv(2)
    line.sendall(b"\x05\x01\x00\x01\x7f\x00\x00\x01" + port.to_bytes(2, "big"))
    line.recv(10)
try:
    print(line.recv(7).decode("ascii", "replace"))
except ConnectionResetError:
    print()
PY
        code=$?
        kill $forward
        wait $forward 2>/dev/null
        case $person in
        carl) [ $code = 0 ] && grep -q '^SSH-2' "$out"; ok $? "control: ssh ${way%% *}" ;;
        ada) [ $code = 0 ] && ! grep -q SSH "$out"; ok $? "ssh ${way%% *}" ;;
        esac
    done
done

sit first "$(ssh_line carl -M -S "$host/line.carl" seat)"
sees first '$'
as carl ssh -S "$host/line.carl" seat 'echo got-a-shell'
[ "$(cat "$out")" = got-a-shell ]
ok $? "control: a second session over one connection"
leave first
sit first "$(ssh_line ada -M -S "$host/line" seat)"
sees first "$first"
as ada ssh -S "$host/line" seat sh
[ $code != 0 ] && [ ! -s "$out" ]
ok $? "a second session over one connection"
leave first

# ---- past ssh, as somebody who had a shell after all ----

here ada cat $store
[ $code != 0 ] && grep -q 'Permission denied' "$err"
ok $? "the file can not be read"
here ada ls /srv/springline
[ $code != 0 ] && grep -q 'Permission denied' "$err"
ok $? "nor its folder"
here ada springline --store $store recall
[ $code = 3 ] && grep -q 'Permission denied' "$err"
ok $? "nor by the program"

# sudo_refuses TITLE ARGUMENT...
sudo_refuses() {
    title=$1
    shift
    here ada sudo -n "$@"
    [ $code = 1 ] && [ ! -s "$out" ] && grep -q '^sudo: ' "$err"
    ok $? "sudo: $title"
}
all=/usr/local/bin/springline
here ada sudo -n -u $service $all --store $store
program_only "control: sudo lets ada do the one thing"
sudo_refuses "a shell" -u $service /bin/sh
sudo_refuses "a login shell" -u $service -i
sudo_refuses "root" $all --store $store
sudo_refuses "a sub-command" -u $service $all --store $store export patients
sudo_refuses "another store" -u $service $all --store /tmp/other.db
sudo_refuses "no argument" -u $service $all
sudo_refuses "an option more" -u $service $all --store $store --format csv
sudo_refuses "a variable" -u $service SPRINGLINE_TODAY=2020-01-01 $all --store $store
sudo_refuses "the whole environment" -E -u $service $all --store $store
sudo_refuses "another folder" -D /tmp -u $service $all --store $store
sudo_refuses "an editor" -u $service -e $store

sit trial "$(ssh_line ada seat)"
sees trial "$first"
inner=$(processes springline)
for part in environ mem fd/3 maps; do
    here ada cat "/proc/$inner/$part"
    [ $code != 0 ] && [ ! -s "$out" ]
    ok $? "the program's /proc/$part is closed to ada"
done
leave trial

finish
