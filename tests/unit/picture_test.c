/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The series of a picture: which widths, amounts and periods are on it. What must not be mixed or
 * guessed is from the treatment's rules (landmarks, sources, amounts given elsewhere); sums and
 * means were worked out by hand from the rows made here.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "case_maker.h"
#include "springline/app/picture.h"

/* The first picture of the case. */
static const struct picture *picture_of(const struct case_maker *maker, struct arena *arena,
                                        struct pictures *pictures)
{
    assert_int_equal(pictures_make(&maker->history, maker->today, arena, pictures, NULL),
                     STATUS_OK);
    return &pictures->of[0];
}

static void the_typical_case(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_typical(&maker);
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_int_equal(pictures.count, 1);
    assert_string_equal(picture_name(picture), "upper");
    assert_int_equal(picture->width_count, 3);
    assert_int_equal(picture->widths[0].date, case_day(&maker, 180));
    assert_int_equal(picture->widths[0].value, 36000);
    assert_int_equal(picture->widths[2].value, 40000);
    assert_int_equal(picture->target, 50000);
    assert_int_equal(picture->error, 300); /* published: 0.22 to 0.31 mm */
    assert_int_equal(picture->bar, 588);   /* 1.96 x 0.30 */
    assert_int_equal(picture->step_count, 3);
    assert_int_equal(picture->steps[1].right, 2000);
    assert_int_equal(picture->steps[2].left, 3000);
    assert_false(picture->unknown_steps);
    assert_int_equal(picture->mark_count, 1);
    assert_int_equal(picture->marks[0].event, PICTURE_FIT);
    assert_true(picture->drawable && picture->has_lengths && picture->has_sums);
    assert_int_equal(picture->dates.high, maker.today);
    assert_true(picture->lengths.first <= 36000 - 588 && picture->lengths.last >= 50000);
    assert_int_equal(picture->sums.first, 0);
    arena_release(&arena);
}

/* Fossa and cusp differ by many millimetres in one mouth: what is not the expander's is counted. */
static void two_landmarks_are_never_on_one_line(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_typical(&maker);
    case_width(&maker, ARCH_UPPER, 30, 55000)->landmark = LANDMARK_FACIAL;
    case_width(&maker, ARCH_UPPER, 30, 30000)->site = SITE_INTERCANINE;
    case_width(&maker, ARCH_LOWER, 30, 33000);
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_int_equal(picture->width_count, 3);
    assert_int_equal(picture->other_widths, 2);  /* of the arch */
    maker.expanders[0].landmark = LANDMARK_NONE; /* unknown never matches */
    picture = picture_of(&maker, &arena, &pictures);
    assert_int_equal(picture->width_count, 0);
    assert_int_equal(picture->other_widths, 5);
    arena_release(&arena);
}

/* (36.00 + 36.01) / 2 = 36.005, half away from zero in micrometres: 36.005 exactly. */
static void repeats_are_averaged_and_sorted(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 100);
    case_width(&maker, ARCH_UPPER, 20, 38000); /* the newest first */
    case_width(&maker, ARCH_UPPER, 90, 36000);
    case_width(&maker, ARCH_UPPER, 50, 37000);
    case_width(&maker, ARCH_UPPER, 90, 36010);
    case_width(&maker, ARCH_UPPER, -10, 99000); /* of tomorrow: not yet */
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_int_equal(picture->width_count, 3);
    assert_int_equal(picture->widths[0].value, 36005);
    assert_int_equal(picture->widths[0].repeats, 2);
    assert_int_equal(picture->widths[1].value, 37000);
    assert_int_equal(picture->widths[2].value, 38000);
    arena_release(&arena);
}

static void an_amount_given_elsewhere_is_not_guessed(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_typical(&maker);
    struct visit *visit = case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 60, UM_NONE, 500);
    visit->elsewhere = ANSWER_YES;
    case_visit(&maker, VISIT_CHECK, ARCH_UPPER, 59, UM_NONE, UM_NONE); /* an empty amount is none */
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_true(picture->unknown_steps);
    assert_int_equal(picture->step_count, 4);
    assert_int_equal(picture->steps[1].date, case_day(&maker, 60));
    assert_true(picture->steps[1].right_unknown);
    assert_false(picture->steps[1].left_unknown);
    assert_int_equal(picture->steps[1].right, 1000); /* what is known */
    assert_int_equal(picture->steps[1].left, 1500);
    struct text legend = {0};
    picture_legend(picture, false, &legend);
    assert_non_null(strstr(text_string(&legend), "the sums are the least it can be"));
    text_release(&legend);
    arena_release(&arena);
}

/* Two rows of one day are one step; a repair gives as an activation does. */
static void amounts_of_a_day_are_one_step(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 100);
    case_visit(&maker, VISIT_REPAIR, ARCH_UPPER, 40, 250, 0);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, 40, 1000, 750);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_LOWER, 40, 2000, 2000);
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_int_equal(picture->step_count, 1);
    assert_int_equal(picture->steps[0].right, 1250);
    assert_int_equal(picture->steps[0].left, 750);
    arena_release(&arena);
}

/* A period is drawn from its first to its last day with a trainer; on the day it ends there is none
 * (core/wear.h). */
static void wear_without_a_trainer_is_not_drawn(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 100, 31);
    case_visit(&maker, VISIT_CHECK, ARCH_NONE, 35, UM_NONE, UM_NONE);
    case_visit(&maker, VISIT_CHECK, ARCH_NONE, 16, UM_NONE, UM_NONE);
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_int_equal(picture->wear_count, 2); /* of the newest period no day has one */
    assert_int_equal(picture->wear[1].from, case_day(&maker, 35));
    assert_int_equal(picture->wear[1].to, case_day(&maker, 32));
    arena_release(&arena);
}

/* 5 of 7 is 71.4 %: cut. Of the sources one is judged; a period without one is unknown. */
static void wear_keeps_its_source(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    case_trainer(&maker, 100, CASE_NEVER);
    case_visit(&maker, VISIT_CHECK, ARCH_NONE, 70, UM_NONE, UM_NONE);
    case_visit(&maker, VISIT_CHECK, ARCH_NONE, 35, UM_NONE, UM_NONE);
    case_wear(&maker, SOURCE_SENSOR, 70, 36, 25);
    case_wear(&maker, SOURCE_TOLD, 70, 36, 35);
    case_count(&maker, SOURCE_TOLD, 35, 1, 30, 35);
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_string_equal(picture_name(picture), "wear"); /* there is no expander */
    assert_int_equal(picture->arch, ARCH_NONE);
    assert_int_equal(picture->wear_count, 3);
    assert_int_equal(picture->wear[0].source, SOURCE_NONE);
    assert_int_equal(picture->wear[0].permille, -1);
    assert_int_equal(picture->wear[1].source, SOURCE_SENSOR);
    assert_int_equal(picture->wear[1].permille, 714);
    assert_int_equal(picture->wear[1].class, WEAR_SHORT);
    assert_int_equal(picture->wear[2].source, SOURCE_TOLD);
    assert_int_equal(picture->wear[2].permille, 857);
    arena_release(&arena);
}

static void fit_rest_out_and_passive_are_marked(void **state)
{
    static const enum picture_event events[] = {PICTURE_FIT, PICTURE_REST, PICTURE_FIT,
                                                PICTURE_PASSIVE, PICTURE_OUT};
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    struct expander *second = case_expander(&maker, ARCH_UPPER, 120);
    struct expander *first = case_expander(&maker, ARCH_UPPER, 200);
    first->out_on = case_day(&maker, 150);
    first->out_reason = OUT_REST;
    second->passive_on = case_day(&maker, 60);
    second->out_on = case_day(&maker, 10);
    second->out_reason = OUT_TARGET;
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_int_equal(picture->mark_count, 5);
    for (size_t i = 0; i < 5; i++)
        assert_int_equal(picture->marks[i].event, events[i]);
    assert_ptr_equal(picture->expander, second);
    arena_release(&arena);
}

static void both_arches_the_upper_first(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_LOWER, 50);
    case_expander(&maker, ARCH_UPPER, 150);
    (void)picture_of(&maker, &arena, &pictures);
    assert_int_equal(pictures.count, 2);
    assert_int_equal(pictures.of[0].arch, ARCH_UPPER);
    assert_int_equal(pictures.of[1].arch, ARCH_LOWER);
    arena_release(&arena);
}

/* Nothing but a name: no date, nothing to draw, and no number anywhere. */
static void a_case_without_anything(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    const struct picture *picture = picture_of(&maker, &arena, &pictures);
    assert_false(picture->drawable);
    assert_false(picture->has_lengths || picture->has_sums);
    assert_int_equal(picture->target, UM_NONE);
    arena_release(&arena);
}

/* A closed case ends with its last record; an open one today, so that a silence is seen. */
static void a_silence_is_seen_while_the_case_is_open(void **state)
{
    struct case_maker maker;
    struct arena arena = {0};
    struct pictures pictures;

    (void)state;
    case_begin(&maker);
    case_expander(&maker, ARCH_UPPER, 300);
    case_width(&maker, ARCH_UPPER, 200, 36000);
    assert_int_equal(picture_of(&maker, &arena, &pictures)->dates.high, maker.today);
    maker.casefile.closed_on = case_day(&maker, 150);
    assert_int_equal(picture_of(&maker, &arena, &pictures)->dates.high, case_day(&maker, 200));
    arena_release(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_typical_case),
        cmocka_unit_test(two_landmarks_are_never_on_one_line),
        cmocka_unit_test(repeats_are_averaged_and_sorted),
        cmocka_unit_test(an_amount_given_elsewhere_is_not_guessed),
        cmocka_unit_test(amounts_of_a_day_are_one_step),
        cmocka_unit_test(wear_without_a_trainer_is_not_drawn),
        cmocka_unit_test(wear_keeps_its_source),
        cmocka_unit_test(fit_rest_out_and_passive_are_marked),
        cmocka_unit_test(both_arches_the_upper_first),
        cmocka_unit_test(a_case_without_anything),
        cmocka_unit_test(a_silence_is_seen_while_the_case_is_open),
    };

    return cmocka_run_group_tests_name("picture", tests, NULL, NULL);
}
