/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tooth codes by ISO 3950 (published). */
#include "table.h"

#include "springline/core/tooth.h"

static void codes_are_those_of_the_standard(void **state)
{
    struct table table;
    int count = 0;

    (void)state;
    table_open(&table, "iso3950.csv", "code,exists,arch,side");
    while (table_next(&table, 52 + 40)) {
        int code = (int)table_whole(&table, 0);
        int exists = word_value(&words_answer, table.cells[1]) == ANSWER_YES;

        if (tooth_exists(code) != exists)
            fail_msg("line %d: tooth %d", table.number, code);
        if (!exists)
            continue;
        count++;
        assert_string_equal(word_text(&words_arch, (int)tooth_arch(code)), table.cells[2]);
        assert_string_equal(word_text(&words_side, (int)tooth_side(code)), table.cells[3]);
    }
    assert_int_equal(count, 52);
}

/* Nothing but the 52 codes of the file exists, in a range far beyond two digits. */
static void there_are_52_codes(void **state)
{
    int count = 0;

    (void)state;
    for (int code = -2000; code <= 20000; code++)
        count += tooth_exists(code) ? 1 : 0;
    assert_int_equal(count, 52);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(codes_are_those_of_the_standard),
        cmocka_unit_test(there_are_52_codes),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
