/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the templates of the forms share: to say how fields depend on each other, and to look at the
 * case as it will be once the form is saved. */
#ifndef SPRINGLINE_APP_FORM_PARTS_H
#define SPRINGLINE_APP_FORM_PARTS_H

#include "form_engine.h"
#include "visit_private.h"

/* ---- slots ---- */

/* Puts a recorded row into a slot: it will be changed. */
void form_put_row(struct form *form, int slot, const void *row);
/* Puts a new record of the form's case into a slot, of a kind that belongs to a case. */
void form_put_new(struct form *form, int slot);
/* The current row of the subject into slot 0. STATUS_NOT_FOUND, STATUS_CONFLICT: it is not the one
 * that was shown any more. form_settings.c */
enum status form_read_current(struct app *app, struct form *form, enum record_kind kind,
                              struct error *error);
/* STATUS_INPUT with a sentence when the case is closed today. */
enum status form_need_open(const struct app *app, const struct form *form, struct error *error);
/* The login or name for a field "by", in the arena of the form; "" when memory is exhausted. */
const char *form_by(const struct app *app, struct form *form);
/* printf into the arena of the form; "" when memory is exhausted. */
const char *form_textf(struct form *form, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* ---- fields, from follow ---- */

/* The field of a slot; NULL: not on this form. */
struct form_field *form_at(struct form *form, int slot, const char *name);
/* Does the field not apply now? */
void form_skip(struct form *form, int slot, const char *name, bool skipped);
/* The field must (not) be filled. */
void form_demand(struct form *form, int slot, const char *name, bool required);
/* What Enter alone takes; nothing is offered where something is recorded. "" or not recorded:
 * nothing. */
void form_offer(struct form *form, int slot, const char *name, const char *text);
void form_offer_day(struct form *form, int slot, const char *name, day date);
void form_offer_mm(struct form *form, int slot, const char *name, um value);
void form_offer_word(struct form *form, int slot, const char *name, const struct words *words,
                     int value);
void form_offer_teeth(struct form *form, int slot, const char *name, struct teeth teeth);
/* Of the words of a field only those whose bit (1 << value) is set can be chosen. */
void form_leave(struct form *form, int slot, const char *name, unsigned choices);
/* Another help sentence, or label; NULL: as it is. Texts in the arena of the form or constants. */
void form_word(struct form *form, int slot, const char *name, const char *label, const char *help);
/* Is anything entered in a field of the slot? */
bool form_filled(const struct form *form, int slot);

/*
 * A field of the template's own that is a choice: gives it its choices (choices[i] is what digit
 * i + 1 means, count of them), its input, and Enter alone the choice offered (0: nothing).
 */
void form_make_choice(struct form *form, int slot, const char *name, const char *const *choices,
                      int count, int offered);
/* The digit entered there, 1 ... count; 0: none. Reads a digit, or the word of the choice. */
int form_chosen(const struct form *form, int slot, const char *name);
/* Likewise a question that is answered by 0 no, 1 yes; and what was answered. */
void form_make_answer(struct form *form, int slot, const char *name);
enum answer form_answered(const struct form *form, int slot, const char *name);
/* For the hook enter: reads such a field, fills shown; REFUSED with a sentence. */
enum entry form_take_choice(struct form *form, int index, char sentence[200]);

/* ---- sentences ---- */

/* ASK or REFUSED with a sentence, from the hook enter. */
enum entry form_say(char sentence[200], enum entry entry, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
/* STATUS_INPUT at the field of a slot. */
enum status form_refuse(const struct form *form, int slot, const char *name, int *index,
                        struct error *error, const char *format, ...)
    __attribute__((format(printf, 6, 7)));
/* STATUS_OK, or the failure behind a line that could not be added. */
enum status form_lines_done(bool added, struct error *error);

/* ---- names (form_people.c) ---- */

/* The same name, by the folding of a search? NULL counts as "". */
bool form_folds_alike(const char *a, const char *b);
/*
 * From the hook enter: may the one named in *said set a safety item aside? An orthodontist among
 * the people of the practice, by name or login, or the clinician of the case, unless recorded with
 * another role: TAKEN, *said the name as it is recorded. Else REFUSED with a sentence.
 */
enum entry form_take_decider(struct app *app, struct form *form, const char **said,
                             char sentence[200]);

/* Likewise: is anybody called so, among the people or as the clinician of any case? TAKEN; else ASK
 * with a sentence, since it is more often a slip than a new clinician. Nothing typed is TAKEN. */
enum entry form_ask_clinician(struct app *app, struct form *form, const char *said,
                              char sentence[200]);

/* ---- the case as it will be ---- */

/* The expander of the arch in place on a day, or else the one last fitted or prepared; NULL. */
const struct expander *form_last_expander(const struct history *history, enum arch arch, day on);
/* The one arch with an expander in place (or, in_place false, with any expander); ARCH_NONE: none,
 * or both. */
enum arch form_only_arch(const struct history *history, day on, bool in_place);

/* ---- a width on a form ---- */

/* For follow: what the expander of the width's arch is measured by, and the next free repeat. */
void form_offer_width(const struct app *app, struct form *form, int slot);
/* The next free number of repeats of the same width on its day. */
int32_t form_next_repeat(const struct history *history, const struct width *width);
/* What the width says beside the others of the case as it will be; false: no memory. */
bool form_add_width(const struct form *form, int slot, const struct history *would,
                    struct arena *arena, struct lines *lines);

/* ---- a choice between two arches with an expander in place ---- */

/* For prepare: the expander of the only or the first arch in place goes into the slot.
 * STATUS_INPUT with a sentence: none is in place. */
enum status form_put_in_place(struct app *app, struct form *form, int slot, struct error *error);
/* For follow, of a form with an own field "which_arch" in slot: skips it while one arch only is in
 * place; else takes the expander of the arch chosen. */
void form_follow_arch(struct app *app, struct form *form, int slot);

/* ---- saving ---- */

/*
 * Inside a save, for forms with a visit in a slot: appends the expander in slot expander (-1: none)
 * and the visit, the verdict the visit stands under, and ends bookings of the day that still stand
 * as kept, or missed. Both slots count as written.
 */
enum status form_append_visit(struct app *app, struct form *form, int expander, int visit,
                              struct error *error);
/* What form_append_visit writes beside the two slots, for the hook beside. */
enum status form_foresee_visit(const struct form *form, int visit, struct arena *arena,
                               struct history *would, struct error *error);
/* The bookings of the day that still stand, ended, in the case as it would be. */
enum status form_foresee_bookings(day date, enum booking_state state, struct arena *arena,
                                  struct history *would, struct error *error);
/* STATUS_INPUT when a row with the key of the slot is recorded already. */
enum status form_need_new(struct app *app, struct form *form, int slot, const char *name,
                          int *index, struct error *error);

/* ---- the health questions of domain.md 7 (form_health.c): the case stands in slot 0 ---- */

/* The five questions as items of slot 0, the first under a heading. */
#define FORM_HEALTH_ITEMS                                                                          \
    {0,                                                                                            \
     "nickel",                                                                                     \
     "nickel allergy",                                                                             \
     "Does the child react to nickel, in jewellery or buttons?",                                   \
     "health questions",                                                                           \
     0},                                                                                           \
        {0,    "latex", "latex allergy", "Does the child react to latex, in balloons or gloves?",  \
         NULL, 0},                                                                                 \
        {0,                                                                                        \
         "medical",                                                                                \
         "bleeding, heart condition",                                                              \
         "One that needs medical advice before bands are seated?",                                 \
         NULL,                                                                                     \
         0},                                                                                       \
        {0,                                                                                        \
         "seizure",                                                                                \
         "asthma or epilepsy",                                                                     \
         "Either matters with a removable appliance in the mouth.",                                \
         NULL,                                                                                     \
         0},                                                                                       \
    {                                                                                              \
        0, "anchor", "braces or loose molars",                                                     \
            "Are there braces on the molars that will carry the bands, or are these loose?", NULL, \
            0                                                                                      \
    }

/* For follow: must all five, and the day, be filled? */
void form_demand_health(struct form *form, bool required);
/* Is any of the five answered? */
bool form_asked_any(const struct casefile *casefile);
/* The cautions that follow from the answers, and what to tell the family; false: no memory. */
bool form_add_health(const struct form *form, struct arena *arena, struct lines *lines);
/* Inside a save: each yes into the alerts of the patient, unless it stands there. */
enum status form_append_alerts(struct app *app, struct form *form, struct app_save *save,
                               struct error *error);
/* Likewise in the case as it would be, for the hook beside. */
enum status form_foresee_alerts(struct app *app, const struct form *form, struct arena *arena,
                                struct history *would, struct error *error);

#endif
