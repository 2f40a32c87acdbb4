/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The fit sheet of one arch: separators, bands, expander, fit checks, plan; and what is missing of
 * consent, health questions and trainer. Filled over several visits. Its review: form_fit_told.c.
 */
#include "form_fit.h"

#include <string.h>

#include "form_templates.h"
#include "springline/core/tooth.h"
#include "springline/core/wear.h"

/* Common practice, no source (domain.md 1): a wire of 0.7 mm, loops 5 to 7 mm wide. */
enum { WIRE_COMMON_UM = 700, LOOP_LEAST_UM = 5000, LOOP_MOST_UM = 7000 };

/* What was found when the sheet was opened. */
struct fit_kept {
    enum arch offered;           /* the arch that Enter takes */
    const struct expander *last; /* of the arch on the sheet, when a new one is planned; or NULL */
};

/* ---- which expander ---- */

static const struct expander *being_prepared(const struct history *history, int arch)
{
    const struct expander *found = NULL;

    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];
        if ((int)expander->arch == arch && expander->fitted_on == DAY_NONE &&
            expander->out_on == DAY_NONE &&
            (found == NULL || expander->head.sequence > found->head.sequence))
            found = expander;
    }
    return found;
}

/* The arch being prepared, else one without an expander in place, the upper first. */
static enum arch arch_offered(const struct history *history, day today)
{
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        if (being_prepared(history, arch) != NULL)
            return (enum arch)arch;
    }
    for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++) {
        if (visit_expander(history, (enum arch)arch, today) == NULL)
            return (enum arch)arch;
    }
    return ARCH_NONE;
}

/* The arch's expander that is not fitted yet, or is in place, or a new one. */
static void take_arch(const struct app *app, struct form *form, enum arch arch)
{
    const struct history *history = &form->history;
    struct fit_kept *kept = form_inner(form)->kept;
    const struct expander *found = being_prepared(history, (int)arch);

    if (found == NULL)
        found = visit_expander(history, arch, app->today);
    kept->last = NULL;
    if (found != NULL) {
        form_put_row(form, FIT_EXPANDER, found);
        return;
    }
    kept->last = form_last_expander(history, arch, app->today);
    form_put_new(form, FIT_EXPANDER);
    form_now(form, FIT_EXPANDER)->expander.arch = arch;
}

static enum status prepare_fit(struct app *app, struct form *form, struct error *error)
{
    struct fit_kept *kept = arena_alloc(&form->arena, sizeof *kept);

    if (kept == NULL)
        return error_no_memory(error);
    enum status status = form_need_open(app, form, error);
    if (status != STATUS_OK)
        return status;
    form_inner(form)->kept = kept;
    kept->offered = arch_offered(&form->history, app->today);
    form_put_row(form, FIT_CASE, form->history.casefile);
    take_arch(app, form, kept->offered == ARCH_NONE ? ARCH_UPPER : kept->offered);
    form_put_new(form, FIT_TRAINER);
    return STATUS_OK;
}

/* ---- what depends on what ---- */

static void follow_arch(struct app *app, struct form *form)
{
    static const char *const arches[] = {"upper", "lower"};
    const struct fit_kept *kept = form_inner(form)->kept;

    form_make_choice(form, FIT_EXPANDER, "which_arch", arches, 2, (int)kept->offered);
    form_demand(form, FIT_EXPANDER, "which_arch", true);
    int chosen = form_chosen(form, FIT_EXPANDER, "which_arch");
    if (chosen == 0 || (int)form_now(form, FIT_EXPANDER)->expander.arch == chosen)
        return;
    take_arch(app, form, (enum arch)chosen);
    form_show(form, FIT_EXPANDER);
}

/* Wire, loops and checks are recorded with the fit. */
static void follow_fitted(struct form *form)
{
    static const char *const names[] = {"wire_mm",      "loop_right_mm", "loop_left_mm",
                                        "passive_ends", "width_equal",   "loops_clear",
                                        "tied",         "ends_rounded"};
    bool fitted = form_now(form, FIT_EXPANDER)->expander.fitted_on != DAY_NONE;

    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        form_skip(form, FIT_EXPANDER, names[i], !fitted);
    form_offer_mm(form, FIT_EXPANDER, "wire_mm", fitted ? (um)WIRE_COMMON_UM : UM_NONE);
}

/* What was planned for the last expander is offered for the next; what was measured, never. */
static void follow_plan(struct form *form)
{
    static const struct expander nothing = {.plan_gap = UM_NONE, .target = UM_NONE};
    const struct fit_kept *kept = form_inner(form)->kept;
    const struct expander *now = &form_now(form, FIT_EXPANDER)->expander;
    const struct expander *last = kept->last == NULL ? &nothing : kept->last;
    struct teeth molars = now->arch == ARCH_LOWER ? (struct teeth){46, 36} : (struct teeth){16, 26};

    form_offer_teeth(form, FIT_EXPANDER, "teeth", last->teeth.right == 0 ? molars : last->teeth);
    form_offer(form, FIT_EXPANDER, "band_right", last->band_right);
    form_offer(form, FIT_EXPANDER, "band_left", last->band_left);
    form_offer_word(form, FIT_EXPANDER, "sides", &words_sides, (int)last->sides);
    form_offer_mm(form, FIT_EXPANDER, "plan_gap_mm", last->plan_gap);
    form_offer_word(form, FIT_EXPANDER, "site", &words_site, (int)last->site);
    form_offer_word(form, FIT_EXPANDER, "landmark", &words_landmark, (int)last->landmark);
    form_offer_mm(form, FIT_EXPANDER, "target_mm", last->target);
    form_skip(form, FIT_EXPANDER, "plan_gap_mm", now->sides != SIDES_BOTH);
}

/* Consent, questions and trainer only where they are missing. */
static void follow_missing(struct app *app, struct form *form)
{
    static const char *const health[] = {"nickel",  "latex",  "medical",
                                         "seizure", "anchor", "asked_on"};
    const struct casefile *before = form->history.casefile;
    const struct casefile *casefile = &form_now(form, FIT_CASE)->casefile;
    bool asked = before->asked_on != DAY_NONE;
    bool asking = !asked && (form_asked_any(casefile) || casefile->asked_on != DAY_NONE);

    form_skip(form, FIT_CASE, "consent_on", before->consent_on != DAY_NONE);
    for (size_t i = 0; i < sizeof health / sizeof health[0]; i++)
        form_skip(form, FIT_CASE, health[i], asked);
    form_demand_health(form, asking);
    bool current = wear_trainer_current(&form->history, app->today);
    form_make_answer(form, FIT_TRAINER, "handed_over");
    form_skip(form, FIT_TRAINER, "handed_over", current);
    form_skip(form, FIT_TRAINER, "issued_on", current);
}

/* Was a field of the expander filled otherwise than by taking what the sheet offers? */
static bool own_entry(const struct form *form)
{
    const struct form_inner *inner = form_inner(form);

    for (int i = 0; i < form->field_count; i++) {
        const struct form_field *field = &form->fields[i];
        if (inner->slot_of[i] == FIT_EXPANDER && inner->bound[i] != NULL && field->filled &&
            strcmp(field->entered, field->if_empty) != 0 &&
            strcmp(field->shown, field->if_empty) != 0)
            return true;
    }
    return false;
}

static void follow_fit(struct app *app, struct form *form)
{
    struct form_slot *slots = form_inner(form)->slots;

    follow_arch(app, form);
    follow_fitted(form);
    follow_plan(form);
    follow_missing(app, form);
    /* What was only offered makes no expander: nobody planned it. */
    slots[FIT_EXPANDER].write = slots[FIT_EXPANDER].present || own_entry(form);
    slots[FIT_TRAINER].write = form_filled(form, FIT_TRAINER);
}

/* ---- what is unusual ---- */

static enum entry ask_loop(um value, char sentence[200])
{
    char text[MILLIMETRE_TEXT_SIZE];

    if (value == UM_NONE || (value >= LOOP_LEAST_UM && value <= LOOP_MOST_UM))
        return ENTRY_TAKEN;
    return form_say(sentence, ENTRY_ASK,
                    "Loops are usually 5 to 7 mm wide (common practice), this one %s mm. Enter "
                    "again to keep it.",
                    millimetre_to_text(value, text));
}

static enum entry check_teeth(const struct expander *expander, char sentence[200])
{
    struct error error = {0};
    struct teeth read;
    char text[8];

    if (expander->teeth.right == 0 ||
        teeth_from_text(teeth_to_text(expander->teeth, text), expander->arch, "teeth", &read,
                        &error) == STATUS_OK)
        return ENTRY_TAKEN;
    return form_say(sentence, ENTRY_REFUSED, "%.190s", error.sentence);
}

/* The answer stands as a day at once: in a draft that is found again later it must not move. */
static enum entry enter_handed_over(struct app *app, struct form *form, int index,
                                    char sentence[200])
{
    int issued_on = form_index(form, FIT_TRAINER, "issued_on");
    const struct form_field *field = &form->fields[index];
    enum entry entry = form_take_choice(form, index, sentence);
    char today[DAY_TEXT_SIZE], unsaid[200];

    if (entry != ENTRY_TAKEN)
        return entry;
    bool yes = strcmp(field->shown, word_text(&words_answer, ANSWER_YES)) == 0;
    bool no = strcmp(field->shown, word_text(&words_answer, ANSWER_NO)) == 0;
    bool filled = form->fields[issued_on].filled;
    if (yes && !filled)
        return form_enter(app, form, issued_on, day_to_text(app->today, today), sentence);
    if (no && filled && form_now(form, FIT_TRAINER)->trainer.issued_on == app->today)
        (void)form_enter(app, form, issued_on, "", unsaid);
    return ENTRY_TAKEN;
}

static enum entry enter_fit(struct app *app, struct form *form, int index, char sentence[200])
{
    const struct expander *expander = &form_now(form, FIT_EXPANDER)->expander;

    if (index == form_index(form, FIT_EXPANDER, "which_arch"))
        return form_take_choice(form, index, sentence);
    if (index == form_index(form, FIT_TRAINER, "handed_over"))
        return enter_handed_over(app, form, index, sentence);
    if (index == form_index(form, FIT_EXPANDER, "loop_right_mm"))
        return ask_loop(expander->loop_right, sentence);
    if (index == form_index(form, FIT_EXPANDER, "loop_left_mm"))
        return ask_loop(expander->loop_left, sentence);
    if (index == form_index(form, FIT_EXPANDER, "teeth"))
        return check_teeth(expander, sentence);
    return ENTRY_TAKEN;
}

/* ---- saving ---- */

/* A sheet walked through without an entry must not say that something was saved. */
static enum status check_fit(struct app *app, struct form *form, int *index, struct error *error)
{
    (void)app;
    for (int i = 0; i < FORM_SLOTS; i++) {
        if (form_slot_written(&form_inner(form)->slots[i]))
            return STATUS_OK;
    }
    return form_refuse(form, FIT_EXPANDER, "separators_on", index, error,
                       "Nothing was entered but what the sheet offers: enter a day, or a value of "
                       "your own; Esc leaves without saving.");
}

/* Did one of the steps happen today, by this sheet? Then the child is here. */
static bool here_today(const struct app *app, const struct form *form)
{
    const struct form_slot *slot = &form_inner(form)->slots[FIT_EXPANDER];
    const struct expander *now = &slot->now.expander, *before = &slot->before.expander;

    return (now->separators_on == app->today && before->separators_on != app->today) ||
           (now->banded_on == app->today && before->banded_on != app->today) ||
           (now->fitted_on == app->today && before->fitted_on != app->today);
}

static enum status append_fit(struct app *app, struct form *form, struct app_save *save,
                              struct error *error)
{
    enum status status = form_append_alerts(app, form, save, error);

    if (status == STATUS_OK && here_today(app, form))
        status = visit_end_bookings(app, &form->history, app->today, BOOKED_KEPT, error);
    return status;
}

static enum status beside_fit(struct app *app, const struct form *form, struct arena *arena,
                              struct history *would, struct error *error)
{
    enum status status = form_foresee_alerts(app, form, arena, would, error);

    if (status == STATUS_OK && here_today(app, form))
        status = form_foresee_bookings(app->today, BOOKED_KEPT, arena, would, error);
    return status;
}

static const struct form_item fit_items[] = {
    {FIT_EXPANDER, "which_arch", "arch", "The arch this sheet is about.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {FIT_EXPANDER, "separators_on", "separators on",
     "Day the separators were placed, usually a week before the bands; empty: not yet.",
     "separators and bands", 0},
    {FIT_EXPANDER, "banded_on", "bands on", "Day the bands were cemented; empty: not yet.", NULL,
     0},
    {FIT_EXPANDER, "teeth", "teeth", "The two banded molars by ISO 3950: 16-26 upper, 46-36 lower.",
     NULL, 0},
    {FIT_EXPANDER, "band_right", "band size right", "Size of the right band, as marked on it.",
     NULL, 0},
    {FIT_EXPANDER, "band_left", "band size left", "Size of the left band, as marked on it.", NULL,
     0},
    {FIT_EXPANDER, "fitted_on", "fitted on", "Day the wire was tied in, passive; empty: not yet.",
     "expander", 0},
    {FIT_EXPANDER, "wire_mm", "wire mm", "Thickness of the wire; 0.70 is common practice.", NULL,
     0},
    {FIT_EXPANDER, "loop_right_mm", "right loop mm",
     "Width of the right activation loop, measured.", NULL, 0},
    {FIT_EXPANDER, "loop_left_mm", "left loop mm", "Width of the left activation loop, measured.",
     NULL, 0},
    {FIT_EXPANDER, "passive_ends", "ends passive in the tubes",
     "Do the ends lie in the tubes without torque on the molars?", "fit checks", 0},
    {FIT_EXPANDER, "width_equal", "width equal to the tubes",
     "Is the expander as wide as the distance from tube to tube?", NULL, 0},
    {FIT_EXPANDER, "loops_clear", "loops clear of tissue",
     "Do both loops stand clear of the soft tissue?", NULL, 0},
    {FIT_EXPANDER, "tied", "ligatures tied", "Are both ends tied in with ligatures?", NULL, 0},
    {FIT_EXPANDER, "ends_rounded", "ends rounded", "Are the ends of the wire rounded?", NULL, 0},
    {FIT_EXPANDER, "sides", "sides in plan", "The sides the expander is meant to move.", "plan", 0},
    {FIT_EXPANDER, "plan_gap_mm", "planned right - left mm",
     "How much more the right is meant to move than the left; empty counts as 0.", NULL, 0},
    {FIT_EXPANDER, "site", "site of the width", "Between which teeth the width is measured.", NULL,
     0},
    {FIT_EXPANDER, "landmark", "landmark",
     "Where on these teeth; widths of two landmarks are never "
     "compared.",
     NULL, 0},
    {FIT_EXPANDER, "target_mm", "target width mm", "The width at which the expansion ends.", NULL,
     0},
    {FIT_CASE, "consent_on", "consent on",
     "Day the family consented to the treatment; empty: not "
     "yet.",
     "still missing", 0},
    FORM_HEALTH_ITEMS,
    {FIT_CASE, "asked_on", "asked on", "Day on which the family was asked.", NULL, 0},
    {FIT_TRAINER, "handed_over", "trainer handed over today",
     "No trainer is current now: was one handed over today?", "trainer", 0},
    {FIT_TRAINER, "issued_on", "trainer issued on",
     "Day the trainer was handed over; empty: it was not, and every activation waits for it.", NULL,
     0},
};
const struct form_template form_template_fit = {
    .kind = FORM_FIT,
    .name = "fit",
    .title = "Fit sheet",
    .items = fit_items,
    .item_count = sizeof fit_items / sizeof fit_items[0],
    .slots = {RECORD_CASEFILE, RECORD_EXPANDER, RECORD_TRAINER, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_fit,
    .follow = follow_fit,
    .check = check_fit,
    .warn = form_fit_warn,
    .append = append_fit,
    .beside = beside_fit,
    .enter = enter_fit,
};
