/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Visits that are no activation here: a check, one that was missed, one at another practice. */
#include "form_parts.h"
#include "form_templates.h"
#include "springline/core/course.h"

/* ---- a check or a stability check, with or without an expander ---- */

enum { CHECK_VISIT, CHECK_WIDTH };

static enum status prepare_check(struct app *app, struct form *form, struct error *error)
{
    enum status status = form_need_open(app, form, error);

    if (status != STATUS_OK)
        return status;
    form_put_new(form, CHECK_VISIT);
    form_put_new(form, CHECK_WIDTH);
    form_now(form, CHECK_VISIT)->visit.by = form_by(app, form);
    form_now(form, CHECK_WIDTH)->width.by = form_by(app, form);
    return STATUS_OK;
}

/* Findings and a width belong to an arch; without one the visit is of the case as a whole. */
static void follow_check_arch(struct app *app, struct form *form)
{
    static const char *const widths[] = {"mm", "site", "landmark", "teeth", "method"};
    const struct visit *visit = &form_now(form, CHECK_VISIT)->visit;
    struct width *width = &form_now(form, CHECK_WIDTH)->width;
    bool arch = visit->arch != ARCH_NONE;

    form_skip(form, CHECK_VISIT, "tissue", !arch);
    form_skip(form, CHECK_VISIT, "hardware",
              !arch || visit_expander(&form->history, visit->arch, app->today) == NULL);
    bool faulty = hardware_faulty(visit->hardware);
    form_skip(form, CHECK_VISIT, "repaired", !faulty);
    form_demand(form, CHECK_VISIT, "repaired", faulty);
    width->arch = visit->arch;
    width->date = visit->date;
    width->repeat = form_next_repeat(&form->history, width);
    form_skip(form, CHECK_WIDTH, "mm", !arch);
    bool measured = arch && width->value != UM_NONE;
    for (size_t i = 1; i < sizeof widths / sizeof widths[0]; i++) {
        form_skip(form, CHECK_WIDTH, widths[i], !measured);
        form_demand(form, CHECK_WIDTH, widths[i], measured);
    }
    form_offer_width(app, form, CHECK_WIDTH);
    form_inner(form)->slots[CHECK_WIDTH].write = measured;
}

static void follow_check(struct app *app, struct form *form)
{
    /* Not offered: a child seen ends a safety item, so somebody has to say what was looked at. */
    form_leave(form, CHECK_VISIT, "kind", 1U << VISIT_CHECK | 1U << VISIT_STABILITY);
    form_offer_word(form, CHECK_VISIT, "arch", &words_arch,
                    (int)form_only_arch(&form->history, app->today, false));
    follow_check_arch(app, form);
}

static enum status check_check(struct app *app, struct form *form, int *index, struct error *error)
{
    return form_need_new(app, form, CHECK_VISIT, "date", index, error);
}

static enum status warn_check(struct app *app, struct form *form, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    struct history would;

    enum status status = form_would_be(app, form, arena, &would, error);
    if (status != STATUS_OK || !form_inner(form)->slots[CHECK_WIDTH].write)
        return status;
    return form_lines_done(form_add_width(form, CHECK_WIDTH, &would, arena, lines), error);
}

/* The width first: the verdict of the day counts it. */
static enum status append_check(struct app *app, struct form *form, struct app_save *save,
                                struct error *error)
{
    (void)save;
    return form_append_visit(app, form,
                             form_inner(form)->slots[CHECK_WIDTH].write ? CHECK_WIDTH : -1,
                             CHECK_VISIT, error);
}

static enum status beside_check(struct app *app, const struct form *form, struct arena *arena,
                                struct history *would, struct error *error)
{
    (void)app;
    return form_foresee_visit(form, CHECK_VISIT, arena, would, error);
}

static const struct form_item check_items[] = {
    {CHECK_VISIT, "kind", "kind", "A check, or the stability check after retention.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {CHECK_VISIT, "date", "date", "Day on which the child was seen.", NULL,
     ITEM_REQUIRED | ITEM_TODAY},
    {CHECK_VISIT, "arch", "arch", "The arch looked at; empty: the case as a whole.", NULL, 0},
    {CHECK_VISIT, "tissue", "tissue",
     "Soft tissue of the arch: sound, red or sore, or a wound (ulcer, wire pressing in).", NULL, 0},
    {CHECK_VISIT, "hardware", "hardware found",
     "0 intact, or the numbers of all faults found; r or l behind one names its side.", NULL, 0},
    {CHECK_VISIT, "repaired", "all repaired", "Was every fault repaired at this visit?", NULL, 0},
    {CHECK_WIDTH, "mm", "width mm", "Arch width if it was measured; empty: it was not.", "width",
     0},
    {CHECK_WIDTH, "site", "site", "Between which teeth it was measured.", NULL, 0},
    {CHECK_WIDTH, "landmark", "landmark", "Where on these teeth; two landmarks are never compared.",
     NULL, 0},
    {CHECK_WIDTH, "teeth", "teeth", "The two teeth by ISO 3950: 16-26 or 1626.", NULL, 0},
    {CHECK_WIDTH, "method", "method", "In the mouth, on a cast or on a scan.", NULL, 0},
    {CHECK_VISIT, "note", "note", "What was seen, in a few words.", "remark", 0},
};
const struct form_template form_template_check = {
    .kind = FORM_CHECK,
    .name = "check",
    .title = "Check",
    .items = check_items,
    .item_count = sizeof check_items / sizeof check_items[0],
    .slots = {RECORD_VISIT, RECORD_WIDTH, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT},
    .prepare = prepare_check,
    .follow = follow_check,
    .check = check_check,
    .warn = warn_check,
    .append = append_check,
    .beside = beside_check,
};

/* ---- a visit that was missed ---- */

static enum status prepare_missed(struct app *app, struct form *form, struct error *error)
{
    (void)error;
    form_put_new(form, 0);
    form_now(form, 0)->visit.kind = VISIT_MISSED;
    form_now(form, 0)->visit.by = form_by(app, form);
    return STATUS_OK;
}

/* The oldest booking that nobody said anything about, else today. */
static day missed_offered(const struct history *history, day today)
{
    day oldest = today;

    for (size_t i = 0; i < history->booking_count; i++) {
        const struct booking *booking = &history->bookings[i];
        if (booking->state == BOOKED_STANDING && booking->date < oldest)
            oldest = booking->date;
    }
    return oldest;
}

static void follow_missed(struct app *app, struct form *form)
{
    form_offer_day(form, 0, "date", missed_offered(&form->history, app->today));
}

static bool seen_on(const struct history *history, day date)
{
    for (size_t i = 0; i < history->visit_count; i++) {
        if (history->visits[i].date == date && visit_seen(&history->visits[i]))
            return true;
    }
    return false;
}

static enum status check_missed(struct app *app, struct form *form, int *index, struct error *error)
{
    if (seen_on(&form->history, form_now(form, 0)->visit.date))
        return form_refuse(form, 0, "date", index, error,
                           "A visit of that day is recorded, so the child came; give another day, "
                           "or withdraw that visit first.");
    return form_need_new(app, form, 0, "date", index, error);
}

static enum status beside_one_visit(struct app *app, const struct form *form, struct arena *arena,
                                    struct history *would, struct error *error)
{
    (void)app;
    return form_foresee_visit(form, 0, arena, would, error);
}

static enum status append_one_visit(struct app *app, struct form *form, struct app_save *save,
                                    struct error *error)
{
    (void)save;
    return form_append_visit(app, form, -1, 0, error);
}

static const struct form_item missed_items[] = {
    {0, "date", "missed on", "Day on which the child did not come.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {0, "note", "note", "What the family said, if anything.", NULL, 0},
};
const struct form_template form_template_missed = {
    .kind = FORM_MISSED,
    .name = "missed",
    .title = "Missed visit",
    .items = missed_items,
    .item_count = sizeof missed_items / sizeof missed_items[0],
    .slots = {RECORD_VISIT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_missed,
    .follow = follow_missed,
    .check = check_missed,
    .append = append_one_visit,
    .beside = beside_one_visit,
};

/* ---- an activation given at another practice ---- */

static enum status prepare_elsewhere(struct app *app, struct form *form, struct error *error)
{
    (void)error;
    form_put_new(form, 0);
    struct visit *visit = &form_now(form, 0)->visit;
    visit->kind = VISIT_ACTIVATION;
    visit->elsewhere = ANSWER_YES;
    visit->by = form_by(app, form);
    return STATUS_OK;
}

static void follow_elsewhere(struct app *app, struct form *form)
{
    form_offer_word(form, 0, "arch", &words_arch,
                    (int)form_only_arch(&form->history, app->today, false));
}

static enum status check_elsewhere(struct app *app, struct form *form, int *index,
                                   struct error *error)
{
    return form_need_new(app, form, 0, "date", index, error);
}

static enum status warn_elsewhere(struct app *app, struct form *form, struct arena *arena,
                                  struct lines *lines, struct error *error)
{
    const struct visit *visit = &form_now(form, 0)->visit;
    char most[MILLIMETRE_TEXT_SIZE], opened[DAY_TEXT_SIZE];
    bool added = true;

    (void)app;
    if (visit->date >= form->history.casefile->opened)
        added = form_add_line(arena, lines,
                              "The case was opened here on %s already; was this "
                              "activation really given elsewhere?",
                              day_to_text(form->history.casefile->opened, opened));
    if (added && visit->right == UM_NONE && visit->left == UM_NONE)
        added = form_add_line(arena, lines,
                              "Without amounts it counts for the time between activations, as %s "
                              "mm a side in the protocol's window, and the width is not compared "
                              "with what was given.",
                              millimetre_to_text(form->history.protocol->step_max, most));
    return form_lines_done(added, error);
}

static const struct form_item elsewhere_items[] = {
    {0, "date", "date", "Day of the activation at the other practice.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    {0, "arch", "arch", "The arch that was activated.", NULL, ITEM_REQUIRED},
    {0, "right_mm", "right mm", "What was given on the right; empty: not known.", NULL, 0},
    {0, "left_mm", "left mm", "What was given on the left; empty: not known.", NULL, 0},
    {0, "note", "note", "Where it was given, and how it is known.", NULL, 0},
};
const struct form_template form_template_elsewhere = {
    .kind = FORM_ELSEWHERE,
    .name = "elsewhere",
    .title = "Activation given elsewhere",
    .items = elsewhere_items,
    .item_count = sizeof elsewhere_items / sizeof elsewhere_items[0],
    .slots = {RECORD_VISIT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_elsewhere,
    .follow = follow_elsewhere,
    .check = check_elsewhere,
    .warn = warn_elsewhere,
    .append = append_one_visit,
};
