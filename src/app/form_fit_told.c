/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The review of the fit sheet: what it means, and what still keeps an activation back. */
#include <string.h>

#include "form_fit.h"
#include "springline/app/advise.h"
#include "springline/app/sentence.h"
#include "springline/core/rules.h"
#include "springline/core/width.h"

/* ---- which expander, which separators ---- */

static bool tell_which(const struct app *app, const struct form *form, struct arena *arena,
                       struct lines *lines)
{
    const struct form_slot *slot = &form_inner(form)->slots[FIT_EXPANDER];
    const struct expander *before = &slot->before.expander;
    enum arch arch = slot->now.expander.arch;
    const char *word = word_text(&words_arch, (int)arch);
    char on[DAY_TEXT_SIZE];

    if (slot->present && before->fitted_on != DAY_NONE)
        return form_add_line(arena, lines,
                             "The %s expander fitted on %s is in place: this completes or corrects "
                             "its sheet. For a new one, record first that it was taken out.",
                             word, day_to_text(before->fitted_on, on));
    const struct expander *last = form_last_expander(&form->history, arch, app->today);
    if (!slot->present && last != NULL && last->out_on != DAY_NONE)
        return form_add_line(arena, lines, "A new %s expander; the last was taken out on %s.", word,
                             day_to_text(last->out_on, on));
    return true;
}

static bool tell_separators(const struct app *app, const struct form *form, struct arena *arena,
                            struct lines *lines)
{
    const struct expander *expander = &form_now(form, FIT_EXPANDER)->expander;
    int32_t usual = form->history.protocol->separator_days;
    day until = expander->banded_on == DAY_NONE ? app->today : expander->banded_on;
    char on[DAY_TEXT_SIZE];

    if (expander->separators_on == DAY_NONE || expander->fitted_on != DAY_NONE)
        return true;
    if (until - expander->separators_on > usual)
        return form_add_line(arena, lines, "Separators in for %d days; the protocol's are %d days.",
                             (int)(until - expander->separators_on), (int)usual);
    return expander->banded_on != DAY_NONE ||
           form_add_line(arena, lines, "Bands are due on %s.",
                         day_to_text(expander->separators_on + usual, on));
}

/* ---- what keeps an activation back ---- */

/* The case with the sheet in it, its expander fitted by today at the latest: so that the rules say
 * what is missing beside the fit. */
static const struct expander *as_if_fitted(const struct app *app, const struct form *form,
                                           struct history *would, struct arena *arena)
{
    const struct id *record = &form_now(form, FIT_EXPANDER)->head.record;
    bool present = form_inner(form)->slots[FIT_EXPANDER].present;
    struct expander *copies = arena_array(arena, would->expander_count + 1, sizeof *copies);
    struct expander *found = NULL;

    if (copies == NULL || would->expander_count == 0)
        return NULL;
    memcpy(copies, would->expanders, would->expander_count * sizeof *copies);
    for (size_t i = 0; i < would->expander_count; i++) {
        bool known = false;
        for (size_t k = 0; k < form->history.expander_count; k++)
            known =
                known || id_equal(&form->history.expanders[k].head.record, &copies[i].head.record);
        if (present ? id_equal(&copies[i].head.record, record) : !known)
            found = &copies[i];
    }
    if (found != NULL && found->fitted_on == DAY_NONE)
        found->fitted_on = app->today;
    would->expanders = copies;
    return found;
}

static void add_part(struct text *out, const char *part)
{
    text_addf(out, "%s%s", out->length > 0 ? ", " : "", part);
}

/* What of the findings is a matter of this sheet. */
static const char *words_of(enum rule rule)
{
    switch (rule) {
    case RULE_FIT_CHECK:
        return "a fit check is missing or failed";
    case RULE_NO_TRAINER:
        return "no trainer is current";
    case RULE_NO_CONSENT:
        return "no consent";
    case RULE_NOT_ASKED:
        return "the health questions are not asked";
    default:
        return NULL;
    }
}

static void add_plan_gaps(struct text *out, const struct app *app, const struct history *would,
                          const struct expander *expander)
{
    struct width_view view;

    if (expander->sides == SIDES_NONE)
        add_part(out, "the sides in plan are not recorded");
    width_view(would, would->protocol, expander, app->today, &view);
    if (view.baseline.date == DAY_NONE)
        add_part(out, "no baseline width");
    if (expander->target == UM_NONE)
        add_part(out, "no target width");
}

static bool tell_early(const struct judgement *judgement, struct arena *arena, struct lines *lines)
{
    struct text text = {0};
    bool added = true;

    for (int i = 0; i < judgement->finding_count; i++) {
        if (judgement->findings[i].rule != RULE_LOWER_EARLY)
            continue;
        text_clear(&text);
        sentence_finding(&text, &judgement->findings[i]);
        added = added && !text.failed && form_add_line(arena, lines, "%s", text_string(&text));
    }
    text_release(&text);
    return added;
}

static bool tell_missing(const struct app *app, const struct form *form, struct history *would,
                         struct arena *arena, struct lines *lines)
{
    const struct expander *now = &form_now(form, FIT_EXPANDER)->expander;
    struct judgement judgement = {0};
    struct text missing = {0};
    const struct expander *expander = as_if_fitted(app, form, would, arena);

    if (expander == NULL)
        return true;
    const struct question question = {
        .arch = now->arch,
        .today = app->today,
        .examination = {TISSUE_SOUND, HARDWARE_INTACT, ANSWER_NONE, false},
        .proposal = {UM_NONE, UM_NONE}};
    if (!rules_judge(would, &question, &judgement))
        return true;
    if (now->fitted_on == DAY_NONE)
        add_part(&missing, "not fitted");
    for (int i = 0; i < judgement.finding_count; i++) {
        const char *words = words_of(judgement.findings[i].rule);
        if (words != NULL)
            add_part(&missing, words);
    }
    add_plan_gaps(&missing, app, would, expander);
    bool added = !missing.failed &&
                 (missing.length == 0 ||
                  form_add_line(arena, lines, "Before an activation: %s.", text_string(&missing)));
    text_release(&missing);
    return added && tell_early(&judgement, arena, lines);
}

/* Asked, and nobody wrote down what was said: not the same as five times no. */
static bool tell_unanswered(const struct app *app, const struct history *would, struct arena *arena,
                            struct lines *lines)
{
    struct text text = {0};

    advise_tell_unanswered(&text, would->casefile, app->today);
    bool added = !text.failed &&
                 (text.length == 0 ||
                  form_add_line(arena, lines, "Before an activation: %s.", text_string(&text)));
    text_release(&text);
    return added;
}

enum status form_fit_warn(struct app *app, struct form *form, struct arena *arena,
                          struct lines *lines, struct error *error)
{
    struct history would;

    enum status status = form_would_be(app, form, arena, &would, error);
    if (status != STATUS_OK)
        return status;
    bool asked_now = form->history.casefile->asked_on == DAY_NONE;
    return form_lines_done(tell_which(app, form, arena, lines) &&
                               tell_separators(app, form, arena, lines) &&
                               tell_missing(app, form, &would, arena, lines) &&
                               tell_unanswered(app, &would, arena, lines) &&
                               (!asked_now || form_add_health(form, arena, lines)),
                           error);
}
