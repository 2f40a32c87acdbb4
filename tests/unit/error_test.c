/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <wchar.h>

#include <cmocka.h>

#include "springline/base/error.h"
#include "springline/base/text.h"

static void fills_everything_and_returns_the_status(void **state)
{
    struct error error = {0};

    (void)state;
    assert_int_equal(
        error_set(&error, STATUS_INPUT, "visits.csv line 12, right_mm", "%s is not %d.", "12,5", 7),
        STATUS_INPUT);
    assert_int_equal(error.status, STATUS_INPUT);
    assert_string_equal(error.sentence, "12,5 is not 7.");
    assert_string_equal(error.where, "visits.csv line 12, right_mm");
    assert_int_equal(error_set(&error, STATUS_BUSY, NULL, "Busy."), STATUS_BUSY);
    assert_string_equal(error.where, "");
    assert_string_equal(error.sentence, "Busy.");
    assert_int_equal(error_set(NULL, STATUS_NO, "x", "%d", 1), STATUS_NO);
}

static void arguments_may_come_from_the_error_itself(void **state)
{
    struct error error = {0};

    (void)state;
    error_set(&error, STATUS_INPUT, "here", "first");
    error_set(&error, STATUS_INPUT, error.where, "%s, then second", error.sentence);
    assert_string_equal(error.sentence, "first, then second");
    assert_string_equal(error.where, "here");
}

/* What is quoted may have come from anywhere: it must not steer a terminal (CWE-150). */
static void what_is_quoted_is_made_harmless(void **state)
{
    static const struct {
        const char *given, *kept;
    } rows[] = {
        {"a\x1B[2Jb", "a?[2Jb"},
        {"two\nlines", "two?lines"},
        {"\xC2\x9B", "?"},     /* U+009B, one byte of a terminal's eight-bit controls */
        {"\xE2\x80\xAE", "?"}, /* U+202E */
        {"\xFF\xFE", "??"},    /* not UTF-8 */
        {"\xC3", "?"},         /* half a character */
        {"J\xC3\xB8rgen", "J\xC3\xB8rgen"},
        {"\xF0\xA0\x80\x80", "\xF0\xA0\x80\x80"},
    };
    struct error error;

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        error_set(&error, STATUS_INPUT, rows[i].given, "%s", rows[i].given);
        assert_string_equal(error.sentence, rows[i].kept);
        assert_string_equal(error.where, rows[i].kept);
    }
}

/* Characters of one to four bytes, at each place that the end of the buffer can cut. */
static void what_is_too_long_is_cut_between_characters(void **state)
{
    static const char *const characters[] = {"a", "\xC3\xB8", "\xE4\xB8\x80", "\xF0\xA0\x80\x80"};
    char text[700];
    struct error error;

    (void)state;
    for (size_t kind = 0; kind < 4; kind++) {
        size_t size = strlen(characters[kind]);

        for (size_t shift = 0; shift < 4; shift++) {
            size_t length = shift, whole;

            memset(text, 'x', shift);
            for (; length + size < sizeof text; length += size)
                memcpy(text + length, characters[kind], size);
            text[length] = '\0';
            error_set(&error, STATUS_INPUT, text, "%s", text);
            whole = shift + (sizeof error.sentence - 1 - shift) / size * size;
            assert_int_equal(strlen(error.sentence), whole);
            assert_memory_equal(error.sentence, text, whole);
            whole = shift + (sizeof error.where - 1 - shift) / size * size;
            assert_int_equal(strlen(error.where), whole);
            assert_true(text_is_utf8(error.where, whole));
        }
    }
}

/* A wide character that no locale has makes printf fail: something must still be said. */
static void what_printf_refuses_is_said_with_its_gaps(void **state)
{
    static const wchar_t impossible[] = {0x7FFFFFFF, 0};
    struct error error = {0};

    (void)state;
    assert_int_equal(error_set(&error, STATUS_INPUT, "here", "%ls is wrong.", impossible),
                     STATUS_INPUT);
    assert_string_equal(error.sentence, "%ls is wrong.");
}

static void no_memory_has_a_sentence(void **state)
{
    struct error error = {0};

    (void)state;
    assert_int_equal(error_no_memory(&error), STATUS_NO_MEMORY);
    assert_int_equal(error.status, STATUS_NO_MEMORY);
    assert_non_null(strstr(error.sentence, "memory"));
    assert_int_equal(error_no_memory(NULL), STATUS_NO_MEMORY);
}

static void exit_codes_are_those_promised(void **state)
{
    static const struct {
        enum status status;
        int code;
    } rows[] = {
        {STATUS_OK, 0},    {STATUS_ALREADY, 0},   {STATUS_NO, 1},       {STATUS_DAMAGED, 1},
        {STATUS_USAGE, 2}, {STATUS_UNUSABLE, 3},  {STATUS_BUSY, 3},     {STATUS_NO_MEMORY, 3},
        {STATUS_INPUT, 4}, {STATUS_NOT_FOUND, 4}, {STATUS_CONFLICT, 4}, {(enum status)99, 3},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(error_exit_code(rows[i].status), rows[i].code);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(fills_everything_and_returns_the_status),
        cmocka_unit_test(arguments_may_come_from_the_error_itself),
        cmocka_unit_test(what_is_quoted_is_made_harmless),
        cmocka_unit_test(what_is_too_long_is_cut_between_characters),
        cmocka_unit_test(what_printf_refuses_is_said_with_its_gaps),
        cmocka_unit_test(no_memory_has_a_sentence),
        cmocka_unit_test(exit_codes_are_those_promised),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
