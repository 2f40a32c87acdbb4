/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the parts of the form engine share and no template needs. */
#ifndef SPRINGLINE_APP_FORM_ENGINE_H
#define SPRINGLINE_APP_FORM_ENGINE_H

#include "form_private.h"
#include "springline/app/effect.h"

/* ---- fields and records (form_field.c, form_tell.c) ---- */

/* Copies one field from one record of the kind to another. */
void form_copy_field(const struct field *field, union any_record *to, const union any_record *from);
/* Makes one field "not recorded". */
void form_empty_field(enum record_kind kind, const struct field *field, union any_record *record);
/* Is the field recorded? A reference is when it names something. */
bool form_recorded(enum record_kind kind, const struct field *field,
                   const union any_record *record);
/* Appends a field as it is typed ("2", "1r", "35.25"). */
void form_add_typed(struct text *out, const struct field *field, const union any_record *record);
/* Appends a field as it is shown ("mouth", "loose-band:right", "35.25 mm"). */
void form_add_shown(struct text *out, const struct field *field, const union any_record *record);
/* The same in a sentence: "nothing" where nothing is recorded, a setting in its unit. */
void form_add_value(struct text *out, enum record_kind kind, const struct field *field,
                    const union any_record *record);
/* Appends what the record is, in one breath: "width of 2026-11-25, upper 35.25 mm". */
void form_describe(struct text *out, enum record_kind kind, const union any_record *record);
/* Appends which record it is, as short as can be: "width of 2026-11-25". */
void form_name(struct text *out, enum record_kind kind, const union any_record *record);
/* "case", "count of wear": what people call a record of the kind. */
const char *form_kind_name(enum record_kind kind);
/* The setting behind a field of a protocol; SETTING_NONE: none is. */
enum setting form_setting_of(const struct field *field);
/* Appends a value in its unit, as people write it: "2.00 mm", and 0.80 for a share. */
void form_add_setting(struct text *out, enum setting setting, int32_t value);
/* The case a record belongs to; NULL: it belongs to none. */
const struct id *form_case_of(enum record_kind kind, const union any_record *record);

/* Does the slot hold anything that is not recorded? */
bool form_slot_changed(const struct form_slot *slot);
/* Is the slot to be appended? */
bool form_slot_written(const struct form_slot *slot);
/* Must a reason be given for what the slot changes? */
bool form_slot_needs_reason(const struct form *form, const struct form_slot *slot);

/* Copies at most size - 1 bytes of text, never half a character; returns copy. */
char *form_cut(const char *text, char *copy, size_t size);

/* ---- the engine ---- */

/* May the person who sits here give the command of this form? Looked at when it is opened, so that
 * nobody types in vain, and again when it is saved. STATUS_REFUSED, logged. form_allow.c */
enum status form_allow(struct app *app, const struct form *form, struct error *error);
/* The same when it is saved, and for what the fields decide beside: an override, another protocol,
 * a safety item set aside, a wound taken back. Not inside a save. */
enum status form_allow_save(struct app *app, const struct form *form, struct error *error);
/* The command that the form gives. */
enum command form_command(const struct form *form);
/* Is the visit that this form changes or withdraws signed, and who sits here no orthodontist?
 * STATUS_REFUSED without a sentence then; form_refuse_amend tells and logs it, outside the save.
 * form_sign.c */
enum status form_may_amend(struct app *app, const struct form *form, struct error *error);
enum status form_refuse_amend(struct app *app, const struct form *form, struct error *error);
/* Reads the case into form->history; nothing to do when subject.casefile is none. */
enum status form_read_history(struct app *app, struct form *form, struct error *error);
/*
 * A day as typed into the cell YYYY-MM-DD: that itself, YYYYMMDD, or MM-DD or MMDD: of a past event
 * the newest such day that is not after today, of one that may lie ahead the next one, a month back
 * included. Of such a one also a number of days from today, at most three digits. False: it is none
 * of these; the day may not exist all the same.
 */
bool form_day_cell(const char *typed, day today, bool ahead, char cell[DAY_TEXT_SIZE]);
/* Is the field the day of something that happened, so that today may be meant? */
bool form_is_past_day(const struct form *form, int index);
/* Reads what stands in field index into *into (its field only); the form is left alone. ASK: an
 * unusual value. */
enum entry form_read(struct app *app, const struct form *form, int index, union any_record *into,
                     char sentence[200]);
/* Fills a field (entered, shown, recorded) from its slot; false: no memory. */
bool form_fill(struct form *form, int index);
/* Makes field index from the item of the template; false: no memory. */
bool form_make_field(struct app *app, struct form *form, int index);
/* The template's follow, then what the engine sees to: locked fields, fields that do not apply. */
void form_settle(struct app *app, struct form *form);

/* The rows of one kind in a history, in any order; nothing for a kind that has none there, or
 * stands alone (the patient, the case, the protocol). */
struct row_list {
    const void *rows;
    size_t count;
};
struct row_list form_rows_of(const struct history *history, enum record_kind kind);
/* The form's case as it would be when it is saved; rows not saved have the greatest sequences.
 * Needs form->history. Texts stay where they are. */
enum status form_would_be(struct app *app, const struct form *form, struct arena *arena,
                          struct history *would, struct error *error);
/*
 * What contradicts itself in after and did not in before: STATUS_INPUT with a sentence for who
 * fills the form, and in error->where the name of the field to go to. Rows from the sequence first
 * on are the form's own, and named first; then the visits that stood on what it changes.
 */
enum status form_contradiction(const struct form *form, const struct history *before,
                               const struct history *after, int64_t first, struct error *error);
/* In a sentence that is said of files too: the columns of the slot's record by their labels. */
void form_name_fields(const struct form *form, int slot, struct error *error);
/* Was something typed into the field that is not recorded? */
bool form_is_typed(const struct form *form, int index);
/* Appends a line for each such field, as a draft has them; how many. */
int32_t form_add_typed_lines(struct text *out, const struct form *form);
/* Enters such lines; a field that the form does not know is left alone. */
void form_enter_lines(struct app *app, struct form *form, const char *lines);
/* The field holds again what it was opened or shown with. */
void form_restore(struct app *app, struct form *form, int index);
/* The draft has done its work: removes it, and none that the same user left at another seat. */
enum status form_end_draft(struct app *app, const struct form *form, struct error *error);
/* The draft's name of the form. */
enum { FORM_DRAFT_NAME_SIZE = 41 };
char *form_draft_name(const struct form *form, char name[FORM_DRAFT_NAME_SIZE]);

/* ---- correction and withdrawal (form_words.c, form_correct.c) ---- */

/* What a field is called on the form it was entered with, and what belongs into it; NULL: nothing
 * better is known than its name, and what its input takes. */
const char *form_word_label(enum record_kind kind, const char *name);
const char *form_word_help(enum record_kind kind, const char *name);

/* Is this form FORM_WITHDRAW? Its slot 0 holds the row that goes. */
static inline bool form_withdraws(const struct form *form)
{
    return form->kind == FORM_WITHDRAW;
}

#endif
