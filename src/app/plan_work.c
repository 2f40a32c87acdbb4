/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One arch worked out: what was measured that counts, and core's answers to it. */
#include <math.h>

#include "case_private.h"
#include "springline/app/plan_view.h"
#include "springline/core/width.h"

/* ---- the choice ------------------------------------------------------------------------------ */

static const struct plan *saved_plan(const struct assessment *assessment, enum arch arch)
{
    for (size_t i = 0; i < assessment->plan_count; i++)
        if (assessment->plans[i].arch == arch)
            return &assessment->plans[i];
    return NULL;
}

static bool measure_known(enum site site, enum landmark landmark, struct teeth teeth)
{
    return site != SITE_NONE && landmark != LANDMARK_NONE && teeth.right != 0 && teeth.left != 0;
}

static void take_measure(struct plan_choice *choice, enum site site, enum landmark landmark,
                         struct teeth teeth)
{
    choice->site = site;
    choice->landmark = landmark;
    choice->teeth = teeth;
}

/* The newest width between the molars; of one day the one recorded last. */
static const struct width *newest_intermolar(const struct history *history, enum arch arch,
                                             day today)
{
    const struct width *newest = NULL;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->arch == arch && width->site == SITE_INTERMOLAR && width->date <= today &&
            measure_known(width->site, width->landmark, width->teeth) &&
            (newest == NULL || width->date > newest->date ||
             (width->date == newest->date && width->head.sequence > newest->head.sequence)))
            newest = width;
    }
    return newest;
}

void plan_choice_recorded(const struct history *history, const struct assessment *assessment,
                          enum arch arch, day today, struct plan_choice *choice)
{
    const struct plan *plan = saved_plan(assessment, arch);
    const struct expander *expander = case_expander_of(history, arch, today);
    const struct width *width = newest_intermolar(history, arch, today);

    *choice = (struct plan_choice){.arch = arch, .target = UM_NONE};
    if (plan != NULL && plan->equation != EQUATION_UNUSED)
        choice->equation = plan->equation;
    if (plan != NULL)
        choice->target = plan->target;
    if (plan != NULL && measure_known(plan->site, plan->landmark, plan->teeth))
        take_measure(choice, plan->site, plan->landmark, plan->teeth);
    else if (expander != NULL && measure_known(expander->site, expander->landmark, expander->teeth))
        take_measure(choice, expander->site, expander->landmark, expander->teeth);
    else if (width != NULL)
        take_measure(choice, width->site, width->landmark, width->teeth);
    /* A target is of its own measure only. */
    if (choice->target == UM_NONE && expander != NULL && expander->site == choice->site &&
        expander->landmark == choice->landmark && expander->teeth.right == choice->teeth.right &&
        expander->teeth.left == choice->teeth.left)
        choice->target = expander->target;
}

/* ---- what was measured ----------------------------------------------------------------------- */

/* Of the days on which something was measured: the newest on or before through, else the oldest. */
static day better_day(day best, day date, day through)
{
    if (best == DAY_NONE || (best > through && date < best))
        return date;
    return date <= through && date > best ? date : best;
}

/* The mean of sum over count, halves away from zero. */
static um mean_of(int64_t sum, int32_t count)
{
    return (um)llround((double)sum / count);
}

static struct plan_measured depth_at(const struct assessment *assessment,
                                     const struct plan_choice *choice, day through, day today)
{
    struct plan_measured depth = {DAY_NONE, UM_NONE, 0};
    int64_t sum = 0;

    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < assessment->depth_count; i++) {
            const struct arch_depth *row = &assessment->depths[i];
            if (row->arch != choice->arch || row->date > today || row->value == UM_NONE ||
                row->teeth.right != choice->teeth.right || row->teeth.left != choice->teeth.left)
                continue;
            if (pass == 0) {
                depth.date = better_day(depth.date, row->date, through);
            } else if (row->date == depth.date) {
                sum += row->value;
                depth.repeats++;
            }
        }
    if (depth.repeats > 0)
        depth.value = mean_of(sum, depth.repeats);
    return depth;
}

/* Widths are looked up as those of an expander with the choice's measure. */
static struct expander as_expander(const struct plan_choice *choice)
{
    return (struct expander){.arch = choice->arch,
                             .site = choice->site,
                             .landmark = choice->landmark,
                             .teeth = choice->teeth,
                             .fitted_on = DAY_NONE};
}

static struct plan_measured width_at(const struct history *history,
                                     const struct plan_choice *choice, day through)
{
    const struct expander measure = as_expander(choice);
    struct width_view view;

    width_view(history, history->protocol, &measure, through, &view);
    return (struct plan_measured){view.latest.date, view.latest.value, view.latest.repeats};
}

/* The width when the segments were measured: the newest until then, else the oldest after it. */
static struct plan_measured start_width(const struct history *history,
                                        const struct plan_choice *choice, day through, day today)
{
    const struct expander measure = as_expander(choice);
    day best = DAY_NONE;

    for (size_t i = 0; i < history->width_count; i++) {
        const struct width *width = &history->widths[i];
        if (width->date != DAY_NONE && width->date <= today && width->value != UM_NONE &&
            width_counts(width, &measure))
            best = better_day(best, width->date, through);
    }
    return best == DAY_NONE ? (struct plan_measured){DAY_NONE, UM_NONE, 0}
                            : width_at(history, choice, best);
}

/* ---- what was given -------------------------------------------------------------------------- */

/* The larger of the two sides; a visit elsewhere without amounts counts as the table's full step,
 * as it does in the window of the rules. */
static um step_of(const struct visit *visit)
{
    um side = visit->right > visit->left ? visit->right : visit->left;

    if (visit->elsewhere == ANSWER_YES && visit->right == UM_NONE && visit->left == UM_NONE)
        return protocol_settings[SETTING_STEP_MAX].value;
    return side > 0 ? side : 0;
}

static day first_fit(const struct history *history, enum arch arch, day today)
{
    day first = DAY_NONE;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if (expander->arch == arch && expander->fitted_on != DAY_NONE &&
            expander->fitted_on <= today && (first == DAY_NONE || expander->fitted_on < first))
            first = expander->fitted_on;
    }
    return first;
}

static bool same_day_before(const struct plan_step *steps, size_t count, day date)
{
    for (size_t i = 0; i < count; i++)
        if (steps[i].date == date)
            return true;
    return false;
}

/* Every activation of the arch up to today, into steps; sums into arch. */
static size_t collect_given(const struct history *history, day today, struct plan_step *steps,
                            struct plan_arch *arch)
{
    size_t count = 0;

    for (size_t i = 0; i < history->visit_count; i++) {
        const struct visit *visit = &history->visits[i];
        um side = step_of(visit);
        if (visit->arch != arch->choice.arch || visit->date == DAY_NONE || visit->date > today ||
            visit->kind == VISIT_MISSED || side == 0)
            continue;
        arch->given += !same_day_before(steps, count, visit->date);
        steps[count++] = (struct plan_step){visit->date, side};
        arch->given_right += visit->right > 0 ? visit->right : 0;
        arch->given_left += visit->left > 0 ? visit->left : 0;
        if (arch->given_first == DAY_NONE || visit->date < arch->given_first)
            arch->given_first = visit->date;
        if (visit->date > arch->given_last)
            arch->given_last = visit->date;
    }
    return count;
}

/* ---- core's answers -------------------------------------------------------------------------- */

static day known_by(day date, day today)
{
    return date <= today ? date : DAY_NONE;
}

static bool is_over(const struct history *history, const struct expander *expander, day today)
{
    day closed = history->casefile->closed_on;

    if (closed != DAY_NONE && closed <= today)
        return true;
    if (expander == NULL)
        return false;
    return (expander->passive_on != DAY_NONE && expander->passive_on <= today) ||
           (expander->out_on != DAY_NONE && expander->out_on <= today &&
            expander->out_reason != OUT_REST && expander->out_reason != OUT_REPAIR);
}

/* A new expander is to come where the last one is out for a rest or a repair. */
static void ask_course(const struct history *history, const struct plan_arch *arch,
                       day fit_not_before, day today, struct plan_question *question)
{
    const struct expander *expander = arch->expander;
    bool out = expander == NULL || (expander->out_on != DAY_NONE && expander->out_on <= today);

    *question = (struct plan_question){
        .protocol = history->protocol,
        .sides = arch->sides,
        .site = arch->choice.site,
        .landmark = arch->choice.landmark,
        .width = arch->now.value,
        .width_on = arch->now.date,
        .target = arch->choice.target,
        .start = today,
        .separators_on = expander == NULL ? DAY_NONE : known_by(expander->separators_on, today),
        .banded_on = expander == NULL ? DAY_NONE : known_by(expander->banded_on, today),
        .fitted_on = out ? DAY_NONE : known_by(expander->fitted_on, today),
        .fit_not_before = fit_not_before};
}

static void work_out_room(const struct assessment *assessment, const struct plan_choice *choice,
                          day today, struct plan_arch *arch)
{
    const struct space_question question = {.arch = choice->arch,
                                            .equation = choice->equation,
                                            .through = today,
                                            .assessment = assessment};

    arch->equation_assumed = choice->equation == EQUATION_NONE;
    if (!arch->equation_assumed) {
        space_analyse(&question, &arch->space);
        return;
    }
    struct space_question assumed = question;
    assumed.equation = EQUATION_TANAKA_JOHNSTON;
    space_analyse(&assumed, &arch->space);
}

/* False: no memory. */
static bool choose_response(const struct plan_others *others, const struct plan_choice *choice,
                            struct arena *arena, struct plan_practice *practice)
{
    size_t count = others == NULL ? 0 : others->count;
    double *work = arena_array(arena, count, sizeof *work);

    if (work == NULL)
        return false;
    plan_practice_choose(others == NULL ? NULL : others->rows, count, choice->arch, choice->site,
                         choice->landmark, work, practice);
    return true;
}

bool plan_work_out(const struct history *history, const struct assessment *assessment,
                   const struct plan_choice *choice, const struct plan_others *others,
                   day fit_not_before, day today, struct arena *arena, struct plan_arch *arch)
{
    struct plan_question question;
    struct plan_step *steps = arena_alloc(arena, (history->visit_count + 1) * sizeof *steps);
    struct plan_practice practice;

    if (steps == NULL || !choose_response(others, choice, arena, &practice))
        return false;
    *arch = (struct plan_arch){.choice = *choice,
                               .saved = saved_plan(assessment, choice->arch),
                               .expander = case_expander_of(history, choice->arch, today),
                               .practice = practice,
                               .given_first = DAY_NONE,
                               .given_last = DAY_NONE,
                               .fitted_first = first_fit(history, choice->arch, today)};
    arch->over = is_over(history, arch->expander, today);
    arch->sides = arch->expander == NULL ? SIDES_NONE : arch->expander->sides;
    arch->sides_assumed = arch->sides == SIDES_NONE;
    if (arch->sides_assumed)
        arch->sides = SIDES_BOTH;
    work_out_room(assessment, choice, today, arch);
    day through = arch->space.segments_on == DAY_NONE ? today : arch->space.segments_on;
    arch->start = start_width(history, choice, through, today);
    arch->depth = depth_at(assessment, choice, through, today);
    arch->now = width_at(history, choice, today);
    plan_widths(arch->space.balance == UM_NONE ? 0 : -arch->space.balance, arch->start.value,
                arch->depth.value, &arch->widths);
    ask_course(history, arch, fit_not_before, today, &question);
    question.given_count = collect_given(history, today, steps, arch);
    question.given = steps;
    question.response = practice.response;
    plan_course(&question, &arch->course);
    return arch->widths.refusal != PLAN_NO_MEMORY;
}

day plan_fit_not_before(const struct history *history, const struct plan_arch *upper,
                        enum arch arch)
{
    day fit = upper == NULL ? DAY_NONE : upper->fitted_first;

    if (arch != ARCH_LOWER || upper == NULL)
        return DAY_NONE;
    if (fit == DAY_NONE && !upper->over && upper->course.refusal == PLAN_OK)
        fit = upper->course.phases[PHASE_FIT].from_earliest;
    return fit == DAY_NONE ? DAY_NONE : fit + history->protocol->lower_after_days;
}
