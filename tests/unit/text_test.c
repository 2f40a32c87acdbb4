/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <wchar.h>

#include <cmocka.h>

#include "springline/base/text.h"

/* AddressSanitizer must answer an impossible request as realloc does, not end the program. */
const char *__asan_default_options(void);
const char *__asan_default_options(void)
{
    return "allocator_may_return_null=1";
}

static void grows_and_stays_ended(void **state)
{
    struct text text = {0};

    (void)state;
    assert_string_equal(text_string(&text), "");
    text_add(&text, NULL);
    text_append(&text, NULL, 0);
    text_addf(&text, "%s", "");
    assert_int_equal(text.length, 0);
    for (int i = 0; i < 1000; i++) {
        text_add(&text, "ab");
        text_add_byte(&text, 'c');
        text_addf(&text, "%03d;", i);
        text_append(&text, "xyz", 1);
        assert_int_equal(text.length, (size_t)(i + 1) * 8);
        assert_int_equal(strlen(text_string(&text)), text.length);
    }
    assert_memory_equal(text_string(&text) + 999 * 8, "abc999;x", 9);
    assert_false(text.failed);
    text_clear(&text);
    assert_string_equal(text_string(&text), "");
    assert_true(text.capacity > 0);
    text_release(&text);
    assert_null(text.data);
    text_release(&text);
    text_clear(&text);
    assert_string_equal(text_string(&text), "");
}

static void exhausted_memory_is_remembered(void **state)
{
    static const size_t impossible[] = {SIZE_MAX, PTRDIFF_MAX, (size_t)PTRDIFF_MAX - 8,
                                        SIZE_MAX / 4};

    (void)state;
    for (size_t i = 0; i < 4; i++) {
        struct text text = {0};

        text_add(&text, "kept");
        text_append(&text, "x", impossible[i]); /* fails before it reads a byte */
        assert_true(text.failed);
        assert_string_equal(text_string(&text), "kept");
        text_add(&text, "more");
        text_addf(&text, "%d", 1);
        assert_string_equal(text_string(&text), "kept");
        text_clear(&text);
        assert_false(text.failed);
        text_add(&text, "again");
        assert_string_equal(text_string(&text), "again");
        text_release(&text);
    }
}

/* What printf can not write (a wide character outside of the locale) is a failure, not a gap. */
static void a_failed_format_is_remembered(void **state)
{
    struct text text = {0};
    static const wchar_t impossible[] = {0x7FFFFFFF, 0};

    (void)state;
    text_add(&text, "kept");
    text_addf(&text, "%ls", impossible);
    assert_true(text.failed);
    assert_string_equal(text_string(&text), "kept");
    text_release(&text);
}

/* RFC 3629, sections 3 and 4: each boundary of its table of well-formed sequences. */
static void decodes_utf8(void **state)
{
    static const struct {
        const char *bytes;
        size_t used;
        uint32_t character;
    } rows[] = {
        {"\x7F", 1, 0x7F},
        {"\xC2\x80", 2, 0x80},
        {"\xDF\xBF", 2, 0x7FF},
        {"\xE0\xA0\x80", 3, 0x800},
        {"\xED\x9F\xBF", 3, 0xD7FF},
        {"\xEE\x80\x80", 3, 0xE000},
        {"\xEF\xBF\xBF", 3, 0xFFFF},
        {"\xF0\x90\x80\x80", 4, 0x10000},
        {"\xF4\x8F\xBF\xBF", 4, 0x10FFFF},
        {"\x80", 0, 0},
        {"\xBF", 0, 0},
        {"\xC0\x80", 0, 0},
        {"\xC1\xBF", 0, 0},
        {"\xC2", 0, 0},
        {"\xC2\x7F", 0, 0},
        {"\xC2\xC0", 0, 0},
        {"\xE0\x9F\xBF", 0, 0},
        {"\xE2\x82", 0, 0},
        {"\xE2\x82\x20", 0, 0},
        {"\xED\xA0\x80", 0, 0},
        {"\xED\xBF\xBF", 0, 0},
        {"\xF0\x8F\xBF\xBF", 0, 0},
        {"\xF0\x9F\x98", 0, 0},
        {"\xF4\x90\x80\x80", 0, 0},
        {"\xF5\x80\x80\x80", 0, 0},
        {"\xFE", 0, 0},
        {"\xFF", 0, 0},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint32_t character = 0;
        size_t length = strlen(rows[i].bytes);

        assert_int_equal(text_decode(rows[i].bytes, length, &character), rows[i].used);
        assert_int_equal(character, rows[i].character);
        assert_int_equal(text_is_utf8(rows[i].bytes, length), rows[i].used > 0);
        if (rows[i].used > 1)
            assert_int_equal(text_decode(rows[i].bytes, length - 1, &character), 0);
    }
    assert_int_equal(text_decode("a", 0, &(uint32_t){0}), 0);
    assert_int_equal(text_decode("\0", 1, &(uint32_t){0}), 1);
    assert_true(text_is_utf8("", 0));
    assert_true(text_is_utf8("a\0b", 3));
    assert_false(text_is_utf8("ab\xFF", 3));
}

static void encode(uint32_t c, char out[5])
{
    size_t n = 0;

    if (c < 0x80) {
        out[n++] = (char)c;
    } else if (c < 0x800) {
        out[n++] = (char)(0xC0U | c >> 6);
    } else if (c < 0x10000) {
        out[n++] = (char)(0xE0U | c >> 12);
        out[n++] = (char)(0x80U | (c >> 6 & 0x3FU));
    } else {
        out[n++] = (char)(0xF0U | c >> 18);
        out[n++] = (char)(0x80U | (c >> 12 & 0x3FU));
        out[n++] = (char)(0x80U | (c >> 6 & 0x3FU));
    }
    if (c >= 0x80)
        out[n++] = (char)(0x80U | (c & 0x3FU));
    out[n] = '\0';
}

/* On each side of every span that may not be stored. */
static void what_may_not_be_stored(void **state)
{
    static const struct {
        uint32_t first, last;
        const char *kind;
    } spans[] = {
        {0x01, 0x1F, "control"},         {0x7F, 0x9F, "control"},
        {0x61C, 0x61C, "direction"},     {0x200B, 0x200B, "invisible"},
        {0x200E, 0x200F, "direction"},   {0x2028, 0x2029, "invis"},
        {0x202A, 0x202E, "direction"},   {0x2060, 0x2065, "invisible"},
        {0x2066, 0x2069, "direct"},      {0x206A, 0x206F, "invisible"},
        {0xFDD0, 0xFDEF, "no char"},     {0xFEFF, 0xFEFF, "invis"},
        {0xFFF0, 0xFFFB, "invisible"},   {0xFFFE, 0xFFFF, "no char"},
        {0x1FFFE, 0x1FFFF, "no ch"},     {0xE0000, 0xE00FF, "invisible"},
        {0xE01F0, 0xE0FFF, "invisible"}, {0x10FFFE, 0x10FFFF, "no char"},
        {0xAD, 0xAD, "invisible"},       {0x34F, 0x34F, "invisible"},
        {0x115F, 0x1160, "invisible"},   {0x17B4, 0x17B5, "invisible"},
        {0x180E, 0x180E, "invisible"},   {0x3164, 0x3164, "invisible"},
        {0xFFA0, 0xFFA0, "invisible"},   {0x1BCA0, 0x1BCA3, "invisible"},
        {0x1D173, 0x1D17A, "invisible"},
    };
    static const uint32_t kept[] = {' ',     '~',     0xA0,    0xAC,    0xAE,    0x34E,   0x350,
                                    0x61B,   0x61D,   0x115E,  0x1161,  0x17B3,  0x17B6,  0x180D,
                                    0x180F,  0x200A,  0x200C,  0x200D,  0x2010,  0x2027,  0x202F,
                                    0x205F,  0x2070,  0x3163,  0x3165,  0xFE0F,  0xFDCF,  0xFDF0,
                                    0xFF9F,  0xFFA1,  0xFFEF,  0xFFFD,  0xE080,  0xE000,  0x1BC9F,
                                    0x1FFFD, 0x1D172, 0x1D17B, 0x20000, 0xE0100, 0xE01EF, 0xE1000};
    char text[16] = "ab";

    (void)state;
    for (size_t i = 0; i < sizeof spans / sizeof spans[0]; i++)
        for (uint32_t c = spans[i].first; c <= spans[i].last; c++) {
            struct error error = {0};
            char number[16];

            encode(c, text + 2);
            assert_int_equal(text_check(text, strlen(text), 10, "family", &error), STATUS_INPUT);
            assert_non_null(strstr(error.sentence, "Character 3 is"));
            assert_non_null(strstr(error.sentence, spans[i].kind));
            (void)snprintf(number, sizeof number, "(U+%04X)", (unsigned)c);
            assert_non_null(strstr(error.sentence, number));
            assert_string_equal(error.where, "family");
            assert_non_null(text_trouble(c));
        }
    for (size_t i = 0; i < sizeof kept / sizeof kept[0]; i++) {
        encode(kept[i], text + 2);
        assert_null(text_trouble(kept[i]));
        assert_int_equal(text_check(text, strlen(text), 10, "family", NULL), STATUS_OK);
    }
    assert_int_equal(text_check("a\0b", 3, 10, "family", NULL), STATUS_INPUT);
}

/* A pile of marks covers other lines; what a script needs stands. */
static void piles_of_marks_are_refused_and_shown_as_what_they_are(void **state)
{
    struct text pile = {0}, shown = {0};
    struct error error = {0};

    (void)state;
    text_add(&pile, "Inkw");
    for (int i = 0; i < TEXT_MARKS_MOST; i++)
        text_add(&pile, "\xCC\x81");
    text_add(&pile, "l");
    assert_int_equal(text_check(pile.data, pile.length, 99, "family", &error), STATUS_OK);
    text_add_shown(&shown, text_string(&pile));
    assert_string_equal(text_string(&shown), text_string(&pile));
    assert_int_equal(text_width(text_string(&pile)), 5);
    pile.data[--pile.length] = '\0';
    text_add(&pile, "\xCC\x82\xCC\x83l");
    assert_int_equal(text_check(pile.data, pile.length, 99, "family", &error), STATUS_INPUT);
    assert_string_equal(error.sentence,
                        "Characters 5 to 15 are marks piled on one letter; take them out.");
    assert_int_equal(text_width(text_string(&pile)), 7);
    text_clear(&shown);
    text_add_shown(&shown, text_string(&pile));
    assert_non_null(strstr(text_string(&shown), "\xCC\x81\\u{0302}\\u{0303}l"));
    text_clear(&shown);
    text_fit(&shown, text_string(&pile), 7, true);
    assert_non_null(strstr(text_string(&shown), "\xCC\x81??l"));
    assert_int_equal(text_width(text_string(&shown)), 7);
    text_release(&pile);
    text_release(&shown);
}

static void what_is_too_long_or_not_utf8_is_refused(void **state)
{
    struct error error = {0};
    char text[1300];

    (void)state;
    assert_int_equal(text_check(NULL, 0, 400, "family", &error), STATUS_OK);
    for (size_t i = 0; i < 400; i++)
        memcpy(text + 3 * i, "\xE4\xB8\x80", 3);
    assert_int_equal(text_check(text, 1200, TEXT_CELL_CHARACTERS, "family", &error), STATUS_OK);
    text[1200] = 'a';
    assert_int_equal(text_check(text, 1201, TEXT_CELL_CHARACTERS, "family", &error), STATUS_INPUT);
    assert_non_null(strstr(error.sentence, "longer than 400 characters"));
    assert_int_equal(text_check(text, 4, 400, "family", &error), STATUS_INPUT);
    assert_non_null(strstr(error.sentence, "Character 2 is not UTF-8 (byte 0xE4)"));
    assert_int_equal(text_check("J\xF8rgen", 6, 400, "given", &error), STATUS_INPUT);
    assert_non_null(strstr(error.sentence, "Character 2 is not UTF-8 (byte 0xF8)"));
}

/*
 * Every character that the C library of Debian 12 (glibc 2.36, Unicode 15) knows and that may be
 * shown is as wide as its wcwidth says: the terminal library places text by that.
 */
static void characters_are_as_wide_as_the_terminal_library_takes_them(void **state)
{
    int known = 0, wrong = 0;

    (void)state;
    assert_non_null(setlocale(LC_CTYPE, "C.UTF-8"));
    for (uint32_t c = 0x20; c <= 0x10FFFF; c++) {
        int expected = wcwidth((wchar_t)c);

        if (text_trouble(c) != NULL) {
            assert_int_equal(text_character_width(c), 1);
            continue;
        }
        if (expected < 0)
            continue;
        known++;
        if (text_character_width(c) != expected && ++wrong < 10)
            print_message("# U+%04X: %d, expected %d\n", (unsigned)c, text_character_width(c),
                          expected);
    }
    assert_non_null(setlocale(LC_CTYPE, "C"));
    assert_int_equal(wrong, 0);
    assert_true(known > 280000);
}

static void widths_do_not_depend_on_the_locale(void **state)
{
    static const struct {
        const char *text;
        int cells;
    } rows[] = {
        {"", 0},
        {"Aas", 3},
        {"J\xC3\xB8rgen", 6},
        {"e\xCC\x81t\xC3\xA9", 3},       /* a combining acute */
        {"\xE5\xB1\xB1\xE7\x94\xB0", 4}, /* two ideographs */
        {"\xEA\xB0\x80", 2},             /* a Hangul syllable */
        {"\xF0\xA0\x80\x80", 2},         /* U+20000 */
        {"\x1B[2J", 4},                  /* an escape is shown as '?' */
        {"a\xFF\xFE", 3},                /* broken bytes likewise */
        {"\xE2\x80\xAE", 1},             /* and U+202E */
        {"\xD9\x85\xD9\x8E", 1},         /* Arabic letter with a vowel mark */
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(text_width(rows[i].text), rows[i].cells);
}

static void fits_exactly(void **state)
{
    static const struct {
        const char *text;
        int cells;
        bool pad;
        const char *result;
    } rows[] = {
        {"Testmann", 8, true, "Testmann"},
        {"Testmann", 9, true, "Testmann "},
        {"Testmann", 9, false, "Testmann"},
        {"Testmann", 7, true, "Testma~"},
        {"Testmann", 1, true, "~"},
        {"Testmann", 0, true, ""},
        {"Testmann", -3, true, ""},
        {"", 3, true, "   "},
        {"", 3, false, ""},
        {"\xE5\xB1\xB1\xE7\x94\xB0", 4, true, "\xE5\xB1\xB1\xE7\x94\xB0"},
        {"\xE5\xB1\xB1\xE7\x94\xB0", 3, true, "\xE5\xB1\xB1~"},
        {"\xE5\xB1\xB1\xE7\x94\xB0", 2, true, "~ "},
        {"\xE5\xB1\xB1\xE7\x94\xB0", 2, false, "~"},
        {"ne\xCC\x81ve", 2, true, "n~"},
        {"ne\xCC\x81ve", 3, true, "ne\xCC\x81~"},
        {"ne\xCC\x81", 2, true, "ne\xCC\x81"},
        {"a\x1B[2J", 5, true, "a?[2J"},
        {"a\xFFz", 3, true, "a?z"},
        {"a\xE2\x80\xAEz", 2, true, "a~"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text out = {0};

        text_add(&out, "[");
        text_fit(&out, rows[i].text, rows[i].cells, rows[i].pad);
        assert_string_equal(text_string(&out) + 1, rows[i].result);
        if (rows[i].pad && rows[i].cells > 0)
            assert_int_equal(text_width(text_string(&out) + 1), rows[i].cells);
        text_release(&out);
    }
}

/* CWE-150: nothing stored may steer a terminal. */
static void shown_text_is_harmless(void **state)
{
    static const struct {
        const char *text, *result;
    } rows[] = {
        {"", ""},
        {"J\xC3\xB8rgen", "J\xC3\xB8rgen"},
        {"a\x1B[2Jb", "a\\x1B[2Jb"},
        {"a\nb\tc\x7F", "a\\x0Ab\\x09c\\x7F"},
        {"\xC2\x9B", "\\u{009B}"},
        {"\xE2\x80\xAE", "\\u{202E}"},
        {"\xEF\xBB\xBFx", "\\u{FEFF}x"},
        {"\xF3\xA0\x81\x81", "\\u{E0041}"},
        {"\xFF\xC3", "\\xFF\\xC3"},
        {"\xED\xA0\x80", "\\xED\\xA0\\x80"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text out = {0};

        text_add_shown(&out, rows[i].text);
        assert_string_equal(text_string(&out), rows[i].result);
        text_release(&out);
    }
}

/* Which characters are letters: Unicode's general category L, by Python's unicodedata 14.0. */
static void a_reason_says_something(void **state)
{
    static const struct {
        const char *text;
        bool says;
    } rows[] = {
        {"", false},
        {".", false},
        {"...", false},
        {"ok", false},
        {"- 12 / 4711 -", false},
        {"\xE2\x80\xA6\xE2\x80\xA6\xE2\x80\xA6", false},             /* Po: ellipses */
        {"\xF0\x9F\x99\x82\xF0\x9F\x99\x82\xF0\x9F\x99\x82", false}, /* So: faces */
        {"\xC3\x97\xC3\x97\xC3\xB7", false},                         /* Sm: x x : */
        {"\xFF\xFF\xFF\xFF", false},                                 /* no UTF-8 */
        {"ill", true},
        {"a 1 b 2 c", true},
        {"\xC3\xA9t\xC3\xA9", true},
        {"\xD0\xB1\xD0\xBE\xD0\xBB\xD0\xB5\xD0\xBD", true}, /* Ll: Cyrillic */
        {"\xE6\xAD\xAF\xE7\xA7\x91\xE5\x8C\xBB", true},     /* Lo: Han */
    };

    (void)state;
    assert_false(text_says(NULL));
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        assert_int_equal(text_says(rows[i].text), rows[i].says);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(grows_and_stays_ended),
        cmocka_unit_test(exhausted_memory_is_remembered),
        cmocka_unit_test(a_failed_format_is_remembered),
        cmocka_unit_test(decodes_utf8),
        cmocka_unit_test(what_may_not_be_stored),
        cmocka_unit_test(piles_of_marks_are_refused_and_shown_as_what_they_are),
        cmocka_unit_test(what_is_too_long_or_not_utf8_is_refused),
        cmocka_unit_test(characters_are_as_wide_as_the_terminal_library_takes_them),
        cmocka_unit_test(widths_do_not_depend_on_the_locale),
        cmocka_unit_test(fits_exactly),
        cmocka_unit_test(shown_text_is_harmless),
        cmocka_unit_test(a_reason_says_something),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
