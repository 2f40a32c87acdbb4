/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the desk did and what comes next: contacts, bookings, the next date. */
#include <inttypes.h>

#include "chart_private.h"
#include "springline/core/course.h"

static void add_contact(struct text *out, const struct contact *contact)
{
    chart_date(out, instant_day(contact->at));
    text_addf(out, "  %s, %s", word_text(&words_channel, (int)contact->channel),
              word_text(&words_outcome, (int)contact->outcome));
    if (contact->again_on != DAY_NONE) {
        text_add(out, ", again on ");
        chart_date(out, contact->again_on);
    }
    text_add(out, "\n");
    if (contact->note != NULL && contact->note[0] != '\0') {
        text_add(out, "           ");
        text_add_shown(out, contact->note);
        text_add(out, "\n");
    }
}

/* The earliest contact after an instant, by the ledger where two share one; NULL: none. */
static const struct contact *next_contact(const struct history *history,
                                          const struct contact *previous)
{
    const struct contact *next = NULL;

    for (size_t i = 0; i < history->contact_count; i++) {
        const struct contact *contact = &history->contacts[i];
        if (previous != NULL &&
            (contact->at < previous->at ||
             (contact->at == previous->at && contact->head.sequence <= previous->head.sequence)))
            continue;
        if (next == NULL || contact->at < next->at ||
            (contact->at == next->at && contact->head.sequence < next->head.sequence))
            next = contact;
    }
    return next;
}

static void chart_bookings(struct text *out, const struct history *history, day today)
{
    int missed = 0, cancelled = 0;
    char clock[6];

    for (size_t i = 0; i < history->booking_count; i++) {
        const struct booking *booking = &history->bookings[i];
        missed += booking->state == BOOKED_MISSED;
        cancelled += booking->state == BOOKED_CANCELLED;
        if (booking->state != BOOKED_STANDING || booking->date < today)
            continue;
        text_add(out, "booked ");
        chart_date(out, booking->date);
        text_addf(out, " %s %s\n", clock_to_text(booking->time_min, clock),
                  word_text(&words_booking_kind, (int)booking->kind));
    }
    text_addf(out, "bookings missed: %d, cancelled: %d\n", missed, cancelled);
}

void chart_desk(struct text *out, const struct history *history, day today)
{
    text_add(out, "\nContacts and bookings\n");
    for (const struct contact *contact = next_contact(history, NULL); contact != NULL;
         contact = next_contact(history, contact))
        add_contact(out, contact);
    chart_bookings(out, history, today);
}

void chart_next(struct text *out, const struct history *history, day today)
{
    struct case_state state;

    course_state(history, &state);
    text_add(out, "\nNext date: ");
    chart_date(out, state.due_from);
    if (state.due_to != state.due_from) {
        text_add(out, " to ");
        chart_date(out, state.due_to);
    }
    if (state.due_to != DAY_NONE && state.due_to < today)
        text_addf(out, ", OVERDUE by %" PRId32 " days", today - state.due_to);
    text_add(out, "   last seen: ");
    chart_date(out, state.last_seen);
    text_add(out, "\n");
    for (int safety = SAFETY_NONE + 1; safety < SAFETY_COUNT; safety++) {
        if (state.safety_from[safety] == DAY_NONE || state.safety_from[safety] > today)
            continue;
        text_addf(out, "SAFETY: %s since ", word_text(&words_safety, safety));
        chart_date(out, state.safety_from[safety]);
        text_add(out, "\n");
    }
}
