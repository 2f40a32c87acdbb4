/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The health questions of domain.md 7: asked before anything is placed, recorded with the case, and
 * what was answered with yes put where everybody sees it. The words of the cautions are common
 * practice, no source.
 */
#include <string.h>

#include "form_parts.h"
#include "form_templates.h"

enum { QUESTIONS = 5 };

struct health_question {
    size_t offset;       /* of the answer in struct casefile */
    const char *alert;   /* what a yes puts into the alerts */
    const char *caution; /* what follows from it */
    const char *placed;  /* the same where bands or a wire are in place already; NULL: the same */
};

static const struct health_question questions[QUESTIONS] = {
    {offsetof(struct casefile, nickel), "nickel allergy",
     "Nickel allergy: the clinician decides on wire and bands before anything is placed.",
     "Nickel allergy, and wire or bands are in place: the clinician decides now whether they "
     "stay."},
    {offsetof(struct casefile, latex), "latex allergy",
     "Latex allergy: separators, ligatures and gloves without latex.", NULL},
    {offsetof(struct casefile, medical), "bleeding or heart condition",
     "Bleeding or heart condition: medical advice before bands are seated.",
     "Bleeding or heart condition, and bands are seated: medical advice now, and before they are "
     "taken off or seated again."},
    {offsetof(struct casefile, seizure), "asthma or epilepsy",
     "Asthma or epilepsy: the clinician decides on the removable trainer, above all at night.",
     NULL},
    {offsetof(struct casefile, anchor), "braces or loose teeth at the anchor molars",
     "Braces or loose teeth at the anchor molars: the clinician examines them before bands.",
     "Braces or loose teeth at the anchor molars, and bands are seated: the clinician examines "
     "them "
     "now."},
};

static bool is_placed(const struct expander *expander)
{
    return (expander->banded_on != DAY_NONE || expander->fitted_on != DAY_NONE) &&
           expander->out_on == DAY_NONE;
}

/* Are bands or a wire in place: by the record, or by what the form says beside the answers? */
static bool anything_placed(const struct form *form)
{
    const struct form_slot *slots = form_inner(form)->slots;
    bool placed = false;

    for (size_t i = 0; i < form->history.expander_count; i++)
        placed = placed || is_placed(&form->history.expanders[i]);
    for (int i = 0; i < FORM_SLOTS; i++)
        placed =
            placed || (slots[i].record == RECORD_EXPANDER && is_placed(&slots[i].now.expander));
    return placed;
}

static enum answer answer_of(const struct casefile *casefile, int question)
{
    enum answer answer;

    memcpy(&answer, (const char *)casefile + questions[question].offset, sizeof answer);
    return answer;
}

bool form_asked_any(const struct casefile *casefile)
{
    for (int i = 0; i < QUESTIONS; i++) {
        if (answer_of(casefile, i) != ANSWER_NONE)
            return true;
    }
    return false;
}

void form_demand_health(struct form *form, bool required)
{
    static const char *const names[] = {"asked_on", "nickel",  "latex",
                                        "medical",  "seizure", "anchor"};

    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        form_demand(form, 0, names[i], required);
}

/* Do the alerts hold an entry that begins with the words? Entries end with ; or a comma. "No nickel
 * allergy" is none. */
static bool alerted(const char *alerts, const char *words)
{
    struct text folded = {0};
    size_t length = strlen(words); /* folded already: small letters without marks */
    bool found = false;

    text_add_folded(&folded, alerts == NULL ? "" : alerts);
    const char *at = text_string(&folded);
    while (!found && *at != '\0') {
        at += strspn(at, " ;,.");
        found = strncmp(at, words, length) == 0;
        at += strcspn(at, ";,.");
    }
    text_release(&folded);
    return found;
}

/* The alerts with each yes in them; an empty text: nothing to add. */
static void add_alerts(struct text *out, const struct casefile *casefile, const char *alerts)
{
    bool added = false;

    text_add(out, alerts == NULL ? "" : alerts);
    for (int i = 0; i < QUESTIONS; i++) {
        if (answer_of(casefile, i) != ANSWER_YES || alerted(alerts, questions[i].alert))
            continue;
        text_addf(out, "%s%s", out->length > 0 ? "; " : "", questions[i].alert);
        added = true;
    }
    if (!added)
        text_clear(out);
}

/* A no to what the alerts say. */
static bool add_doubts(const struct casefile *casefile, const char *alerts, struct arena *arena,
                       struct lines *lines)
{
    for (int i = 0; i < QUESTIONS; i++) {
        if (answer_of(casefile, i) == ANSWER_NO && alerted(alerts, questions[i].alert) &&
            !form_add_line(arena, lines,
                           "The alerts say \"%s\" and the answer is no; ask again, and correct "
                           "what is wrong.",
                           questions[i].alert))
            return false;
    }
    return true;
}

bool form_add_health(const struct form *form, struct arena *arena, struct lines *lines)
{
    const struct casefile *casefile = &form_now(form, 0)->casefile;
    const char *alerts = form->history.patient->alerts;
    bool added = true, placed = anything_placed(form);

    if (!form_asked_any(casefile))
        return true;
    for (int i = 0; i < QUESTIONS && added; i++) {
        const struct health_question *question = &questions[i];
        if (answer_of(casefile, i) == ANSWER_YES)
            added = form_add_line(arena, lines, "%s",
                                  placed && question->placed != NULL ? question->placed
                                                                     : question->caution);
    }
    return added && add_doubts(casefile, alerts, arena, lines) &&
           form_add_line(arena, lines,
                         "Tell the family: if the wire comes loose or there is an ulcer, call the "
                         "practice at once.") &&
           form_add_line(arena, lines,
                         "Tell the family: if a band is swallowed or inhaled, go to emergency "
                         "care.");
}

enum status form_append_alerts(struct app *app, struct form *form, struct app_save *save,
                               struct error *error)
{
    const struct casefile *casefile = &form_now(form, 0)->casefile;
    struct patient patient = *form->history.patient;
    struct text alerts = {0};
    enum status status = STATUS_OK;

    (void)save;
    add_alerts(&alerts, casefile, patient.alerts);
    if (alerts.failed)
        status = error_no_memory(error);
    if (status == STATUS_OK && alerts.length > 0) {
        patient.alerts = text_string(&alerts);
        patient.head.reason = "answers to the health questions";
        status = store_append(app->store, RECORD_PATIENT, &patient, error);
    }
    text_release(&alerts);
    return status;
}

enum status form_foresee_alerts(struct app *app, const struct form *form, struct arena *arena,
                                struct history *would, struct error *error)
{
    struct patient *patient = arena_alloc(arena, sizeof *patient);
    struct text alerts = {0};

    (void)app;
    if (patient == NULL)
        return error_no_memory(error);
    *patient = *would->patient;
    add_alerts(&alerts, &form_now(form, 0)->casefile, patient->alerts);
    if (alerts.length > 0)
        patient->alerts = arena_text(arena, text_string(&alerts), alerts.length);
    bool done = !alerts.failed && (alerts.length == 0 || patient->alerts != NULL);
    text_release(&alerts);
    would->patient = patient;
    return done ? STATUS_OK : error_no_memory(error);
}

/* ---- the form of the questions alone ---- */

static enum status prepare_questions(struct app *app, struct form *form, struct error *error)
{
    (void)app;
    (void)error;
    form_put_row(form, 0, form->history.casefile);
    return STATUS_OK;
}

static void follow_questions(struct app *app, struct form *form)
{
    (void)app;
    form_demand_health(form, true);
}

static enum status warn_questions(struct app *app, struct form *form, struct arena *arena,
                                  struct lines *lines, struct error *error)
{
    (void)app;
    return form_lines_done(form_add_health(form, arena, lines), error);
}

static const struct form_item questions_items[] = {
    {0, "asked_on", "asked on", "Day on which the family was asked.", NULL,
     ITEM_REQUIRED | ITEM_FIRST},
    FORM_HEALTH_ITEMS,
};
const struct form_template form_template_questions = {
    .kind = FORM_QUESTIONS,
    .name = "questions",
    .title = "Health questions",
    .items = questions_items,
    .item_count = sizeof questions_items / sizeof questions_items[0],
    .slots = {RECORD_CASEFILE, RECORD_KIND_COUNT, RECORD_KIND_COUNT, RECORD_KIND_COUNT,
              RECORD_KIND_COUNT},
    .prepare = prepare_questions,
    .follow = follow_questions,
    .warn = warn_questions,
    .append = form_append_alerts,
    .beside = form_foresee_alerts,
};
