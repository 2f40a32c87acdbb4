/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Verdicts a second on one core, of a typical history: 15 visits, 10 widths, 60 days of wear, 3
 * counts; with good wear, and with wear so short that every period has to be judged.
 */
#include <stdio.h>
#include <time.h>

#include "case_maker.h"

static double seconds_now(void)
{
    struct timespec now;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec + (double)now.tv_nsec / 1e9;
}

static void make_typical(struct case_maker *maker, int32_t met)
{
    case_begin(maker);
    case_trainer(maker, 390, 200);
    case_trainer(maker, 200, CASE_NEVER);
    case_expander(maker, ARCH_UPPER, 380);
    case_expander(maker, ARCH_LOWER, 280);
    for (int32_t i = 15; i >= 1; i--)
        case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 24 * i, 500, 500);
    for (int32_t i = 9; i >= 0; i--)
        case_width(maker, ARCH_UPPER, 5 + 40 * i, 44000 - 1000 * i);
    case_wear(maker, SOURCE_DIARY, 60, 1, met);
    for (int32_t i = 0; i < 3; i++)
        case_count(maker, SOURCE_TOLD, 120 + 24 * i, 97 + 24 * i, met / 3, 24);
}

/* Best of five runs, so that a busy machine does not count against the rules. */
static double verdicts_a_second(const struct case_maker *maker, long count)
{
    struct judgement judgement;
    double best = 0;

    for (int run = 0; run < 5; run++) {
        double start = seconds_now();
        for (long i = 0; i < count; i++)
            rules_judge(&maker->history, &maker->question, &judgement);
        double rate = (double)count / (seconds_now() - start);
        best = rate > best ? rate : best;
    }
    return best;
}

int main(void)
{
    struct case_maker maker;
    struct judgement judgement;

    make_typical(&maker, 60);
    case_judge(&maker, &judgement);
    printf("verdicts a second, good wear: %.0f (%d findings)\n", verdicts_a_second(&maker, 200000),
           judgement.finding_count);
    make_typical(&maker, 18);
    case_judge(&maker, &judgement);
    printf("verdicts a second, short wear: %.0f (%d findings)\n", verdicts_a_second(&maker, 50000),
           judgement.finding_count);
    return 0;
}
