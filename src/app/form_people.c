/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Names typed on a form, looked for among the people of the practice. */
#include <string.h>

#include "form_parts.h"
#include "springline/app/lists_settings.h"

bool form_folds_alike(const char *a, const char *b)
{
    struct text left = {0}, right = {0};

    text_add_folded(&left, a == NULL ? "" : a);
    text_add_folded(&right, b == NULL ? "" : b);
    bool alike =
        !left.failed && !right.failed && strcmp(text_string(&left), text_string(&right)) == 0;
    text_release(&left);
    text_release(&right);
    return alike;
}

/* The person of this name or login; of several an orthodontist. NULL: nobody. */
static const struct person *person_of(const struct person_list *people, const char *said)
{
    const struct person *found = NULL;

    for (size_t i = 0; i < people->count; i++) {
        const struct person *person = &people->rows[i];
        if (!form_folds_alike(person->name, said) && !form_folds_alike(person->login, said))
            continue;
        if (found == NULL || person->role == ROLE_ORTHODONTIST)
            found = person;
    }
    return found;
}

/* Who may decide, as far as the sentence has room: "Dr A, Dr B". */
static void add_deciders(struct text *out, const struct person_list *people, const char *clinician)
{
    const struct person *of_case = person_of(people, clinician);

    if (clinician[0] != '\0' && (of_case == NULL || of_case->role == ROLE_ORTHODONTIST))
        text_add(out, clinician);
    for (size_t i = 0; i < people->count; i++) {
        const struct person *person = &people->rows[i];
        if (person->role == ROLE_ORTHODONTIST && !form_folds_alike(person->name, clinician))
            text_addf(out, "%s%s", out->length > 0 ? ", " : "", person->name);
    }
}

static enum entry refuse_unknown(const struct person_list *people, const char *clinician,
                                 const char *said, char sentence[200])
{
    enum { SAID_CELLS = 32, KNOWN_CELLS = 70 };
    struct text names = {0}, known = {0}, name = {0};

    add_deciders(&names, people, clinician);
    text_fit(&known, names.length > 0 ? text_string(&names) : "nobody", KNOWN_CELLS, false);
    text_fit(&name, said, SAID_CELLS, false);
    enum entry entry = form_say(sentence, ENTRY_REFUSED,
                                "%s is no orthodontist known here (known: %s); new ones are "
                                "entered in the day's menu, 0 people.",
                                text_string(&name), text_string(&known));
    text_release(&names);
    text_release(&known);
    text_release(&name);
    return entry;
}

enum entry form_take_decider(struct app *app, struct form *form, const char **said,
                             char sentence[200])
{
    const char *clinician = form->history.casefile->clinician;
    struct person_list people;
    struct error error = {0};

    if (lists_people(app, "", &form->arena, &people, &error) != STATUS_OK)
        return form_say(sentence, ENTRY_REFUSED, "%.190s", error.sentence);
    clinician = clinician == NULL ? "" : clinician;
    const struct person *person = person_of(&people, *said);
    if (person != NULL && person->role != ROLE_ORTHODONTIST)
        return form_say(sentence, ENTRY_REFUSED,
                        "%.60s is recorded as %s; only an orthodontist sets a safety item aside.",
                        person->name,
                        person->role == ROLE_NONE ? "without a role"
                                                  : word_text(&words_role, (int)person->role));
    if (person == NULL && !form_folds_alike(*said, clinician))
        return refuse_unknown(&people, clinician, *said, sentence);
    *said = person != NULL ? person->name : clinician;
    return ENTRY_TAKEN;
}

static enum status look_at_clinician(void *context, const struct case_state *state, day booked,
                                     struct error *error)
{
    (void)booked;
    (void)error;
    return form_folds_alike(state->clinician, context) ? STATUS_NO : STATUS_OK; /* enough */
}

enum entry form_ask_clinician(struct app *app, struct form *form, const char *said,
                              char sentence[200])
{
    enum { SAID_CELLS = 60 };
    struct person_list people;
    struct text name = {0}, sought = {0};
    struct error error = {0};

    if (said == NULL || said[0] == '\0')
        return ENTRY_TAKEN;
    enum status status = lists_people(app, "", &form->arena, &people, &error);
    if (status == STATUS_OK && person_of(&people, said) != NULL)
        return ENTRY_TAKEN;
    text_add(&sought, said);
    if (status == STATUS_OK)
        status = store_each_state(app->store, app->today, look_at_clinician, sought.data, &error);
    text_release(&sought);
    if (status == STATUS_NO)
        return ENTRY_TAKEN;
    if (status != STATUS_OK)
        return form_say(sentence, ENTRY_REFUSED, "%.190s", error.sentence);
    text_fit(&name, said, SAID_CELLS, false);
    enum entry entry = form_say(sentence, ENTRY_ASK,
                                "Nobody is called %s so far, no clinician and none of the people. "
                                "Enter again keeps it.",
                                text_string(&name));
    text_release(&name);
    return entry;
}
