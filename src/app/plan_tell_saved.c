/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a saved plan said against what happened; and what to mind before and while it is carried
 * out. */
#include <inttypes.h>

#include "plan_private.h"
#include "springline/app/advise.h"

/* ---- saved ----------------------------------------------------------------------------------- */

/* ", 4 to 6 activations"; nothing where neither is recorded. */
static void add_count(struct text *out, int32_t least, int32_t most, const char *what)
{
    if (least < 0 && most < 0)
        return;
    text_add(out, ", ");
    if (least >= 0 && most >= 0 && least != most)
        text_addf(out, "%" PRId32 " to %" PRId32, least, most);
    else if (least >= 0)
        text_addf(out, "%s%" PRId32, most < 0 ? "at least " : "", least);
    else
        text_addf(out, "at most %" PRId32, most);
    text_addf(out, " %s", what);
}

static void tell_said(struct plan_maker *maker, const struct plan *plan)
{
    struct text *out = &maker->text;
    char on[DAY_TEXT_SIZE];

    text_addf(out, "Plan of %s: ", day_to_text(plan->made_on, on));
    if (plan->target == UM_NONE) {
        text_add(out, "no target");
    } else {
        text_add(out, "from ");
        told_mm(out, plan->start_width);
        text_add(out, " to ");
        told_mm(out, plan->target);
        text_add(out, " mm");
    }
    add_count(out, plan->activations_least, plan->activations_most, "activations");
    add_count(out, plan->weeks_least, plan->weeks_most, "weeks");
    add_count(out, plan->visits_least, plan->visits_most, "visits");
    if (plan->by != NULL && plan->by[0] != '\0') {
        text_add(out, "; by ");
        text_add_shown(out, plan->by);
    }
    text_add(out, ".");
    if (plan->note != NULL && plan->note[0] != '\0') {
        text_add(out, " ");
        text_add_shown(out, plan->note);
    }
    plan_add(maker, "made")->from_earliest = plan->made_on;
}

static void tell_fit(struct plan_maker *maker, const struct plan *plan)
{
    day fitted = maker->arch->fitted_first;
    struct text *out = &maker->text;
    char planned[DAY_TEXT_SIZE], happened[DAY_TEXT_SIZE];

    if (plan->fit_on == DAY_NONE)
        return;
    text_addf(out, "Fit planned for %s: ", day_to_text(plan->fit_on, planned));
    if (fitted == DAY_NONE)
        text_add(out, maker->today > plan->fit_on ? "OVERDUE, not fitted." : "not fitted yet.");
    else if (fitted == plan->fit_on)
        text_add(out, "fitted on that day.");
    else
        text_addf(out, "fitted %s, %" PRId32 " days %s.", day_to_text(fitted, happened),
                  fitted > plan->fit_on ? fitted - plan->fit_on : plan->fit_on - fitted,
                  fitted > plan->fit_on ? "later" : "earlier");
    struct plan_line *line = plan_add(maker, "fit");
    line->from_earliest = plan->fit_on;
    line->to_earliest = fitted;
}

static void tell_given(struct plan_maker *maker, const struct plan *plan)
{
    const struct plan_arch *arch = maker->arch;
    struct text *out = &maker->text;
    char first[DAY_TEXT_SIZE], last[DAY_TEXT_SIZE];

    if (arch->given == 0) {
        text_add(out, "Activations given: none yet.");
    } else {
        text_addf(out, "Activations given: %" PRId32 ", %s to %s, in all R ", arch->given,
                  day_to_text(arch->given_first, first), day_to_text(arch->given_last, last));
        told_mm(out, arch->given_right);
        text_add(out, " L ");
        told_mm(out, arch->given_left);
        text_add(out, " mm");
        text_add(out, plan->activations_most >= 0 && arch->given > plan->activations_most
                          ? ": MORE than planned."
                          : ".");
    }
    plan_add(maker, "given")->value = plan_number(maker, arch->given);
}

/* What was gained of what was planned, by the plan's own measure only. */
static void tell_gained(struct plan_maker *maker, const struct plan *plan)
{
    const struct plan_measured *now = &maker->arch->now;
    struct text *out = &maker->text;

    if (now->date == DAY_NONE || plan->start_width == UM_NONE || plan->target == UM_NONE)
        return;
    text_add(out, "Width now");
    plan_tell_measured(out, now);
    text_add(out, now->value < plan->start_width ? ": " : ": +");
    told_mm(out, now->value - plan->start_width);
    text_add(out, " of +");
    told_mm(out, plan->target - plan->start_width);
    text_add(out, " mm planned.");
    plan_add(maker, "gained_mm")->value = plan_mm(maker, now->value - plan->start_width);
}

static void tell_time(struct plan_maker *maker, const struct plan *plan)
{
    day begun = maker->arch->given_first, end = plan->active_to_latest;
    struct text *out = &maker->text;
    char planned[DAY_TEXT_SIZE];

    if (plan->active_from == DAY_NONE)
        return;
    text_addf(out, "Active phase planned from %s", day_to_text(plan->active_from, planned));
    if (plan->active_to_earliest != DAY_NONE)
        text_addf(out, " to %s", day_to_text(plan->active_to_earliest, planned));
    if (end != DAY_NONE)
        text_addf(out, " or %s", day_to_text(end, planned));
    if (begun == DAY_NONE)
        text_add(out, "; it has not begun.");
    else
        text_addf(out, "; %" PRId32 " days since the first activation.", maker->today - begun);
    if (!maker->arch->over && end != DAY_NONE && maker->today > end)
        text_addf(out, " Its latest end passed %" PRId32 " days ago.", maker->today - end);
    struct plan_line *line = plan_add(maker, "time");
    line->from_earliest = plan->active_from;
    line->to_earliest = plan->active_to_earliest;
    line->to_latest = end;
}

void plan_tell_saved(struct plan_maker *maker)
{
    const struct plan *plan = maker->arch->saved;

    maker->section = "saved";
    if (plan == NULL) {
        text_add(&maker->text, "No plan of this arch is saved.");
        plan_add(maker, "none");
        return;
    }
    tell_said(maker, plan);
    tell_fit(maker, plan);
    tell_given(maker, plan);
    tell_gained(maker, plan);
    tell_time(maker, plan);
}

/* ---- cautions -------------------------------------------------------------------------------- */

static void tell_alerts(struct plan_maker *maker)
{
    const struct patient *patient = maker->view->history.patient;

    if (patient == NULL || patient->alerts == NULL || patient->alerts[0] == '\0')
        return;
    text_add(&maker->text, "ALERT: ");
    text_add_shown(&maker->text, patient->alerts);
    plan_add(maker, "alert");
}

/* domain.md 7 */
void plan_tell_cautions(struct plan_maker *maker)
{
    static const struct {
        const char *name, *text;
    } always[] = {
        {"ask", "Ask before fitting: nickel allergy; latex allergy (separators, ligatures); "
                "bleeding or heart conditions, which need medical advice before bands are seated; "
                "asthma or epilepsy with a removable appliance; braces or loose teeth at the "
                "anchor molars."},
        {"tell", "Tell the family what to do if the wire comes loose, if a band is swallowed or "
                 "inhaled (emergency care), if there is an ulcer."},
        {"limits", "A plan permits nothing: each activation is judged on its day. No published "
                   "limit in mm per visit exists, and no published ratio of activation to width."},
    };

    maker->section = "cautions";
    tell_alerts(maker);
    advise_tell_lacking(&maker->text, &maker->view->history, maker->today);
    if (maker->text.length > 0)
        plan_add(maker, "lacking");
    for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
        text_add(&maker->text, always[i].text);
        plan_add(maker, always[i].name);
    }
    text_add(&maker->text, app_caution);
    plan_add(maker, "caution");
}
