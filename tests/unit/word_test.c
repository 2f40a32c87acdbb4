/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "springline/base/word.h"

static const char *const texts[] = {"", "upper", "lower"};
static const struct words words = {"arch", texts, 3};

static void value_to_word(void **state)
{
    (void)state;
    assert_string_equal(word_text(&words, 0), "");
    assert_string_equal(word_text(&words, 1), "upper");
    assert_string_equal(word_text(&words, 2), "lower");
    assert_string_equal(word_text(&words, 3), "");
    assert_string_equal(word_text(&words, -1), "");
    assert_string_equal(word_text(&words, 1 << 30), "");
}

static void word_to_value_exactly(void **state)
{
    static const char *const wrong[] = {"Upper", "upper ", " upper", "uppe", "uppers", "1", " "};

    (void)state;
    assert_int_equal(word_value(&words, ""), 0);
    assert_int_equal(word_value(&words, NULL), 0);
    assert_int_equal(word_value(&words, "upper"), 1);
    assert_int_equal(word_value(&words, "lower"), 2);
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        assert_int_equal(word_value(&words, wrong[i]), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(value_to_word),
        cmocka_unit_test(word_to_value_exactly),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
