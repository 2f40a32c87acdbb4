/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The sheet of a month as text and back: what is written is read again, cell by cell, whatever
 * stands in a case's number; what is not of its form is refused. That others can read it is shown
 * with Python's csv in tests/cli/close_month.sh. The digest: BLAKE2b-256 of "abc" is not printed in
 * RFC 7693 (its appendix A has BLAKE2b-512); the value here is what coreutils' b2sum -l 256 gives.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/app/month_private.h"
#include "springline/core/protocol.h"

#define MAY day_of(2026, 5, 1)

static const char *const numbers[] = {"C-1", "C,2", "C\"3\"", "\"", ",", "\u00c9-4", "C 5"};
enum { CASES = sizeof numbers / sizeof numbers[0] };

static void write_sheet(struct text *out)
{
    struct listed_audit rows[CASES] = {{0}};
    struct audit_list list = {.rows = rows, .count = CASES};
    struct error error = {0};

    protocol_defaults(&list.protocol);
    for (size_t i = 0; i < CASES; i++) {
        rows[i] = (struct listed_audit){.number = numbers[i],
                                        .family = "Example",
                                        .given = "Invented",
                                        .clinician = "Dr Nobody",
                                        .wear_full_permille = 800};
        rows[i].row = (struct audit_row){.group = AUDIT_BELOW,
                                         .source = SOURCE_DIARY,
                                         .days_known = 3,
                                         .days_met = 1,
                                         .days_asked = 4,
                                         .adherence = 1.0 / 3.0,
                                         .visits = (int32_t)i,
                                         .overrides = 1};
        rows[i].row.override_rows[0] = (struct audit_override){.date = day_of(2026, 5, 8),
                                                               .arch = ARCH_LOWER,
                                                               .given_right = 1500,
                                                               .given_left = UM_NONE,
                                                               .permitted_right = 1000,
                                                               .permitted_left = 0,
                                                               .reason = "a family's secret"};
        audit_add(&list.totals, &rows[i].row);
    }
    assert_int_equal(month_sheet_add(out, &list, MAY, &error), STATUS_OK);
}

static const char *cell(const struct month_sheet *sheet, size_t row, const char *column)
{
    for (size_t i = 0; i < MONTH_COLUMNS; i++) {
        if (strcmp(month_columns[i], column) == 0)
            return sheet->cells[row * MONTH_COLUMNS + i];
    }
    fail_msg("no column %s", column);
    return "";
}

static const char *figure(const struct month_sheet *sheet, const char *name)
{
    for (size_t i = 0; i < sheet->whole_count; i++) {
        if (strcmp(sheet->whole[i].figure, name) == 0)
            return sheet->whole[i].value;
    }
    fail_msg("no figure %s", name);
    return "";
}

static void what_is_written_is_read(void **state)
{
    struct text text = {0};
    struct arena arena = {0};
    struct month_sheet sheet;
    struct error error = {0};
    size_t seen = 0;

    (void)state;
    write_sheet(&text);
    assert_int_equal(month_sheet_read(text_string(&text), &arena, &sheet, &error), STATUS_OK);
    assert_int_equal(sheet.row_count, CASES);
    assert_string_equal(figure(&sheet, "month"), "2026-05");
    assert_string_equal(figure(&sheet, "through"), "2026-05-31");
    assert_string_equal(figure(&sheet, "below"), "7");
    assert_string_equal(figure(&sheet, "visits"), "21");
    assert_string_equal(figure(&sheet, "setting wear_full"), "800");
    assert_string_equal(figure(&sheet, "setting step_max_mm"), "2.00");
    for (size_t row = 0; row < sheet.row_count; row++) {
        assert_true(row == 0 ||
                    strcmp(cell(&sheet, row - 1, "case"), cell(&sheet, row, "case")) < 0);
        for (size_t i = 0; i < CASES; i++)
            seen += strcmp(numbers[i], cell(&sheet, row, "case")) == 0;
        assert_string_equal(cell(&sheet, row, "group"), "below");
        assert_string_equal(cell(&sheet, row, "adherence"), "0.3333");
        assert_string_equal(cell(&sheet, row, "change"), "");
        assert_string_equal(cell(&sheet, row, "wear_full"), "800");
        assert_string_equal(cell(&sheet, row, "above_permitted"),
                            "2026-05-08 lower 1.50/- of 1.00/0.00");
    }
    assert_int_equal(seen, CASES);
    /* Nothing of a person: no name, no word of a reason. */
    assert_null(strstr(text_string(&text), "Example"));
    assert_null(strstr(text_string(&text), "Invented"));
    assert_null(strstr(text_string(&text), "Nobody"));
    assert_null(strstr(text_string(&text), "secret"));
    text_release(&text);
    arena_release(&arena);
}

/* Cut anywhere it is no sheet, or one of fewer cases; it is never read beyond its end. */
static void what_is_cut_is_no_sheet(void **state)
{
    struct text text = {0}, part = {0};
    struct arena arena = {0};
    struct month_sheet sheet;
    struct error error = {0};

    (void)state;
    write_sheet(&text);
    for (size_t length = 0; length < text.length; length++) {
        text_clear(&part);
        text_append(&part, text_string(&text), length);
        arena_clear(&arena);
        enum status status = month_sheet_read(text_string(&part), &arena, &sheet, &error);
        assert_true(status == STATUS_DAMAGED || (status == STATUS_OK && sheet.row_count < CASES));
    }
    text_release(&text);
    text_release(&part);
    arena_release(&arena);
}

static void the_digest_is_blake2b_256(void **state)
{
    char digest[MONTH_DIGEST_TEXT];

    (void)state;
    month_digest("abc", 3, digest);
    assert_string_equal(digest, "bddd813c634239723171ef3fee98579b94964e3bb1cb3e427262c8c068d52319");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_written_is_read),
        cmocka_unit_test(what_is_cut_is_no_sheet),
        cmocka_unit_test(the_digest_is_blake2b_256),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
