/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The month's audit of the demo practice in a real terminal: the month at a glance, case by case,
 * every figure opened, another month, a search, and the sheet for the printer. What the rows must
 * say is what `audit --format csv` says of the same store, which tests/reference/oracle.py computes
 * from the domain text alone (tests/cli/rules_oracle.sh).
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "practice.h"

enum { DEAF_MS = 160, FIGURES_LEAST = 14, FIGURES_MOST = 40, FILE_MOST = 65536 };

static const char *const csv_arguments[] = {"--format", "csv", "audit", "--month", "2026-10", NULL};
static const char *const paper_arguments[] = {"audit", "--month", "2026-10", "--paper", NULL};

static void press(struct screen *screen, const char *key)
{
    if (strcmp(key, "\r") == 0)
        practice_pass(screen, DEAF_MS);
    assert_true(screen_press(screen, key));
}

static void leave(struct screen *screen)
{
    assert_true(screen_send(screen, "\021", 1));
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
}

static struct screen *open_month(struct practice *practice, int rows, int columns)
{
    struct screen *screen = practice_screen(practice, rows, columns, NULL);

    assert_true(screen_keys(screen, "*7"));
    practice_shows(screen, "Audit of 2026-10");
    return screen;
}

static void the_month_stands_at_a_glance_and_case_by_case(void **state)
{
    struct practice practice;

    (void)state;
    practice_open(&practice, "audit_glance");
    struct screen *screen = open_month(&practice, 24, 80);
    /* The sums of tests/cli/golden/audit.csv: 2 + 2 below, 5 unknown, 3 not seen, 28 meeting. */
    practice_shows(screen, "2026-10: below 4 (2 LOW), unknown 5, not seen 3, meeting 28, of 40");
    practice_shows(screen, "2026-09: below 2 (1 LOW), unknown 2, not seen 2, meeting 31, of 37");
    practice_shows(screen, "2026-10: visits 44, holds 5, reductions 11, rests 1, overrides 2");
    struct screen_place place;
    assert_true(screen_find(screen, SCREEN_ANY_ROW, "> C-0015", &place));
    assert_int_equal(screen_cursor(screen).row, place.row);
    practice_shows(screen, "below LOW");
    practice_shows(screen, "below ?"); /* 19 of 28: Wilson to 82 % */
    leave(screen);
    practice_close(&practice);
}

/* Every row of the list against the CSV: case, met and known, holds, missed. */
static void the_rows_are_those_of_the_csv(void **state)
{
    struct practice practice;
    int compared = 0;

    (void)state;
    practice_open(&practice, "audit_csv");
    assert_int_equal(practice_run(&practice, csv_arguments), 0);
    struct screen *screen = open_month(&practice, 60, 132);
    char *kept = NULL;
    strtok_r(practice.output, "\r\n", &kept); /* the header */
    for (char *line; (line = strtok_r(NULL, "\r\n", &kept)) != NULL; compared++) {
        char number[16], days[24], *cell = line;
        char *cells[20] = {NULL};
        struct screen_place place;

        assert_null(strchr(line, '"')); /* no cell of the demo's has a comma */
        for (int i = 0; i < 20 && cell != NULL; i++)
            cells[i] = strsep(&cell, ",");
        assert_non_null(cells[19]);
        snprintf(number, sizeof number, "%s ", cells[0]);
        snprintf(days, sizeof days, " %s/%s ", cells[6], cells[5]);
        if (!screen_find(screen, SCREEN_ANY_ROW, number, &place)) {
            screen_dump(screen, number);
            fail_msg("no row of %s", number);
        }
        const char *row = screen_row(screen, place.row);
        assert_non_null(strstr(row, strcmp(cells[4], "not-seen") == 0 ? "not seen" : cells[4]));
        assert_true((strstr(row, days) != NULL) == (cells[7][0] != '\0'));
        if (cells[10][0] != '\0')
            assert_non_null(strstr(row, cells[10])); /* the source */
    }
    assert_int_equal(compared, 40);
    leave(screen);
    practice_close(&practice);
}

static void every_figure_of_a_case_opens(void **state)
{
    struct practice practice;
    int figures = 0, opened = 0;
    char title[200], selected[400];

    (void)state;
    practice_open(&practice, "audit_figures");
    struct screen *screen = open_month(&practice, 43, 132);
    press(screen, "\r");
    practice_shows(screen, "Below the minimum of 80 %: 5 of 27 known days met (sensor), 18 %");
    snprintf(title, sizeof title, "%s", screen_row(screen, 0));
    for (; figures < FIGURES_MOST; figures++) {
        struct screen_place place;

        assert_true(screen_find(screen, SCREEN_ANY_ROW, "> ", &place));
        snprintf(selected, sizeof selected, "%s", screen_row(screen, place.row));
        press(screen, "\r");
        if (screen_find(screen, SCREEN_ANY_ROW, "Nothing stands behind it", NULL)) {
            /* Only what is 0 has nothing behind it. */
            assert_true(strstr(selected, " 0") != NULL || strstr(selected, " no day") != NULL);
        } else {
            assert_string_not_equal(screen_row(screen, 0), title);
            opened++;
            press(screen, "\033");
        }
        assert_string_equal(screen_row(screen, 0), title);
        assert_string_equal(screen_row(screen, place.row), selected);
        press(screen, "+");
        if (strcmp(screen_row(screen, place.row), selected) == 0)
            break; /* the last row */
    }
    assert_true(figures + 1 >= FIGURES_LEAST && figures < FIGURES_MOST);
    assert_true(opened >= 8);
    press(screen, "\033");
    practice_shows(screen, "Audit of 2026-10");
    leave(screen);
    practice_close(&practice);
}

static void the_month_changes_but_not_into_the_future(void **state)
{
    struct practice practice;

    (void)state;
    practice_open(&practice, "audit_months");
    struct screen *screen = open_month(&practice, 24, 80);
    press(screen, "\033[C");
    practice_shows(screen, "Audit of 2026-11");
    press(screen, "\033[C");
    practice_shows(screen, "The next month has not begun yet.");
    practice_shows(screen, "Audit of 2026-11");
    press(screen, "\033[D");
    press(screen, "\033[D");
    practice_shows(screen, "Audit of 2026-09");
    practice_shows(screen, "2026-08: below 1");
    for (int i = 0; i < 60; i++) /* back beyond the first record */
        press(screen, "\033[D");
    practice_shows(screen, "No case is accounted for in this month.");
    leave(screen);
    practice_close(&practice);
}

static void typing_finds_a_group_a_clinician_and_a_name(void **state)
{
    struct practice practice;

    (void)state;
    practice_open(&practice, "audit_search");
    struct screen *screen = open_month(&practice, 24, 80);
    assert_true(screen_keys(screen, "low"));
    practice_shows(screen, "Audit of 2026-10: 3 found"); /* LOW twice, and Hollowreed */
    assert_true(screen_keys(screen, " tidewell"));
    practice_shows(screen, "2 found");
    press(screen, "\033");
    practice_shows(screen, "40 cases");
    assert_true(screen_keys(screen, "etoilebleue"));
    practice_shows(screen, "1 found");
    practice_shows(screen, "not seen");
    leave(screen);
    practice_close(&practice);
}

/* Each printing is logged, and so drawn two rows later than the one before: the lines that name the
 * row and its hash differ. */
static bool names_the_row(const char *line, size_t length)
{
    static const char *const words[] = {"ledger row ", "of row ", "--against", "--as-of @"};
    char text[400];

    (void)snprintf(text, sizeof text, "%.*s", (int)length, line);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strstr(text, words[i]) != NULL)
            return true;
    return length > 30 && strspn(text, " 0123456789abcdef'") == length; /* the hash */
}

static void same_but_for_the_row(const char *sheet, const char *printed)
{
    int lines = 0, naming = 0;

    while (*sheet != '\0' && *printed != '\0') {
        size_t length = strcspn(sheet, "\n"), other = strcspn(printed, "\n");
        bool names = names_the_row(sheet, length) && names_the_row(printed, other);

        if (!names && (length != other || strncmp(sheet, printed, length) != 0))
            fail_msg("%.*s\n%.*s", (int)length, sheet, (int)other, printed);
        naming += names;
        lines++;
        sheet += length + (sheet[length] == '\n');
        printed += other + (printed[other] == '\n');
    }
    assert_int_equal(*sheet, *printed);
    assert_true(lines > 100 && naming > 0 && naming < 20);
}

static void the_sheet_is_what_the_shell_prints(void **state)
{
    struct practice practice;
    char folder[] = "audit_screen_XXXXXX", here[400];
    static char sheet[FILE_MOST];
    struct stat found;

    (void)state;
    practice_open(&practice, "audit_sheet");
    assert_non_null(getcwd(here, sizeof here));
    assert_int_equal(chdir(getenv("TMPDIR") == NULL ? "/tmp" : getenv("TMPDIR")), 0);
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
    struct screen *screen = open_month(&practice, 24, 200);
    assert_true(screen_keys(screen, "*"));
    practice_shows(screen, "write the month to a text file");
    assert_true(screen_keys(screen, "6"));
    practice_shows(screen, "Written: /");
    assert_true(screen_keys(screen, "*6"));
    practice_shows(screen, "audit-2026-10-2.txt");
    leave(screen);
    assert_int_equal(practice_run(&practice, paper_arguments), 0);
    for (int i = 1; i <= 2; i++) {
        const char *name = i == 1 ? "audit-2026-10.txt" : "audit-2026-10-2.txt";
        FILE *file = fopen(name, "r");
        assert_non_null(file);
        size_t length = fread(sheet, 1, sizeof sheet - 1, file);
        sheet[length] = '\0';
        fclose(file);
        same_but_for_the_row(sheet, practice.output);
        assert_int_equal(stat(name, &found), 0);
        assert_int_equal(found.st_mode & 07777, 0600);
        assert_int_equal(unlink(name), 0);
    }
    assert_int_equal(chdir(".."), 0);
    assert_int_equal(rmdir(folder), 0);
    assert_int_equal(chdir(here), 0);
    practice_close(&practice);
}

static void it_can_be_read_at_every_size(void **state)
{
    static const int sizes[][2] = {{12, 40}, {24, 80}, {43, 132}, {60, 200}};
    struct practice practice;

    (void)state;
    practice_open(&practice, "audit_sizes");
    struct screen *screen = open_month(&practice, 25, 81);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        assert_true(screen_resize(screen, sizes[i][0], sizes[i][1]));
        assert_true(screen_wait_ready(screen, 0));
        practice_shows(screen, "> C-0015");
        practice_shows(screen, "below LOW");
        practice_shows(screen, "2026-10: below 4 (2 LOW), unknown 5");
        press(screen, "\r");
        practice_shows(screen, "> wear judged");
        practice_shows(screen, "Below the minimum of 80 %");
        press(screen, "\r");
        practice_shows(screen, "2026-09-18 to 2026-10-15");
        press(screen, "\033");
        press(screen, "\033");
    }
    leave(screen);
    practice_close(&practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_month_stands_at_a_glance_and_case_by_case),
        cmocka_unit_test(the_rows_are_those_of_the_csv),
        cmocka_unit_test(every_figure_of_a_case_opens),
        cmocka_unit_test(the_month_changes_but_not_into_the_future),
        cmocka_unit_test(typing_finds_a_group_a_clinician_and_a_name),
        cmocka_unit_test(the_sheet_is_what_the_shell_prints),
        cmocka_unit_test(it_can_be_read_at_every_size),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
