/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The letters that Unicode does not decompose, by our own table; the others: tests/reference. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/base/text.h"

static void assert_folds(const char *text, const char *folded)
{
    struct text out = {0};

    text_add_folded(&out, text);
    assert_string_equal(text_string(&out), folded);
    text_release(&out);
}

static void letters_of_their_own(void **state)
{
    static const struct {
        const char *text, *folded;
    } rows[] = {
        {"", ""},
        {"Testmann-Probe 12", "testmann-probe 12"},
        {"\xC3\x98rsted \xC3\xB8", "orsted o"},         /* O with stroke */
        {"\xC5\x81ukasz \xC5\x82", "lukasz l"},         /* L with stroke */
        {"\xC4\x90\xC4\x91 \xC3\x90\xC3\xB0", "dd dd"}, /* D with stroke, eth */
        {"Gro\xC3\x9F \xE1\xBA\x9E", "gross ss"},       /* sharp s, small and capital */
        {"\xC3\x86 \xC3\xA6 \xC5\x92 \xC5\x93", "ae ae oe oe"},
        {"\xC3\x9E\xC3\xBEr", "ththr"}, /* thorn */
        {"\xC4\xB0\xC4\xB1I", "iii"},   /* Turkish i, all four as one */
        {"\xC6\x8F\xC9\x99", "ee"},     /* schwa */
        {"\xC4\xA6\xC4\xA7 \xC5\xA6\xC5\xA7 \xC5\x8A\xC5\x8B", "hh tt nn"},
        {"Nguy\xE1\xBB\x85n \xC6\xA0\xC6\xAF", "nguyen ou"},
        {"e\xCC\x81\xCC\xA3", "e"},                     /* marks that stand alone */
        {"e\xEF\xB8\xA0\xEF\xB8\xB0", "e\xEF\xB8\xB0"}, /* U+FE20, and U+FE30, which is no mark */
        {"\xC3\x97\xC3\xB7", "\xC3\x97\xC3\xB7"},       /* signs, no letters */
        {"O\xE2\x80\x99Probe\xE2\x80\x90X", "o'probe-x"},
        {"a\xC2\xA0"
         "b",
         "a b"},
        {"\xE5\xB1\xB1", "\xE5\xB1\xB1"},
        {"\xF0\x90\x90\x80", "\xF0\x90\x90\x80"},         /* above U+FFFF: as it is */
        {"\xD7\x91\xD6\xBC\xD7\x9F", "\xD7\x91\xD7\x9F"}, /* Hebrew without its point */
        {"a\xFF"
         "B",
         "a\xFF"
         "b"}, /* a byte that is not UTF-8 */
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_folds(rows[i].text, rows[i].folded);
}

static void matches_anywhere(void **state)
{
    static const struct {
        const char *text, *needle;
        bool matches;
    } rows[] = {
        {"\xC3\x98rsted, J\xC3\xBCrgen", "orsted", true},
        {"\xC3\x98rsted, J\xC3\xBCrgen", "jurgen", true},
        {"\xC3\x98rsted, J\xC3\xBCrgen", "d, j", true},
        {"\xC3\x98rsted, J\xC3\xBCrgen", "n", true},
        {"\xC3\x98rsted, J\xC3\xBCrgen", "nn", false},
        {"\xC3\x98rsted", "orstedt", false},
        {"aaab", "aab", true},      /* a start that fails late */
        {"Gro\xC3\x9F", "s", true}, /* in the middle of what one letter becomes */
        {"Gro\xC3\x9F", "oss", true},
        {"Gro\xC3\x9F", "sss", false},
        {"e\xCC\x81t", "et", true},
        {"anything", "", true},
        {"", "", true},
        {"", "a", false},
        {"\xCC\x81", "a", false},
        {"a\xFFz", "\xFFz", true},
        {"UPPER", "upper", true},
        {"UPPER", "UPPER", false}, /* the needle is folded by the caller */
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(text_matches(rows[i].text, rows[i].needle), rows[i].matches);
}

/* What is folded once stays as it is, and matches itself: all characters below U+3100. */
static void folding_twice_is_folding_once(void **state)
{
    (void)state;
    for (uint32_t c = 1; c < 0x3100; c++) {
        char text[4] = "";
        struct text once = {0}, twice = {0};

        if (c < 0x80) {
            text[0] = (char)c;
        } else if (c < 0x800) {
            text[0] = (char)(0xC0U | c >> 6);
            text[1] = (char)(0x80U | (c & 0x3FU));
        } else {
            text[0] = (char)(0xE0U | c >> 12);
            text[1] = (char)(0x80U | (c >> 6 & 0x3FU));
            text[2] = (char)(0x80U | (c & 0x3FU));
        }
        text_add_folded(&once, text);
        text_add_folded(&twice, text_string(&once));
        if (strcmp(text_string(&once), text_string(&twice)) != 0)
            fail_msg("U+%04X: \"%s\", then \"%s\"", (unsigned)c, text_string(&once),
                     text_string(&twice));
        assert_true(text_matches(text, text_string(&once)));
        text_release(&once);
        text_release(&twice);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(letters_of_their_own),
        cmocka_unit_test(matches_anywhere),
        cmocka_unit_test(folding_twice_is_folding_once),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
