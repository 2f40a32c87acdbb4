/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pairs of teeth and hardware findings; the codes themselves: tests/reference. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "springline/core/tooth.h"

static void reads_pairs(void **state)
{
    static const struct {
        const char *text;
        enum arch arch;
        int right, left;
    } rows[] = {
        {"16-26", ARCH_UPPER, 16, 26}, {"16-26", ARCH_NONE, 16, 26},  {"26-16", ARCH_UPPER, 16, 26},
        {"46-36", ARCH_LOWER, 46, 36}, {"36-46", ARCH_LOWER, 46, 36}, {"55-65", ARCH_UPPER, 55, 65},
        {"85-75", ARCH_NONE, 85, 75},  {"16-65", ARCH_UPPER, 16, 65}, {"53-23", ARCH_UPPER, 53, 23},
    };
    char buffer[8];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct teeth teeth = {0, 0}, back = {0, 0};

        assert_int_equal(teeth_from_text(rows[i].text, rows[i].arch, "teeth", &teeth, NULL),
                         STATUS_OK);
        assert_int_equal(teeth.right, rows[i].right);
        assert_int_equal(teeth.left, rows[i].left);
        assert_int_equal(
            teeth_from_text(teeth_to_text(teeth, buffer), rows[i].arch, "", &back, NULL),
            STATUS_OK);
        assert_memory_equal(&back, &teeth, sizeof teeth);
    }
    assert_string_equal(teeth_to_text((struct teeth){16, 26}, buffer), "16-26");
    assert_string_equal(teeth_to_text((struct teeth){0, 0}, buffer), "");
    assert_string_equal(teeth_to_text((struct teeth){16, 0}, buffer), "");
    assert_string_equal(teeth_to_text((struct teeth){19, 26}, buffer), "");
    assert_string_equal(teeth_to_text((struct teeth){255, 255}, buffer), "");
}

static void refuses_pairs_with_the_reason(void **state)
{
    static const struct {
        const char *text;
        enum arch arch;
        const char *reason;
    } rows[] = {
        {NULL, ARCH_NONE, "not a pair"},
        {"", ARCH_NONE, "not a pair"},
        {"16", ARCH_NONE, "not a pair"},
        {"16/26", ARCH_NONE, "not a pair"},
        {"16-26 ", ARCH_NONE, "not a pair"},
        {"016-26", ARCH_NONE, "not a pair"},
        {"1a-26", ARCH_NONE, "not a pair"},
        {"16-2b", ARCH_NONE, "not a pair"},
        {"a6-26", ARCH_NONE, "not a pair"},
        {"/6-26", ARCH_NONE, "not a pair"},
        {"16-b6", ARCH_NONE, "not a pair"},
        {"19-26", ARCH_NONE, "no tooth 19"},
        {"16-20", ARCH_NONE, "no tooth 20"},
        {"56-65", ARCH_NONE, "no tooth 56"},
        {"00-26", ARCH_NONE, "no tooth 00"},
        {"16-91", ARCH_NONE, "no tooth 91"},
        {"46-36", ARCH_UPPER, "not in the upper arch"},
        {"16-26", ARCH_LOWER, "not in the lower arch"},
        {"16-36", ARCH_UPPER, "Tooth 36 is not in the upper arch"},
        {"16-36", ARCH_NONE, "different arches"},
        {"16-16", ARCH_UPPER, "same side"},
        {"16-55", ARCH_UPPER, "same side"},
        {"26-65", ARCH_NONE, "same side"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct teeth teeth = {11, 21};
        struct error error = {0};

        assert_int_equal(teeth_from_text(rows[i].text, rows[i].arch, "teeth", &teeth, &error),
                         STATUS_INPUT);
        assert_int_equal(teeth.right, 11);
        assert_int_equal(teeth.left, 21);
        assert_string_equal(error.where, "teeth");
        if (strstr(error.sentence, rows[i].reason) == NULL)
            fail_msg("row %zu: \"%s\"", i, error.sentence);
    }
}

static void reads_hardware(void **state)
{
    static const struct {
        const char *text;
        uint32_t hardware;
        const char *canonical;
    } rows[] = {
        {"", 0, ""},
        {NULL, 0, ""},
        {"intact", 1, "intact"},
        {"loose-band", 1U << 1, "loose-band"},
        {"loose-band:right", 1U << 2, "loose-band:right"},
        {"loose-band:left", 1U << 3, "loose-band:left"},
        {"broken-wire", 1U << 4, "broken-wire"},
        {"bent-wire:left", 1U << 9, "bent-wire:left"},
        {"lost-bracket:left", 1U << 15, "lost-bracket:left"},
        {"broken-wire;loose-band:right", 1U << 4 | 1U << 2, "loose-band:right;broken-wire"},
        {"lost-ligature:left;lost-ligature:right", 1U << 11 | 1U << 12,
         "lost-ligature:right;lost-ligature:left"},
    };
    char buffer[HARDWARE_TEXT_SIZE];

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        uint32_t hardware = 77, back = 77;

        assert_int_equal(hardware_from_text(rows[i].text, "hardware", &hardware, NULL), STATUS_OK);
        assert_int_equal(hardware, rows[i].hardware);
        assert_string_equal(hardware_to_text(hardware, buffer), rows[i].canonical);
        assert_int_equal(hardware_from_text(buffer, "hardware", &back, NULL), STATUS_OK);
        assert_int_equal(back, hardware);
        assert_int_equal(hardware_faulty(hardware), rows[i].hardware > 1);
    }
}

/* All 2^15 sets of faults, there and back. */
static void every_set_of_faults_survives(void **state)
{
    char buffer[HARDWARE_TEXT_SIZE];
    size_t longest = 0;

    (void)state;
    for (uint32_t hardware = 2; hardware < 1U << 16; hardware += 2) {
        uint32_t back = 0;

        if (hardware_from_text(hardware_to_text(hardware, buffer), "", &back, NULL) != STATUS_OK ||
            back != hardware)
            fail_msg("%x comes back as %x", hardware, back);
        if (strlen(buffer) > longest)
            longest = strlen(buffer);
    }
    assert_true(longest < HARDWARE_TEXT_SIZE);
    assert_string_equal(hardware_to_text(HARDWARE_INTACT | 1U << 4, buffer), "broken-wire");
}

static void refuses_hardware_with_the_reason(void **state)
{
    static const struct {
        const char *text, *reason;
    } rows[] = {
        {"ok", "no hardware finding"},
        {"Intact", "no hardware finding"},
        {"intact ", "no hardware finding"},
        {";", "no hardware finding"},
        {"loose-band;", "no hardware finding"},
        {"loose-band;;bent-wire", "no hardware finding"},
        {"loose-band:", "no hardware finding"},
        {"loose-band:both", "no hardware finding"},
        {"loose-band:right:left", "no hardware finding"},
        {":right", "no hardware finding"},
        {"loose-band, bent-wire", "no hardware finding"},
        {"loose-bands", "no hardware finding"},
        {"a word that is longer than any finding that can be recorded", "any finding t\" is no"},
        {"intact:right", "no hardware finding"},
        {"intact;loose-band", "beside a fault"},
        {"loose-band;intact", "beside a fault"},
        {"loose-band;loose-band", "named twice"},
        {"bent-wire:left;loose-band;bent-wire:left", "named twice"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct error error = {0};
        uint32_t hardware = 77;

        assert_int_equal(hardware_from_text(rows[i].text, "hardware", &hardware, &error),
                         STATUS_INPUT);
        assert_int_equal(hardware, 77);
        assert_string_equal(error.where, "hardware");
        if (strstr(error.sentence, rows[i].reason) == NULL)
            fail_msg("row %zu: \"%s\"", i, error.sentence);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_pairs),
        cmocka_unit_test(refuses_pairs_with_the_reason),
        cmocka_unit_test(reads_hardware),
        cmocka_unit_test(every_set_of_faults_survives),
        cmocka_unit_test(refuses_hardware_with_the_reason),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
