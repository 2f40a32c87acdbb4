/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closing a case. With an expander still in it is a safety item at once (domain.md 7). */
#include "form_parts.h"
#include "form_templates.h"

static enum status prepare_close(struct app *app, struct form *form, struct error *error)
{
    enum status status = form_need_open(app, form, error);

    if (status == STATUS_OK)
        form_put_row(form, 0, form->history.casefile);
    return status;
}

/* What of an arch is still in the mouth; NULL: nothing is. */
static const char *left_in(const struct expander *expander)
{
    if (expander->out_on != DAY_NONE)
        return NULL;
    if (expander->fitted_on != DAY_NONE)
        return "expander is";
    if (expander->banded_on != DAY_NONE)
        return "bands are";
    return expander->separators_on != DAY_NONE ? "separators are" : NULL;
}

/* Asked once: who closes with something still in must know it. */
static enum entry enter_close(struct app *app, struct form *form, int index, char sentence[200])
{
    (void)app;
    if (index != form_index(form, 0, "closed_reason") ||
        form_now(form, 0)->casefile.closed_reason == CLOSED_NONE)
        return ENTRY_TAKEN;
    for (size_t i = 0; i < form->history.expander_count; i++) {
        const struct expander *expander = &form->history.expanders[i];
        if (left_in(expander) == NULL || expander->fitted_on == DAY_NONE)
            continue;
        return form_say(sentence, ENTRY_ASK,
                        "The %s expander is still in: closed, the case is a safety item of the "
                        "recall list at once, until it is out. Enter again to close it all the "
                        "same.",
                        word_text(&words_arch, (int)expander->arch));
    }
    return ENTRY_TAKEN;
}

static bool tell_left_in(const struct expander *expander, struct arena *arena, struct lines *lines)
{
    const char *what = left_in(expander);

    if (what == NULL)
        return true;
    return form_add_line(arena, lines, "The %s %s still in the mouth%s.",
                         word_text(&words_arch, (int)expander->arch), what,
                         expander->fitted_on != DAY_NONE
                             ? ": a safety item from that day, until it is recorded as taken out"
                             : "; see that they are taken out");
}

static enum status warn_close(struct app *app, struct form *form, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    const struct history *history = &form->history;
    char on[DAY_TEXT_SIZE], clock[6];
    bool added = true;

    for (size_t i = 0; i < history->expander_count && added; i++)
        added = tell_left_in(&history->expanders[i], arena, lines);
    for (size_t i = 0; i < history->booking_count && added; i++) {
        const struct booking *booking = &history->bookings[i];
        if (booking->state == BOOKED_STANDING && booking->date >= app->today)
            added = form_add_line(arena, lines, "The booking of %s at %s still stands; cancel it.",
                                  day_to_text(booking->date, on),
                                  clock_to_text(booking->time_min, clock));
    }
    return form_lines_done(added, error);
}

static const struct form_item close_items[] = {
    {0, "closed_on", "closed on", "Day the case is closed.", NULL,
     ITEM_REQUIRED | ITEM_TODAY | ITEM_FIRST},
    {0, "closed_reason", "why it is closed",
     "Finished, transferred to another practice, or discontinued.", NULL, ITEM_REQUIRED},
};
const struct form_template form_template_close = {
    .kind = FORM_CLOSE,
    .name = "close",
    .title = "Close the case",
    .items = close_items,
    .item_count = sizeof close_items / sizeof close_items[0],
    .slots = {RECORD_CASEFILE, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_close,
    .warn = warn_close,
    .enter = enter_close,
};
