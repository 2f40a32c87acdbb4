/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The desk's morning on the demo practice, in a real terminal: who must be called, found by any
 * word, dialled from the hint, logged, and seen in its new place at once. Which cases are a safety
 * item, overdue or due is told by the recall list of the shell, tests/cli/golden/recall.text.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "practice.h"

enum { DEAF_MS = 160, TEXT_SIZE = 8192 };

static struct screen *open_recall(struct practice *practice, const char *name, int rows,
                                  int columns)
{
    practice_open(practice, name);
    struct screen *screen = practice_screen(practice, rows, columns, NULL);
    assert_true(screen_keys(screen, "*6"));
    practice_shows(screen, "recall: 6 safety, 5 overdue, 5 due");
    return screen;
}

static void leave(struct screen *screen, struct practice *practice)
{
    assert_true(screen_send(screen, "\021", 1)); /* Ctrl-Q */
    assert_int_equal(screen_wait_exit(screen, 0), 0);
    screen_free(screen);
    practice_close(practice);
}

static void hides(struct screen *screen, const char *text)
{
    if (screen_find(screen, SCREEN_ANY_ROW, text, NULL)) {
        screen_dump(screen, text);
        fail_msg("on the screen: %s", text);
    }
}

/* The rows of all the screen behind each other. */
static bool shows_wrapped(struct screen *screen, int rows, const char *text)
{
    static const char blank = ' ';
    char *all = calloc(1, TEXT_SIZE);

    assert_non_null(all);
    for (int i = 0; i < rows; i++) {
        size_t used = strlen(all);
        snprintf(all + used, TEXT_SIZE - used, "%s%c", screen_row(screen, i), blank);
    }
    bool found = strstr(all, text) != NULL;
    free(all);
    return found;
}

/* Safety items lead and are named in words; nothing hangs on an attribute. */
static void safety_leads_in_words(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_recall(&practice, "recall_safety", 24, 80);
    static const char *const rows[] = {"> C-0004", "  C-0017", "  C-0036", "  C-0046",
                                       "  C-0031", "  C-0034", "  C-0003"};
    static const char *const words[] = {"expander not seen",
                                        "expander not seen",
                                        "bands without a wire",
                                        "separators left in",
                                        "wound or fault open",
                                        "wound or fault open",
                                        "overdue"};

    (void)state;
    for (int i = 0; i < 7; i++) {
        assert_true(screen_find(screen, 3 + i, rows[i], NULL));
        assert_true(screen_find(screen, 3 + i, words[i], NULL));
    }
    assert_int_equal(screen_cursor(screen).row, 3);
    assert_true(shows_wrapped(screen, 24, "from 2026-05-22: closed with the expander in"));
    leave(screen, &practice);
}

/* The group's word, a name without its accents, the digits of a number, the clinician. */
static void any_word_narrows(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_recall(&practice, "recall_find", 24, 80);

    (void)state;
    assert_true(screen_keys(screen, "safety"));
    practice_shows(screen, "recall: 6 found");
    assert_true(screen_keys(screen, "\025"
                                    "overdue"));
    practice_shows(screen, "recall: 5 found");
    assert_true(screen_keys(screen, " bratde"));
    practice_shows(screen, "recall: 1 found");
    practice_shows(screen, "> C-0024");
    assert_true(screen_keys(screen, "\025"
                                    "000100213"));
    practice_shows(screen, "> C-0017");
    practice_shows(screen, "recall: 1 found");
    assert_true(screen_keys(screen, "\025"
                                    "tidewell safety"));
    practice_shows(screen, "found");
    hides(screen, "recall: 0 found");
    hides(screen, "overdue ");
    assert_true(screen_press(screen, "\033"));
    practice_shows(screen, "recall: 6 safety");
    assert_true(screen_press(screen, "\033"));
    practice_shows(screen, "8 still booked");
    leave(screen, &practice);
}

/* A call in nine keys: the row goes behind those to be called now, and stays selected. */
static void a_contact_is_logged_and_seen_at_once(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_recall(&practice, "recall_call", 24, 80);
    static const char *const export_contacts[] = {"export", "contacts", NULL};
    static const char *const verify[] = {"verify", NULL};

    (void)state;
    assert_true(screen_keys(screen, "over"));
    practice_shows(screen, "> C-0003");
    practice_shows(screen, "tel. 000 10 0115 (Kasimir");
    practice_shows(screen, "No contact yet.");
    assert_true(screen_keys(screen, "\r"));
    practice_shows(screen, "outcome");
    practice_pass(screen, DEAF_MS);
    assert_true(screen_keys(screen, "\r3"));      /* by telephone, word left */
    assert_true(screen_keys(screen, "1202\r\r")); /* again on 2 December, no note */
    practice_shows(screen, "again on 2026-12-02");
    practice_shows(screen, "Enter or 1 saves");
    practice_pass(screen, DEAF_MS);
    assert_true(screen_keys(screen, "\r"));
    practice_shows(screen, "Saved");
    practice_shows(screen, "overdue, again 12-02");
    assert_true(screen_find(screen, 7, "> C-0003", NULL)); /* the last of five */
    assert_true(screen_find(screen, 7, "2026-11-25", NULL));
    assert_true(screen_find(screen, 1, "over", NULL)); /* the search stands */
    assert_int_equal(practice_run(&practice, export_contacts), 0);
    assert_non_null(strstr(practice.output, "telephone,left-word,2026-12-02"));
    assert_int_equal(practice_run(&practice, verify), 0);
    leave(screen, &practice);
}

static bool cursor_stands_on(struct screen *screen, void *row)
{
    return screen_cursor(screen).row == *(const int *)row;
}

/* What another seat saves is seen; the row that was selected still is. */
static void another_seat_calls(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_recall(&practice, "recall_seat", 24, 80);
    char path[PRACTICE_PATH + 16];
    const char *const import[] = {"import", path, NULL};

    (void)state;
    assert_true(screen_keys(screen, "++++++++")); /* C-0020, behind C-0003 and C-0024 */
    practice_shows(screen, "> C-0020");
    snprintf(path, sizeof path, "%s.csv", practice.path);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs("case,at,channel,outcome,again_on,by,note\n"
          "C-0003,2026-11-25T09:00:00Z,telephone,not-reached,2026-11-27,Pia Lanternhouse,\n",
          file);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(practice_run(&practice, import), 0);
    assert_true(screen_wait_text(screen, SCREEN_ANY_ROW, "overdue, again 11-27", 0));
    assert_true(screen_find(screen, 10, "> C-0020", NULL)); /* one row up, and still selected */
    assert_true(screen_find(screen, 13, "  C-0003", NULL));
    int row = 10; /* the cursor is put there last */
    assert_true(screen_wait(screen, cursor_stands_on, &row, "the cursor on row 10", 0));
    remove(path);
    leave(screen, &practice);
}

/* Every column at 132; sorted by each in turn, also by one that has no room. */
static void columns_and_sorting(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_recall(&practice, "recall_columns", 43, 132);
    static const char *const heads[] = {"case",    "name",       "why",    "late",   "telephone",
                                        "contact", "call again", "booked", "verdict"};

    (void)state;
    practice_shows(screen, "outcome");
    practice_shows(screen, "not-reached");
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        char sorted[32];
        bool falling = strcmp(heads[i], "late") == 0;
        assert_true(screen_find(screen, 2, heads[i], NULL));
        assert_true(screen_keys(screen, "\t"));
        snprintf(sorted, sizeof sorted, "%s%s", heads[i], falling ? " v" : " ^");
        assert_true(screen_find(screen, 2, sorted, NULL));
        practice_shows(screen, "> C-0004"); /* the record stays selected */
    }
    assert_true(screen_keys(screen, "\t"));
    hides(screen, " ^");
    assert_true(screen_resize(screen, 24, 80));
    assert_true(screen_keys(screen, "\t\t\t\t\t\t\t\t"));
    assert_true(screen_find(screen, 2, " booked ^", NULL)); /* what one sorts by stays */
    leave(screen, &practice);
}

/* At 40 x 12 the number to dial stands in the hint. */
static void small_and_plain(void **state)
{
    struct practice practice = {0};
    struct screen *screen = open_recall(&practice, "recall_small", 12, 40);

    (void)state;
    practice_shows(screen, "> C-0004");
    practice_shows(screen, "!221 d");
    assert_true(shows_wrapped(screen, 12, "tel. 000 10 0122"));
    assert_true(shows_wrapped(screen, 12, "SAFETY from"));
    assert_true(screen_keys(screen, "*3"));
    practice_shows(screen, "outcome");
    assert_true(screen_press(screen, "\033"));
    practice_shows(screen, "> C-0004");
    leave(screen, &practice);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(safety_leads_in_words),
        cmocka_unit_test(any_word_narrows),
        cmocka_unit_test(a_contact_is_logged_and_seen_at_once),
        cmocka_unit_test(another_seat_calls),
        cmocka_unit_test(columns_and_sorting),
        cmocka_unit_test(small_and_plain),
    };
    return cmocka_run_group_tests_name("recall", tests, NULL, NULL);
}
