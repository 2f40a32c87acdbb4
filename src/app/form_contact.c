/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * A contact with the family. A safety item goes only with a kept visit, or by a contact that
 * reached the family plus a clinician's reason (domain.md 7): then it is set aside until a day.
 */
#include <string.h>

#include "aside.h"
#include "form_parts.h"
#include "form_templates.h"
#include "springline/app/lists_call.h"
#include "springline/core/course.h"
#include "told.h"

/* A family that was not reached is called again after so many days: setting of our own, no source.
 */
enum { AGAIN_DAYS = 7 };

struct contact_kept {
    bool safety; /* a safety item stands today */
};

static bool safety_stands(const struct history *history, day on)
{
    struct case_state state;

    course_state(history, &state);
    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        if (state.safety_from[item] != DAY_NONE && state.safety_from[item] <= on)
            return true;
    }
    return false;
}

/* The contact happens on the treatment date: where that one is fixed (a trial, a test), at the
 * clock's time of it. Else it would lie after today, or before the visits of the trial. */
static instant contact_moment(const struct app *app)
{
    instant now = store_instant(app->store);

    if (!app->today_fixed)
        return now;
    return now + ((instant)app->today - instant_day(now)) * SECONDS_OF_DAY;
}

static enum status prepare_contact(struct app *app, struct form *form, struct error *error)
{
    struct contact_kept *kept = arena_alloc(&form->arena, sizeof *kept);

    if (kept == NULL)
        return error_no_memory(error);
    kept->safety = safety_stands(&form->history, app->today);
    form_inner(form)->kept = kept;
    form_put_new(form, 0);
    form_now(form, 0)->contact.at = contact_moment(app);
    form_now(form, 0)->contact.by = form_by(app, form);
    return STATUS_OK;
}

/* The last day to which an item can be set aside. */
static day aside_until(const struct app *app, const struct form *form)
{
    return app->today + form->history.protocol->restart_after_days;
}

static void follow_contact(struct app *app, struct form *form)
{
    const struct contact_kept *kept = form_inner(form)->kept;
    const struct contact *contact = &form_now(form, 0)->contact;
    bool again = contact->outcome == OUTCOME_NOT_REACHED || contact->outcome == OUTCOME_LEFT_WORD;
    bool askable = kept->safety && contact->outcome == OUTCOME_REACHED;
    bool cleared = askable && contact->cleared == ANSWER_YES;

    form_offer_word(form, 0, "channel", &words_channel, CHANNEL_TELEPHONE);
    form_skip(form, 0, "cleared", !askable);
    form_skip(form, 0, "cleared_by", !cleared);
    form_demand(form, 0, "cleared_by", cleared);
    form_demand(form, 0, "again_on", cleared);
    form_offer_day(form, 0, "again_on", again ? app->today + AGAIN_DAYS : DAY_NONE);
    form_demand(form, 0, "note", cleared);
    form_word(form, 0, "note", cleared ? "the clinician's reason" : "note",
              cleared ? "Why the child is safe until then; the clinician answers for it."
                      : "What was said, in a few words.");
}

static enum entry enter_contact(struct app *app, struct form *form, int index, char sentence[200])
{
    struct contact *contact = &form_now(form, 0)->contact;

    if (index == form_index(form, 0, "cleared_by") && contact->cleared_by != NULL &&
        contact->cleared_by[0] != '\0')
        return form_take_decider(app, form, &contact->cleared_by, sentence);
    if (index != form_index(form, 0, "again_on") || contact->again_on == DAY_NONE ||
        contact->again_on >= app->today)
        return ENTRY_TAKEN;
    return form_say(sentence, ENTRY_REFUSED, "That day is past; give today or a later one.");
}

static enum status check_contact(struct app *app, struct form *form, int *index,
                                 struct error *error)
{
    const struct contact *contact = &form_now(form, 0)->contact;
    day until = aside_until(app, form);
    char last[DAY_TEXT_SIZE];

    if (contact->cleared != ANSWER_YES)
        return STATUS_OK;
    if (!text_says(contact->note))
        return form_refuse(form, 0, "note", index, error,
                           "The clinician's reason says nothing yet: write in a few words why the "
                           "child is safe until then.");
    if (contact->again_on > app->today && contact->again_on <= until)
        return STATUS_OK;
    return form_refuse(form, 0, "again_on", index, error,
                       "A safety item is set aside to a day after today, at the latest %s (%d "
                       "days).",
                       day_to_text(until, last), (int)form->history.protocol->restart_after_days);
}

/* Who dials needs the numbers, and why the call is urgent. */
static bool about_contact(const struct app *app, const struct form *form, struct arena *arena,
                          struct lines *lines)
{
    struct case_state state;
    struct recall_row row;
    struct text text = {0};

    course_state(&form->history, &state);
    lists_call_numbers(&text, form->history.patient);
    bool good = told_end_line(arena, lines, &text);
    if (recall_row(&state, app->today, 0, DAY_NONE, &row) && row.safety != SAFETY_NONE) {
        lists_call_safety(&text, &row, app->today);
        good = good && told_end_line(arena, lines, &text);
    }
    good = good && aside_tell(&text, &form->history, app->today, arena);
    if (text.length > 0)
        good = good && told_end_line(arena, lines, &text);
    text_release(&text);
    return good;
}

static enum status warn_contact(struct app *app, struct form *form, struct arena *arena,
                                struct lines *lines, struct error *error)
{
    const struct contact_kept *kept = form_inner(form)->kept;
    const struct contact *contact = &form_now(form, 0)->contact;
    char until[DAY_TEXT_SIZE];

    (void)app;
    if (!kept->safety)
        return STATUS_OK;
    if (contact->cleared == ANSWER_YES)
        return form_lines_done(
            form_add_line(arena, lines,
                          "The safety item is set aside until %s; then it is a safety item again "
                          "unless the child was seen.",
                          day_to_text(contact->again_on, until)),
            error);
    return form_lines_done(
        form_add_line(arena, lines,
                      "The safety item stands: it goes with a visit, or when the family is reached "
                      "and a clinician gives the reason."),
        error);
}

static const struct form_item contact_items[] = {
    {0, "channel", "channel", "How the family was contacted.", NULL, ITEM_REQUIRED | ITEM_FIRST},
    {0, "outcome", "outcome", "What came of it.", NULL, ITEM_REQUIRED},
    {0, "cleared", "set the safety item aside",
     "Only a clinician decides it: the child is known to be safe until a day.", NULL, 0},
    {0, "cleared_by", "decided by", "The orthodontist who answers for it, by name.", NULL, 0},
    {0, "again_on", "call again on",
     "Day of the next call, or 14 for in 14 days; empty: none is meant.", NULL, 0},
    {0, "note", "note", "What was said, in a few words.", NULL, 0},
};
const struct form_template form_template_contact = {
    .kind = FORM_CONTACT,
    .name = "contact",
    .title = "Contact",
    .items = contact_items,
    .item_count = sizeof contact_items / sizeof contact_items[0],
    .slots = {RECORD_CONTACT, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_contact,
    .follow = follow_contact,
    .about = about_contact,
    .check = check_contact,
    .warn = warn_contact,
    .enter = enter_contact,
};
