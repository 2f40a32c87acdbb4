/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Folding against Unicode: case and marks. Letters with strokes have no decomposition: our table.
 */
#include "table.h"

#include "springline/base/text.h"

static void letters_fold_to_what_unicode_decomposes_them_to(void **state)
{
    struct table table;
    int wrong = 0;

    (void)state;
    table_open(&table, "folding.csv", "letter,sort,other");
    while (table_next(&table, 1000)) {
        struct text letter = {0}, other = {0};

        text_add_folded(&letter, table.cells[0]);
        if (strcmp(table.cells[1], "same") == 0)
            text_add_folded(&other, table.cells[2]);
        else
            text_add(&other, table.cells[2]);
        if (strcmp(text_string(&letter), text_string(&other)) != 0 && ++wrong < 20)
            print_message("# line %d: %s folds to %s, expected %s\n", table.number, table.cells[0],
                          text_string(&letter), text_string(&other));
        text_release(&letter);
        text_release(&other);
    }
    assert_int_equal(wrong, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(letters_fold_to_what_unicode_decomposes_them_to),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
