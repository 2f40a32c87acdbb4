/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/base/millimetre.h"

static void reads_lengths(void **state)
{
    static const struct {
        const char *text;
        um value;
    } rows[] = {
        {"0", 0},           {"0.00", 0},          {"-0.00", 0},
        {"-0", 0},          {"1.25", 1250},       {"1.2", 1200},
        {"1", 1000},        {"12.5", 12500},      {"0.01", 10},
        {"-0.01", -10},     {"-0.50", -500},      {"007.10", 7100},
        {"999.99", 999990}, {"-999.99", -999990}, {"0000000000001.25", 1250},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct error error = {0};
        um value = 77;

        assert_int_equal(millimetre_from_text(rows[i].text, MARK_POINT, "right_mm", &value, &error),
                         STATUS_OK);
        assert_int_equal(value, rows[i].value);
        assert_int_equal(error.status, STATUS_OK);
        assert_string_equal(error.sentence, "");
    }
}

static void a_comma_is_read_on_screen_only(void **state)
{
    struct error error = {0};
    um value = 77;

    (void)state;
    assert_int_equal(millimetre_from_text("1,25", MARK_POINT_OR_COMMA, "", &value, &error),
                     STATUS_OK);
    assert_int_equal(value, 1250);
    assert_int_equal(millimetre_from_text("1.5", MARK_POINT_OR_COMMA, "", &value, &error),
                     STATUS_OK);
    assert_int_equal(value, 1500);
    assert_int_equal(millimetre_from_text("1,25", MARK_POINT, "visits.csv line 3", &value, &error),
                     STATUS_INPUT);
    assert_int_equal(value, 1500);
    assert_non_null(strstr(error.sentence, "1,25"));
    assert_non_null(strstr(error.sentence, "not a comma"));
    assert_string_equal(error.where, "visits.csv line 3");
}

/* Each refusal names its own reason. */
static void refuses_with_the_reason(void **state)
{
    static const struct {
        const char *text, *reason;
    } rows[] = {
        {"", "missing"},
        {NULL, "missing"},
        {"-", "begin with a digit"},
        {".5", "begin with a digit"},
        {"+1", "begin with a digit"},
        {" 1", "begin with a digit"},
        {"--1", "begin with a digit"},
        {"abc", "begin with a digit"},
        {"NaN", "begin with a digit"},
        {"1.", "digit must follow"},
        {"1.x", "digit must follow"},
        {"1..2", "digit must follow"},
        {"1.250", "two decimals"},
        {"1.2.3", "two decimal marks"},
        {"1.25,0", "two decimal marks"},
        {"1.25 ", "digits and one decimal mark"},
        {"1.25mm", "digits and one decimal mark"},
        {"1e2", "digits and one decimal mark"},
        {"0x10", "digits and one decimal mark"},
        {"1.5-", "digits and one decimal mark"},
        {"1000", "999.99"},
        {"-1000.00", "999.99"},
        {"99999999999999999999999999", "999.99"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct error error = {0};
        um value = 77;

        assert_int_equal(
            millimetre_from_text(rows[i].text, MARK_POINT_OR_COMMA, "mm", &value, &error),
            STATUS_INPUT);
        assert_int_equal(value, 77);
        assert_int_equal(error.status, STATUS_INPUT);
        assert_string_equal(error.where, "mm");
        if (strstr(error.sentence, rows[i].reason) == NULL)
            fail_msg("row %zu: \"%s\"", i, error.sentence);
    }
}

static void a_long_text_is_quoted_in_part(void **state)
{
    char text[1000];
    struct error error = {0};
    um value = 0;

    (void)state;
    memset(text, 'z', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    assert_int_equal(millimetre_from_text(text, MARK_POINT, "", &value, &error), STATUS_INPUT);
    assert_true(strlen(error.sentence) < 120);
    assert_int_equal(millimetre_from_text(text, MARK_POINT, "", &value, NULL), STATUS_INPUT);
}

static void writes_two_decimals(void **state)
{
    static const struct {
        um value;
        const char *text;
    } rows[] = {
        {UM_NONE, ""},
        {0, "0.00"},
        {1250, "1.25"},
        {-500, "-0.50"},
        {10, "0.01"},
        {-10, "-0.01"},
        {4, "0.00"},
        {5, "0.01"},
        {-4, "0.00"},
        {-5, "-0.01"},
        {1244, "1.24"},
        {1245, "1.25"},
        {-1245, "-1.25"},
        {36870, "36.87"},
        {999990, "999.99"},
        {999995, "1000.00"},
        {INT32_MAX, "2147483.65"},
        {INT32_MIN + 1, "-2147483.65"},
    };
    char buffer[MILLIMETRE_TEXT_SIZE];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_string_equal(millimetre_to_text(rows[i].value, buffer), rows[i].text);
}

static void every_hundredth_goes_there_and_back(void **state)
{
    char buffer[MILLIMETRE_TEXT_SIZE];

    (void)state;
    for (um value = -999990; value <= 999990; value += 10) {
        um back = UM_NONE;

        if (millimetre_from_text(millimetre_to_text(value, buffer), MARK_POINT, "", &back, NULL) !=
                STATUS_OK ||
            back != value)
            fail_msg("%d comes back as %d", value, back);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_lengths),
        cmocka_unit_test(a_comma_is_read_on_screen_only),
        cmocka_unit_test(refuses_with_the_reason),
        cmocka_unit_test(a_long_text_is_quoted_in_part),
        cmocka_unit_test(writes_two_decimals),
        cmocka_unit_test(every_hundredth_goes_there_and_back),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
