/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The plan of an arch. Equation, measure and target are entered; what follows from them is worked
 * out anew after every entry. The target is a person's: it is never offered, only the widths that
 * would give the room stand beside it.
 */
#include "form_assessment.h"
#include "form_templates.h"
#include "springline/app/plan_view.h"

enum { DAYS_OF_WEEK = 7 };

/* What is read when the form is opened, and never again while it is filled. */
struct plan_kept {
    const struct assessment *assessment;
    struct plan_others others;
};

static const struct plan_kept *kept_of(const struct form *form)
{
    return form_inner(form)->kept;
}

static enum status keep_others(struct app *app, struct form *form, struct error *error)
{
    struct plan_kept *kept = arena_alloc(&form->arena, sizeof *kept);

    if (kept == NULL)
        return error_no_memory(error);
    kept->assessment = form_inner(form)->kept;
    form_inner(form)->kept = kept;
    return plan_others_read(app, &form->subject.casefile, &form->arena, &kept->others, error);
}

/* ---- which arch ---- */

static const struct plan *plan_of(const struct form *form, int arch)
{
    const struct assessment *kept = kept_of(form)->assessment;

    for (size_t i = 0; i < kept->plan_count; i++)
        if ((int)kept->plans[i].arch == arch)
            return &kept->plans[i];
    return NULL;
}

static void put_arch(const struct app *app, struct form *form, int arch)
{
    const struct plan *saved = plan_of(form, arch);

    if (saved != NULL)
        form_put_row(form, 0, saved);
    else
        form_put_new(form, 0);
    struct plan *plan = &form_now(form, 0)->plan;
    plan->arch = (enum arch)arch;
    plan->made_on = app->today;
    plan->by = form_by(app, form);
}

static enum status prepare_plan(struct app *app, struct form *form, struct error *error)
{
    enum status status = form_need_open(app, form, error);

    if (status == STATUS_OK)
        status = form_keep_assessment(app, form, error);
    if (status == STATUS_OK)
        status = keep_others(app, form, error);
    if (status == STATUS_OK)
        put_arch(app, form, ARCH_NONE);
    return status;
}

static void follow_arch(struct app *app, struct form *form)
{
    static const char *const arches[] = {"upper", "lower"};

    form_make_choice(form, 0, "which_arch", arches, 2, 0);
    form_demand(form, 0, "which_arch", true);
    int chosen = form_chosen(form, 0, "which_arch");
    if (chosen == 0 || (int)form_now(form, 0)->plan.arch == chosen)
        return;
    put_arch(app, form, chosen);
    form_show(form, 0);
}

/* ---- what follows from it ---- */

/* Works out what is entered. False: no arch yet, or no memory. */
static bool work_out(const struct app *app, const struct form *form, struct arena *arena,
                     struct plan_arch *arch)
{
    const struct plan *plan = &form_now(form, 0)->plan;
    const struct assessment *kept = kept_of(form)->assessment;
    const struct plan_others *others = &kept_of(form)->others;
    struct plan_choice choice = {plan->arch,     plan->equation, plan->site,
                                 plan->landmark, plan->teeth,    plan->target},
                       above;
    struct plan_arch upper;

    if (plan->arch == ARCH_NONE)
        return false;
    if (choice.equation == EQUATION_UNUSED)
        choice.equation = EQUATION_NONE;
    if (plan->arch == ARCH_UPPER)
        return plan_work_out(&form->history, kept, &choice, others, DAY_NONE, app->today, arena,
                             arch);
    plan_choice_recorded(&form->history, kept, ARCH_UPPER, app->today, &above);
    return plan_work_out(&form->history, kept, &above, others, DAY_NONE, app->today, arena,
                         &upper) &&
           plan_work_out(&form->history, kept, &choice, others,
                         plan_fit_not_before(&form->history, &upper, ARCH_LOWER), app->today, arena,
                         arch);
}

static int32_t weeks(int32_t days)
{
    return days == PLAN_OPEN ? PLAN_OPEN : (days + DAYS_OF_WEEK - 1) / DAYS_OF_WEEK;
}

/* The computed part of the record; nothing where nothing could be worked out. */
static void put_course(const struct plan_arch *arch, struct plan *plan)
{
    const struct plan_course *course = &arch->course;
    const struct plan_span *phases = course->phases;

    plan->balance = arch->space.balance;
    plan->start_width = arch->now.value;
    plan->depth = arch->depth.value;
    plan->activations_least = course->activations.least;
    plan->activations_most = course->activations.most;
    plan->weeks_least = weeks(course->days.least);
    plan->weeks_most = weeks(course->days.most);
    plan->visits_least = course->visits.least;
    plan->visits_most = course->visits.most;
    plan->separators_on = phases[PHASE_SEPARATORS].from_earliest;
    plan->bands_on = phases[PHASE_BANDS].from_earliest;
    plan->fit_on = phases[PHASE_FIT].from_earliest;
    plan->active_from = phases[PHASE_ACTIVE].from_earliest;
    plan->active_to_earliest = phases[PHASE_ACTIVE].to_earliest;
    plan->active_to_latest = phases[PHASE_ACTIVE].to_latest;
    plan->retention_to_earliest = phases[PHASE_RETENTION].to_earliest;
    plan->retention_to_latest = phases[PHASE_RETENTION].to_latest;
}

/* ", by the curves 38.95 to 40.37": the widths of a range of widenings; nothing where none is. */
static const char *widths_of(struct form *form, const char *label, um start, um least, um most)
{
    char low[MILLIMETRE_TEXT_SIZE], high[MILLIMETRE_TEXT_SIZE];

    if (start == UM_NONE || least == UM_NONE)
        return "";
    if (most == UM_NONE)
        return form_textf(form, ", by %s at least %s", label,
                          millimetre_to_text(start + least, low));
    return form_textf(form, ", by %s %s to %s", label, millimetre_to_text(start + least, low),
                      millimetre_to_text(start + most, high));
}

/* By what the course will go. */
static const char *response_of_practice(struct form *form, const struct plan_practice *practice)
{
    if (practice->response.cases == 0)
        return form_textf(form,
                          " Its course goes by full transfer, the least: %d other cases of %d "
                          "respond at this measure.",
                          (int)practice->cases, PLAN_CASES_MIN);
    return form_textf(form,
                      " Its course goes by the practice's response, %.2f to %.2f (%d cases%s).",
                      practice->response.low, practice->response.high, (int)practice->cases,
                      practice->basis == PLAN_BASIS_BOTH ? ", both arches" : "");
}

static void word_target(struct form *form, const struct plan_arch *arch)
{
    const struct plan_widths *widths = &arch->widths;
    const char *response = response_of_practice(form, &arch->practice);
    um start = arch->start.value;

    if (widths->refusal != PLAN_OK) {
        form_word(form, 0, "target_mm", NULL,
                  form_textf(form, "The width to be reached; a person chooses it.%s", response));
        return;
    }
    form_word(
        form, 0, "target_mm", NULL,
        form_textf(
            form, "A person chooses it. For the room that is short%s%s.%s",
            widths_of(form, "the curves", start, widths->curve_least, widths->curve_most),
            widths_of(form, "published ratios", start, widths->ratio_least, widths->ratio_most),
            response));
}

static void offer_measure(struct app *app, struct form *form)
{
    const struct assessment *kept = kept_of(form)->assessment;
    enum arch arch = form_now(form, 0)->plan.arch;
    struct plan_choice recorded;

    if (arch == ARCH_NONE)
        return;
    plan_choice_recorded(&form->history, kept, arch, app->today, &recorded);
    form_offer_word(form, 0, "site", &words_site, (int)recorded.site);
    form_offer_word(form, 0, "landmark", &words_landmark, (int)recorded.landmark);
    form_offer_teeth(form, 0, "teeth", recorded.teeth);
}

static void follow_plan(struct app *app, struct form *form)
{
    struct arena arena = {0};
    struct plan_arch arch;

    follow_arch(app, form);
    offer_measure(app, form);
    if (work_out(app, form, &arena, &arch)) {
        put_course(&arch, &form_now(form, 0)->plan);
        word_target(form, &arch);
    }
    arena_release(&arena);
}

static enum entry enter_plan(struct app *app, struct form *form, int index, char sentence[200])
{
    (void)app;
    if (index == form_index(form, 0, "which_arch"))
        return form_take_choice(form, index, sentence);
    return ENTRY_TAKEN;
}

/* ---- saving ---- */

static enum status check_plan(struct app *app, struct form *form, int *index, struct error *error)
{
    const struct plan *plan = &form_now(form, 0)->plan;
    struct arena arena = {0};
    struct plan_arch arch;
    char now[MILLIMETRE_TEXT_SIZE], target[MILLIMETRE_TEXT_SIZE];
    enum status status = STATUS_OK;

    if (!work_out(app, form, &arena, &arch))
        status = error_no_memory(error);
    else if (arch.now.value != UM_NONE && arch.course.refusal == PLAN_GAIN)
        status = form_refuse(form, 0, "target_mm", index, error,
                             "The target %s mm is %s the width now, %s mm; check both.",
                             millimetre_to_text(plan->target, target),
                             plan->target <= arch.now.value ? "not above" : "too far above",
                             millimetre_to_text(arch.now.value, now));
    else if (plan->equation == EQUATION_UNUSED && arch.space.predicted)
        status = form_refuse(form, 0, "equation", index, error,
                             "Canines and premolars are not all measured: choose the equation "
                             "that predicts them.");
    arena_release(&arena);
    return status;
}

static enum status warn_plan(struct app *app, struct form *form, struct arena *arena,
                             struct lines *lines, struct error *error)
{
    struct arena scratch = {0};
    struct plan_arch arch;

    bool told = work_out(app, form, &scratch, &arch) &&
                plan_tell_arch(&arch, app->today, arena, lines) &&
                form_add_line(arena, lines, "%s", app_caution);
    arena_release(&scratch);
    return form_lines_done(told, error);
}

static const struct form_item plan_items[] = {
    {0, "which_arch", "arch", "The arch the plan is for.", NULL, ITEM_REQUIRED | ITEM_FIRST},
    {0, "equation", "equation", "Predicts canine and premolars; none where all are measured.", NULL,
     ITEM_REQUIRED},
    {0, "site", "site", "Between which teeth the target is measured.", NULL, ITEM_REQUIRED},
    {0, "landmark", "landmark", "Where on these teeth; two landmarks are never compared.", NULL,
     ITEM_REQUIRED},
    {0, "teeth", "teeth", "The two teeth by ISO 3950: 16-26 or 1626.", NULL, ITEM_REQUIRED},
    {0, "target_mm", "target mm", "The width to be reached; a person chooses it.", NULL,
     ITEM_REQUIRED},
    {0, "note", "note", "What else the plan rests on, in a few words.", NULL, 0},
};
const struct form_template form_template_plan = {
    .kind = FORM_PLAN,
    .name = "plan",
    .title = "Plan",
    .items = plan_items,
    .item_count = sizeof plan_items / sizeof plan_items[0],
    .slots = {RECORD_PLAN, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_plan,
    .follow = follow_plan,
    .check = check_plan,
    .warn = warn_plan,
    .enter = enter_plan,
};
