/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Forms: every entry but the visit sheet. A form is a few records being written (a fit sheet: the
 * expander, the case, the trainer), shown as one list of fields; which fields, how they depend on
 * one another and what else is written stands in one template per form (src/app/form_*.c). The
 * screen draws the fields and passes keys; every check and sentence is made here.
 *
 * Nothing measured is ever pre-filled. A recorded value stands in its field; changing it asks for a
 * reason, filling an empty one does not.
 */
#ifndef SPRINGLINE_APP_FORM_H
#define SPRINGLINE_APP_FORM_H

#include "springline/app/visit.h"
#include "springline/core/protocol.h"

enum form_kind {
    FORM_NONE,
    FORM_NEW_PATIENT, /* a patient and the case; no subject */
    FORM_NEW_CASE,    /* another case of subject.casefile's patient */
    FORM_PATIENT,     /* name, telephone, alerts of subject.casefile's patient */
    FORM_CASE,        /* consent, clinician, protocol */
    FORM_QUESTIONS,   /* the health questions of domain.md 7 */
    FORM_FIT,         /* separators, bands, wire, fit checks, plan of one arch; trainer, consent and
                         questions where they are still missing */
    FORM_TRAINER,     /* issued; ended and why; replaced */
    FORM_REPAIR,      /* a repair visit */
    FORM_OUT,         /* the expander is taken out: the removal visit and out_on */
    FORM_PASSIVE,     /* left in passively from a day on */
    FORM_CHECK,       /* a check or stability visit, no expander needed, with a width */
    FORM_MISSED,      /* a visit that was missed; its booking too */
    FORM_ELSEWHERE,   /* an activation given at another practice, before a transfer */
    FORM_WIDTH,
    FORM_WEAR,      /* a count of days */
    FORM_TEETH,     /* the widths of the teeth of an arch, a row each */
    FORM_ARCH_SIZE, /* segments and depth of an arch */
    FORM_PLAN,      /* the plan of an arch: equation, measure, target; the rest is worked out */
    FORM_CONTACT,
    FORM_BOOKING,
    FORM_BOOKING_END, /* what became of a booking: kept, missed, cancelled */
    FORM_CLOSE,
    FORM_PROTOCOL, /* a protocol for subject.casefile alone, copied from the one it has */
    FORM_SETTING,  /* one value of a protocol: subject.row (protocol), subject.setting */
    FORM_PERSON,   /* a new person, or subject.row */
    FORM_CORRECT,  /* any field of subject.row of subject.record */
    FORM_WITHDRAW, /* withdraw subject.row: only the reason is asked */
    FORM_KIND_COUNT
};

/* What a form is about; fields that its kind does not need are zero. */
struct form_subject {
    struct id casefile;
    enum record_kind record; /* FORM_CORRECT, FORM_WITHDRAW */
    struct id row;           /* the current row: head.id */
    enum setting setting;    /* FORM_SETTING */
};

enum form_input {
    INPUT_TEXT,
    INPUT_NOTE,   /* a long text: every character is text but a leading / */
    INPUT_DAY,    /* YYYY-MM-DD, YYYYMMDD, MM-DD or MMDD of this year; + and - step a day */
    INPUT_CLOCK,  /* HH:MM or HHMM */
    INPUT_LENGTH, /* mm */
    INPUT_COUNT,
    INPUT_CHOICE, /* one digit */
    INPUT_FAULTS, /* several digits */
    INPUT_TEETH   /* 16-26 or 1626 */
};

enum { FORM_FIELDS_MAX = 48, FORM_CHOICES_MAX = 11, FORM_SLOTS = 5 };

struct form_field {
    const char *label; /* "fitted on" */
    const char *help;  /* what belongs here; one short sentence */
    const char *heads; /* heading above this field, or NULL: "fit checks" */
    enum form_input input;
    const char *choices[FORM_CHOICES_MAX]; /* INPUT_CHOICE: what a digit means is choices[digit];
                                              NULL: the digit is no choice */
    int choice_count;                      /* the greatest digit + 1 */
    bool required;                         /* the form can not be saved without it */
    bool at_once;                          /* a digit is the whole answer */
    bool skipped;                          /* does not apply now */
    char entered[SHEET_TEXT_SIZE];         /* as typed, spelled out once it is understood
                                              ("1125": "2026-11-25"); at first the recorded value */
    char shown[96];                        /* what it means: "yes", "2026-11-25", "loose-band" */
    char recorded[96];                     /* the recorded value, as shown; "" none */
    char if_empty[96];                     /* what Enter alone takes: "2026-11-25"; "" nothing */
    bool filled, wrong;
};

struct form {
    struct arena arena;
    enum form_kind kind;
    struct form_subject subject;
    const char *title;      /* "Fit sheet" */
    struct history history; /* of subject.casefile, as opened; zeroed without one */
    struct form_field fields[FORM_FIELDS_MAX];
    int field_count;
    int first;         /* the field to begin with */
    struct id request; /* carried by the save and the draft */
    int64_t opened_at; /* ledger sequence when opened */
    enum proof proof;  /* with which it is saved and signed; counts for one try (app/sign.h) */
    void *inner;       /* of app: the records, the template */
};

/* Opens a form. STATUS_INPUT with a sentence when it makes no sense now (no expander to take out, a
 * closed case ...); STATUS_NOT_FOUND, STATUS_CONFLICT for a row that is not current any more. */
enum status form_open(struct app *app, enum form_kind kind, const struct form_subject *subject,
                      struct form *form, struct error *error);
/* Frees it. */
void form_release(struct form *form);

/*
 * Sets field index to the text typed; the empty text takes if_empty, and else empties the field.
 * TAKEN: stored, meaning in shown, the other fields follow (skipped, choices, if_empty). ASK: an
 * unusual value; the same text again takes it. REFUSED: the field keeps the text, sentence says
 * what is wrong and what to write.
 */
enum entry form_enter(struct app *app, struct form *form, int index, const char *typed,
                      char sentence[200]);
/* The next or previous field that applies (direction +1, -1); -1 before the first, field_count
 * after the last. */
int form_step(const struct form *form, int index, int direction);
/* "+" and "-": a day, or a step of the grain, more or less than what is typed (or than if_empty),
 * written into typed. A day of what happened starts, where nothing stands, at today and never goes
 * beyond; one that may lie ahead starts beside today. Fields of other inputs are left alone: false.
 */
bool form_nudge(struct app *app, const struct form *form, int index, int steps,
                char typed[SHEET_TEXT_SIZE]);
/* What "*" takes, as it is typed: the recorded value, or else what Enter alone takes, or else, of a
 * day of what happened (but a birth), today; "" nothing. */
void form_same(const struct app *app, const struct form *form, int index,
               char typed[SHEET_TEXT_SIZE]);
/* What must be read while the form is filled, one line a thing, beside who it is about: of a
 * contact the numbers to dial and what stands as a safety item. Texts in arena; no memory:
 * STATUS_NO_MEMORY.
 */
enum status form_about(const struct app *app, const struct form *form, struct arena *arena,
                       struct lines *lines);
/* Is anything entered that is not recorded yet? */
bool form_dirty(const struct form *form);

/* May it be saved? OK; or STATUS_INPUT: the first thing missing or contradicting, *index the field
 * to go to. *needs_reason: a recorded value changes (or a row is withdrawn), so a reason is asked.
 */
enum status form_ready(struct app *app, struct form *form, bool *needs_reason, int *index,
                       struct error *error);
/* What will be saved, one line a thing, and below it what follows from it: stored verdicts of later
 * visits that would be others, safety items that arise, cautions. Texts in arena. */
enum status form_review(struct app *app, struct form *form, struct arena *arena,
                        struct lines *lines, struct error *error);
/* Does saving it write what wants a signature: a visit, a correction or withdrawal of one? */
bool form_signs(const struct form *form);
/*
 * Saves all of it in one transaction under form->request: rows appended, whole case checked as an
 * import checks it, states rewritten, own width error renewed, the draft dropped. STATUS_INPUT: it
 * contradicts the case, nothing saved, the sentence says what. STATUS_CONFLICT: another seat
 * changed a record meanwhile, nothing saved. STATUS_ALREADY counts as saved. STATUS_REFUSED: also
 * where a signed visit is corrected or withdrawn by somebody who is no orthodontist. Visits are
 * signed with form->proof, and in a practice of one that is not asked.
 */
enum status form_save(struct app *app, struct form *form, const char *reason, struct error *error);
/* After form_save: the sentence for the status line: "Saved: width of 2026-11-25, upper 35.25 mm."
 */
const char *form_saved(const struct form *form);
/* The name of the protocol that a case has for itself alone (it is called as the case), in arena;
 * *name NULL: it goes by another. STATUS_NOT_FOUND. */
enum status form_own_protocol(struct app *app, const struct id *casefile, struct arena *arena,
                              const char **name, struct error *error);
/* After form_save of FORM_NEW_PATIENT or FORM_NEW_CASE: the new case; else subject.casefile. */
struct id form_casefile(const struct form *form);

/* Writes what is typed as a draft (after each left field); nothing to do when nothing is entered.
 * The draft is one per user, kind of form, case and row. */
enum status form_put_draft(struct app *app, const struct form *form, struct error *error);
/* Finds this user's draft of the opened form: *found, and its text in the arena of the form. */
enum status form_find_draft(struct app *app, struct form *form, struct draft *draft, bool *found,
                            struct error *error);
/* Fills the opened form from the draft's content. */
enum status form_from_draft(struct app *app, struct form *form, const struct draft *draft,
                            struct error *error);
/* Throws the draft away. */
enum status form_drop_draft(struct app *app, struct form *form, struct error *error);

#endif
