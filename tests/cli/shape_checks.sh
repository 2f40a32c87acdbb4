#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Each check of tests/support/check_shape is shown to fail: a small clean tree passes all of them,
# then one offence at a time is planted, and the check must name its file. TAP.
set -u

source=${SPRINGLINE_SOURCE:-$PWD}
check=$source/tests/support/check_shape
work=${TMPDIR:-/tmp}/shape.$$
tree=$work/tree
licence='/* SPDX-License-Identifier: GPL-3.0-or-later */'
count=0
trap 'rm -rf "$work"' EXIT
mkdir -p "$work"

result() { # STATUS TITLE: one TAP line; the last output too when it failed
    count=$((count + 1))
    if [ "$1" = 0 ]; then
        echo "ok $count - $2"
    else
        echo "not ok $count - $2"
        sed 's/^/# /' "$work/output"
    fi
}

put() { # FILE TEXT: a file of the tree, its licence line first if it is C
    mkdir -p "$tree/$(dirname "$1")"
    case $1 in
    *.c | *.h) printf '%s\n%s\n' "$licence" "$2" >"$tree/$1" ;;
    *) printf '%s\n' "$2" >"$tree/$1" ;;
    esac
}

build_objects() {
    (cd "$tree" && find src -name '*.c' | while read -r file; do
        mkdir -p "build/plain/obj/$(dirname "$file")"
        ${CC:-gcc} -std=c11 -O1 -Iinclude -c "$file" -o "build/plain/obj/${file%.c}.o" || exit 1
    done)
}

fresh() { # a small clean tree
    rm -rf "$tree"
    mkdir -p "$tree"
    cp "$source/Makefile" "$tree/Makefile"
    put include/springline/base/two.h '#ifndef TWO_H
#define TWO_H
/* Twice the number. */
int two_of(int number);
#endif'
    put src/base/two.c '#include "springline/base/two.h"

int two_of(int number)
{
    return 2 * number;
}'
    put include/springline/core/record.h '#ifndef RECORD_H
#define RECORD_H
struct record {
    int (*call)(int);
};
extern const int record_table[2]; /* a table */
int record_sum(void);             /* its sum */
#endif'
    put src/core/record.c '#include "springline/core/record.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "springline/base/two.h"

const int record_table[2] = {1, 2};
static const char *const names[] = {"delete from the list", "select a case", "update it"};

int record_sum(void)
{
    return two_of((int)strlen(names[abs(record_table[0])]) + (int)floor(record_table[1] * 0.5));
}'
    put src/store/rows.c '#include "springline/core/record.h"

const char *rows_sql(int);
const char *rows_sql(int which)
{
    return which == record_table[0] ? "SELECT 1 FROM t" : "PRAGMA user_version";
}'
    put src/ui/draw.c '#include <curses.h>
#include "springline/base/two.h"

int draw_width(void);
int draw_width(void)
{
    return two_of(1);
}'
    put src/main.c '#include <signal.h>
#include <stdio.h>

int main(void)
{
    printf("SELECT a case, then UPDATE it\n");
    return 0;
}'
    put tests/unit/one.c 'int main(void)
{
    return 0;
}'
}

caught() { # CHECK PLACE TITLE: the check fails and names the place
    case $1 in
    core_needs | base_needs | store_calls | mutable) build_objects ;;
    esac >"$work/output" 2>&1
    if [ $? != 0 ]; then
        result 1 "$1: $3 (the planted file does not compile)"
        return
    fi
    "$check" --root "$tree" --objects "$tree/build/plain/obj" "$1" >"$work/output" 2>&1
    status=$?
    if [ "$status" = 1 ] && grep -q "^$1: $2" "$work/output"; then
        result 0 "$1: $3"
    else
        result 1 "$1: $3 (status $status)"
    fi
}

plant() { # CHECK FILE TITLE TEXT
    fresh
    put "$2" "$4"
    caught "$1" "$2" "$3"
}

lines() { # NUMBER TEXT: the text that often
    awk -v n="$1" -v t="$2" 'BEGIN { while (n-- > 0) print t }'
}

functions() { # NUMBER LINES: that many functions of that many lines, each with its prototype
    awk -v n="$1" -v l="$2" 'BEGIN {
        for (i = 1; i <= n; i++) {
            printf "int grown_%d(int x);\nint grown_%d(int x)\n{\n", i, i
            for (j = 0; j < l - 3; j++) print "    x++;"
            print "    return x;\n}"
        }
    }'
}

fresh
build_objects >"$work/output" 2>&1 &&
    "$check" --root "$tree" --objects "$tree/build/plain/obj" >"$work/output" 2>&1
result $? "the clean tree passes every check"

plant top_level notes.txt "a new name at the top" 'text'
fresh
put src/extra/one.c 'int x_of(void);'
put tests/misc/one.c 'int x_of(void);'
caught top_level src/extra "a seventh room"
caught top_level tests/misc "a folder of tests that is not known"

plant arrows src/core/up.c "core includes app" '#include "springline/app/app.h"'
put include/springline/store/store.h 'struct store;'
put src/core/up.c '#include "springline/store/store.h"'
caught arrows src/core/up.c "core includes the store"
put src/base/up.c '#include "springline/core/record.h"'
caught arrows src/base/up.c "base includes core"
put include/springline/core/rules.h 'struct rules;'
put src/store/up.c '#include "springline/core/rules.h"'
caught arrows src/store/up.c "the store includes the rules"
put include/springline/cli/cli.h 'struct cli;'
put src/app/up.c '#include "springline/cli/cli.h"'
caught arrows src/app/up.c "app includes cli"
put include/springline/ui/ui.h 'struct ui;'
put src/cli/up.c '#include "springline/ui/ui.h"'
caught arrows src/cli/up.c "cli includes ui"
put include/springline/base/up.h '#include "springline/app/up.h"'
caught arrows include/springline/base/up.h "a header of base includes app"
put src/app/inner.h 'struct inner;'
put src/ui/up.c '#include "../app/inner.h"'
caught arrows src/ui/up.c "a private header of another room"

for header in stdio.h time.h unistd.h sqlite3.h curses.h; do
    plant core_headers src/core/world.c "core includes $header" "#include <$header>"
done
plant core_headers src/base/clock.c "base includes time.h" '#include <time.h>'

plant sql src/app/rows.c "SQL in app" 'const char *rows(void);
const char *rows(void) { return "SELECT id "
    "FROM patient"; }'
plant sql src/ui/rows.c "a pragma in ui" 'const char *rows(void);
const char *rows(void) { return "PRAGMA data_version"; }'
plant sql src/app/calls.c "a call of SQLite in app" 'int sqlite3_step(void *);
int calls(void);
int calls(void) { return sqlite3_step(0); }'
plant screens src/ui/day.c "a screen includes core" '#include "springline/core/record.h"'
plant screens src/ui/day.c "a screen asks the rules" 'int rules_judge(int);
int day_screen(void);
int day_screen(void) { return rules_judge(1); }'
plant screens src/ui/day.c "a screen reckons with dates" 'int day_month_start(int, int);
int next_month(void);
int next_month(void) { return day_month_start(1, 1); }'
plant screens src/ui/day.c "a list screen that is long" "$(
    echo 'const int day_screen[] = {LIST_SCREEN("day", 0)};'
    seq 150 | sed 's,.*,/* & */,'
)"
plant sql include/springline/store/store.h "SQLite in a header of the store" '#include <sqlite3.h>'

plant curses src/app/draw.c "curses in app" '#include <ncursesw/curses.h>'
fresh
for file in a b c; do put src/ui/$file.c '#include <curses.h>'; done
caught curses src/ui/a.c "curses in a fourth file"

for call in strcpy strcat sprintf strtok localtime ctime atoi; do
    plant banned src/app/call.c "$call" "int $call(); int call_it(void);
int call_it(void) { return $call(); }"
done
plant banned tests/unit/call.c "strcpy in a test" 'int strcpy(); int f(void);
int f(void) { return strcpy(); }'
for call in system popen fork execve posix_spawn dlopen socket; do
    plant banned src/main.c "$call, even in main" "int $call(); int call_it(void);
int call_it(void) { return $call(); }"
done
plant banned src/app/ends.c "exit below main" '#include <stdlib.h>
void ends(void);
void ends(void) { exit(1); }'
plant banned src/app/says.c "printing below main" '#include <stdio.h>
void says(void);
void says(void) { fputs("x", stderr); }'
plant banned src/core/sure.c "assert below main" '#include <assert.h>
void sure(int x);
void sure(int x) { assert(x); }'

fresh
put tests/unit/macros.c "$(awk 'BEGIN { for (i = 1; i < 17; i++) printf "#define M%d(x) (x)\n", i }')"
caught macros tests/unit/macros.c "sixteen function-like macros"

plant lengths src/app/long.c "a file of 602 lines" "$(lines 601 '/* line */')"
plant lengths tests/unit/long.c "a test of 602 lines" "$(lines 601 '/* line */')"
plant lengths src/app/long.c "a function of 71 lines" "$(functions 1 71)"
fresh
put src/app/nine.c "$(functions 9 36)"
caught lengths src "nine in ten functions longer than 35 lines"
fresh
put src/app/half.c "$(functions 20 13)"
caught lengths src "a median function of 13 lines"
fresh
for file in a b c d e f; do put src/app/$file.c "$(lines 260 '/* line */')"; done
caught lengths src "a median file of 261 lines"

plant documented include/springline/app/bare.h "a prototype without a comment" '
int bare_first(int a,
               int b);'
plant documented include/springline/app/bare.h "a comment that belongs to the one before" '
/* The first. */
int bare_first(int a);
int bare_second(int a);'

fresh
printf 'int naked(void);\n' >"$tree/include/springline/base/naked.h"
caught licence include/springline/base/naked.h "a header without its licence"
fresh
printf '#!/bin/sh\necho\n' >"$tree/tests/unit/naked.sh"
caught licence tests/unit/naked.sh "a script without its licence"

plant words src/app/notes.c "unfinished work" "/* TO""DO: later */"
plant words README.md "a path of one machine" "see /wo""rk/main"
plant words demo/notes.csv "a home folder" "/ho""me/someone"

plant headers include/springline/app/part.h "a header that needs another" 'size_t part_size(void);'
plant headers include/springline/app/twice.h "a header without a guard" 'struct twice {
    int x;
};'

plant core_needs src/core/clock.c "core asks the clock" 'long time(long *); long clock_now(void);
long clock_now(void) { return time(0); }'
plant core_needs src/core/print.c "core prints" 'int puts(const char *); int print_it(void);
int print_it(void) { return puts("x"); }'
plant core_needs src/core/environment.c "core reads the environment" '#include <stdlib.h>
char *environment(void);
char *environment(void) { return getenv("X"); }'
plant core_needs src/core/upward.c "core calls the store" 'const char *rows_sql(int);
const char *upward(void);
const char *upward(void) { return rows_sql(1); }'
plant core_needs src/core/table.c "core writes through GSL" 'int gsl_vector_fprintf(void); int t(void);
int t(void) { return gsl_vector_fprintf(); }'
plant base_needs src/base/clock.c "base asks the clock" 'long time(long *); long clock_now(void);
long clock_now(void) { return time(0); }'
plant base_needs src/base/open.c "base opens a file" 'void *fopen(const char *, const char *);
void *open_it(void);
void *open_it(void) { return fopen("x", "r"); }'
plant store_calls src/store/calls.c "the store calls core" '#include "springline/core/record.h"
int calls_sum(void);
int calls_sum(void) { return record_sum(); }'

plant mutable src/app/global.c "a global with a value" 'extern int counter; int counter = 4;'
plant mutable src/app/global.c "a global without a value" 'extern int counter; int counter;'
plant mutable src/app/local.c "a local that is kept" 'int next(void);
int next(void) { static int n; return ++n; }'
plant mutable src/core/thread.c "a variable of a thread" 'int next(void);
int next(void) { static _Thread_local int n; return ++n; }'
plant mutable src/app/names.c "a table of names that can be changed" 'extern const char *names[];
const char *names[] = {"a", "b"};'
plant mutable src/app/flag.c "a flag that is not on the list" '#include <signal.h>
extern volatile sig_atomic_t flag_unknown;
volatile sig_atomic_t flag_unknown;'
plant mutable src/ui/terminal.c "a flag on the list that no signal handler may set" 'extern int terminal_ending;
int terminal_ending;'
fresh
put src/ui/terminal.c '#include <signal.h>
extern volatile sig_atomic_t terminal_ending;
volatile sig_atomic_t terminal_ending;'
build_objects >"$work/output" 2>&1 &&
    "$check" --root "$tree" --objects "$tree/build/plain/obj" mutable >"$work/output" 2>&1
result $? "mutable: a flag on the list is allowed"

echo "1..$count"
