/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "aside.h"

#include <string.h>

#include "springline/core/course.h"

static bool sets_aside(const struct contact *contact)
{
    return contact->cleared == ANSWER_YES && contact->outcome == OUTCOME_REACHED &&
           contact->again_on != DAY_NONE && contact->cleared_by != NULL &&
           contact->cleared_by[0] != '\0';
}

void aside_tell_contact(struct text *out, const struct contact *contact, day until)
{
    char date[DAY_TEXT_SIZE];

    if (!sets_aside(contact))
        return;
    text_addf(out, "safety set aside until %s by ", day_to_text(until, date));
    text_add_shown(out, contact->cleared_by);
    text_add(out, ": ");
    text_add_shown(out, contact->note == NULL ? "" : contact->note);
}

/* The state as if no contact had set anything aside. */
static bool without(const struct history *history, struct arena *arena, struct case_state *state)
{
    struct history bare = *history;
    struct contact *contacts = arena_array(arena, history->contact_count + 1, sizeof *contacts);

    if (contacts == NULL)
        return false;
    for (size_t i = 0; i < history->contact_count; i++) {
        contacts[i] = history->contacts[i];
        contacts[i].cleared = ANSWER_NONE;
    }
    bare.contacts = contacts;
    course_state(&bare, state);
    return true;
}

/* The newest contact that may hold an item back until a day: by the day it names, or by the longest
 * that is taken (core/course.h). NULL: none does. */
static const struct contact *holder(const struct history *history, day until)
{
    const struct contact *newest = NULL;

    for (size_t i = 0; i < history->contact_count; i++) {
        const struct contact *contact = &history->contacts[i];
        if (sets_aside(contact) && contact->again_on >= until &&
            (newest == NULL || contact->at > newest->at))
            newest = contact;
    }
    return newest;
}

bool aside_tell(struct text *out, const struct history *history, day today, struct arena *arena)
{
    const struct contact *told[SAFETY_COUNT] = {NULL};
    struct case_state with, bare;
    int count = 0;

    if (!without(history, arena, &bare))
        return false;
    course_state(history, &with);
    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        day would = bare.safety_from[item], until = with.safety_from[item];
        bool held = would != DAY_NONE && would <= today && until != DAY_NONE && until > today;
        const struct contact *contact = held ? holder(history, until) : NULL;
        bool known = contact == NULL;
        for (int i = 0; i < count && !known; i++)
            known = told[i] == contact;
        if (known)
            continue;
        text_add(out, count > 0 ? "; " : "");
        aside_tell_contact(out, contact, until);
        told[count++] = contact;
    }
    return !out->failed;
}
