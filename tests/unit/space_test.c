/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Space analysis: what counts, what stands in, what is refused; figures: tests/reference. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <gsl/gsl_errno.h>

#include "springline/core/space.h"
#include "springline/core/tooth.h"

enum { TODAY = 1000, ROWS = 64 };

/* Rows for both arches; a test adds, changes and drops some. */
struct mouth {
    struct tooth_width teeth[ROWS];
    struct arch_segment segments[ROWS];
    struct assessment assessment;
    struct space_question question;
};

static void tooth(struct mouth *mouth, day date, int32_t code, um width)
{
    size_t i = mouth->assessment.tooth_width_count++;

    assert_true(i < ROWS);
    mouth->teeth[i] = (struct tooth_width){.date = date, .tooth = code, .value = width};
}

/* One segment of the day, by itself. */
static void segment(struct mouth *mouth, day date, enum arch arch, int number, um length)
{
    size_t i = mouth->assessment.segment_count++;
    um *const parts[] = {NULL, &mouth->segments[i].back_right, &mouth->segments[i].front_right,
                         &mouth->segments[i].front_left, &mouth->segments[i].back_left};

    assert_true(i < ROWS);
    mouth->segments[i] = (struct arch_segment){.date = date,
                                               .arch = arch,
                                               .back_right = UM_NONE,
                                               .front_right = UM_NONE,
                                               .front_left = UM_NONE,
                                               .back_left = UM_NONE};
    *parts[number] = length;
}

static void drop_tooth(struct mouth *mouth, int32_t code)
{
    size_t kept = 0;

    for (size_t i = 0; i < mouth->assessment.tooth_width_count; i++)
        if (mouth->teeth[i].tooth != code)
            mouth->teeth[kept++] = mouth->teeth[i];
    mouth->assessment.tooth_width_count = kept;
}

/* Upper incisors 7 + 9 + 9 + 7, lower 6 + 5.5 + 5.5 + 6, segments 22 + 16 + 16 + 22 and
 * 21 + 11 + 11 + 21: X = 23, so a side is 22.5 and 22.0, and the balance -1.00 and -3.00. */
static void begin(struct mouth *mouth, enum arch arch)
{
    static const um upper[] = {7000, 9000, 9000, 7000}, lower[] = {6000, 5500, 5500, 6000};
    static const int32_t upper_codes[] = {12, 11, 21, 22}, lower_codes[] = {42, 41, 31, 32};
    static const um upper_lengths[] = {22000, 16000, 16000, 22000};
    static const um lower_lengths[] = {21000, 11000, 11000, 21000};

    memset(mouth, 0, sizeof *mouth);
    mouth->question.arch = arch;
    mouth->question.equation = EQUATION_TANAKA_JOHNSTON;
    mouth->question.through = TODAY;
    mouth->question.assessment = &mouth->assessment;
    mouth->assessment.tooth_widths = mouth->teeth;
    mouth->assessment.segments = mouth->segments;
    for (int i = 0; i < 4; i++) {
        tooth(mouth, TODAY - 10, upper_codes[i], upper[i]);
        tooth(mouth, TODAY - 10, lower_codes[i], lower[i]);
        segment(mouth, TODAY - 10, ARCH_UPPER, i + 1, upper_lengths[i]);
        segment(mouth, TODAY - 10, ARCH_LOWER, i + 1, lower_lengths[i]);
    }
}

static struct space_analysis analyse(const struct mouth *mouth)
{
    struct space_analysis analysis;

    space_analyse(&mouth->question, &analysis);
    return analysis;
}

static void refused(const struct mouth *mouth, enum space_refusal refusal, int32_t code)
{
    struct space_analysis analysis = analyse(mouth);

    assert_int_equal(analysis.refusal, refusal);
    assert_int_equal(analysis.refused, code);
    assert_int_equal(analysis.balance, UM_NONE);
}

static void both_arches_by_hand(void **state)
{
    struct mouth mouth;
    struct space_analysis analysis;

    (void)state;
    begin(&mouth, ARCH_UPPER);
    analysis = analyse(&mouth);
    assert_int_equal(analysis.refusal, SPACE_OK);
    assert_int_equal(analysis.available, 76000);
    assert_int_equal(analysis.incisor_sum, 32000);
    assert_int_equal(analysis.lower_incisor_sum, 23000);
    assert_int_equal(analysis.right.width, 22500);
    assert_int_equal(analysis.required, 77000);
    assert_int_equal(analysis.balance, -1000);
    assert_int_equal(analysis.segments_on, TODAY - 10);
    assert_int_equal(analysis.incomplete_on, DAY_NONE);
    assert_true(analysis.predicted);
    assert_false(analysis.right.measured || analysis.left.measured);
    assert_int_equal(analysis.right.leeway, UM_NONE);
    assert_int_equal(space_substitutions(&analysis), 0);
    begin(&mouth, ARCH_LOWER);
    analysis = analyse(&mouth);
    assert_int_equal(analysis.available, 64000);
    assert_int_equal(analysis.required, 67000);
    assert_int_equal(analysis.balance, -3000);
}

/* Repeats of the newest date are averaged; an older date and a later one do not count. */
static void repeats_of_the_newest_date(void **state)
{
    struct mouth mouth;
    struct space_analysis analysis;

    (void)state;
    begin(&mouth, ARCH_UPPER);
    tooth(&mouth, TODAY - 3, 11, 9100);
    tooth(&mouth, TODAY - 3, 11, 9401);
    tooth(&mouth, TODAY - 5, 11, 4000);
    tooth(&mouth, TODAY + 1, 11, 4000);
    tooth(&mouth, DAY_NONE, 11, 4000);
    tooth(&mouth, TODAY, 11, UM_NONE);
    analysis = analyse(&mouth);
    assert_int_equal(analysis.incisors[1].tooth, 11);
    assert_int_equal(analysis.incisors[1].width, 9251); /* 9250.5 */
    assert_int_equal(analysis.incisors[1].repeats, 2);
    assert_int_equal(analysis.incisors[1].date, TODAY - 3);
    assert_int_equal(analysis.required, 77251);
}

/* Segments of different days are of different arches: the newest whole day counts. */
static void segments_of_one_day(void **state)
{
    struct mouth mouth;
    struct space_analysis analysis;

    (void)state;
    begin(&mouth, ARCH_UPPER);
    for (int i = 1; i <= 3; i++)
        segment(&mouth, TODAY - 2, ARCH_UPPER, i, 30000);
    analysis = analyse(&mouth);
    assert_int_equal(analysis.segments_on, TODAY - 10);
    assert_int_equal(analysis.incomplete_on, TODAY - 2);
    assert_int_equal(analysis.available, 76000);
    segment(&mouth, TODAY - 2, ARCH_UPPER, SEGMENT_BACK_LEFT, 22000);
    segment(&mouth, TODAY - 2, ARCH_UPPER, SEGMENT_BACK_LEFT, 24001);
    segment(&mouth, TODAY + 2, ARCH_UPPER, SEGMENT_BACK_LEFT, 44000);
    analysis = analyse(&mouth);
    assert_int_equal(analysis.segments_on, TODAY - 2);
    assert_int_equal(analysis.incomplete_on, DAY_NONE);
    assert_int_equal(analysis.available, 90000 + 23001);
    assert_int_equal(analysis.segments[SEGMENT_BACK_LEFT].repeats, 2);
}

static void a_side_that_is_measured_is_not_predicted(void **state)
{
    struct mouth mouth;
    struct space_analysis analysis;

    (void)state;
    begin(&mouth, ARCH_UPPER);
    tooth(&mouth, TODAY - 9, 13, 8000);
    tooth(&mouth, TODAY - 9, 14, 7200);
    analysis = analyse(&mouth);
    assert_false(analysis.right.measured); /* two of three */
    assert_int_equal(analysis.right.width, 22500);
    assert_int_equal(analysis.right.permanent[0].width, 8000);
    tooth(&mouth, TODAY - 9, 15, 7000);
    analysis = analyse(&mouth);
    assert_true(analysis.right.measured && !analysis.left.measured && analysis.predicted);
    assert_int_equal(analysis.right.width, 22200);
    assert_int_equal(analysis.required, 32000 + 22200 + 22500);
    /* With both sides measured neither equation nor lower incisors are needed. */
    for (int i = 0; i < 3; i++)
        tooth(&mouth, TODAY - 9, 23 + i, 7500);
    drop_tooth(&mouth, 31);
    drop_tooth(&mouth, 41);
    mouth.question.equation = EQUATION_NONE;
    analysis = analyse(&mouth);
    assert_int_equal(analysis.refusal, SPACE_OK);
    assert_false(analysis.predicted);
    assert_int_equal(analysis.lower_incisor_sum, UM_NONE);
    assert_int_equal(analysis.required, 32000 + 22200 + 22500);
}

/* Deciduous teeth say how much room their successors will leave, and nothing else. */
static void deciduous_teeth_are_listed_only(void **state)
{
    struct mouth mouth;
    struct space_analysis analysis;

    (void)state;
    begin(&mouth, ARCH_LOWER);
    for (int i = 3; i <= 5; i++)
        tooth(&mouth, TODAY - 9, 80 + i, 7900);
    tooth(&mouth, TODAY - 9, 73, 5900);
    tooth(&mouth, TODAY - 9, 72, 4200); /* a deciduous incisor stands for nobody */
    analysis = analyse(&mouth);
    assert_int_equal(analysis.refusal, SPACE_OK);
    assert_int_equal(analysis.required, 67000);
    assert_false(analysis.right.measured);
    assert_int_equal(analysis.right.deciduous[2].tooth, 85);
    assert_int_equal(analysis.right.leeway, 23700 - 22000);
    assert_int_equal(analysis.left.leeway, UM_NONE);
    assert_int_equal(analysis.left.deciduous[0].width, 5900);
    drop_tooth(&mouth, 32);
    drop_tooth(&mouth, 42);
    refused(&mouth, SPACE_INCISOR_MISSING, 42);
}

static void a_missing_incisor(void **state)
{
    struct mouth mouth;
    struct space_analysis analysis;

    (void)state;
    begin(&mouth, ARCH_UPPER);
    tooth(&mouth, TODAY - 2, 12, 6500);
    drop_tooth(&mouth, 22);
    analysis = analyse(&mouth);
    assert_int_equal(analysis.refusal, SPACE_OK);
    assert_int_equal(analysis.incisors[3].tooth, 22);
    assert_int_equal(analysis.incisors[3].measured, 12);
    assert_int_equal(analysis.incisors[3].width, 6500);
    assert_int_equal(analysis.incisor_sum, 31000);
    assert_int_equal(space_substitutions(&analysis), 1);
    /* A lower one counts for the upper arch too: through the prediction. */
    drop_tooth(&mouth, 41);
    analysis = analyse(&mouth);
    assert_int_equal(space_substitutions(&analysis), 2);
    drop_tooth(&mouth, 31);
    refused(&mouth, SPACE_INCISOR_MISSING, 41);
    drop_tooth(&mouth, 12);
    refused(&mouth, SPACE_INCISOR_MISSING, 12);
    begin(&mouth, ARCH_LOWER);
    drop_tooth(&mouth, 31);
    analysis = analyse(&mouth);
    assert_int_equal(space_substitutions(&analysis), 1);
    drop_tooth(&mouth, 11);
    drop_tooth(&mouth, 21); /* the lower arch has no need of them */
    analysis = analyse(&mouth);
    assert_int_equal(analysis.refusal, SPACE_OK);
}

static void out_of_range_is_refused(void **state)
{
    static const um widths[] = {0, -7000, 999, 15001, 70000, 700, INT32_MAX, INT32_MIN + 1};
    static const um lengths[] = {0, -22000, 3999, 45001, 220000, 2200, INT32_MAX, INT32_MIN + 1};
    struct mouth mouth;

    (void)state;
    for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
        begin(&mouth, ARCH_UPPER);
        tooth(&mouth, TODAY - 90, 26, widths[i]);
        refused(&mouth, SPACE_TOOTH_RANGE, 26);
        tooth(&mouth, TODAY - 1, 11, widths[i]);
        refused(&mouth, SPACE_TOOTH_RANGE, 11);
        mouth.question.through = TODAY - 100;
        refused(&mouth, SPACE_SEGMENT_MISSING, SEGMENT_BACK_RIGHT);
    }
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++) {
        begin(&mouth, ARCH_UPPER);
        segment(&mouth, TODAY - 90, ARCH_UPPER, 3, lengths[i]);
        refused(&mouth, SPACE_SEGMENT_RANGE, 3);
        mouth.question.arch = ARCH_LOWER;
        assert_int_equal(analyse(&mouth).refusal, SPACE_OK);
    }
}

static void what_can_not_be_is_refused(void **state)
{
    static const int32_t codes[] = {0, -11, 10, 19, 49, 50, 56, 86, 90, 100, INT32_MAX};
    struct mouth mouth;

    (void)state;
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        begin(&mouth, ARCH_UPPER);
        tooth(&mouth, TODAY - 1, codes[i], 7000);
        refused(&mouth, SPACE_NO_SUCH_TOOTH, codes[i]);
    }
    begin(&mouth, ARCH_NONE);
    refused(&mouth, SPACE_NO_ARCH, 0);
    begin(&mouth, ARCH_UPPER);
    mouth.question.equation = EQUATION_NONE;
    refused(&mouth, SPACE_NO_EQUATION, 0);
    mouth.question.equation = EQUATION_UNUSED;
    refused(&mouth, SPACE_NO_EQUATION, 0);
    mouth.question.equation = (enum equation)99;
    refused(&mouth, SPACE_NO_EQUATION, 0);
}

static void nothing_recorded(void **state)
{
    struct mouth mouth;
    struct space_analysis analysis;

    (void)state;
    begin(&mouth, ARCH_UPPER);
    mouth.assessment.segment_count = 0;
    refused(&mouth, SPACE_SEGMENT_MISSING, SEGMENT_BACK_RIGHT);
    analysis = analyse(&mouth);
    assert_int_equal(analysis.required, 77000); /* known all the same */
    assert_int_equal(analysis.available, UM_NONE);
    mouth.assessment.tooth_width_count = 0;
    refused(&mouth, SPACE_SEGMENT_MISSING, SEGMENT_BACK_RIGHT);
    begin(&mouth, ARCH_UPPER);
    mouth.assessment.tooth_width_count = 0;
    refused(&mouth, SPACE_INCISOR_MISSING, 12);
    begin(&mouth, ARCH_UPPER);
    mouth.assessment.segment_count -= 2; /* the last of each arch */
    refused(&mouth, SPACE_SEGMENT_MISSING, SEGMENT_BACK_LEFT);
}

/* Turned round and round, the rows give the same. */
static void order_does_not_matter(void **state)
{
    struct mouth mouth, other;
    struct space_analysis before, after;

    (void)state;
    begin(&mouth, ARCH_UPPER);
    tooth(&mouth, TODAY - 3, 11, 9100);
    tooth(&mouth, TODAY - 3, 11, 9401);
    tooth(&mouth, TODAY - 3, 17, 40000);
    tooth(&mouth, TODAY - 3, 99, 9000);
    segment(&mouth, TODAY - 2, ARCH_UPPER, 1, 30000);
    for (int bad = 1; bad >= 0; bad--) {
        before = analyse(&mouth);
        assert_int_equal(before.refusal, bad ? SPACE_TOOTH_RANGE : SPACE_OK);
        other = mouth;
        other.question.assessment = &other.assessment;
        other.assessment.tooth_widths = other.teeth;
        other.assessment.segments = other.segments;
        for (size_t turn = 0; turn < mouth.assessment.tooth_width_count; turn++) {
            struct tooth_width width = other.teeth[0];
            struct arch_segment row = other.segments[0];
            size_t teeth = other.assessment.tooth_width_count - 1;
            size_t segments = other.assessment.segment_count - 1;

            memmove(other.teeth, other.teeth + 1, teeth * sizeof width);
            other.teeth[teeth] = width;
            memmove(other.segments, other.segments + 1, segments * sizeof row);
            other.segments[segments] = row;
            after = analyse(&other);
            assert_int_equal(after.refusal, before.refusal);
            assert_int_equal(after.refused, before.refused);
            assert_int_equal(after.balance, before.balance);
            assert_int_equal(after.incisors[1].width, before.incisors[1].width);
        }
        drop_tooth(&mouth, 17);
        drop_tooth(&mouth, 99);
    }
}

/* A larger sum never predicts less; sums that can not be predict nothing. */
static void prediction(void **state)
{
    (void)state;
    for (int e = EQUATION_NONE + 1; e < EQUATION_UNUSED; e++)
        for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
            um before = 0;

            for (um sum = 1; sum <= 60000; sum += 37) {
                um side = space_predict((enum equation)e, (enum arch)arch, sum);

                assert_true(side >= before && side > 5000 && side < 60000);
                before = side;
            }
        }
    assert_int_equal(space_predict(EQUATION_TANAKA_JOHNSTON, ARCH_UPPER, 0), UM_NONE);
    assert_int_equal(space_predict(EQUATION_TANAKA_JOHNSTON, ARCH_UPPER, -1), UM_NONE);
    assert_int_equal(space_predict(EQUATION_TANAKA_JOHNSTON, ARCH_UPPER, UM_NONE), UM_NONE);
    assert_int_equal(space_predict(EQUATION_TANAKA_JOHNSTON, ARCH_UPPER, 60001), UM_NONE);
    assert_int_equal(space_predict(EQUATION_TANAKA_JOHNSTON, ARCH_NONE, 23000), UM_NONE);
    assert_int_equal(space_predict(EQUATION_NONE, ARCH_UPPER, 23000), UM_NONE);
    assert_int_equal(space_predict(EQUATION_UNUSED, ARCH_UPPER, 23000), UM_NONE);
}

/* Of each of the 52 teeth: on the other side of the same arch, and back. */
static void antimeres(void **state)
{
    (void)state;
    for (int code = 11; code <= 85; code++) {
        if (!tooth_exists(code))
            continue;
        int across = tooth_antimere(code);

        assert_true(tooth_exists(across));
        assert_int_equal(across % 10, code % 10);
        assert_int_equal(tooth_arch(across), tooth_arch(code));
        assert_int_not_equal(tooth_side(across), tooth_side(code));
        assert_int_equal(across / 50, code / 50); /* permanent or deciduous, both */
        assert_int_equal(tooth_antimere(across), code);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(both_arches_by_hand),
        cmocka_unit_test(repeats_of_the_newest_date),
        cmocka_unit_test(segments_of_one_day),
        cmocka_unit_test(a_side_that_is_measured_is_not_predicted),
        cmocka_unit_test(deciduous_teeth_are_listed_only),
        cmocka_unit_test(a_missing_incisor),
        cmocka_unit_test(out_of_range_is_refused),
        cmocka_unit_test(what_can_not_be_is_refused),
        cmocka_unit_test(nothing_recorded),
        cmocka_unit_test(order_does_not_matter),
        cmocka_unit_test(prediction),
        cmocka_unit_test(antimeres),
    };

    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
