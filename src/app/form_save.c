/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Saving a form: one transaction for everything in it, the whole case checked inside it. */
#include <string.h>

#include "form_engine.h"
#include "springline/app/authority.h"
#include "springline/app/conflict.h"
#include "springline/app/erase.h"
#include "springline/app/sign.h"

/* A save on its way. */
struct saving {
    struct app *app;
    struct form *form;
    struct app_save save;
    struct form_slot slots[FORM_SLOTS]; /* as they were, for another try */
    bool written[FORM_SLOTS];
    enum proof proof;
    bool signs, is_signed; /* does it write what wants a signature, and was that given? */
    int64_t first;         /* sequence of the save's first row */
    struct arena arena;
    struct history before; /* the case inside the transaction, before anything is written */
};

/* ---- the rows ---- */

/* Another record with the same key: two of one number, or one thing written down twice. */
static enum status check_key(struct saving *saving, const struct form_slot *slot,
                             struct error *error)
{
    union any_record same;
    struct text told = {0};

    enum status status = store_find_same_key(saving->app->store, slot->record, &slot->now,
                                             &saving->arena, &same, error);
    if (status == STATUS_NOT_FOUND)
        return STATUS_OK;
    if (status != STATUS_OK)
        return status;
    if (id_equal(&same.head.record, &slot->now.head.record))
        return STATUS_OK;
    form_describe(&told, slot->record, &same);
    status = error_set(error, STATUS_INPUT, record_tables[slot->record].table,
                       "This is recorded already: %.300s; correct that one.", text_string(&told));
    text_release(&told);
    return status;
}

static enum status append_slot(struct saving *saving, int which, struct error *error)
{
    struct form_slot *slot = &form_inner(saving->form)->slots[which];
    struct text told = {0};

    enum status status = check_key(saving, slot, error);
    if (status != STATUS_OK)
        return status;
    if (slot->now.head.reason == NULL || slot->now.head.reason[0] == '\0')
        slot->now.head.reason = slot->present ? form_inner(saving->form)->reason : "";
    status = store_append(saving->app->store, slot->record, &slot->now, error);
    if (status != STATUS_CONFLICT)
        return status;
    form_describe(&told, slot->record, &slot->before);
    status = error_set(error, STATUS_CONFLICT, saving->form->title,
                       "This was changed meanwhile, nothing is saved here yet: %.300s.",
                       text_string(&told));
    text_release(&told);
    return status;
}

/* A template may append its slots itself, in another order: they count as written all the same. */
static void note_written(struct saving *saving)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        const struct form_slot *slot = &form_inner(saving->form)->slots[i];
        saving->written[i] =
            form_withdraws(saving->form) ? i == 0 : saving->written[i] || form_slot_written(slot);
    }
}

static enum status append_slots(struct saving *saving, struct error *error)
{
    struct form_inner *inner = form_inner(saving->form);
    enum status status = STATUS_OK;

    note_written(saving);
    if (inner->template->append != NULL)
        status = inner->template->append(saving->app, saving->form, &saving->save, error);
    note_written(saving);
    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        if (form_slot_written(&inner->slots[i]))
            status = append_slot(saving, i, error);
    }
    return status;
}

/* ---- the case ---- */

static bool has_case(const struct form *form)
{
    struct id casefile = form_casefile(form);

    return !id_is_none(&casefile) &&
           !(form_withdraws(form) && form_inner(form)->slots[0].record == RECORD_CASEFILE);
}

/* What the case is like before: a new one has no before. */
static enum status read_before(struct saving *saving, struct error *error)
{
    struct id casefile = form_casefile(saving->form);

    if (!has_case(saving->form) || !id_equal(&casefile, &saving->form->subject.casefile))
        return STATUS_OK;
    enum status status = store_read_case(saving->app->store, &casefile, STORE_NOW, &saving->arena,
                                         &saving->before, error);
    /* Erased at another seat since the form was opened: the name on it must not come back. */
    return status == STATUS_OK ? erase_refuse_entry(&saving->before, error) : status;
}

static enum status check_case(struct saving *saving, struct error *error)
{
    struct id casefile = form_casefile(saving->form);
    struct history after;

    if (!has_case(saving->form))
        return STATUS_OK;
    enum status status =
        store_read_case(saving->app->store, &casefile, STORE_NOW, &saving->arena, &after, error);
    if (status == STATUS_OK) /* of a new case */
        status = erase_refuse_entry(&after, error);
    if (status != STATUS_OK)
        return status;
    return form_contradiction(saving->form,
                              saving->before.casefile == NULL ? &after : &saving->before, &after,
                              saving->first, error);
}

/* ---- what must follow ---- */

struct touching {
    struct app_save *save;
    const struct id *patient; /* NULL: by protocol */
    const char *protocol;
};

static enum status touch_if(void *context, const void *record, struct error *error)
{
    const struct touching *touching = context;
    const struct casefile *casefile = record;
    const char *name = casefile->protocol == NULL ? "" : casefile->protocol;
    bool hit;

    if (touching->patient != NULL)
        hit = id_equal(&casefile->patient, touching->patient);
    else
        hit = strcmp(name[0] == '\0' ? STORE_PRACTICE_PROTOCOL : name, touching->protocol) == 0;
    return hit ? app_save_touch(touching->save, &casefile->head.record, error) : STATUS_OK;
}

/* A patient's name and a protocol's values stand behind the state of every case that has them. */
static enum status touch_others(struct saving *saving, struct error *error)
{
    const struct form_inner *inner = form_inner(saving->form);
    enum status status = STATUS_OK;

    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        const struct form_slot *slot = &inner->slots[i];
        struct touching touching = {.save = &saving->save};
        if (!saving->written[i])
            continue;
        if (slot->record == RECORD_PATIENT)
            touching.patient = &slot->now.head.record;
        else if (slot->record == RECORD_PROTOCOL)
            touching.protocol = slot->now.protocol.name;
        else
            continue;
        status = store_each_row(saving->app->store, RECORD_CASEFILE, STORE_NOW, touch_if, &touching,
                                error);
    }
    return status;
}

static bool holds(const struct saving *saving, enum record_kind kind)
{
    for (int i = 0; i < FORM_SLOTS; i++) {
        if (saving->written[i] && form_inner(saving->form)->slots[i].record == kind)
            return true;
    }
    return false;
}

static enum status follow_up(struct saving *saving, struct error *error)
{
    struct id casefile = form_casefile(saving->form);
    enum status status = check_case(saving, error);

    if (status == STATUS_OK && has_case(saving->form))
        status = app_save_touch(&saving->save, &casefile, error);
    if (status == STATUS_OK)
        status = touch_others(saving, error);
    if (status == STATUS_OK && holds(saving, RECORD_WIDTH))
        status = app_save_width_error(&saving->save, error);
    return status == STATUS_OK ? form_end_draft(saving->app, saving->form, error) : status;
}

/* ---- signing ---- */

/* The row that wants a signature: a visit's, or, withdrawn, the one that goes. */
static const struct id *row_to_sign(const struct saving *saving, int which)
{
    const struct form_slot *slot = &form_inner(saving->form)->slots[which];

    if (slot->record != RECORD_VISIT || !saving->written[which])
        return NULL;
    return form_withdraws(saving->form) ? &slot->before.head.id : &slot->now.head.id;
}

/* Behind everything else, so that each signature stands on all of it. */
static enum status sign_visits(struct saving *saving, struct error *error)
{
    enum status status = STATUS_OK;

    for (int i = 0; i < FORM_SLOTS && status == STATUS_OK; i++) {
        const struct id *row = row_to_sign(saving, i);
        bool is_signed = false;
        if (row != NULL)
            status = sign_saved(saving->app, row, saving->proof, &is_signed, error);
        saving->is_signed = saving->is_signed || is_signed;
    }
    return status;
}

/* ---- the save ---- */

/* "Saved: width of 2026-11-25, upper 35.25 mm." */
static enum status tell_saved(struct saving *saving, struct error *error)
{
    struct form_inner *inner = form_inner(saving->form);
    const char *before = form_withdraws(saving->form) ? "Withdrawn: " : "Saved: ";
    struct text told = {0};

    if (inner->saved != NULL && inner->saved[0] != '\0')
        return STATUS_OK;
    for (int i = 0; i < FORM_SLOTS; i++) {
        if (!saving->written[i])
            continue;
        text_add(&told, before);
        form_describe(&told, inner->slots[i].record, &inner->slots[i].now);
        before = "; ";
    }
    if (told.length == 0) /* the template's own rows, saved by an earlier try */
        text_addf(&told, "%s%s", before, saving->form->title);
    if (saving->signs)
        text_add(&told, saving->is_signed ? "; signed" : "; not signed yet");
    text_add(&told, ".");
    if (!told.failed)
        inner->saved = arena_text(&saving->form->arena, text_string(&told), told.length);
    bool done = !told.failed && inner->saved != NULL;
    text_release(&told);
    return done ? STATUS_OK : error_no_memory(error);
}

static enum status write_all(struct saving *saving, struct error *error)
{
    uint8_t head[32];

    enum status status = store_head(saving->app->store, &saving->first, head, error);
    saving->first++; /* behind the row of the request */
    if (status == STATUS_OK)
        status = read_before(saving, error);
    if (status == STATUS_OK)
        status = append_slots(saving, error);
    if (status == STATUS_OK)
        status = follow_up(saving, error);
    if (status == STATUS_OK)
        status = sign_visits(saving, error);
    return status == STATUS_OK ? tell_saved(saving, error) : status;
}

static enum status check_reason(struct app *app, struct form *form, const char *reason,
                                struct error *error)
{
    bool needed = false;
    int index;

    enum status status = form_ready(app, form, &needed, &index, error);
    if (status == STATUS_OK && needed && !text_says(reason))
        status = error_set(error, STATUS_INPUT, "reason",
                           form_withdraws(form)
                               ? "A record is withdrawn only with a reason; write why."
                               : "A recorded value is changed only with a reason; write why.");
    return status == STATUS_OK
               ? text_check(reason, strlen(reason), TEXT_NOTE_CHARACTERS, "reason", error)
               : status;
}

/* Saved by an earlier try after all: the draft has done its work. */
static enum status saved_before(struct saving *saving, struct error *error)
{
    note_written(saving);
    enum status status =
        sign_was_saved(saving->app, &saving->form->request, &saving->is_signed, error);
    if (status == STATUS_OK)
        status = form_end_draft(saving->app, saving->form, error);
    return status == STATUS_OK ? tell_saved(saving, error) : status;
}

/* What was saved since the form was opened is read first, also where no row of it is written here.
 * The newest row of the ledger is this save's own. */
static enum status check_meanwhile(struct saving *saving, struct error *error)
{
    uint8_t head[32];
    int64_t newest = 0;

    enum status status = store_head(saving->app->store, &newest, head, error);
    if (status != STATUS_OK || newest - 1 == saving->form->opened_at)
        return status;
    return conflict_check(saving->app, saving->form, error);
}

/* Checked inside the transaction: what another try has saved already is no second record. */
static enum status save_form(struct saving *saving, struct error *error)
{
    struct app *app = saving->app;
    struct store_request request = {.id = saving->form->request,
                                    .command = form_inner(saving->form)->template->name,
                                    .seat = app->seat};

    enum status status = form_allow_save(app, saving->form, error);
    if (status == STATUS_OK)
        status = app_save_begin(app, form_command(saving->form), &request, &saving->save, error);
    if (status == STATUS_ALREADY)
        return saved_before(saving, error);
    if (status != STATUS_OK)
        return status;
    status = form_may_amend(app, saving->form, error); /* it may just have been signed */
    bool refused = status == STATUS_REFUSED;
    if (status == STATUS_OK)
        status = check_meanwhile(saving, error);
    if (status == STATUS_OK)
        status = check_reason(app, saving->form, form_inner(saving->form)->reason, error);
    memcpy(saving->slots, form_inner(saving->form)->slots, sizeof saving->slots);
    if (status == STATUS_OK)
        status = write_all(saving, error);
    if (status != STATUS_OK) {
        app_save_drop(&saving->save);
        return refused ? form_refuse_amend(app, saving->form, error) : status;
    }
    status = app_save_commit(&saving->save, error);
    if (status == STATUS_OK && holds(saving, RECORD_PERSON))
        (void)app_know_person(app, NULL); /* saved is saved, whether the name is found or not */
    return status;
}

enum status form_save(struct app *app, struct form *form, const char *reason, struct error *error)
{
    struct form_inner *inner = form_inner(form);
    struct saving saving = {
        .app = app, .form = form, .proof = form->proof, .signs = form_signs(form)};
    const char *saved = inner->saved;

    form->proof = PROOF_NONE;
    inner->reason =
        arena_text(&form->arena, reason == NULL ? "" : reason, reason == NULL ? 0 : strlen(reason));
    if (inner->reason == NULL)
        return error_no_memory(error);
    memcpy(saving.slots, inner->slots, sizeof saving.slots);
    enum status status = save_form(&saving, error);
    arena_release(&saving.arena);
    if (status != STATUS_OK) { /* as if it had not been tried */
        memcpy(inner->slots, saving.slots, sizeof saving.slots);
        inner->saved = saved;
    }
    return status;
}
