# SPDX-License-Identifier: GPL-3.0-or-later
# For tests of the command line: run the program, look at what it wrote, say it in TAP.
# Sourced by tests/cli/*.sh. Golden files lie in tests/cli/golden; UPDATE=1 make test TESTS=...
# writes them anew instead of comparing (read the difference before you commit it).
# shellcheck shell=sh
set -u

source=${SPRINGLINE_SOURCE:-$PWD}
program=${SPRINGLINE_PROGRAM:-$source/build/springline}
golden=$source/tests/cli/golden
work=${TMPDIR:-/tmp}/cli.$$
count=0
failed=0
code=0
out=$work/out
err=$work/err
SPRINGLINE_TODAY=2026-11-25
export SPRINGLINE_TODAY
trap 'rm -rf "$work"' EXIT
mkdir -p "$work" || exit 1
if ! "$program" --version >/dev/null 2>&1; then
    echo "Bail out! $program does not run"
    exit 1
fi
unset SPRINGLINE_STORE COLUMNS

# ok CONDITION-STATUS TITLE
ok() {
    count=$((count + 1))
    if [ "$1" = 0 ]; then
        echo "ok $count - $2"
    else
        failed=$((failed + 1))
        echo "not ok $count - $2"
        echo "# exit code $code; output and messages:"
        sed 's/^/# /' "$out" "$err" | head -n 40
    fi
}

# run ARGUMENT...: the program; its exit code in $code, its streams in $out and $err.
run() {
    "$program" "$@" >"$out" 2>"$err" </dev/null
    code=$?
}

# answers CODE TITLE: how the last run ended.
answers() {
    [ "$code" = "$1" ]
    ok $? "$2"
}

# refuses CODE TEXT TITLE: ended with CODE, and exactly one line of messages, which holds TEXT.
refuses() {
    [ "$code" = "$1" ] && [ "$(wc -l <"$err")" = 1 ] && grep -qF -- "$2" "$err"
    ok $? "$3"
}

# says TEXT TITLE: the messages hold TEXT.
says() {
    grep -qF -- "$1" "$err"
    ok $? "$2"
}

# golden CODE NAME: ended with CODE, and the output is that of the golden file. The head of the
# ledger differs from run to run (random ids, the real clock) and is taken out.
golden() {
    sed 's/^  [0-9a-f]\{64\}$/  .../; s/\(every one matches; head [0-9]*:\)[0-9a-f]\{64\}/\1.../
        s/^    \([0-9a-f]\{4\} \)\{7\}[0-9a-f]\{4\}[^0-9a-f ]\{0,1\}$/    .../
        s/^\(springline, store \)[0-9a-f]\{8\} /\1........ /' "$out" >"$work/clean"
    if [ "${UPDATE:-}" = 1 ]; then
        mkdir -p "$golden" && cp "$work/clean" "$golden/$2"
    fi
    [ "$code" = "$1" ] && cmp -s "$golden/$2" "$work/clean"
    same=$?
    if [ $same != 0 ]; then
        diff "$golden/$2" "$work/clean" 2>&1 | sed 's/^/# /' | head -n 40
    fi
    ok $same "$2"
}

# demo_store PATH: a new store with the demo practice in it.
demo_store() {
    run --store "$1" init
    answers 0 "a new store"
    run --store "$1" import "$source/demo"
    answers 0 "the demo practice is taken in"
}

finish() {
    echo "1..$count"
    [ $failed = 0 ]
    exit $?
}
