/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a width to be gained to activations, visits and days by the protocol. */
#include "springline/core/plan.h"

#include <gsl/gsl_math.h>
#include <math.h>

#include "springline/core/response.h"

static const char *const phase_texts[] = {
    "",          "separators",  "bands",       "fit",         "active",
    "retention", "stability-1", "stability-3", "stability-6", "stability-12"};
const struct words words_plan_phase = {"phase", phase_texts, PHASE_COUNT + 1};

/* Months after the end of retention: common practice, no source. */
static const int stability_months[] = {1, 3, 6, 12};

/* A response above this is a slip, not a response: a bound of our own, no source. */
static const double response_most = 5;

enum { UM_PER_MM = 1000, DAYS_OF_YEAR = 365 };
static const double days_per_year = 365.25;

/* ---- what is asked --------------------------------------------------------------------------- */

static day later(day a, day b)
{
    return a > b ? a : b;
}

static bool possible_day(day date)
{
    return date >= day_of(1900, 1, 1) && date <= day_of(2900, 1, 1);
}

static int sides_in_plan(enum sides sides)
{
    if (sides == SIDES_BOTH)
        return 2;
    return sides == SIDES_RIGHT || sides == SIDES_LEFT ? 1 : 0;
}

/* Recorded days in the order of the treatment, none of them after start. */
static bool days_in_order(const struct plan_question *question)
{
    const day days[] = {question->separators_on, question->banded_on, question->fitted_on,
                        question->start};
    day before = DAY_NONE;

    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        if (days[i] == DAY_NONE)
            continue;
        if (!possible_day(days[i]) || days[i] < before)
            return false;
        before = days[i];
    }
    for (size_t i = 0; i < question->given_count; i++) {
        const struct plan_step *step = &question->given[i];
        if (!possible_day(step->date) || step->date > question->start || step->side < 0)
            return false;
    }
    return question->start != DAY_NONE &&
           (question->fit_not_before == DAY_NONE || possible_day(question->fit_not_before)) &&
           (question->width_on == DAY_NONE || possible_day(question->width_on));
}

bool plan_response_stands(const struct plan_response *response)
{
    if (response->cases == 0)
        return true;
    return response->cases > 0 && gsl_finite(response->low) && gsl_finite(response->high) &&
           response->low <= response->high && response->high > 0 && response->high <= response_most;
}

/* Both within what an arch can be, so that their difference can be taken. */
static bool is_arch_width(um width)
{
    return width >= CURVE_WIDTH_MIN_MM * UM_PER_MM && width <= CURVE_WIDTH_MAX_MM * UM_PER_MM;
}

static bool gains(um width, um target)
{
    return is_arch_width(target) && target > width &&
           target - width <= CURVE_GAIN_MAX_MM * UM_PER_MM;
}

static enum plan_refusal question_stands(const struct plan_question *question)
{
    const struct protocol *protocol = question->protocol;

    if (protocol == NULL || protocol_check(protocol, NULL) != STATUS_OK ||
        protocol->window_max < protocol->step_grain)
        return PLAN_PROTOCOL;
    if (!is_arch_width(question->width))
        return PLAN_WIDTH;
    if (question->site == SITE_NONE || question->landmark == LANDMARK_NONE)
        return PLAN_LANDMARK;
    if (!gains(question->width, question->target))
        return PLAN_GAIN;
    if (sides_in_plan(question->sides) == 0)
        return PLAN_SIDES;
    if (!plan_response_stands(&question->response))
        return PLAN_RESPONSE;
    return days_in_order(question) ? PLAN_OK : PLAN_DAYS;
}

/* ---- one pace: activations one after the other ----------------------------------------------- */

/* Activations planned so far, at one interval. */
struct pace {
    const struct plan_question *question;
    int32_t interval_days;
    int32_t count;
    day days[PLAN_STEPS_MAX];
    um sides[PLAN_STEPS_MAX];
};

/* What falls in the window that ends on date, and the first day on which it will be less. */
static int64_t window_sum(const struct pace *pace, day date, day *frees)
{
    const struct plan_question *question = pace->question;
    int32_t window = question->protocol->window_days;
    day oldest = date;
    int64_t sum = 0;

    for (size_t i = 0; i < question->given_count; i++)
        if (question->given[i].side > 0 && date - question->given[i].date < window) {
            sum += question->given[i].side;
            oldest = question->given[i].date < oldest ? question->given[i].date : oldest;
        }
    for (int32_t i = 0; i < pace->count; i++)
        if (date - pace->days[i] < window) {
            sum += pace->sides[i];
            oldest = pace->days[i] < oldest ? pace->days[i] : oldest;
        }
    *frees = oldest + window;
    return sum;
}

/* The newest activation of the arch, DAY_NONE; of those since from only. */
static day last_given(const struct plan_question *question, day from)
{
    day last = DAY_NONE;

    for (size_t i = 0; i < question->given_count; i++)
        if (question->given[i].side > 0 && question->given[i].date >= from)
            last = later(last, question->given[i].date);
    return last;
}

static um permitted_on(const struct pace *pace, day date, day *frees)
{
    const struct protocol *protocol = pace->question->protocol;
    day fitted = pace->question->fitted_on;
    day last = pace->count > 0
                   ? pace->days[pace->count - 1]
                   : (fitted == DAY_NONE ? DAY_NONE : last_given(pace->question, fitted));
    bool first = last == DAY_NONE || date - last > protocol->restart_after_days;
    um nominal = first ? protocol->first_step_max : protocol->step_max;
    int64_t left = protocol->window_max - window_sum(pace, date, frees);
    um permitted = left < nominal ? (um)(left > 0 ? left : 0) : nominal;

    return permitted - permitted % protocol->step_grain;
}

/*
 * Opens each side by side in all, the first step on first or as soon after it as the window
 * permits. False: it takes more steps or days than a plan may. Each step is as large as permitted,
 * whatever is still needed: so more needed is never sooner done.
 */
static bool pace_make(struct pace *pace, day first, um side)
{
    int64_t opened = 0;
    day date = first, frees = first;

    pace->count = 0;
    while (opened < side) {
        um step = permitted_on(pace, date, &frees);

        if (date - first > PLAN_DAYS_MAX || pace->count == PLAN_STEPS_MAX)
            return false;
        if (step == 0) {
            date = later(frees, date + 1);
            continue;
        }
        pace->days[pace->count] = date;
        pace->sides[pace->count++] = step;
        opened += step;
        date += pace->interval_days;
    }
    return true;
}

/* ---- how much to open ------------------------------------------------------------------------ */

/* What was given on or after the day of the width: not in the width yet. */
static int64_t given_since_width(const struct plan_question *question)
{
    int64_t sum = 0;

    for (size_t i = 0; i < question->given_count; i++)
        if (question->width_on != DAY_NONE && question->given[i].date >= question->width_on)
            sum += question->given[i].side;
    return sum;
}

/* Each side in plan, whole grains, so that gain is reached at so much width per millimetre; UM_NONE
 * when no amount of this world does it. */
static um side_to_open(const struct plan_question *question, double response)
{
    double grain = question->protocol->step_grain;
    double side, most = (double)PLAN_STEPS_MAX * question->protocol->step_max;

    if (!(response > 0))
        return UM_NONE;
    side =
        (double)(question->target - question->width) / response / sides_in_plan(question->sides) -
        (double)given_since_width(question);
    if (side <= 0)
        return 0;
    if (side > most)
        return UM_NONE;
    return (um)(ceil((side - 1e-6) / grain) * grain);
}

/* ---- days ------------------------------------------------------------------------------------ */

static struct plan_span one_day(day earliest, day latest, bool done)
{
    return (struct plan_span){earliest, latest, earliest, latest, done};
}

static void days_to_the_fit(const struct plan_question *question, struct plan_span *phases)
{
    int32_t separator_days = question->protocol->separator_days;
    day separators = question->separators_on, bands = question->banded_on, fit;
    bool fitted = question->fitted_on != DAY_NONE, banded = fitted || bands != DAY_NONE;
    bool separated = banded || separators != DAY_NONE;

    if (!separated)
        separators = question->fit_not_before == DAY_NONE
                         ? question->start
                         : later(question->start, question->fit_not_before - separator_days);
    if (!banded)
        bands = later(question->start, separators + separator_days);
    fit = fitted ? question->fitted_on
                 : later(later(bands, question->fit_not_before), question->start);
    phases[PHASE_SEPARATORS] = one_day(separators, separators, separated);
    phases[PHASE_BANDS] = one_day(bands, bands, banded);
    phases[PHASE_FIT] = one_day(fit, fitted ? fit : fit + PLAN_FIT_AFTER_BANDS_DAYS, fitted);
}

/* The first activation to come: an interval after the fit and after the last one given. */
static day first_to_come(const struct plan_question *question, day fit, int32_t interval_days)
{
    day last = later(fit, last_given(question, DAY_NONE));

    return later(question->start, last + interval_days);
}

static void days_from_active(const struct plan_question *question, struct plan_course *course)
{
    struct plan_span *phases = course->phases;
    day earliest = phases[PHASE_ACTIVE].to_earliest, latest = phases[PHASE_ACTIVE].to_latest;
    int32_t retention = question->protocol->retention_days;
    day from = earliest + retention, to = latest == DAY_NONE ? DAY_NONE : latest + retention;

    phases[PHASE_RETENTION] = (struct plan_span){earliest, latest, from, to, false};
    for (int i = 0; i < PHASE_COUNT - PHASE_STABILITY_1; i++)
        phases[PHASE_STABILITY_1 + i] = one_day(day_add_months(from, stability_months[i]),
                                                day_add_months(to, stability_months[i]), false);
}

/* ---- the two ends ---------------------------------------------------------------------------- */

/* The quickest and the slowest interval, each with the day of its first activation to come. */
enum { QUICK, SLOW, PACES };
struct paces {
    struct pace pace[PACES];
    day first[PACES];
};

/* What both paces need for one amount: the range over them. Where the window holds back, the longer
 * interval may need fewer activations, so neither pace is an end by itself. */
struct ends {
    struct plan_range activations, days;
    day earliest, latest; /* the visit that measures, an interval after the last activation */
};

static void widen(struct plan_range *range, bool begin, int32_t value)
{
    range->least = begin || value < range->least ? value : range->least;
    range->most = begin || value > range->most ? value : range->most;
}

/* False when one of the paces takes more than a plan may; *ends has what the others need. */
static bool paces_make(struct paces *paces, um side, struct ends *ends, bool *any)
{
    bool all = true;

    *any = false;
    for (int i = 0; i < PACES; i++) {
        struct pace *pace = &paces->pace[i];
        if (!pace_make(pace, paces->first[i], side)) {
            all = false;
            continue;
        }
        day end =
            pace->count == 0 ? paces->first[i] : pace->days[pace->count - 1] + pace->interval_days;
        widen(&ends->activations, !*any, pace->count);
        widen(&ends->days, !*any, end - paces->first[i]);
        ends->earliest = !*any || end < ends->earliest ? end : ends->earliest;
        ends->latest = !*any || end > ends->latest ? end : ends->latest;
        *any = true;
    }
    return all;
}

static int32_t visits_before(const struct plan_course *course, bool apart)
{
    const struct plan_span *phases = course->phases;
    int32_t fit = !phases[PHASE_FIT].done, bands = !phases[PHASE_BANDS].done;

    /* Bands and fit may come in one visit. */
    return !phases[PHASE_SEPARATORS].done + (apart || !bands ? bands + fit : fit);
}

static bool least_end(struct paces *paces, struct plan_course *course)
{
    struct ends ends = {.earliest = DAY_NONE, .latest = DAY_NONE};
    bool any;

    if (course->side_least == UM_NONE)
        return false;
    (void)paces_make(paces, course->side_least, &ends, &any);
    if (!any)
        return false;
    course->activations.least = ends.activations.least;
    course->days.least = ends.days.least;
    course->visits.least = visits_before(course, false) + ends.activations.least + 1;
    course->phases[PHASE_ACTIVE].to_earliest = ends.earliest;
    return true;
}

static void most_end(struct paces *paces, struct plan_course *course)
{
    struct ends ends = {.earliest = DAY_NONE, .latest = DAY_NONE};
    bool any;

    if (course->side_most == UM_NONE || !paces_make(paces, course->side_most, &ends, &any))
        return;
    course->activations.most = ends.activations.most;
    course->days.most = ends.days.most;
    course->visits.most = visits_before(course, true) + ends.activations.most + 1;
    course->phases[PHASE_ACTIVE].to_latest = ends.latest;
}

/* Growth alone over the longest active phase that is known, beside a gain of more than a year. */
static void add_growth(struct plan_course *course)
{
    const struct plan_span *active = &course->phases[PHASE_ACTIVE];
    day end = active->to_latest == DAY_NONE ? active->to_earliest : active->to_latest;
    double years = (end - active->from_earliest) / days_per_year;

    if (end - active->from_earliest <= DAYS_OF_YEAR)
        return;
    course->growth_low = (um)lround(GROWTH_LOW_UM_A_YEAR * years);
    course->growth_high = (um)lround(GROWTH_HIGH_UM_A_YEAR * years);
}

static void course_begin(enum plan_refusal refusal, struct plan_course *course)
{
    *course = (struct plan_course){.refusal = refusal,
                                   .gain = UM_NONE,
                                   .side_least = UM_NONE,
                                   .side_most = UM_NONE,
                                   .activations = {PLAN_OPEN, PLAN_OPEN},
                                   .days = {PLAN_OPEN, PLAN_OPEN},
                                   .visits = {PLAN_OPEN, PLAN_OPEN},
                                   .growth_low = UM_NONE,
                                   .growth_high = UM_NONE};
    for (int i = 0; i < PHASE_COUNT; i++)
        course->phases[i] = one_day(DAY_NONE, DAY_NONE, false);
}

static day first_since_fit(const struct plan_question *question)
{
    day first = DAY_NONE;

    for (size_t i = 0; i < question->given_count; i++) {
        const struct plan_step *step = &question->given[i];
        if (question->fitted_on != DAY_NONE && step->side > 0 &&
            step->date >= question->fitted_on && (first == DAY_NONE || step->date < first))
            first = step->date;
    }
    return first;
}

static void paces_begin(const struct plan_question *question, struct plan_course *course,
                        struct paces *paces)
{
    struct plan_span *fit = &course->phases[PHASE_FIT], *active = &course->phases[PHASE_ACTIVE];
    day begun = first_since_fit(question);

    paces->pace[QUICK].interval_days = question->protocol->interval_min_days;
    paces->pace[SLOW].interval_days = question->protocol->interval_max_days;
    for (int i = 0; i < PACES; i++) {
        paces->pace[i].question = question;
        paces->first[i] =
            first_to_come(question, i == QUICK ? fit->from_earliest : fit->from_latest,
                          paces->pace[i].interval_days);
    }
    active->done = begun != DAY_NONE;
    active->from_earliest = active->done ? begun : paces->first[QUICK];
    active->from_latest = active->done ? begun : paces->first[SLOW];
}

void plan_course(const struct plan_question *question, struct plan_course *course)
{
    const struct plan_response *response = &question->response;
    struct paces paces;

    course_begin(question_stands(question), course);
    if (course->refusal != PLAN_OK)
        return;
    course->gain = question->target - question->width;
    course->full_transfer = response->cases == 0;
    course->side_least = side_to_open(question, course->full_transfer ? 1 : response->high);
    course->side_most = course->full_transfer ? UM_NONE : side_to_open(question, response->low);
    days_to_the_fit(question, course->phases);
    paces_begin(question, course, &paces);
    if (!least_end(&paces, course)) {
        course_begin(PLAN_TOO_LONG, course);
        return;
    }
    most_end(&paces, course);
    days_from_active(question, course);
    add_growth(course);
}
