/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The picture on cells, whole, at the two sizes that must be legible, and with records that a slip
 * can leave. The layout is our own design, no source; that each value stands in the row and column
 * of its scale was checked by hand for the goldens.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "case_maker.h"
#include "springline/app/picture.h"

enum { MANY = 500 };

/* The first picture of the case as one text. */
static void draw(const struct case_maker *maker, int columns, int rows, bool braille,
                 struct text *out)
{
    struct arena arena = {0};
    struct pictures pictures;
    struct lines lines = {0};

    text_clear(out);
    assert_int_equal(pictures_make(&maker->history, maker->today, &arena, &pictures, NULL),
                     STATUS_OK);
    assert_int_equal(picture_text(&pictures.of[0], columns, rows, braille, &arena, &lines, NULL),
                     STATUS_OK);
    for (size_t i = 0; i < lines.count; i++) {
        if (text_width(lines.line[i]) > columns)
            fail_msg("wider than %d: %s", columns, lines.line[i]);
        text_addf(out, "%s\n", lines.line[i]);
    }
    arena_release(&arena);
}

static void assert_draws(const struct case_maker *maker, int columns, int rows, bool braille,
                         const char *golden)
{
    struct text out = {0};

    draw(maker, columns, rows, braille, &out);
    if (strcmp(text_string(&out), golden) != 0) {
        print_error("found:\n");
        for (const char *at = text_string(&out); *at != '\0'; at += strcspn(at, "\n") + 1)
            print_error("%.*s\n", (int)strcspn(at, "\n"), at); /* cmocka cuts a long text */
        fail_msg("expected:\n%s", golden);
    }
    text_release(&out);
}

/* A course with everything on it: rest, a second expander, an amount given elsewhere that is not
 * known, sides apart, three sources and a period of which nothing is known. */
static void full_course(struct case_maker *maker)
{
    case_begin(maker);
    case_trainer(maker, 170, CASE_NEVER);
    struct expander *first = case_expander(maker, ARCH_UPPER, 170);
    first->out_on = case_day(maker, 100);
    first->out_reason = OUT_REST;
    first->target = 43000;
    case_expander(maker, ARCH_UPPER, 80)->target = 43000;
    case_width(maker, ARCH_UPPER, 170, 36000);
    case_width(maker, ARCH_UPPER, 110, 38500);
    case_width(maker, ARCH_UPPER, 80, 38000);
    case_width(maker, ARCH_UPPER, 20, 40500);
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 149, 1000, 1000);
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 125, UM_NONE, UM_NONE)->elsewhere = ANSWER_YES;
    case_visit(maker, VISIT_CHECK, ARCH_UPPER, 80, UM_NONE, UM_NONE);
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 55, 1000, 500);
    case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 20, 2000, 1500);
    case_wear(maker, SOURCE_SENSOR, 170, 150, 19);
    case_count(maker, SOURCE_DIARY, 125, 81, 22, 45);
    case_count(maker, SOURCE_TOLD, 80, 56, 25, 25);
    case_count(maker, SOURCE_TOLD, 20, 1, 4, 20);
}

static void at_80_by_24(void **state)
{
    struct case_maker maker;

    (void)state;
    full_course(&maker);
    assert_draws(
        &maker, 80, 24, false,
        "C-0001 upper intermolar fossa 16-26, mm\n"
        " 43.00 |========================================================================\n"
        "       |F                            x        F\n"
        " 41.00 |:                            :        :                        o\n"
        "       |:                            :        :                        |\n"
        " 39.00 |:                        o   :        |\n"
        "       |:                        |   :        o\n"
        " 37.00 ||                            :        |\n"
        "       |o                            :        :\n"
        " 35.00 ||                            :        :\n"
        "given, mm a side, in all: R right, L left, B both\n"
        "  4.00 |:                            :        :                        Rrrrrrrrr\n"
        "       |:                            :        :                        Lllllllll\n"
        "  2.00 |:                            :        :         Rrrrrrrrrrrrrrr\n"
        "       |:                            :        :         Lllllllllllllll\n"
        "       |:        Bbbbbbbbbb?bbbbbbbbbbbbbbbbbbbbbbbbbbbb\n"
        "  0.00 |:                            :        :\n"
        "wear, days met of days known: s sensor, d diary, t told, ? unknown\n"
        "  100% |s90%sssss??????????          :        t100%ttttt???????????????\n"
        "       |:        ??????????          :        :         ???????????????\n"
        "   50% |:        ??????????d48%ddddddddddddddd:         ???????????????\n"
        "       |:        ??????????          :        :         ???????????????t20%ttttt\n"
        "    0% |:        ??????????          :        :         ???????????????\n"
        "                |2026-01     |2026-02    |2026-03     |2026-04    |2026-05\n");
}

static void at_40_by_12(void **state)
{
    struct case_maker maker;

    (void)state;
    full_course(&maker);
    assert_draws(&maker, 40, 12, false,
                 "C-0001 upper intermolar fossa 16-26, mm\n"
                 " 43.00 |================================\n"
                 "       |F          | x  F          o\n"
                 "       ||          o :  o\n"
                 " 35.00 |o            :  :\n"
                 "mm given R L B=both  wear s d t ?unknown\n"
                 "  4.00 |:            :  :          Bbbbb\n"
                 "       |:   Bbbb?bbbbbbbbbbbbBbbbbb\n"
                 "  0.00 |:            :  :\n"
                 "  100% |s90%?????    :  t100%???????\n"
                 "    0% |:   ????d48%ddddd    ??????t20%t\n"
                 "           |2026-01   |2026-03\n");
}

static void in_dots(void **state)
{
    struct case_maker maker;

    (void)state;
    full_course(&maker);
    assert_draws(
        &maker, 80, 24, true,
        "C-0001 upper intermolar fossa 16-26, mm\n"
        " 43.00 |F ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁x⠁ ⠁ ⠁ ⠁ F ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁ ⠁\n"
        "       |:                            :        :\n"
        " 41.00 |:                            :        :                        o\n"
        "       |:                            :        :               ⣀⣀⡠⠤⠔⠒⠒⠉⠉|\n"
        " 39.00 |:                        o   :        |      ⣀⣀⡠⠤⠔⠒⠒⠉⠉\n"
        "       |:                 ⢀⣀⡠⠤⠤⠒⠒|⠉⠉⠉:⠉⠑⠒⠒⠒⠒⠒⠒o⠤⠔⠒⠒⠉⠉\n"
        " 37.00 ||        ⢀⣀⡠⠤⠤⠒⠒⠉⠉⠁          :        |\n"
        "       |o⣀⡠⠤⠤⠒⠒⠉⠉⠁                   :        :\n"
        " 35.00 ||                            :        :\n"
        "given, mm a side, in all: R right, L left, B both\n"
        "  4.00 |:                            :        :                        R⠉⠉⠉⠉⠉⠉⠉⠉\n"
        "       |:                            :        :                        L⠄⠄⠄⠄⠄⠄⠄⠄\n"
        "  2.00 |:                            :        :         R⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⣀⡇\n"
        "       |:                            :        :         L⠠⠠⠠⠠⠠⠠⠠⠠⠠⠠⠠⠠⠠⠠⠅\n"
        "       |:        B⠒⠒⠒⠒⠒⠒⠒⠒⠒?⠒⠒⠒⠒⠒⠒⠒⠒⠒:⠒⠒⠒⠒⠒⠒⠒⠒:⠒⠒⠒⠒⠒⠒⠒⠒⠒⠚\n"
        "  0.00 |:        ⡇                   :        :\n"
        "wear, days met of days known: s sensor, d diary, t told, ? unknown\n"
        "  100% |s90%sssss??????????          :        t100%ttttt???????????????\n"
        "       |:        ??????????          :        :         ???????????????\n"
        "   50% |:        ??????????d48%ddddddddddddddd:         ???????????????\n"
        "       |:        ??????????          :        :         ???????????????t20%ttttt\n"
        "    0% |:        ??????????          :        :         ???????????????\n"
        "                |2026-01     |2026-02    |2026-03     |2026-04    |2026-05\n");
}

static void smallest(void **state)
{
    struct case_maker maker;

    (void)state;
    full_course(&maker);
    assert_draws(&maker, 40, 10, false,
                 "C-0001 upper intermolar fossa 16-26, mm\n"
                 " 43.00 |===========================|====\n"
                 "       |F          o x  o          o\n"
                 " 35.00 |o            :  F\n"
                 "mm given R L B=both  wear s d t ?unknown\n"
                 "  4.00 |:            :  :    RrrrrrBbbbb\n"
                 "  0.00 |:   Bbbb?bbbbbbbbbbbbLlllll\n"
                 "  100% |s90%?????    :  t100%???????\n"
                 "    0% |:   ????d48%ddddd    ??????t20%t\n"
                 "           |2026-01   |2026-03\n");
}

/* ---- what a slip can leave ---- */

/* How often a character is in the text. */
static size_t count_of(const struct text *out, char sign)
{
    size_t count = 0;

    for (size_t i = 0; i < out->length; i++)
        count += out->data[i] == sign;
    return count;
}

/* The same pictures as SVG: whole, every place a plain number of at most so many digits. */
static void assert_sound_svg(const struct case_maker *maker)
{
    struct arena arena = {0};
    struct pictures pictures;
    struct text out = {0};

    assert_int_equal(pictures_make(&maker->history, maker->today, &arena, &pictures, NULL),
                     STATUS_OK);
    pictures_svg(&pictures, &out);
    assert_false(out.failed);
    assert_non_null(strstr(text_string(&out), "</desc>"));
    assert_string_equal(text_string(&out) + out.length - 7, "</svg>\n");
    assert_null(strstr(text_string(&out), "nan"));
    for (const char *at = text_string(&out); (at = strstr(at, " y1=\"")) != NULL;) {
        at += 5;
        assert_in_range(strspn(at, "0123456789"), 1, 4); /* the page is 1470.0 high at most */
    }
    text_release(&out);
    arena_release(&arena);
}

/* At every size: as many rows as asked for, and nothing that is no number. */
static void assert_sound(const struct case_maker *maker)
{
    static const int sizes[][2] = {{80, 24}, {40, 12}, {40, 10}, {200, 60}};
    struct text out = {0};

    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        for (int braille = 0; braille <= 1; braille++) {
            draw(maker, sizes[i][0], sizes[i][1], braille == 1, &out);
            assert_int_equal(count_of(&out, '\n'), sizes[i][1]);
            assert_null(strstr(text_string(&out), "nan"));
        }
    }
    text_release(&out);
    assert_sound_svg(maker);
}

static void one_width_only(void **state)
{
    struct case_maker maker;
    struct text out = {0};

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 0)->target = UM_NONE;
    case_width(&maker, ARCH_UPPER, 0, 36000);
    assert_sound(&maker);
    draw(&maker, 80, 24, false, &out);
    assert_non_null(strstr(text_string(&out), "36.00 |"));
    assert_non_null(strstr(text_string(&out), "nothing was given"));
    assert_non_null(strstr(text_string(&out), "no period of wear"));
    text_release(&out);
}

static void widths_all_equal(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 100)->target = 36000;
    for (int32_t ago = 0; ago < 90; ago += 10)
        case_width(&maker, ARCH_UPPER, ago, 36000);
    maker.protocol.width_error = 0; /* no bars either */
    assert_sound(&maker);
}

static void five_hundred_widths(void **state)
{
    static struct width widths[MANY];
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    for (size_t i = 0; i < MANY; i++) {
        widths[i] = maker.widths[0];
        widths[i].date = case_day(&maker, (int32_t)(i * 7 % MANY)); /* in no order */
        widths[i].value = 36000 + (um)(i * 13 % 4000);
    }
    maker.history.widths = widths;
    maker.history.width_count = MANY;
    assert_sound(&maker);
}

static void values_and_dates_out_of_all_bounds(void **state)
{
    struct case_maker maker;

    (void)state;
    case_typical(&maker);
    maker.widths[0].value = INT32_MAX;
    maker.widths[1].value = -INT32_MAX;
    maker.expanders[0].target = 0;
    maker.visits[0].right = maker.visits[1].right = INT32_MAX;
    maker.expanders[0].out_on = day_of(1800, 1, 1); /* before it was fitted */
    maker.expanders[0].passive_on = maker.expanders[0].fitted_on;
    assert_sound(&maker);
}

static void landmark_not_recorded(void **state)
{
    struct case_maker maker;
    struct text out = {0};

    (void)state;
    case_typical(&maker);
    maker.expanders[0].landmark = LANDMARK_NONE;
    assert_sound(&maker);
    draw(&maker, 80, 24, false, &out);
    assert_non_null(strstr(text_string(&out), "C-0001 upper landmark not recorded"));
    assert_non_null(strstr(text_string(&out), "no such width is recorded"));
    text_release(&out);
}

static void without_anything_or_without_room_it_says_so(void **state)
{
    struct case_maker maker;

    (void)state;
    case_begin(&maker);
    assert_sound_svg(&maker);
    assert_draws(&maker, 80, 24, false,
                 "Nothing that has a date is recorded: there is nothing to draw.\n");
    case_typical(&maker);
    assert_draws(&maker, 39, 24, false, "The picture needs 40 columns and 10 ro~\n");
    assert_draws(&maker, 80, 9, false, "The picture needs 40 columns and 10 rows.\n");
    assert_draws(&maker, 4, 9, true, "The~\n");
}

/* Every sign that is on a picture is in its legend; what is not drawn is counted. */
static void the_legend_says_what_is_there(void **state)
{
    static const char *const said[] = {
        "o width, | +-0.59 mm (1.96 x the width error 0.30), = target 43.00", "F fitted",
        "x out for a rest", "? among what was given", "1 width at another place"};
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;
    struct text legend = {0}, brief = {0};

    (void)state;
    full_course(&maker);
    case_width(&maker, ARCH_UPPER, 20, 55000)->landmark = LANDMARK_FACIAL;
    assert_int_equal(pictures_make(&maker.history, maker.today, &arena, &pictures, NULL),
                     STATUS_OK);
    picture_legend(&pictures.of[0], false, &legend);
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        if (strstr(text_string(&legend), said[i]) == NULL)
            fail_msg("not in the legend: %s\n%s", said[i], text_string(&legend));
    }
    assert_null(strstr(text_string(&legend), "passively")); /* it was not */
    picture_legend(&pictures.of[0], true, &brief);
    assert_string_equal(text_string(&brief), "o width, | +-0.59 mm (1.96 s), = target");
    text_release(&legend);
    text_release(&brief);
    arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(at_80_by_24),
        cmocka_unit_test(at_40_by_12),
        cmocka_unit_test(smallest),
        cmocka_unit_test(in_dots),
        cmocka_unit_test(one_width_only),
        cmocka_unit_test(widths_all_equal),
        cmocka_unit_test(five_hundred_widths),
        cmocka_unit_test(values_and_dates_out_of_all_bounds),
        cmocka_unit_test(landmark_not_recorded),
        cmocka_unit_test(without_anything_or_without_room_it_says_so),
        cmocka_unit_test(the_legend_says_what_is_there),
    };

    return cmocka_run_group_tests_name("picture text", tests, NULL, NULL);
}
