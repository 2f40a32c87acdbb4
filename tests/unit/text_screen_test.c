/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The screen of a text that is only read, and the ways from one screen to another, over a real
 * store and no terminal. What scrolls and what is marked is our own design, no source.
 */
#include "desk.h"
#include "springline/ui/screens.h"

struct subject {
    int lines;
    int *filled; /* times */
};

/* "line 1" ... and how often it was made. */
static enum status fill(struct ui *ui, const void *subject, struct arena *arena,
                        struct lines *lines, struct error *error)
{
    const struct subject *wanted = subject;
    char line[40];

    (void)ui;
    ++*wanted->filled;
    if (wanted->lines < 0)
        return error_set(error, STATUS_NOT_FOUND, NULL, "There is nothing to be read.");
    lines->line = arena_array(arena, (size_t)wanted->lines, sizeof *lines->line);
    assert_non_null(lines->line);
    for (int i = 0; i < wanted->lines; i++) {
        snprintf(line, sizeof line, "line %d made %d", i + 1, *wanted->filled);
        lines->line[lines->count++] = arena_text(arena, line, strlen(line));
    }
    return STATUS_OK;
}

static void open_text(struct desk *desk, const char *name, int lines, int *filled)
{
    struct subject subject = {.lines = lines, .filled = filled};
    struct text_argument argument = {
        .title = "A text", .fill = fill, .subject = &subject, .size = sizeof subject};

    desk_open(desk, name);
    *filled = 0;
    ui_push(&desk->ui, &text_screen, &argument);
    memset(&subject, 0xA5, sizeof subject); /* it was copied */
    ui_draw(&desk->ui);
}

static void it_scrolls_and_says_what_is_below(void **state)
{
    struct desk desk;
    int filled;

    (void)state;
    open_text(&desk, "text_scroll", 60, &filled);
    assert_shows(&desk, "A text");
    assert_shows(&desk, "line 1 made 1");
    assert_shows(&desk, "more below");
    assert_shows(&desk, "Decision support only");
    assert_int_equal(desk.headless.cursor_row, 1);
    desk_keys(&desk, "+");
    assert_false(desk_shows(&desk, "line 1 made"));
    assert_shows(&desk, "more above");
    desk_keys(&desk, "-");
    assert_shows(&desk, "line 1 made 1");
    desk_keys(&desk, "<End>");
    assert_shows(&desk, "line 60 made 1");
    assert_false(desk_shows(&desk, "more below"));
    desk_keys(&desk, "<Home>");
    assert_shows(&desk, "line 1 made 1");
    /* Page by page no line is left out. */
    for (int i = 1; i <= 60; i++) {
        char line[40];
        snprintf(line, sizeof line, "line %d made", i);
        if (!desk_shows(&desk, line))
            desk_keys(&desk, "<PageDown>");
        assert_shows(&desk, line);
    }
    desk_keys(&desk, "<PageUp><PageUp><PageUp><PageUp><PageUp><PageUp>");
    assert_shows(&desk, "line 1 made 1");
    assert_int_equal(filled, 1);
    desk_keys(&desk, "<Esc>");
    assert_int_equal(desk.ui.depth, 1);
    desk_close(&desk);
}

static void a_short_text_is_whole(void **state)
{
    struct desk desk;
    int filled;

    (void)state;
    open_text(&desk, "text_short", 3, &filled);
    assert_shows(&desk, "line 3 made 1");
    assert_false(desk_shows(&desk, "more below"));
    desk_keys(&desk, "+++<End><PageDown>");
    assert_shows(&desk, "line 1 made 1"); /* there is nothing to scroll */
    desk_resize(&desk, 12, 40);
    assert_shows(&desk, "line 3 made 1");
    desk_close(&desk);
}

static void it_follows_what_another_seat_saved(void **state)
{
    struct desk desk;
    struct case_maker maker;
    int filled;

    (void)state;
    open_text(&desk, "text_seats", 3, &filled);
    ui_event(&desk.ui, EVENT_NOTHING, NULL);
    assert_int_equal(filled, 1); /* nobody saved */
    struct store_case seat = desk.kept;
    assert_int_equal(store_open(seat.path, &seat.source, &seat.app.store, &desk.error), STATUS_OK);
    case_typical(&maker);
    maker.casefile.number = "C-0002";
    maker.patient.chart = "2";
    store_case_keep(&seat, &maker);
    store_close(seat.app.store);
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    ui_draw(&desk.ui);
    assert_shows(&desk, "line 1 made 2");
    desk_close(&desk);
}

static void what_can_not_be_read_is_said(void **state)
{
    struct desk desk;
    int filled;

    (void)state;
    open_text(&desk, "text_nothing", -1, &filled);
    assert_int_equal(desk.ui.depth, 1);
    assert_shows(&desk, "There is nothing to be read.");
    desk_close(&desk);
}

/* ---- from screen to screen ---- */

static const struct screen_ops *top(const struct desk *desk)
{
    return desk->ui.stack[desk->ui.depth - 1].ops;
}

static void every_command_of_a_case_leads_somewhere(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "go_case");
    for (int i = 1; i < COMMAND_COUNT; i++) {
        if ((command_table[i].places & (PLACE_CASE_MENU | PLACE_CASES_MENU)) == 0)
            continue;
        text_clear(&desk.ui.message);
        if (!screen_go(&desk.ui, (enum command)i, &desk.kept.casefile))
            fail_msg("%s leads nowhere", command_table[i].name);
        /* It opened, or one sentence says why it does not now. */
        if (desk.ui.depth == 1 && desk.ui.message.length == 0)
            fail_msg("%s does nothing and says nothing", command_table[i].name);
        ui_draw(&desk.ui);
        while (desk.ui.depth > 1)
            ui_pop(&desk.ui);
    }
    assert_false(screen_go(&desk.ui, COMMAND_SORT, &desk.kept.casefile));
    assert_false(screen_go(&desk.ui, COMMAND_CORRECT, &desk.kept.casefile));
    desk_close(&desk);
}

static void each_command_opens_its_own_screen(void **state)
{
    static const struct {
        enum command command;
        const struct screen_ops *screen;
        const char *shows;
    } ways[] = {
        {COMMAND_TO_CASE, &case_screen, "C-0001"},
        {COMMAND_TO_VISIT, &visit_screen, "PROCEED"},
        {COMMAND_TO_WHY, &text_screen, "if tissue and hardware are sound"},
        {COMMAND_TO_PLAN, &text_screen, "UPPER: room in the arch"},
        {COMMAND_TO_PLAN, &text_screen, "Decision support only: the licensed clinician"},
        {COMMAND_TO_MAKE_PLAN, &form_screen, "The arch the plan is for"},
        {COMMAND_TO_FIT, &form_screen, "Fit sheet"},
        {COMMAND_TO_PATIENT, &form_screen, "telephone"},
        {COMMAND_TO_RECALL, &recall_screen, ""},
        {COMMAND_TO_AUDIT, &audit_screen, ""},
        {COMMAND_TO_SETTINGS, &settings_screen, ""},
        {COMMAND_TO_PEOPLE, &people_screen, ""},
        {COMMAND_TO_NEW_PATIENT, &form_screen, "family name"},
    };
    struct desk desk;

    (void)state;
    desk_open(&desk, "go_screens");
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        assert_true(screen_go(&desk.ui, ways[i].command, &desk.kept.casefile));
        ui_draw(&desk.ui);
        if (top(&desk) != ways[i].screen)
            fail_msg("%s opened %s: %s", command_table[ways[i].command].name, top(&desk)->name,
                     text_string(&desk.ui.message));
        assert_shows(&desk, ways[i].shows);
        ui_pop(&desk.ui);
    }
    desk_close(&desk);
}

static void without_a_case_nothing_of_a_case_opens(void **state)
{
    struct desk desk;

    (void)state;
    desk_open(&desk, "go_none");
    assert_true(screen_go(&desk.ui, COMMAND_TO_WIDTH, NULL));
    ui_draw(&desk.ui);
    assert_int_equal(desk.ui.depth, 1);
    assert_shows(&desk, "No case is selected");
    desk_close(&desk);
}

/* A case whose expander is out has no visit to enter: it opens instead, and why is said. */
static void no_visit_leads_to_the_case(void **state)
{
    struct desk desk;
    struct case_maker maker;

    (void)state;
    desk_open(&desk, "go_either");
    screen_visit_or_case(&desk.ui, &desk.kept.casefile);
    assert_ptr_equal(top(&desk), &visit_screen);
    ui_pop(&desk.ui);
    case_begin(&maker);
    maker.casefile.number = "C-0002";
    maker.patient.chart = "2";
    store_case_keep(&desk.kept, &maker);
    text_clear(&desk.ui.message);
    screen_visit_or_case(&desk.ui, &desk.kept.casefile);
    ui_draw(&desk.ui);
    assert_ptr_equal(top(&desk), &case_screen);
    assert_int_equal(desk.ui.depth, 2);
    assert_shows(&desk, "C-0002");
    assert_true(desk.ui.message.length > 0);
    desk_close(&desk);
}

/* A new day reaches every screen on which nothing is being entered; a form keeps its day. */
static void midnight_passes_where_nothing_is_entered(void **state)
{
    struct desk desk;
    int filled;

    (void)state;
    open_text(&desk, "text_midnight", 3, &filled);
    day today = desk.kept.app.today;
    desk.clock = today + 1;
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    assert_int_equal(desk.kept.app.today, today + 1);
    assert_int_equal(filled, 2);
    screen_go(&desk.ui, COMMAND_TO_PATIENT, &desk.kept.casefile);
    assert_ptr_equal(top(&desk), &form_screen);
    desk.clock = today + 2;
    ui_event(&desk.ui, EVENT_NOTHING, NULL);
    assert_int_equal(desk.kept.app.today, today + 1);
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_scrolls_and_says_what_is_below),
        cmocka_unit_test(a_short_text_is_whole),
        cmocka_unit_test(it_follows_what_another_seat_saved),
        cmocka_unit_test(what_can_not_be_read_is_said),
        cmocka_unit_test(every_command_of_a_case_leads_somewhere),
        cmocka_unit_test(each_command_opens_its_own_screen),
        cmocka_unit_test(without_a_case_nothing_of_a_case_opens),
        cmocka_unit_test(no_visit_leads_to_the_case),
        cmocka_unit_test(midnight_passes_where_nothing_is_entered),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
