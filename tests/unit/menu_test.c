/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The menu over a screen of its own that only writes down which command came. What a menu must hold
 * is read off the command list; that "*" opens it, a key chooses at once and a key struck twice
 * acts once is our own rule (a stroke within 150 ms is a bounce: judgement, no source).
 */
#include "desk.h"
#include "springline/ui/binding.h"

struct fake {
    unsigned menu;
    enum command last;
    char text;
    int calls;
};

static enum status fake_open(struct ui *ui, const void *argument, void **state, struct error *error)
{
    (void)ui;
    (void)error;
    *state = *(struct fake *const *)argument;
    return STATUS_OK;
}

static void fake_close(struct ui *ui, void *state)
{
    (void)ui;
    (void)state;
}

static void fake_draw(struct ui *ui, void *state, int rows)
{
    (void)state;
    for (int row = 0; row < rows; row++)
        grid_put(&ui->grid, row, 0, ui->grid.columns, LOOK_PLAIN, row == 0 ? "the title" : "below");
}

static unsigned fake_places(const void *state)
{
    (void)state;
    return PLACE_MENU | PLACE_LIST | PLACE_FIND;
}

static unsigned fake_menu(const void *state)
{
    return ((const struct fake *)state)->menu;
}

/* A search that takes everything: still the menu's key is no text. */
static bool fake_takes_text(const void *state, const struct key *key)
{
    (void)state;
    return key->press == PRESS_NONE && !key->control;
}

static void fake_command(struct ui *ui, void *state, enum command command, const struct key *key)
{
    struct fake *fake = state;

    (void)ui;
    fake->last = command;
    fake->text = (char)key->character;
    fake->calls++;
}

static void fake_hint(struct ui *ui, const void *state, struct text *out)
{
    (void)ui;
    (void)state;
    text_add(out, "the hint");
}

static const struct screen_ops fake_screen = {.name = "fake",
                                              .open = fake_open,
                                              .close = fake_close,
                                              .draw = fake_draw,
                                              .places = fake_places,
                                              .menu = fake_menu,
                                              .takes_text = fake_takes_text,
                                              .command = fake_command,
                                              .hint = fake_hint};

static void open_fake(struct desk *desk, const char *name, struct fake *fake, unsigned menu)
{
    desk_open(desk, name);
    *fake = (struct fake){.menu = menu};
    ui_push(&desk->ui, &fake_screen, (const void *)&fake);
    ui_draw(&desk->ui);
}

static void every_command_stands_in_it_in_order(void **state)
{
    struct desk desk;
    struct fake fake;
    const char *at;

    (void)state;
    open_fake(&desk, "menu_order", &fake, PLACE_CASE_MENU);
    assert_shows(&desk, "the hint");
    desk_resize(&desk, 43, 132);
    desk_keys(&desk, "*");
    assert_int_equal(fake.calls, 0);
    assert_shows(&desk, "the title"); /* who it is about stays in sight */
    at = text_string(&desk.headless.frame);
    for (int i = 1; i < COMMAND_COUNT; i++) {
        if ((command_table[i].places & PLACE_CASE_MENU) == 0)
            continue;
        const char *found = strstr(at, command_table[i].help);
        if (found == NULL)
            fail_msg("not in the menu, or not in order: %s\n%s", command_table[i].help, at);
        assert_int_equal(found[-3], command_table[i].keys[0]);
        at = found;
    }
    /* Not what belongs to other menus. */
    assert_false(desk_shows(&desk, command_table[COMMAND_TO_RECALL].help));
    desk_close(&desk);
}

static void the_whole_case_menu_fits_24_rows(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_fits", &fake, PLACE_CASE_MENU);
    desk_keys(&desk, "*");
    assert_shows(&desk, "the title");
    assert_shows(&desk, "1 verdict of today, and every reason");
    assert_shows(&desk, "m arch segments and depth");
    assert_false(desk_shows(&desk, "page 1 of"));
    assert_false(desk_shows(&desk, "~"));
    desk_close(&desk);
}

static void a_key_chooses_at_once(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_key", &fake, PLACE_CASE_MENU);
    desk_keys(&desk, "*6");
    assert_int_equal(fake.last, COMMAND_TO_FIT);
    assert_int_equal(fake.text, '6');
    assert_int_equal(fake.calls, 1);
    assert_false(desk.ui.choosing);
    desk_keys(&desk, "*k");
    assert_int_equal(fake.last, COMMAND_TO_CLOSE);
    desk_keys(&desk, "6"); /* closed: text again */
    assert_int_equal(fake.last, COMMAND_NONE);
    desk_close(&desk);
}

static void a_line_is_selected_and_chosen(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_select", &fake, PLACE_CASES_MENU);
    desk_keys(&desk, "*");
    int row = desk.headless.cursor_row;
    assert_shows(&desk, "> 1");
    desk_keys(&desk, "+<Down>-");
    assert_shows(&desk, "> 2"); /* legible without any attribute */
    assert_int_equal(desk.headless.cursor_row, row + 1);
    desk_keys(&desk, "<Up><Up>"); /* the first stays the first */
    assert_int_equal(desk.headless.cursor_row, row);
    desk_keys(&desk, "<End>");
    assert_shows(&desk, "> 5");
    desk_keys(&desk, "+<Enter>");
    assert_int_equal(fake.last, COMMAND_TO_BOOKING_END);
    assert_int_equal(fake.calls, 1);
    desk_close(&desk);
}

static void it_closes_without_doing_anything(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_close", &fake, PLACE_CASES_MENU);
    desk_keys(&desk, "*<Esc>");
    assert_shows(&desk, "below");
    assert_false(desk.ui.choosing);
    desk_keys(&desk, "**");
    assert_false(desk.ui.choosing);
    assert_int_equal(fake.calls, 0);
    assert_int_equal(desk.ui.depth, 2);
    desk_close(&desk);
}

static void another_key_is_said_to_be_no_choice(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_other", &fake, PLACE_CASES_MENU);
    desk_keys(&desk, "*9");
    assert_shows(&desk, "9 is no choice here");
    desk_keys(&desk, "<Tab>");
    assert_shows(&desk, "Tab is no choice here");
    desk_keys(&desk, "<paste:2>"); /* a paste chooses nothing */
    assert_shows(&desk, "2 is no choice here");
    assert_true(desk.ui.choosing);
    desk_keys(&desk, "+");
    assert_false(desk_shows(&desk, "no choice"));
    assert_int_equal(fake.calls, 0);
    desk_close(&desk);
}

static void the_message_stays_when_it_opens(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_message", &fake, PLACE_CASES_MENU);
    ui_say(&desk.ui, "Saved: something.");
    desk_keys(&desk, "*");
    assert_shows(&desk, "Saved: something.");
    assert_shows(&desk, "Enter choose"); /* the footer: the menu's own keys */
    assert_shows(&desk, "+ - row");
    assert_false(desk_shows(&desk, "Tab sort"));
    desk_close(&desk);
}

static void a_double_strike_acts_once(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_bounce", &fake, PLACE_CASES_MENU);
    desk.headless.key_ms = 149;
    desk_keys(&desk, "**"); /* opened, not closed again */
    assert_true(desk.ui.choosing);
    desk_keys(&desk, "22"); /* chosen; the second is no text for what came up */
    assert_int_equal(fake.last, COMMAND_TO_VISIT);
    assert_int_equal(fake.calls, 1);
    desk.headless.key_ms = 160;
    desk_keys(&desk, "2");
    assert_int_equal(fake.calls, 2);
    assert_int_equal(fake.last, COMMAND_NONE);
    desk.headless.key_ms = 149;
    desk_keys(&desk, "*<Enter><Enter>");
    assert_int_equal(fake.last, COMMAND_TO_CASE);
    assert_int_equal(fake.calls, 3);
    desk_keys(&desk, "*3"); /* quick, but other keys: no bounce */
    assert_int_equal(fake.last, COMMAND_TO_CONTACT);
    desk_keys(&desk, "33");
    desk_close(&desk);
}

static void a_small_screen_pages(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_pages", &fake, PLACE_CASE_MENU);
    desk_resize(&desk, 12, 40);
    desk_keys(&desk, "*");
    assert_shows(&desk, "the title");
    assert_shows(&desk, "page 1 of ");
    assert_shows(&desk, "> 1 verdict of today, and every reason");
    assert_false(desk_shows(&desk, "p picture"));
    desk_keys(&desk, "<PageDown>");
    assert_shows(&desk, "page 2 of ");
    assert_shows(&desk, "> ");
    desk_keys(&desk, "<PageUp>");
    assert_shows(&desk, "page 1 of ");
    desk_keys(&desk, "<End>");
    assert_shows(&desk, "> q loop sheet");
    /* Every line is whole on its page: wrapped, never cut. */
    desk_keys(&desk, "<Home>");
    enum command commands[COMMAND_COUNT];
    int count = binding_menu(PLACE_CASE_MENU, commands);
    for (int i = 0; i < count; i++) {
        assert_shows(&desk, command_table[commands[i]].help);
        desk_keys(&desk, "+");
    }
    desk_keys(&desk, "<Home>k"); /* a key chooses on every page */
    assert_int_equal(fake.last, COMMAND_TO_CLOSE);
    desk_close(&desk);
}

static void help_lists_the_menu(void **state)
{
    struct desk desk;
    struct fake fake;

    (void)state;
    open_fake(&desk, "menu_help", &fake, PLACE_CASES_MENU);
    desk_resize(&desk, 60, 100);
    desk_keys(&desk, "*?");
    assert_shows(&desk, "In the menu: 1 the case, whole 2 visit: enter it");
    desk_keys(&desk, "<Esc>");
    assert_true(desk.ui.choosing); /* back where it was asked for */
    desk_keys(&desk, "<Esc>");
    assert_false(desk.ui.choosing);
    desk_close(&desk);
}

static void no_two_lines_share_a_key(void **state)
{
    static const unsigned menus[] = {
        PLACE_CASES_MENU | PLACE_DAY_MENU,   PLACE_CASE_MENU,     PLACE_RECORD_MENU,
        PLACE_CASES_MENU | PLACE_AUDIT_MENU, PLACE_SETTINGS_MENU, PLACE_PEOPLE_MENU};

    (void)state;
    for (size_t m = 0; m < sizeof menus / sizeof menus[0]; m++) {
        enum command commands[COMMAND_COUNT];
        int count = binding_menu(menus[m], commands);
        assert_true(count > 0);
        for (int i = 0; i < count; i++) {
            for (int j = 0; j < i; j++)
                assert_int_not_equal(command_table[commands[i]].keys[0],
                                     command_table[commands[j]].keys[0]);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_command_stands_in_it_in_order),
        cmocka_unit_test(the_whole_case_menu_fits_24_rows),
        cmocka_unit_test(a_key_chooses_at_once),
        cmocka_unit_test(a_line_is_selected_and_chosen),
        cmocka_unit_test(it_closes_without_doing_anything),
        cmocka_unit_test(another_key_is_said_to_be_no_choice),
        cmocka_unit_test(the_message_stays_when_it_opens),
        cmocka_unit_test(a_double_strike_acts_once),
        cmocka_unit_test(a_small_screen_pages),
        cmocka_unit_test(help_lists_the_menu),
        cmocka_unit_test(no_two_lines_share_a_key),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
