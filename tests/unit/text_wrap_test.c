/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Running text broken into lines: judgement of our own, no source. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/base/text.h"

static void wraps_to(const char *lead, const char *text, int columns, const char *wanted)
{
    struct text out = {0};

    text_add_wrapped(&out, lead, text, columns);
    assert_string_equal(text_string(&out), wanted);
    text_release(&out);
}

static void lines_break_between_words(void **state)
{
    (void)state;
    wraps_to("", "one two three", 7, "one two\nthree\n");
    wraps_to("", "one two three", 8, "one two\nthree\n");
    wraps_to("  ", "one two", 5, "  one\n  two\n");
    wraps_to("- ", "  one   two  ", 20, "- one two\n");
    wraps_to("", "", 10, "\n");
    wraps_to("lead", "", 10, "lead\n");
}

/* A text that is longer than a line, and one that begins on a line already begun. */
static void a_word_longer_than_a_line_is_broken(void **state)
{
    (void)state;
    wraps_to("", "abcdefgh", 3, "abc\ndef\ngh\n");
    wraps_to("", "a bcdefgh i", 4, "a\nbcde\nfgh\ni\n");
    wraps_to("    ", "abc", 4, "    a\n    b\n    c\n"); /* never a line of none */
    wraps_to("", "\u661f\u5c51\u661f", 4, "\u661f\u5c51\n\u661f\n");
}

static void marks_stay_with_their_letters(void **state)
{
    (void)state;
    wraps_to("", "e\u0301e\u0301e\u0301", 2, "e\u0301e\u0301\ne\u0301\n");
}

static void what_steers_a_terminal_is_shown(void **state)
{
    (void)state;
    wraps_to("", "a\033b", 20, "a\\x1Bb\n");
    wraps_to("\n", "a\nb", 20, "\\x0Aa\\x0Ab\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_break_between_words),
        cmocka_unit_test(a_word_longer_than_a_line_is_broken),
        cmocka_unit_test(marks_stay_with_their_letters),
        cmocka_unit_test(what_steers_a_terminal_is_shown),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
