# SPDX-License-Identifier: GPL-3.0-or-later
# For tests of the practice with several seats: a host of its own, made in private namespaces (files,
# processes, network), so that nothing of the machine is changed and nothing is left. Its accounts,
# its sudo and its sshd are set up with the lines that man/springline.1 shows.
# Sourced after cli.sh. seats_begin comes first; what comes after it runs inside the host, as root.
# shellcheck shell=sh

page=$source/man/springline.1
service=springline
store=/srv/springline/practice.db
open=/srv/open # where every login can look; what is below $work can be root's alone
port=2222
first=" still booked" # on the day's list, and nowhere else

seats_skip() {
    echo "1..0 # SKIP $1"
    exit 0
}

# Runs the test anew inside the namespaces, and ends with its status.
# seats_begin TEST [ARGUMENT]: ARGUMENT is what this function itself gives.
#
# Inside nothing is ever removed: a folder may be a mount, and what lies behind it the machine's. The
# mounts end with the namespace; the empty folder that is left is removed out here, where there are
# none.
seats_begin() {
    if [ "${2:-}" = inside ]; then
        if [ -z "${SEATS_OUTSIDE:-}" ] || [ "$(mount_space)" = "$SEATS_OUTSIDE" ]; then
            echo "Bail out! these are the machine's own files"
            exit 1
        fi
        trap - EXIT
        mount --make-rprivate / && mount -t tmpfs -o mode=755 tmpfs "$work" || exit 1
        host=$work/host
        : >"$out"
        : >"$err"
        return
    fi
    find_server
    for tool in sudo ssh scp sftp ssh-keygen sqlite3 tmux useradd visudo runuser setpriv unshare; do
        PATH=$PATH:/usr/sbin:/sbin command -v $tool >/dev/null || seats_skip "there is no $tool"
    done
    as_root=
    [ "$(id -u)" = 0 ] || as_root="sudo -n"
    $as_root true 2>/dev/null || seats_skip "neither root nor sudo without a password"
    spaces="--mount --pid --net --ipc --uts --fork --mount-proc --kill-child"
    # shellcheck disable=SC2086 # as_root is nothing or two words, spaces are several
    $as_root unshare $spaces true 2>/dev/null ||
        seats_skip "namespaces can not be made here, and the machine itself must not be changed"
    # shellcheck disable=SC2086
    $as_root unshare $spaces env -i PATH="$PATH:/usr/sbin:/sbin" LC_ALL=C.UTF-8 \
        TERM=xterm-256color TMPDIR="$work" SPRINGLINE_SOURCE="$source" \
        SPRINGLINE_PROGRAM="$program" SEATS_SERVER="$server" SEATS_OUTSIDE="$(mount_space)" \
        ${ASAN_OPTIONS:+ASAN_OPTIONS="$ASAN_OPTIONS"} sh "$1" inside
    exit $?
}

mount_space() {
    readlink /proc/self/ns/mnt
}

# The root of what openssh-server holds: installed, or unpacked by make deps-test.
find_server() {
    build=$(cd "${SPRINGLINE_BUILD:-$source/build}" && pwd) || exit 1
    for server in / "$build/openssh/" "$build/../openssh/"; do
        [ -x "${server}usr/sbin/sshd" ] && return
    done
    seats_skip "there is no sshd; make deps-test fetches one"
}

# step NAME: the lines of a literal block of the manual, as a person would type them.
step() {
    awk -v begin=".\\\\\" begin step: $1" '
        $0 == begin { inside = 1; next }
        inside && $0 == ".\\\" end step" { inside = 0 }
        inside && $0 !~ /^\.(Bd|Ed)/ { print }' "$page" |
        sed 's/\\-/-/g; s/\\e/\\/g; s/\\(aq/'"'"'/g; s/\\&//g' >"$host/step"
    [ -s "$host/step" ] || { echo "Bail out! the manual has no step $1"; exit 1; }
    cat "$host/step"
}

# do_step NAME: runs it, as root, where the files of the person lie.
do_step() {
    step "$1" >/dev/null
    (cd "$host" && sh -eu step) >"$out" 2>"$err"
    code=$?
    ok $code "the manual's step works: $1"
}

# write_step NAME FILE MODE
write_step() {
    step "$1" >"$2" && chmod "$3" "$2"
    ok $? "the manual's file is written: $2"
}

# Networks begin without even a loopback that works.
start_loopback() {
    python3 - <<'PY'
import fcntl, socket, struct
with socket.socket() as any_socket:
    # SIOCSIFFLAGS, IFF_UP | IFF_RUNNING: linux/sockios.h, linux/if.h
    fcntl.ioctl(any_socket, 0x8914, struct.pack("16sH14x", b"lo", 0x41))
PY
}

# A Debian as it is after its packages were installed, and the program. What is mounted over a folder
# holds copies, or nothing: the machine's own files stand behind it and can not be reached.
make_host() (
    set -e
    start_loopback
    mkdir "$host"
    for place in /etc /usr/sbin; do
        mkdir -p "$host/files$place"
        cp -a "$place/." "$host/files$place/"
        mount --bind "$host/files$place" "$place"
    done
    # What follows changes files below /etc: they must be the copies.
    [ "$(stat -c %d:%i /etc)" = "$(stat -c %d:%i "$host/files/etc")" ] &&
        [ "$(stat -c %d:%i /usr/sbin)" = "$(stat -c %d:%i "$host/files/usr/sbin")" ]
    for place in /run /srv /usr/local/bin /var/log /var/lib/sudo /var/mail; do
        if [ -d $place ]; then mount -t tmpfs -o mode=755 tmpfs $place; fi
    done
    for name in springline springline-seats ada bea carl; do
        sed -i "/^$name:/d" /etc/passwd /etc/shadow /etc/group /etc/gshadow
    done
    rm -f /etc/ssh/sshd_config.d/* /etc/ssh/ssh_host_* /etc/sudoers.d/*
    mkdir -p /run/sshd /etc/ssh/sshd_config.d /etc/sudoers.d
    # sshd's own sftp: the package with the other is not needed
    sed 's,/usr/lib/openssh/sftp-server,internal-sftp,' \
        "${SEATS_SERVER}usr/share/openssh/sshd_config" >/etc/ssh/sshd_config
    if [ ! -f /etc/pam.d/sshd ]; then cp "${SEATS_SERVER}etc/pam.d/sshd" /etc/pam.d/sshd; fi
    if [ ! -x /usr/sbin/sshd ]; then cp "${SEATS_SERVER}usr/sbin/sshd" /usr/sbin/sshd; fi
    if ! getent passwd sshd >/dev/null; then
        useradd --system --no-create-home --home-dir /run/sshd --shell /usr/sbin/nologin sshd
    fi
    ssh-keygen -q -t ed25519 -N '' -f /etc/ssh/ssh_host_ed25519_key
    install -m 755 "$program" /usr/local/bin/springline
    mkdir $open
    install -m 755 "$(dirname "$program")/tests/support/set_person" $open/set_person
)

# make_key PERSON: what the person does at the own machine.
make_key() {
    ssh-keygen -q -t ed25519 -N '' -C "$1" -f "$host/$1"
}

# add_person NAME: the manual's step for ada, for another.
add_person() {
    make_key "$1"
    step person >"$host/person"
    sed "s/\\bada\\b/$1/g" "$host/person" >"$host/person.$1"
    (cd "$host" && sh -eu "person.$1") >"$out" 2>"$err"
    ok $? "the manual's step works: person, for $1"
}

# Starts sshd, with what it says in $host/sshd.log. start_sshd LOGIN: the login that the kernel keeps
# for it, and for whom comes by it where PAM sets none; 4294967295 is none.
start_sshd() {
    if [ -e /proc/self/loginuid ] && ! (echo "$1" >/proc/self/loginuid) 2>/dev/null; then
        [ "$(cat /proc/self/loginuid)" = "$1" ] || return
    fi
    rm -f "$host/sshd.pid"
    (
        if [ -e /proc/self/loginuid ]; then echo "$1" >/proc/self/loginuid; fi 2>/dev/null
        exec /usr/sbin/sshd -p $port -o ListenAddress=127.0.0.1 -o PidFile="$host/sshd.pid" \
            -o LogLevel=VERBOSE -E "$host/sshd.log"
    )
    tries=0
    until [ -s "$host/sshd.pid" ] || [ $tries = 200 ]; do # written once it listens
        tries=$((tries + 1))
        sleep 0.05
    done
    [ -s "$host/sshd.pid" ]
}

# Its own process alone is ended: whoever sits there stays.
stop_sshd() {
    old=$(cat "$host/sshd.pid") && kill "$old" && while kill -0 "$old" 2>/dev/null; do sleep 0.05; done
}

# The one option file of every client: the key alone, no question, the locale sent as Debian does.
make_client() {
    cat >"$host/client" <<CLIENT
Host seat
    HostName 127.0.0.1
    Port $port
    StrictHostKeyChecking no
    UserKnownHostsFile $host/known
    LogLevel ERROR
    BatchMode yes
    IdentitiesOnly yes
    SendEnv LANG LC_*
    ConnectTimeout 10
CLIENT
}

# as PERSON TOOL ARGUMENT...: ssh, scp or sftp with the person's key; streams in $out and $err.
as() {
    person=$1 tool=$2
    shift 2
    timeout 20 "$tool" -F "$host/client" -i "$host/$person" -o "User=$person" "$@" \
        >"$out" 2>"$err" </dev/null
    code=$?
}

# here PERSON COMMAND...: as if the person had a shell on the machine.
here() {
    person=$1
    shift
    (cd / && exec setpriv --reuid "$person" --regid "$person" --init-groups timeout 20 "$@") \
        >"$out" 2>"$err" </dev/null
    code=$?
}

# ---- seats: a terminal with the program in it, by tmux ----

terminal() {
    TMUX_TMPDIR=$host tmux -u -f /dev/null -L seats "$@"
}

# sit SEAT COMMAND: a terminal of 80 columns and 24 rows with the command, which says how it ended.
sit() {
    printf '%s\necho "ended $?"\nexec cat\n' "$2" >"$host/$1.sh"
    terminal new-session -d -s "$1" -x 80 -y 24 "exec sh $host/$1.sh"
}

# ssh_line PERSON ARGUMENT...: the command of such a terminal that goes to the seat by ssh.
ssh_line() {
    person=$1
    shift
    echo "ssh -F $host/client -i $host/$person -l $person -tt $*"
}

look() {
    terminal capture-pane -p -t "$1" 2>/dev/null
}

# sees SEAT TEXT: waits until it stands there, 15 s at most.
sees() {
    tries=0
    until look "$1" | grep -qF -- "$2"; do
        tries=$((tries + 1))
        if [ $tries -gt 300 ]; then
            look "$1" >"$out"
            return 1
        fi
        sleep 0.05
    done
}

# press SEAT KEY TEXT: a key by tmux's name, or letters, and what it brings up; the hand leaves what
# came up before (UI_DEAF_MS is 150).
press() {
    sleep 0.3
    terminal send-keys -t "$1" "$2" && sees "$1" "$3"
}

# save SEAT TEXT: says yes to the review until TEXT stands there.
save() {
    saves=0
    until look "$1" | grep -qF -- "$2"; do
        saves=$((saves + 1))
        if [ $saves -gt 20 ]; then
            look "$1" >"$out"
            return 1
        fi
        sleep 0.5
        if look "$1" | grep -q "Right person"; then terminal send-keys -t "$1" 1; fi
    done
}

leave() {
    terminal kill-session -t "$1" 2>/dev/null
}

# processes PROGRAM: the numbers of those that run it.
processes() {
    for process in /proc/[0-9]*; do
        if [ "$(cat "$process/comm" 2>/dev/null)" = "$1" ]; then echo "${process#/proc/}"; fi
    done
}

# gone PROGRAM: waits until nothing runs it, 20 s at most.
gone() {
    tries=0
    while processes "$1" | grep -q .; do
        tries=$((tries + 1))
        [ $tries -gt 400 ] && return 1
        sleep 0.05
    done
}

# asked SQL: of the store, past the program, as its owner.
asked() {
    runuser -u $service -- sqlite3 -readonly $store "$1"
}

# set_up: the host, set up by the manual, with ada and bea; carl has an ordinary login, for controls.
set_up() {
    make_host >"$out" 2>"$err"
    code=$?
    ok $code "a host of its own is made"
    [ $code = 0 ] || finish
    do_step account
    write_step seat /usr/local/bin/springline-seat 755
    write_step sudoers /etc/sudoers.d/springline 440
    write_step sshd /etc/ssh/sshd_config.d/springline.conf 644
    do_step check
    add_person ada
    add_person bea
    make_key carl
    useradd --create-home --home-dir $open/carl --shell /bin/sh carl
    install -d -m 700 -o carl -g carl $open/carl/.ssh
    install -m 600 -o carl -g carl "$host/carl.pub" $open/carl/.ssh/authorized_keys
    one_case
    make_client
    # tmux ends with its last terminal, and may then be asked for the next: one stays.
    terminal new-session -d -s stays "exec cat"
    start_sshd 4294967295
    ok $? "sshd runs"
}

# An invented child, long enough ago for any clock.
one_case() {
    mkdir $open/csv
    printf 'chart,family,given,born\nP-1,Inventeddaughter,Ane,2018-05-06\n' \
        >$open/csv/patients.csv
    as_person root orthodontist
    printf 'case,chart,opened,consent_on,asked_on\nC-0001,P-1,2024-05-28,2024-06-04,2024-05-28\n' \
        >$open/csv/cases.csv
    sudo -u $service springline --store $store import $open/csv >"$out" 2>"$err"
    ok $? "root, recorded as somebody who may, gives sub-commands through sudo"
    as_person ada orthodontist "Ada Example"
}

# as_person LOGIN ROLE [NAME]: makes the one person of the store another.
as_person() {
    runuser -u $service -- "$open/set_person" $store "$@"
    ok $? "recorded: $1, $2"
}

# skipped TITLE WHY
skipped() {
    count=$((count + 1))
    echo "ok $count - $1 # SKIP $2"
}

# add_to_people SEAT LOGIN NAME DIGIT ROLE: enters a person, from the list of people.
add_to_people() {
    press "$1" '*' "add one" && press "$1" 1 "[" && press "$1" "$2" "$2" &&
        press "$1" Enter "name  " && press "$1" "$3" "$3" && press "$1" Enter "$5" &&
        press "$1" "$4" "role $5" && save "$1" "Saved: person $3"
}

# contact SEAT NAME: a contact with the family of the one case, from the day's list; NAME is who it
# is by.
contact() {
    press "$1" 0001 "> " && press "$1" '*' "contact" && press "$1" 3 "channel" &&
        press "$1" Enter "outcome: 1" && press "$1" 1 "again on:" && press "$1" Enter "note:" &&
        press "$1" Enter "reached; by $2" && save "$1" "Saved: contact"
}
