#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# tests/support/run_tests, tried on programs that pass, fail, crash, hang, skip or test nothing: it
# must see each of them, for everything else relies on it. TAP by its own specification, version 13.
set -u

source=${SPRINGLINE_SOURCE:-$PWD}
work=${TMPDIR:-/tmp}/run_tests.$$
count=0
trap 'rm -rf "$work"' EXIT
mkdir -p "$work/tests/support"
cp "$source/tests/support/run_tests" "$work/tests/support/"
cd "$work" || exit 1

program() { # NAME SCRIPT
    printf '#!/bin/sh\n%s\n' "$2" >"$1"
    chmod +x "$1"
}

expect() { # STATUS LAST-LINE TITLE PROGRAM...: how the runner ends, and its last line
    want_status=$1 want_line=$2 title=$3
    shift 3
    count=$((count + 1))
    # shellcheck disable=SC2086
    env -u CI $extra tests/support/run_tests --build build --timeout 1 "$@" >output 2>&1
    status=$?
    if [ "$status" = "$want_status" ] && [ "$(tail -n 1 output)" = "$want_line" ]; then
        echo "ok $count - $title"
    else
        echo "not ok $count - $title (status $status)"
        sed 's/^/# /' output
    fi
}
extra=

program good 'echo 1..2; echo ok 1 - a; echo ok 2 - b'
program groups 'echo 1..1; echo ok 1 - a; echo 1..2; echo ok 1 - b; echo ok 2 - c'
program figure 'echo 1..1; echo "# figure: a ratio 1.39"; echo "# other"; echo ok 1 - a'
program bad 'echo 1..2; echo ok 1 - a; echo not ok 2 - b; exit 1'
program crash 'echo 1..2; echo ok 1 - a; kill -SEGV $$'
program status 'echo 1..1; echo ok 1 - a; exit 3'
program none 'echo nothing here'
program zero 'echo 1..0'
program short 'echo 1..3; echo ok 1; echo ok 2'
program long 'echo 1..1; echo ok 1; echo ok 2'
program noplan 'echo ok 1 - a'
program hang 'echo 1..1; echo ok 1 - a; sleep 30'
program skip 'echo 1..2; echo ok 1 - a; echo "ok 2 - b # SKIP no such tool"'
program skipall 'echo "1..0 # SKIP no such tool"'
program bail 'echo 1..1; echo ok 1; echo "Bail out! no store"'
program environment 'echo 1..1; [ "$LEAK$TZ$LC_ALL" = UTCC.UTF-8 ] && [ -d "$HOME" ] &&
[ -z "${SPRINGLINE_TODAY+x}" ] && echo ok 1 && exit; echo not ok 1'

expect 0 "2 passed, 0 failed" "a good program" ./good
expect 0 "5 passed, 0 failed" "several plans, several programs" ./good ./groups
expect 0 "1 passed, 0 failed" "a program that tells a figure" ./figure
count=$((count + 1))
if grep -q '^     a ratio 1.39$' output && ! grep -q other output; then
    echo "ok $count - the figure is shown, and nothing else of it"
else
    echo "not ok $count - the figure is shown, and nothing else of it"
fi
expect 1 "1 passed, 1 failed" "a failed test" ./bad
expect 1 "1 passed, 2 failed" "a crash" ./crash
expect 1 "1 passed, 1 failed" "a status other than 0" ./status
expect 1 "0 passed, 1 failed" "a program without a test" ./none
expect 1 "0 passed, 1 failed" "a plan of nothing" ./zero
expect 1 "2 passed, 1 failed" "fewer tests than planned" ./short
expect 1 "2 passed, 1 failed" "more tests than planned" ./long
expect 1 "1 passed, 1 failed" "no plan" ./noplan
expect 1 "1 passed, 1 failed" "a program that hangs" ./hang
expect 0 "1 passed, 0 failed" "a skip is not a pass" ./skip
expect 1 "1 passed, 1 failed" "a bail out" ./bail
expect 1 "0 passed, 2 failed" "a program that is not there" ./missing
expect 1 "0 passed, 1 failed" "no program"
extra='CI=1'
expect 1 "1 passed, 1 failed" "a skip is a failure in CI" ./skip
expect 1 "0 passed, 1 failed" "everything skipped is a failure in CI" ./skipall
extra='LEAK=caller SPRINGLINE_TODAY=2026-01-01'
expect 0 "1 passed, 0 failed" "the environment is made, not inherited" ./environment

echo "1..$count"
