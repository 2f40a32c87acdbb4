/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The series of a picture, from the records of a case as of a day. */
#include <stdlib.h>

#include "case_private.h"
#include "springline/app/picture.h"
#include "springline/core/width.h"

enum {
    LENGTH_TICKS = 11,
    SUM_TICKS = 7,
    LENGTH_LEAST_UM = 2000, /* a picture of widths or sums is at least so high: judgement */
    BAR_PER_CENT = 196      /* 1.96 standard deviations (Bland & Altman 1986) */
};

static int compare_days(day a, day b)
{
    return a < b ? -1 : a > b;
}

/* ---- widths ---- */

static int compare_widths(const void *a, const void *b)
{
    return compare_days(((const struct picture_width *)a)->date,
                        ((const struct picture_width *)b)->date);
}

/* Half away from zero, as core/width.h has it. */
static um mean_of(int64_t sum, int32_t count)
{
    int64_t half = sum < 0 ? -(count / 2) : count / 2;

    return (um)((sum + half) / count);
}

/* Sorted by date: those of one day become one. */
static size_t average_days(struct picture_width *widths, size_t count)
{
    size_t kept = 0;

    for (size_t i = 0; i < count;) {
        day date = widths[i].date;
        int64_t sum = 0;
        int32_t repeats = 0;
        for (; i < count && widths[i].date == date; i++, repeats++)
            sum += widths[i].value;
        widths[kept++] = (struct picture_width){date, mean_of(sum, repeats), repeats};
    }
    return kept;
}

static bool take_widths(const struct history *history, struct arena *arena, struct picture *picture)
{
    picture->widths = arena_array(arena, history->width_count, sizeof *picture->widths);
    if (picture->widths == NULL)
        return false;
    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->arch != picture->arch || width->date == DAY_NONE || width->value == UM_NONE)
            continue;
        if (picture->expander != NULL && width_counts(width, picture->expander))
            picture->widths[picture->width_count++] =
                (struct picture_width){width->date, width->value, 1};
        else
            picture->other_widths++;
    }
    qsort(picture->widths, picture->width_count, sizeof *picture->widths, compare_widths);
    picture->width_count = average_days(picture->widths, picture->width_count);
    return true;
}

/* ---- what was given ---- */

static int compare_steps(const void *a, const void *b)
{
    return compare_days(((const struct picture_step *)a)->date,
                        ((const struct picture_step *)b)->date);
}

/* As the rules have it: an amount that an activation elsewhere does not say. */
static bool is_unknown(const struct visit *visit, um amount)
{
    return visit->elsewhere == ANSWER_YES && visit->kind == VISIT_ACTIVATION && amount == UM_NONE;
}

/* Sorted by date: those of one day become one, and amounts sums. */
static size_t sum_days(struct picture_step *steps, size_t count)
{
    size_t kept = 0;
    int64_t right = 0, left = 0;

    for (size_t i = 0; i < count;) {
        struct picture_step step = {.date = steps[i].date};
        for (; i < count && steps[i].date == step.date; i++) {
            right += steps[i].right;
            left += steps[i].left;
            step.right_unknown = step.right_unknown || steps[i].right_unknown;
            step.left_unknown = step.left_unknown || steps[i].left_unknown;
        }
        step.right = right;
        step.left = left;
        steps[kept++] = step;
    }
    return kept;
}

static bool take_steps(const struct history *history, struct arena *arena, struct picture *picture)
{
    picture->steps = arena_array(arena, history->visit_count, sizeof *picture->steps);
    if (picture->steps == NULL)
        return false;
    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        struct picture_step step = {.date = visit->date,
                                    .right = visit->right > 0 ? visit->right : 0,
                                    .left = visit->left > 0 ? visit->left : 0,
                                    .right_unknown = is_unknown(visit, visit->right),
                                    .left_unknown = is_unknown(visit, visit->left)};
        bool given = step.right > 0 || step.left > 0 || step.right_unknown || step.left_unknown;
        if (visit->arch != picture->arch || visit->date == DAY_NONE || !given)
            continue;
        picture->unknown_steps = picture->unknown_steps || step.right_unknown || step.left_unknown;
        picture->steps[picture->step_count++] = step;
    }
    qsort(picture->steps, picture->step_count, sizeof *picture->steps, compare_steps);
    picture->step_count = sum_days(picture->steps, picture->step_count);
    return true;
}

/* ---- wear ---- */

static struct picture_wear wear_of(const struct wear_period *period)
{
    struct picture_wear wear = {.from = period->from,
                                .to = period->to,
                                .permille = -1,
                                .source = SOURCE_NONE,
                                .class = period->class};

    if (period->class == WEAR_UNKNOWN || period->judged.known <= 0)
        return wear;
    wear.source = period->source;
    wear.met = period->judged.met;
    wear.known = period->judged.known;
    wear.permille = (int32_t)((int64_t)wear.met * 1000 / wear.known);
    return wear;
}

/* Drawn over the days with a trainer alone: what was asked of 4 days is not said of 28. False:
 * there was none on any day of the period. */
static bool trim_to_trainer(const struct history *history, struct picture_wear *wear)
{
    while (wear->from <= wear->to && !wear_trainer_current(history, wear->from))
        wear->from++;
    while (wear->to > wear->from && !wear_trainer_current(history, wear->to))
        wear->to--;
    return wear->from <= wear->to;
}

static bool take_wear(const struct history *history, day today, struct arena *arena,
                      struct picture *picture)
{
    struct wear_periods periods;

    wear_periods(history, history->protocol, today, (struct reach){.through = today}, &periods);
    picture->wear = arena_array(arena, (size_t)periods.count, sizeof *picture->wear);
    if (picture->wear == NULL)
        return false;
    for (int32_t i = periods.count - 1; i >= 0; i--) {
        picture->wear[picture->wear_count] = wear_of(&periods.period[i]);
        if (trim_to_trainer(history, &picture->wear[picture->wear_count]))
            picture->wear_count++;
    }
    picture->wear_cut = periods.cut;
    return true;
}

/* ---- what happened ---- */

static int compare_marks(const void *a, const void *b)
{
    const struct picture_mark *left = a, *right = b;
    int order = compare_days(left->date, right->date);

    return order != 0 ? order : (int)left->event - (int)right->event;
}

static void add_mark(struct picture *picture, day date, enum picture_event event)
{
    if (date != DAY_NONE)
        picture->marks[picture->mark_count++] = (struct picture_mark){date, event};
}

static bool take_marks(const struct history *history, struct arena *arena, struct picture *picture)
{
    enum { EVENTS = 3 };

    picture->marks = arena_array(arena, history->expander_count, EVENTS * sizeof *picture->marks);
    if (picture->marks == NULL)
        return false;
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch != picture->arch)
            continue;
        add_mark(picture, expander->fitted_on, PICTURE_FIT);
        add_mark(picture, expander->passive_on, PICTURE_PASSIVE);
        add_mark(picture, expander->out_on,
                 expander->out_reason == OUT_REST ? PICTURE_REST : PICTURE_OUT);
    }
    qsort(picture->marks, picture->mark_count, sizeof *picture->marks, compare_marks);
    return true;
}

/* ---- the axes ---- */

static void take_dates(const struct history *history, day today, struct picture *picture)
{
    struct scale_range *dates = &picture->dates;

    for (size_t i = 0; i < picture->width_count; i++)
        scale_add(dates, picture->widths[i].date);
    for (size_t i = 0; i < picture->step_count; i++)
        scale_add(dates, picture->steps[i].date);
    for (size_t i = 0; i < picture->mark_count; i++)
        scale_add(dates, picture->marks[i].date);
    for (size_t i = 0; i < picture->wear_count; i++) {
        scale_add(dates, picture->wear[i].from);
        scale_add(dates, picture->wear[i].to);
    }
    if (dates->any && history->casefile->closed_on == DAY_NONE)
        scale_add(dates, today); /* how long nothing was recorded is to be seen */
    struct scale scale;
    picture->drawable = scale_dates(dates, SCALE_TICKS_MAX, &scale);
}

static void take_scales(struct picture *picture)
{
    struct scale_range lengths = {0}, sums = {0};

    for (size_t i = 0; i < picture->width_count; i++) {
        scale_add(&lengths, (int64_t)picture->widths[i].value - picture->bar);
        scale_add(&lengths, (int64_t)picture->widths[i].value + picture->bar);
    }
    if (picture->target != UM_NONE)
        scale_add(&lengths, picture->target);
    if (picture->step_count > 0) {
        const struct picture_step *last = &picture->steps[picture->step_count - 1];
        scale_add(&sums, 0);
        scale_add(&sums, last->right > last->left ? last->right : last->left);
        /* A sum is never below zero: the axis is widened at its upper end alone. */
        if (sums.high < LENGTH_LEAST_UM)
            scale_add(&sums, LENGTH_LEAST_UM);
    }
    picture->has_lengths =
        scale_numbers(&lengths, LENGTH_LEAST_UM, LENGTH_TICKS, &picture->lengths);
    picture->has_sums = scale_numbers(&sums, LENGTH_LEAST_UM, SUM_TICKS, &picture->sums);
}

static bool make_one(const struct history *history, enum arch arch, day today, struct arena *arena,
                     struct picture *picture)
{
    um error = history->protocol->width_error;

    *picture = (struct picture){.number = history->casefile->number,
                                .arch = arch,
                                .target = UM_NONE,
                                .error = error > 0 ? error : 0};
    if (arch != ARCH_NONE)
        picture->expander = case_expander_of(history, arch, today);
    if (picture->expander != NULL)
        picture->target = picture->expander->target;
    picture->bar = (um)(((int64_t)picture->error * BAR_PER_CENT + 50) / 100);
    if ((arch != ARCH_NONE &&
         (!take_widths(history, arena, picture) || !take_steps(history, arena, picture) ||
          !take_marks(history, arena, picture))) ||
        !take_wear(history, today, arena, picture))
        return false;
    take_dates(history, today, picture);
    take_scales(picture);
    return true;
}

static bool has_expander(const struct history *history, enum arch arch)
{
    for (size_t i = 0; i < history->expander_count; i++) {
        if (history->expanders[i].arch == arch)
            return true;
    }
    return false;
}

enum status pictures_make(const struct history *history, day today, struct arena *arena,
                          struct pictures *pictures, struct error *error)
{
    struct history *until = arena_alloc(arena, sizeof *until);
    bool good = until != NULL && case_until(history, today, arena, until);

    pictures->count = 0;
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER && good; arch++) {
        if (has_expander(until, (enum arch)arch))
            good = make_one(until, (enum arch)arch, today, arena, &pictures->of[pictures->count++]);
    }
    if (good && pictures->count == 0)
        good = make_one(until, ARCH_NONE, today, arena, &pictures->of[pictures->count++]);
    return good ? STATUS_OK : error_no_memory(error);
}

enum status pictures_read(struct app *app, const struct id *casefile, struct arena *arena,
                          struct pictures *pictures, struct history *history, struct error *error)
{
    enum status status = store_read_case(app->store, casefile, STORE_NOW, arena, history, error);

    return status == STATUS_OK ? pictures_make(history, app->today, arena, pictures, error)
                               : status;
}

const char *picture_name(const struct picture *picture)
{
    return picture->arch == ARCH_NONE ? "wear" : word_text(&words_arch, (int)picture->arch);
}
