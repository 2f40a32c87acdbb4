/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A store that others could reach is told, with the command that closes it: run as told, it is
 * closed. Whose file it is can only be tried by root: tests/cli/shared_seats.sh does.
 */
#include <fcntl.h>
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

#include "springline/store/store.h"

/* In /tmp, which is everybody's and sticky: nobody can put another in the place of what is there.
 */
struct place {
    char top[40], folder[60], file[80];
};

static void make_place(struct place *place)
{
    *place = (struct place){0};
    (void)snprintf(place->top, sizeof place->top, "/tmp/springline-private-XXXXXX");
    assert_non_null(mkdtemp(place->top));
    (void)snprintf(place->folder, sizeof place->folder, "%s/folder", place->top);
    (void)snprintf(place->file, sizeof place->file, "%s/practice.db", place->folder);
    assert_int_equal(0, mkdir(place->folder, 0700));
    int file = open(place->file, O_CREAT | O_WRONLY | O_EXCL, 0600);
    assert_true(file >= 0);
    assert_int_equal(0, close(file));
}

static void remove_place(const struct place *place)
{
    assert_int_equal(0, unlink(place->file));
    assert_int_equal(0, rmdir(place->folder));
    assert_int_equal(0, rmdir(place->top));
}

static bool is_private(const char *path, bool shared)
{
    struct error error = {0};

    return store_check_private(path, shared, &error) == STATUS_OK;
}

/* place with mode is told as open, and the command at the end of the sentence closes it. */
static void told(const struct place *place, const char *what, mode_t mode, bool shared)
{
    struct error error = {0};
    struct stat before;

    assert_int_equal(0, stat(what, &before));
    assert_int_equal(0, chmod(what, mode));
    assert_int_equal(STATUS_UNUSABLE, store_check_private(place->file, shared, &error));
    assert_string_equal(what, error.where);
    const char *command = strstr(error.sentence, "chmod ");
    assert_non_null(command);
    assert_int_equal(0, system(command));
    assert_true(is_private(place->file, shared));
    assert_int_equal(0, chmod(what, before.st_mode & 07777));
}

static void closed(void **state)
{
    struct place place;

    (void)state;
    make_place(&place);
    for (int shared = 0; shared < 2; shared++) {
        assert_true(is_private(place.file, shared));
        assert_true(is_private("/nowhere/at/all.db", shared));
        assert_true(is_private("", shared));
    }
    assert_true(is_private(NULL, true));
    remove_place(&place);
}

static void every_right_of_others_is_told(void **state)
{
    struct place place;

    (void)state;
    make_place(&place);
    for (mode_t bit = 1; bit < 0100; bit <<= 1) {
        told(&place, place.file, 0600 | bit, false);
        told(&place, place.file, 0600 | bit, true);
        told(&place, place.folder, 0700 | bit, true);
    }
    told(&place, place.folder, 0720, false);
    told(&place, place.folder, 0702, false);
    told(&place, place.top, 0720, true);
    told(&place, place.top, 0702, true);
    remove_place(&place);
}

/* A practice of one may keep its store in a folder that others read, and below such folders. */
static void what_is_left_to_a_practice_of_one(void **state)
{
    struct place place;

    (void)state;
    make_place(&place);
    assert_int_equal(0, chmod(place.folder, 0755));
    assert_true(is_private(place.file, false));
    assert_false(is_private(place.file, true));
    assert_int_equal(0, chmod(place.folder, 01777));
    assert_true(is_private(place.file, false));
    assert_int_equal(0, chmod(place.folder, 0700));
    assert_int_equal(0, chmod(place.top, 0777));
    assert_true(is_private(place.file, false));
    assert_false(is_private(place.file, true));
    assert_int_equal(0, chmod(place.top, 01777));
    assert_true(is_private(place.file, true));
    remove_place(&place);
}

/* What counts is where the file lies, not where a link to it does. */
static void through_a_link(void **state)
{
    struct place place;
    char link[60];

    (void)state;
    make_place(&place);
    (void)snprintf(link, sizeof link, "%s/link.db", place.top);
    assert_int_equal(0, symlink(place.file, link));
    assert_true(is_private(link, true));
    assert_int_equal(0, chmod(place.folder, 0750));
    assert_false(is_private(link, true));
    assert_int_equal(0, unlink(link));
    remove_place(&place);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(closed), cmocka_unit_test(every_right_of_others_is_told),
        cmocka_unit_test(what_is_left_to_a_practice_of_one), cmocka_unit_test(through_a_link)};

    (void)umask(077);
    return cmocka_run_group_tests(tests, NULL, NULL);
}
