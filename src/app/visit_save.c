/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Saving the visit: one transaction for everything on the sheet, judged again inside it. */
#include <string.h>

#include "meanwhile.h"
#include "springline/app/authority.h"
#include "springline/app/erase.h"
#include "springline/app/sign.h"
#include "springline/app/visit.h"
#include "visit_private.h"

/* A save on its way. */
struct saving {
    struct app *app;
    struct visit_sheet *sheet;
    const char *reason;
    struct meanwhile list; /* what the sheet stands on that was saved since it was opened */
    struct id rows[2];     /* the visit rows appended, per arch; none: none */
    int64_t seen;          /* the place in the ledger up to which the list goes */
};

static int index_of(const struct visit_sheet *sheet, enum sheet_item item, enum arch arch)
{
    for (int i = 0; i < sheet->field_count; i++) {
        if (sheet->fields[i].item == item && sheet->fields[i].arch == arch)
            return i;
    }
    return 0;
}

bool visit_needs(const struct visit_sheet *sheet, int index)
{
    const struct sheet_field *field = &sheet->fields[index];

    return field->required ||
           (field->amount && !field->skipped && visit_arch_entered(sheet, field->arch));
}

/* The first field of an arch that still needs something; -1: none. */
static int missing_of_arch(const struct visit_sheet *sheet, enum arch arch)
{
    static const enum sheet_item examined[] = {ITEM_TISSUE, ITEM_HARDWARE};
    static const enum sheet_item given[] = {ITEM_RIGHT, ITEM_LEFT};
    struct proposal amounts = visit_amounts(sheet, arch);

    for (size_t i = 0; i < sizeof examined / sizeof examined[0]; i++) {
        const struct sheet_field *field = visit_field_of(sheet, examined[i], arch);
        if (!field->filled && (amounts.right > 0 || amounts.left > 0))
            return index_of(sheet, examined[i], arch);
    }
    for (size_t i = 0; i < sizeof given / sizeof given[0]; i++) {
        const struct sheet_field *field = visit_field_of(sheet, given[i], arch);
        if (!field->skipped && !field->filled)
            return index_of(sheet, given[i], arch);
    }
    return -1;
}

static enum status check_entered(struct visit_sheet *sheet, int *index, struct error *error)
{
    bool any = false;

    for (int i = 0; i < sheet->field_count; i++) {
        if (!sheet->fields[i].skipped && sheet->fields[i].wrong) {
            *index = i;
            return error_set(error, STATUS_INPUT, sheet->fields[i].label,
                             "The value of \"%s\" is not right yet.", sheet->fields[i].label);
        }
    }
    for (int i = 0; i < sheet->arch_count; i++) {
        if (!visit_arch_entered(sheet, sheet->arches[i]))
            continue;
        any = true;
        int missing = missing_of_arch(sheet, sheet->arches[i]);
        if (missing >= 0) {
            *index = missing;
            return error_set(error, STATUS_INPUT, sheet->fields[missing].label,
                             sheet->fields[missing].amount
                                 ? "Enter the amount of %s, %s; 0 if nothing was given."
                                 : "An amount is not saved before %s, %s is entered.",
                             word_text(&words_arch, (int)sheet->arches[i]),
                             sheet->fields[missing].label);
        }
    }
    if (any)
        return STATUS_OK;
    *index = 0;
    return error_set(error, STATUS_INPUT, "visit",
                     "Nothing was entered for an arch yet; Esc leaves without saving.");
}

static enum status check_wear(struct visit_sheet *sheet, int *index, struct error *error)
{
    if (visit_value(sheet, ITEM_WEAR_MET, ARCH_NONE, -1) < 0 ||
        visit_value(sheet, ITEM_WEAR_SOURCE, ARCH_NONE, SOURCE_NONE) != SOURCE_NONE)
        return STATUS_OK;
    *index = index_of(sheet, ITEM_WEAR_SOURCE, ARCH_NONE);
    return error_set(error, STATUS_INPUT, "wear",
                     "Say where the wear is known from: 1 sensor, 2 diary, 3 told.");
}

enum status visit_ready(struct visit_sheet *sheet, bool *needs_reason, int *index,
                        struct error *error)
{
    struct judgement judgements[2];

    *needs_reason = false;
    *index = 0;
    enum status status = check_entered(sheet, index, error);
    if (status == STATUS_OK)
        status = check_wear(sheet, index, error);
    if (status != STATUS_OK)
        return status;
    visit_judge_recorded(sheet, judgements);
    for (int i = 0; i < sheet->arch_count; i++) {
        bool above = false;
        if (!visit_arch_entered(sheet, sheet->arches[i]))
            continue;
        status = rules_override(&judgements[i], sheet->history.protocol,
                                visit_amounts(sheet, sheet->arches[i]), &above, error);
        if (status != STATUS_OK) {
            *index = index_of(sheet, ITEM_RIGHT, sheet->arches[i]);
            if (sheet->fields[*index].skipped)
                *index = index_of(sheet, ITEM_LEFT, sheet->arches[i]);
            return status;
        }
        *needs_reason = *needs_reason || above;
        if (above && !sheet->overrides) {
            *index = index_of(sheet, ITEM_RIGHT, sheet->arches[i]);
            return error_set(
                error, STATUS_REFUSED, "override",
                "More than permitted is given by an orthodontist alone; enter what was "
                "permitted, or let one enter it.");
        }
    }
    return STATUS_OK;
}

/* "2 finding judged minor: text", or just the text. */
static const char *reason_of(struct arena *arena, int reason, const char *reason_text)
{
    struct text text = {0};

    text_add(&text, reason > 0 ? visit_reason(reason) : "");
    if (reason_text != NULL && reason_text[0] != '\0')
        text_addf(&text, "%s%s", text.length > 0 ? ": " : "", reason_text);
    const char *kept = text.failed ? NULL : arena_text(arena, text_string(&text), text.length);
    text_release(&text);
    return kept;
}

static void fill_visit(const struct app *app, const struct visit_sheet *sheet, enum arch arch,
                       const char *reason, struct visit *visit)
{
    struct examination found = visit_examination(sheet, arch, false);
    struct proposal amounts = visit_amounts(sheet, arch);
    const struct sheet_field *note = visit_field_of(sheet, ITEM_NOTE, ARCH_NONE);

    *visit = (struct visit){.casefile = sheet->casefile,
                            .date = sheet->date,
                            .kind = visit_kind_of(sheet, arch),
                            .arch = arch,
                            .right = amounts.right,
                            .left = amounts.left,
                            .tissue = found.tissue,
                            .hardware = found.hardware,
                            .repaired = found.repaired,
                            .override_reason = reason,
                            .next_on = (day)visit_value(sheet, ITEM_NEXT, ARCH_NONE, DAY_NONE),
                            .by = app_by(app),
                            .note = note->filled ? note->entered : ""};
}

/* *row: the visit of the arch; left alone where there is none. */
static enum status append_arch(struct app *app, struct visit_sheet *sheet, int which,
                               const struct judgement *judgement, const char *reason,
                               struct id *row, struct error *error)
{
    enum arch arch = sheet->arches[which];
    struct visit visit, same;
    bool above = false;
    enum status status = STATUS_OK;

    if (sheet->widths[which].value != UM_NONE)
        status = store_append(app->store, RECORD_WIDTH, &sheet->widths[which], error);
    if (status != STATUS_OK || !visit_arch_entered(sheet, arch))
        return status;
    status = rules_override(judgement, sheet->history.protocol, visit_amounts(sheet, arch), &above,
                            error);
    if (status != STATUS_OK)
        return status;
    fill_visit(app, sheet, arch, above ? reason : "", &visit);
    status = store_find_same_key(app->store, RECORD_VISIT, &visit, &sheet->arena, &same, error);
    if (status == STATUS_OK)
        return error_set(error, STATUS_INPUT, "visit",
                         "A %s of the %s arch is already recorded for this day; correct that one.",
                         word_text(&words_visit_kind, (int)visit.kind),
                         word_text(&words_arch, (int)arch));
    if (status != STATUS_NOT_FOUND)
        return status;
    status = store_append(app->store, RECORD_VISIT, &visit, error);
    if (status != STATUS_OK)
        return status;
    *row = visit.head.id;
    return visit_append_judged(app, &visit.head.record, judgement, sheet->history.protocol, error);
}

static bool same_answer(const struct judgement *a, const struct judgement *b)
{
    return a->verdict == b->verdict && a->permitted_right == b->permitted_right &&
           a->permitted_left == b->permitted_left;
}

/* What was saved since the sheet was opened, of all that a verdict or the sheet itself stands on. A
 * booking or a call from the desk stops nobody at the chair. */
static enum status find_saved(struct saving *saving, struct error *error)
{
    const unsigned kinds =
        kind_bit(RECORD_PATIENT) | kind_bit(RECORD_CASEFILE) | kind_bit(RECORD_TRAINER) |
        kind_bit(RECORD_EXPANDER) | kind_bit(RECORD_VISIT) | kind_bit(RECORD_WIDTH) |
        kind_bit(RECORD_WEAR_DAY) | kind_bit(RECORD_WEAR_COUNT) | kind_bit(RECORD_PROTOCOL);
    struct visit_sheet *sheet = saving->sheet;
    uint8_t head[32];

    enum status status = store_head(saving->app->store, &saving->seen, head, error);
    saving->seen--; /* the newest row is this save's own */
    if (status != STATUS_OK || saving->seen == sheet->opened_at)
        return status;
    return meanwhile_of_case(saving->app, &sheet->casefile, sheet->opened_at, STORE_NOW, kinds,
                             &sheet->arena, &saving->list, error);
}

/* May the sheet be saved on the case as it is now? */
static enum status compare_answers(struct saving *saving, const struct judgement before[2],
                                   struct judgement judgements[2], struct error *error)
{
    struct visit_sheet *sheet = saving->sheet;

    sheet->verdict_changed = true;
    for (int i = 0; i < sheet->arch_count; i++) {
        if (visit_expander(&sheet->history, sheet->arches[i], sheet->date) == NULL)
            return error_set(error, STATUS_CONFLICT, "visit",
                             "The %s expander was recorded as out meanwhile; open the visit "
                             "again.",
                             word_text(&words_arch, (int)sheet->arches[i]));
    }
    visit_judge_recorded(sheet, judgements);
    for (int i = 0; i < sheet->arch_count; i++) {
        if (!same_answer(&before[i], &judgements[i]))
            return error_set(error, STATUS_CONFLICT, "visit",
                             "By what was saved meanwhile the verdict of the %s arch is another "
                             "one; nothing is saved here yet: read it again.",
                             word_text(&words_arch, (int)sheet->arches[i]));
    }
    sheet->verdict_changed = false;
    if (saving->list.count == 0)
        return STATUS_OK;
    return error_set(error, STATUS_CONFLICT, "visit",
                     "Something that this visit stands on was saved meanwhile; the verdict is the "
                     "same, nothing is saved here yet.");
}

/*
 * Inside the transaction: the case as it is now. When something was saved in between, nothing is
 * saved here; the sheet holds the newer history from here on, so that the screen shows the new
 * verdict.
 */
static enum status judge_again(struct saving *saving, struct judgement judgements[2],
                               struct error *error)
{
    struct visit_sheet *sheet = saving->sheet;
    struct judgement before[2];

    visit_judge_recorded(sheet, before);
    enum status status = find_saved(saving, error);
    if (status == STATUS_OK)
        status = store_read_case(saving->app->store, &sheet->casefile, STORE_NOW, &sheet->arena,
                                 &sheet->history, error);
    if (status == STATUS_OK)
        status = erase_refuse_entry(&sheet->history, error);
    if (status != STATUS_OK)
        return status;
    if (!visit_make_room(sheet))
        return error_no_memory(error);
    return compare_answers(saving, before, judgements, error);
}

/* The transaction is over: who saved what is told, and is known from here on. */
static enum status tell_saved(struct saving *saving, struct error *error)
{
    struct visit_sheet *sheet = saving->sheet;

    meanwhile_sort(&saving->list);
    sheet->saved = (struct lines){0};
    enum status status =
        meanwhile_tell(saving->app, &saving->list, &sheet->arena, &sheet->saved, error);
    if (status == STATUS_OK)
        sheet->opened_at = saving->seen;
    return status;
}

static enum status append_all(struct saving *saving, struct error *error)
{
    struct app *app = saving->app;
    struct visit_sheet *sheet = saving->sheet;
    struct judgement judgements[2];

    enum status status = judge_again(saving, judgements, error);
    if (status == STATUS_OK && sheet->wear.source != SOURCE_NONE)
        status = store_append(app->store, RECORD_WEAR_COUNT, &sheet->wear, error);
    for (int i = 0; i < sheet->arch_count && status == STATUS_OK; i++)
        status =
            append_arch(app, sheet, i, &judgements[i], saving->reason, &saving->rows[i], error);
    if (status == STATUS_OK)
        status = visit_end_bookings(app, &sheet->history, sheet->date, BOOKED_KEPT, error);
    if (status == STATUS_OK)
        status = store_end_draft(app->store, app->user, "visit", &sheet->casefile, &sheet->request,
                                 error);
    return status;
}

static bool holds_width(const struct visit_sheet *sheet)
{
    for (int i = 0; i < sheet->arch_count; i++) {
        if (sheet->widths[i].value != UM_NONE)
            return true;
    }
    return false;
}

static enum status check_reason(struct app *app, struct visit_sheet *sheet, int reason,
                                const char *reason_text, struct error *error)
{
    bool needs_reason;
    int index;
    bool told = text_says(reason_text);
    bool other = reason > 0 && visit_reason(reason) != NULL && visit_reason(reason + 1) == NULL;
    bool given = told || (reason > 0 && visit_reason(reason) != NULL && !other);

    enum status status = visit_ready(sheet, &needs_reason, &index, error);
    if (status == STATUS_REFUSED) /* the role may have changed since; if it has not, it is logged */
        status = app_allow(app, COMMAND_OVERRIDE, sheet->history.casefile->number, error);
    else if (status == STATUS_OK && needs_reason)
        status = app_allow(app, COMMAND_OVERRIDE, sheet->history.casefile->number, error);
    if (status == STATUS_OK && needs_reason && !given)
        status = error_set(error, STATUS_INPUT, "reason",
                           other ? "\"%s\" says nothing by itself; write the reason behind it."
                                 : "More than permitted is saved only with a reason.",
                           other ? visit_reason(reason) : "");
    if (status == STATUS_OK && reason_text != NULL)
        status =
            text_check(reason_text, strlen(reason_text), TEXT_NOTE_CHARACTERS, "reason", error);
    return status;
}

/* Each visit has its own signature; behind everything else, so that it stands on all of it. */
static enum status sign_rows(struct app *app, struct visit_sheet *sheet, const struct id rows[2],
                             enum proof proof, struct error *error)
{
    enum status status = STATUS_OK;

    for (int i = 0; i < sheet->arch_count && status == STATUS_OK; i++) {
        if (!id_is_none(&rows[i]))
            status = sign_saved(app, &rows[i], proof, &sheet->is_signed, error);
    }
    return status;
}

/* An earlier try was saved after all, signed or not: the draft has done its work. */
static enum status saved_before(struct app *app, struct visit_sheet *sheet, struct error *error)
{
    enum status status = sign_was_saved(app, &sheet->request, &sheet->is_signed, error);

    return status == STATUS_OK ? store_end_draft(app->store, app->user, "visit", &sheet->casefile,
                                                 &sheet->request, error)
                               : status;
}

enum status visit_save(struct app *app, struct visit_sheet *sheet, int reason,
                       const char *reason_text, struct error *error)
{
    struct saving saving = {.app = app, .sheet = sheet};
    struct app_save save;
    const enum proof proof = sheet->proof;
    struct store_request request = {.id = sheet->request, .command = "visit", .seat = app->seat};
    struct error untold = {0};

    sheet->proof = PROOF_NONE;
    sheet->is_signed = false;
    enum status status = check_reason(app, sheet, reason, reason_text, error);
    if (status != STATUS_OK)
        return status;
    saving.reason = reason_of(&sheet->arena, reason, reason_text);
    if (saving.reason == NULL)
        return error_no_memory(error);
    status = app_save_begin(app, COMMAND_TO_VISIT, &request, &save, error);
    if (status == STATUS_ALREADY)
        return saved_before(app, sheet, error);
    if (status != STATUS_OK)
        return status;
    status = append_all(&saving, error);
    if (status == STATUS_OK)
        status = app_save_touch(&save, &sheet->casefile, error);
    if (status == STATUS_OK && holds_width(sheet))
        status = app_save_width_error(&save, error);
    if (status == STATUS_OK)
        status = sign_rows(app, sheet, saving.rows, proof, error);
    if (status == STATUS_OK)
        return app_save_commit(&save, error);
    app_save_drop(&save);
    if (status != STATUS_CONFLICT)
        return status;
    visit_judge(sheet);
    if (tell_saved(&saving, &untold) != STATUS_OK) {
        if (error != NULL)
            *error = untold;
        return untold.status;
    }
    return status;
}
