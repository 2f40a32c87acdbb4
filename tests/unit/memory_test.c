/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is remembered of the lists. The file is our own (springline.5). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "springline/ui/memory.h"

static void path_of(char path[300])
{
    snprintf(path, 300, "%s/lists.%ld", getenv("TMPDIR"), (long)getpid());
}

static void what_is_kept_comes_back(void **state)
{
    struct memory memory = {0}, again = {0};
    struct stat about;
    char path[300];

    (void)state;
    path_of(path);
    assert_true(memory_sort_by(&memory, "recall", "call again"));
    assert_true(memory_sort_by(&memory, "today", "name"));
    assert_false(memory_sort_by(&memory, "today", "name"));
    assert_true(memory_save(&memory, path));
    assert_int_equal(stat(path, &about), 0);
    assert_int_equal(about.st_mode & 07777, 0600);
    memory_load(&again, path);
    assert_string_equal(memory_sorted_by(&again, "recall"), "call again");
    assert_string_equal(memory_sorted_by(&again, "today"), "name");
    assert_null(memory_sorted_by(&again, "people"));
    assert_true(memory_sort_by(&again, "recall", NULL));
    assert_false(memory_sort_by(&again, "recall", NULL));
    assert_null(memory_sorted_by(&again, "recall"));
    assert_string_equal(memory_sorted_by(&again, "today"), "name");
    assert_int_equal(unlink(path), 0);
}

static void a_broken_file_is_no_memory(void **state)
{
    static const char lines[] = "sort recall\nsort = x\nnothing\nsort a = \nsort people = login\n"
                                "sort bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb = c\n\377\376\n";
    struct memory memory = {0};
    char path[300];

    (void)state;
    path_of(path);
    memory_load(&memory, path); /* none there */
    assert_int_equal(memory.count, 0);
    FILE *file = fopen(path, "we");
    assert_non_null(file);
    assert_true(fputs(lines, file) >= 0);
    assert_int_equal(fclose(file), 0);
    memory_load(&memory, path);
    assert_int_equal(memory.count, 1);
    assert_string_equal(memory_sorted_by(&memory, "people"), "login");
    assert_int_equal(unlink(path), 0);
}

static void there_is_an_end_to_it(void **state)
{
    struct memory memory = {0};
    char name[16];

    (void)state;
    for (int i = 0; i < MEMORY_LISTS_MAX; i++) {
        snprintf(name, sizeof name, "list %d", i);
        assert_true(memory_sort_by(&memory, name, "column"));
    }
    assert_false(memory_sort_by(&memory, "one more", "column"));
    assert_true(memory_sort_by(&memory, "list 3", "another"));
    assert_false(memory_save(&memory, "/nowhere/at/all/lists"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_kept_comes_back),
        cmocka_unit_test(a_broken_file_is_no_memory),
        cmocka_unit_test(there_is_an_end_to_it),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
