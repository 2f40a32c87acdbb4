/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/base/id.h"

static const char hex[] = "00ff10a00102030405060708090a0b0c";

static void text_goes_there_and_back(void **state)
{
    struct id id = {{0}}, upper;
    char buffer[ID_TEXT_SIZE];

    (void)state;
    assert_true(id_from_text(hex, &id));
    assert_int_equal(id.bytes[1], 0xFF);
    assert_int_equal(id.bytes[3], 0xA0);
    assert_int_equal(id.bytes[15], 0x0C);
    assert_ptr_equal(id_to_text(&id, buffer), buffer);
    assert_string_equal(buffer, hex);
    assert_true(id_from_text("00FF10A00102030405060708090A0B0C", &upper));
    assert_true(id_equal(&id, &upper));
}

static void every_byte_value_survives(void **state)
{
    char buffer[ID_TEXT_SIZE];

    (void)state;
    for (int value = 0; value < 256; value++) {
        struct id id, back;

        memset(id.bytes, value, sizeof id.bytes);
        assert_true(id_from_text(id_to_text(&id, buffer), &back));
        assert_true(id_equal(&id, &back));
    }
}

static void everything_else_is_refused(void **state)
{
    static const char *const wrong[] = {
        "",
        "0",
        "00ff10a00102030405060708090a0b0",
        "00ff10a00102030405060708090a0b0c0",
        "00ff10a00102030405060708090a0b0g",
        "00ff10a00102030405060708090a0b0:",
        "00ff10a00102030405060708090a0b0@",
        "00ff10a00102030405060708090a0b0`",
        "00ff10a00102030405060708090a0b0/",
        " 0ff10a00102030405060708090a0b0c",
    };
    struct id id;

    (void)state;
    memset(id.bytes, 7, sizeof id.bytes);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        assert_false(id_from_text(wrong[i], &id));
        assert_int_equal(id.bytes[0], 7);
    }
    assert_false(id_from_text(NULL, &id));
}

static void compares_by_bytes(void **state)
{
    struct id none = {{0}}, low = {{0}}, high = {{0}};

    (void)state;
    low.bytes[15] = 1;
    high.bytes[0] = 0x80;
    assert_true(id_is_none(&none));
    assert_false(id_is_none(&low));
    assert_false(id_is_none(&high));
    assert_true(id_compare(&low, &high) < 0);
    assert_true(id_compare(&high, &low) > 0);
    assert_int_equal(id_compare(&high, &high), 0);
    assert_false(id_equal(&low, &none));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_goes_there_and_back),
        cmocka_unit_test(every_byte_value_survives),
        cmocka_unit_test(everything_else_is_refused),
        cmocka_unit_test(compares_by_bytes),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
