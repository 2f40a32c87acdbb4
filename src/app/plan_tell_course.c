/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The target and the course from today, in words. */
#include <inttypes.h>

#include "plan_private.h"
#include "springline/core/response.h"

enum { DAYS_OF_WEEK = 7 };

/* ---- target ---------------------------------------------------------------------------------- */

static bool same_measure(const struct plan_choice *choice, const struct expander *expander)
{
    return expander->site == choice->site && expander->landmark == choice->landmark &&
           expander->teeth.right == choice->teeth.right &&
           expander->teeth.left == choice->teeth.left;
}

/* The rules go by the expander's target: a plan that says another is one of two errors. */
static void tell_disagreement(struct plan_maker *maker)
{
    const struct plan_arch *arch = maker->arch;
    const struct expander *expander = arch->expander;
    struct text *out = &maker->text;

    if (expander == NULL || arch->choice.target == UM_NONE || expander->target == UM_NONE)
        return;
    if (!same_measure(&arch->choice, expander))
        text_add(out, "The expander's own target is by another measure: ");
    else if (expander->target != arch->choice.target)
        text_add(out, "The expander's own target is another: ");
    else
        return;
    told_mm(out, expander->target);
    text_add(out, " mm ");
    plan_tell_measure(out, expander->site, expander->landmark, expander->teeth);
    text_add(out, ". The rules go by the expander's; correct one of the two.");
    plan_add(maker, "expander_target_mm")->value = plan_mm(maker, expander->target);
}

/* What the target gives along the arch, by each curve. */
static void tell_target_room(struct plan_maker *maker)
{
    const struct plan_arch *arch = maker->arch;
    struct text *out = &maker->text;
    double gained_mm;

    if (arch->choice.target == UM_NONE || arch->start.value == UM_NONE ||
        arch->choice.target <= arch->start.value || arch->depth.value == UM_NONE)
        return;
    for (int i = CURVE_NONE + 1; i < CURVE_COUNT; i++) {
        if (arch_curve_room(
                (enum arch_curve)i, arch->start.value / 1000.0, arch->depth.value / 1000.0,
                (arch->choice.target - arch->start.value) / 1000.0, &gained_mm) != CURVE_OK) {
            text_clear(out);
            return;
        }
        text_addf(out, "%s %s %.2f",
                  i == CURVE_NONE + 1 ? "Room the target gives along the arch, whole arch widened:"
                                      : ",",
                  word_text(&words_arch_curve, i), gained_mm);
    }
    text_add(out, " mm.");
    plan_add(maker, "target_room");
}

void plan_tell_target(struct plan_maker *maker)
{
    const struct plan_arch *arch = maker->arch;
    struct text *out = &maker->text;

    maker->section = "target";
    if (arch->choice.target == UM_NONE) {
        text_add(out, "No target is chosen: a person does that, in the plan or on the fit sheet. "
                      "None is offered from an index of tooth widths: these fit few children "
                      "within 1 mm (18 to 45 %, published).");
        plan_add(maker, "none");
        return;
    }
    text_add(out, "Target: ");
    told_mm(out, arch->choice.target);
    text_add(out, " mm ");
    plan_tell_measure(out, arch->choice.site, arch->choice.landmark, arch->choice.teeth);
    text_add(out, "; width now");
    plan_tell_measured(out, &arch->now);
    text_add(out, ".");
    plan_add(maker, "target_mm")->value = plan_mm(maker, arch->choice.target);
    tell_target_room(maker);
    tell_disagreement(maker);
}

/* ---- course ---------------------------------------------------------------------------------- */

static const char *course_refusal(const struct plan_arch *arch)
{
    switch (arch->course.refusal) {
    case PLAN_WIDTH:
        return arch->now.date == DAY_NONE
                   ? "No course: no width of the planned measure is recorded; measure it."
                   : "No course: the width is none that an arch has; correct it.";
    case PLAN_LANDMARK:
        return "No course: site or landmark of the width is not recorded; a target means nothing "
               "without them.";
    case PLAN_GAIN:
        if (arch->choice.target == UM_NONE)
            return "No course: no target is chosen.";
        return arch->choice.target <= arch->now.value
                   ? "The width has reached the target: nothing more is to be gained."
                   : "No course: the target is wider by more than 15.00 mm, which no plan gains; "
                     "correct it.";
    case PLAN_PROTOCOL:
        return "No course: the protocol of this case permits no step; correct its settings.";
    case PLAN_DAYS:
        return "No course: days of separators, bands, fit or activations contradict each other; "
               "correct them.";
    case PLAN_TOO_LONG:
        return "No course: by this protocol and response it would take more than ten years or 200 "
               "activations.";
    case PLAN_OK:
    case PLAN_SHORTAGE:
    case PLAN_SIDES:
    case PLAN_RESPONSE:
    case PLAN_NO_MEMORY:
        break;
    }
    return "No course could be worked out.";
}

/* "3 to 5", "at least 3" */
static void add_range(struct text *out, int32_t least, int32_t most)
{
    if (most == PLAN_OPEN)
        text_addf(out, "at least %" PRId32, least);
    else if (most == least)
        text_addf(out, "%" PRId32, least);
    else
        text_addf(out, "%" PRId32 " to %" PRId32, least, most);
}

static void end_range(struct plan_maker *maker, const char *name, struct plan_range range)
{
    struct plan_line *line = plan_add(maker, name);

    line->least = plan_number(maker, range.least);
    line->most = plan_number(maker, range.most);
}

static struct plan_range in_weeks(struct plan_range days)
{
    return (struct plan_range){
        (days.least + DAYS_OF_WEEK - 1) / DAYS_OF_WEEK,
        days.most == PLAN_OPEN ? PLAN_OPEN : (days.most + DAYS_OF_WEEK - 1) / DAYS_OF_WEEK};
}

/* "23 other cases" */
static void add_cases(struct text *out, int32_t cases)
{
    text_addf(out, "%" PRId32 " other case%s", cases, cases == 1 ? "" : "s");
}

static void add_site(struct text *out, const struct plan_choice *choice)
{
    text_addf(out, "%s %s", word_text(&words_site, (int)choice->site),
              word_text(&words_landmark, (int)choice->landmark));
}

/* Of which cases the response is, or why there is none. */
static void tell_cases(struct plan_maker *maker)
{
    const struct plan_choice *choice = &maker->arch->choice;
    const struct plan_practice *practice = &maker->arch->practice;
    struct text *out = &maker->text;

    switch (practice->basis) {
    case PLAN_BASIS_ARCH:
        text_add(out, "It is that of ");
        add_cases(out, practice->cases);
        text_addf(out, " with this arch and measure: %s ",
                  word_text(&words_arch, (int)choice->arch));
        add_site(out, choice);
        break;
    case PLAN_BASIS_BOTH:
        text_addf(out, "It is that of %" PRId32 " arches, upper and lower together, of ",
                  practice->arches);
        add_cases(out, practice->cases);
        text_add(out, " with this measure: ");
        add_site(out, choice);
        text_addf(out, "; the %s arch alone has fewer than %d",
                  word_text(&words_arch, (int)choice->arch), PLAN_CASES_MIN);
        break;
    case PLAN_BASIS_UNSOUND:
        text_add(out, "The practice's own response is no range of a gain, over ");
        add_cases(out, practice->cases);
        text_add(out, " (");
        add_site(out, choice);
        text_add(out, "), so it is not used");
        break;
    case PLAN_BASIS_FEW:
        text_add(out, "The practice has no response of its own yet: ");
        add_cases(out, practice->cases);
        text_add(out, " with a known response at this measure (");
        add_site(out, choice);
        text_addf(out, "), and it takes %d; none is published", PLAN_CASES_MIN);
        break;
    }
    text_add(out, ".");
    plan_add(maker, "response_cases")->value = plan_number(maker, practice->cases);
}

static void tell_response(struct plan_maker *maker)
{
    const struct plan_practice *practice = &maker->arch->practice;
    struct text *out = &maker->text;

    if (practice->response.cases > 0) {
        text_addf(out,
                  "The practice's own response, mm of width a mm activated (R + L): quartiles %.2f "
                  "to %.2f, median %.2f. What follows goes by these; a quarter of the arches "
                  "responded less, which takes longer, a quarter more.",
                  practice->response.low, practice->response.high, practice->median);
        struct plan_line *line = plan_add(maker, "response");
        line->value = plan_ratio(maker, practice->median);
        line->least = plan_ratio(maker, practice->response.low);
        line->most = plan_ratio(maker, practice->response.high);
    }
    tell_cases(maker);
}

static void tell_pace(struct plan_maker *maker)
{
    const struct plan_arch *arch = maker->arch;
    struct text *out = &maker->text;

    text_add(out, "To be opened on each side in plan: ");
    if (arch->course.side_most == UM_NONE)
        text_add(out, "at least ");
    told_mm(out, arch->course.side_least);
    if (arch->course.side_most != UM_NONE && arch->course.side_most != arch->course.side_least) {
        text_add(out, " to ");
        told_mm(out, arch->course.side_most);
    }
    text_addf(out, " mm (%s%s). ", word_text(&words_sides, (int)arch->sides),
              arch->sides == SIDES_BOTH ? " sides" : " side");
    if (arch->sides_assumed)
        text_add(out, "Both sides are assumed: no expander says which are in plan. ");
    if (arch->course.full_transfer)
        text_add(out, "This is the least, at full transfer (1 mm of width per mm activated), and "
                      "has no upper end.");
    else if (arch->course.side_most == UM_NONE)
        text_add(out, "By the practice's own response, whose lower quartile is so small that there "
                      "is no upper end.");
    else
        text_add(out, "By the practice's own response.");
    struct plan_line *line = plan_add(maker, "side_mm");
    line->least = plan_mm(maker, arch->course.side_least);
    line->most = plan_mm(maker, arch->course.side_most);
}

static void tell_numbers(struct plan_maker *maker)
{
    const struct plan_course *course = &maker->arch->course;
    struct plan_range weeks = in_weeks(course->days);
    struct text *out = &maker->text;

    if (course->activations.least == 0) {
        text_add(out, "No further activation: what was given may reach the target by itself; "
                      "measure first.");
    } else {
        text_add(out, "Activations to come: ");
        add_range(out, course->activations.least, course->activations.most);
        text_add(out, ", each as large as the protocol permits; smaller ones, holds and rests "
                      "take longer.");
    }
    end_range(maker, "activations", course->activations);
    text_add(out, "Weeks from the first of them to the visit that measures the target: ");
    add_range(out, weeks.least, weeks.most);
    text_add(out, ".");
    end_range(maker, "weeks", weeks);
    text_add(out, "Visits to come, to that one: ");
    add_range(out, course->visits.least, course->visits.most);
    text_add(out, ".");
    end_range(maker, "visits", course->visits);
    if (course->growth_low == UM_NONE)
        return;
    text_add(out, "In that time growth alone may add ");
    told_mm(out, course->growth_low);
    text_add(out, " to ");
    told_mm(out, course->growth_high);
    text_addf(out, " mm (%.1f to %.1f mm a year, published).", GROWTH_LOW_UM_A_YEAR / 1000.0,
              GROWTH_HIGH_UM_A_YEAR / 1000.0);
    struct plan_line *line = plan_add(maker, "growth_mm");
    line->least = plan_mm(maker, course->growth_low);
    line->most = plan_mm(maker, course->growth_high);
}

void plan_tell_course(struct plan_maker *maker)
{
    const struct plan_arch *arch = maker->arch;

    maker->section = "course";
    if (arch->over) {
        text_add(&maker->text, "The active treatment of this arch is over: nothing more is "
                               "planned for it.");
        plan_add(maker, "over");
        return;
    }
    if (arch->course.refusal != PLAN_OK) {
        if (arch->course.refusal == PLAN_TOO_LONG)
            tell_response(maker);
        text_add(&maker->text, course_refusal(arch));
        plan_add(maker, "refused");
        return;
    }
    tell_response(maker);
    tell_pace(maker);
    tell_numbers(maker);
}

/* ---- phases ---------------------------------------------------------------------------------- */

/* "2026-12-08", "2026-12-08 to 2026-12-15", "2026-12-08 at the earliest" */
static void add_days(struct text *out, day earliest, day latest)
{
    char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];

    text_add(out, earliest == DAY_NONE ? "not recorded" : day_to_text(earliest, first));
    if (earliest == DAY_NONE || latest == earliest)
        return;
    if (latest == DAY_NONE)
        text_add(out, " at the earliest");
    else
        text_addf(out, " to %s", day_to_text(latest, last));
}

static void tell_phase(struct plan_maker *maker, enum plan_phase phase)
{
    static const char *const labels[PHASE_COUNT] = {"Separators",
                                                    "Bands",
                                                    "Fit",
                                                    "Active",
                                                    "Retention",
                                                    "Stability, 1 month after it",
                                                    "Stability, 3 months",
                                                    "Stability, 6 months",
                                                    "Stability, 12 months"};
    const struct plan_span *span = &maker->arch->course.phases[phase];
    struct text *out = &maker->text;

    text_addf(out, "%s: %s", labels[phase],
              !span->done             ? ""
              : phase == PHASE_ACTIVE ? "begun "
                                      : "done ");
    add_days(out, span->from_earliest, span->from_latest);
    if (phase == PHASE_ACTIVE || phase == PHASE_RETENTION) {
        text_add(out, "; ends ");
        add_days(out, span->to_earliest, span->to_latest);
    }
    text_add(out, ".");
    struct plan_line *line = plan_add(maker, word_text(&words_plan_phase, (int)phase + 1));
    line->from_earliest = span->from_earliest;
    line->from_latest = span->from_latest;
    line->to_earliest = span->to_earliest;
    line->to_latest = span->to_latest;
}

void plan_tell_phases(struct plan_maker *maker)
{
    maker->section = "phases";
    if (maker->arch->over || maker->arch->course.refusal != PLAN_OK)
        return;
    for (int phase = PHASE_SEPARATORS; phase < PHASE_COUNT; phase++)
        tell_phase(maker, (enum plan_phase)phase);
}
