/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture of a case as a screen, over a real store and no terminal. What stands where is our
 * own design, no source; that it works from 40 x 12 up, without colour and with ASCII alone, is
 * asked of every screen.
 */
#include "desk.h"
#include "springline/app/picture.h"

/* A desk of this size on the picture of the typical case, with a lower arch where wanted. */
static void open_picture(struct desk *desk, const char *name, int rows, int columns, bool lower)
{
    *desk = (struct desk){.headless = {.rows = rows, .columns = columns}};
    case_typical(&desk->maker);
    if (lower) {
        case_expander(&desk->maker, ARCH_LOWER, 40);
        case_width(&desk->maker, ARCH_LOWER, 40, 33000);
    }
    store_case_open(&desk->kept, name, desk->maker.today);
    store_case_keep(&desk->kept, &desk->maker);
    desk_sit_down(desk);
    desk_keys(desk, "0001*1*p");
}

static const char *top_name(const struct desk *desk)
{
    return desk->ui.stack[desk->ui.depth - 1].ops->name;
}

static void the_menu_of_a_case_leads_there(void **state)
{
    struct desk desk;

    (void)state;
    open_picture(&desk, "picture_menu", 24, 80, false);
    assert_string_equal(top_name(&desk), "picture");
    assert_shows(&desk, "C-0001");
    assert_shows(&desk, "picture: upper");
    assert_shows(&desk, "C-0001 upper intermolar fossa 16-26, mm");
    assert_shows(&desk, "given, mm a side, in all");
    assert_shows(&desk, "wear, days met of days known");
    assert_shows(&desk, "o width, | +-0.59 mm (1.96 x the width error 0.30), = target 50.00");
    assert_shows(&desk, app_caution);
    assert_shows(&desk, "+ arch");
    desk_keys(&desk, "/");
    assert_string_equal(top_name(&desk), "case");
    desk_keys(&desk, "*p<Esc>");
    assert_string_equal(top_name(&desk), "case");
    desk_close(&desk);
}

static void a_key_shows_the_other_arch(void **state)
{
    struct desk desk;

    (void)state;
    open_picture(&desk, "picture_arches", 24, 80, true);
    desk_keys(&desk, "+");
    assert_shows(&desk, "C-0001 lower intermolar fossa 46-36, mm");
    desk_keys(&desk, "+");
    assert_shows(&desk, "C-0001 upper intermolar");
    desk_close(&desk);
    open_picture(&desk, "picture_one_arch", 24, 80, false);
    desk_keys(&desk, "+");
    assert_shows(&desk, "The other arch has no expander.");
    assert_shows(&desk, "C-0001 upper intermolar");
    desk_close(&desk);
}

/* The title of the picture names the case; every part has its axis; the signs are explained. */
static void it_is_legible_at_40_by_12(void **state)
{
    static const char *const shown[] = {"C-0001 upper intermolar fossa 16-26, mm",
                                        "50.00 |====",
                                        "34.00 |",
                                        "mm given R L",
                                        "wear s d t ?unknown",
                                        "100%",
                                        "0%",
                                        "|202",
                                        "o width, | +-0.59 mm (1.96 s), = target",
                                        "+ arch"};
    struct desk desk;

    (void)state;
    open_picture(&desk, "picture_small", 12, 40, true);
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++)
        assert_shows(&desk, shown[i]);
    desk_keys(&desk, "+");
    assert_shows(&desk, "C-0001 lower");
    desk_close(&desk);
}

/* Dots only where they are asked for and can be shown. */
static void braille_is_a_setting(void **state)
{
    struct desk desk;
    struct config config = {.braille = CHOICE_YES};

    (void)state;
    open_picture(&desk, "picture_braille", 24, 80, false);
    assert_null(strstr(text_string(&desk.headless.frame), "\xE2\xA0"));
    desk.ui.setup.config = &config;
    ui_draw(&desk.ui);
    assert_non_null(strstr(text_string(&desk.headless.frame), "\xE2\xA0"));
    desk.ui.grid.plain = true;
    ui_draw(&desk.ui);
    for (size_t i = 0; i < desk.headless.frame.length; i++)
        assert_in_range((unsigned char)desk.headless.frame.data[i], '\n', '~');
    desk_close(&desk);
}

static void it_follows_what_another_seat_saved(void **state)
{
    struct desk desk;
    struct case_maker maker;

    (void)state;
    open_picture(&desk, "picture_seats", 24, 80, false);
    assert_false(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    struct store_case seat = desk.kept;
    assert_int_equal(store_open(seat.path, &seat.source, &seat.app.store, &desk.error), STATUS_OK);
    case_typical(&maker);
    maker.casefile.number = "C-0002";
    maker.patient.chart = "2";
    store_case_keep(&seat, &maker);
    store_close(seat.app.store);
    assert_true(ui_event(&desk.ui, EVENT_NOTHING, NULL));
    assert_shows(&desk, "C-0001 upper intermolar");
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_menu_of_a_case_leads_there),
        cmocka_unit_test(a_key_shows_the_other_arch),
        cmocka_unit_test(it_is_legible_at_40_by_12),
        cmocka_unit_test(braille_is_a_setting),
        cmocka_unit_test(it_follows_what_another_seat_saved),
    };

    return cmocka_run_group_tests_name("picture screen", tests, NULL, NULL);
}
