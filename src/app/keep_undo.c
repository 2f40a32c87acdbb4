/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Taking a whole import back: one save that withdraws each of its rows, newest first, and rewrites
 * or drops the states of their cases. Nothing is withdrawn that something recorded later stands on.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "keep_private.h"
#include "springline/app/authority.h"
#include "springline/app/grow.h"

/* "@17" or "17"; 0: neither. */
static int64_t read_batch(const char *text)
{
    int64_t batch = 0;

    if (text[0] == '@')
        text++;
    for (; text[0] >= '0' && text[0] <= '9' && batch < INT64_C(100000000000000); text++)
        batch = batch * 10 + (text[0] - '0');
    return text[0] == '\0' ? batch : 0;
}

struct seeking {
    struct undo *undo;
    int64_t wanted;
    struct text list; /* every import, a line each */
};

static enum status seek_batch(void *context, const struct store_save_told *told,
                              struct error *error)
{
    struct seeking *seeking = context;
    struct undo *undo = seeking->undo;

    undo_tell_batch(&seeking->list, told);
    if (told->sequence != seeking->wanted)
        return STATUS_OK;
    undo->batch = *told;
    undo->batch.label = arena_text(&undo->arena, told->label, strlen(told->label));
    return undo->batch.label == NULL ? error_no_memory(error) : STATUS_OK;
}

/* The import that is meant; the list of those there are, when there is no such one. */
static enum status find_batch(struct undo *undo, const char *batch, struct error *error)
{
    struct seeking seeking = {.undo = undo, .wanted = read_batch(batch)};

    enum status status = store_each_import(undo->app->store, seek_batch, &seeking, error);
    if (status == STATUS_OK && seeking.list.failed)
        status = error_no_memory(error);
    if (status == STATUS_OK && undo->batch.sequence == 0) {
        text_add(undo->out, text_string(&seeking.list));
        status = error_set(error, STATUS_NOT_FOUND, NULL,
                           seeking.list.length > 0
                               ? "There is no import \"%.60s\"; give one of these."
                               : "There is no import \"%.60s\"; nothing was imported yet.",
                           batch);
    }
    text_release(&seeking.list);
    return status;
}

/* ---- what the import wrote ---- */

/* Settings that it brought about are not withdrawn: without any nothing would be permitted. */
static enum status add_row(void *context, enum record_kind kind, const struct id *row,
                           struct error *error)
{
    struct undo *undo = context;

    if (kind == RECORD_PROTOCOL) {
        undo->protocol = *row;
        return STATUS_OK;
    }
    undo->widths = undo->widths || kind == RECORD_WIDTH;
    if (!app_grow(&undo->arena, (void **)&undo->rows, undo->row_count, &undo->row_capacity,
                  sizeof *undo->rows))
        return error_no_memory(error);
    undo->rows[undo->row_count++] = (struct undo_row){kind, *row};
    return STATUS_OK;
}

/* The case a row belongs to; none for a patient. */
static struct id case_of(enum record_kind kind, const union any_record *record)
{
    const struct record_table *table = &record_tables[kind];
    struct id id = {{0}};

    if (kind == RECORD_CASEFILE)
        return record->head.record;
    for (size_t i = 0; i < table->field_count; i++)
        if (table->fields[i].type == FIELD_ID && table->fields[i].refers == RECORD_CASEFILE)
            memcpy(&id, (const char *)record + table->fields[i].offset, sizeof id);
    return id;
}

static enum status add_case_of(struct undo *undo, const struct undo_row *row, struct arena *arena,
                               struct error *error)
{
    union any_record record;

    arena_clear(arena);
    enum status status =
        store_read_row(undo->app->store, row->kind, &row->row, arena, &record, error);
    if (status != STATUS_OK)
        return status;
    struct id id = case_of(row->kind, &record);
    if (id_is_none(&id) ||
        (undo->case_count > 0 && id_equal(&undo->cases[undo->case_count - 1].id, &id)))
        return STATUS_OK;
    if (!app_grow(&undo->arena, (void **)&undo->cases, undo->case_count, &undo->case_capacity,
                  sizeof *undo->cases))
        return error_no_memory(error);
    undo->cases[undo->case_count++] = (struct undo_case){.id = id};
    return STATUS_OK;
}

static int compare_cases(const void *a, const void *b)
{
    const struct undo_case *left = a, *right = b;
    return id_compare(&left->id, &right->id);
}

static enum status collect(struct undo *undo, struct error *error)
{
    struct arena arena = {0};
    size_t kept = 0;

    enum status status =
        store_each_row_of_save(undo->app->store, &undo->batch.id, add_row, undo, error);
    for (size_t i = 0; i < undo->row_count && status == STATUS_OK; i++)
        status = add_case_of(undo, &undo->rows[i], &arena, error);
    arena_release(&arena);
    if (status != STATUS_OK || undo->case_count == 0)
        return status;
    qsort(undo->cases, undo->case_count, sizeof *undo->cases, compare_cases);
    for (size_t i = 0; i < undo->case_count; i++)
        if (kept == 0 || !id_equal(&undo->cases[kept - 1].id, &undo->cases[i].id))
            undo->cases[kept++] = undo->cases[i];
    undo->case_count = kept;
    return STATUS_OK;
}

/* ---- what stands in the way, and what it does to stored verdicts ---- */

/* Which cases are rows of the import itself. */
static void find_own_cases(struct undo *undo)
{
    for (size_t i = 0; i < undo->row_count; i++) {
        const struct undo_case wanted = {.id = undo->rows[i].row};
        struct undo_case *found;

        if (undo->rows[i].kind != RECORD_CASEFILE)
            continue;
        found = bsearch(&wanted, undo->cases, undo->case_count, sizeof wanted, compare_cases);
        if (found != NULL)
            found->own = true;
    }
}

static enum status check_free(struct undo *undo, struct error *error)
{
    enum record_kind kind = RECORD_KIND_COUNT;
    struct draft draft;
    struct id row;
    int64_t sequence;

    enum status status =
        store_find_dependent(undo->app->store, &undo->batch.id, &kind, &row, &sequence, error);
    if (status == STATUS_OK)
        return undo_refuse_dependent(undo, kind, &row, error);
    if (status != STATUS_NOT_FOUND)
        return status;
    if (undo->row_count == 0)
        return error_set(error, STATUS_INPUT, NULL,
                         "Import @%" PRId64 " was taken back already: none of its rows stands.",
                         undo->batch.sequence);
    find_own_cases(undo);
    for (size_t i = 0; i < undo->case_count; i++) {
        if (!undo->cases[i].own)
            continue;
        status =
            store_find_draft(undo->app->store, &undo->cases[i].id, &undo->arena, &draft, error);
        if (status == STATUS_OK)
            return undo_refuse_draft(undo, &draft, error);
        if (status != STATUS_NOT_FOUND)
            return status;
    }
    return STATUS_OK;
}

/* The verdicts that differ from the record as it stands now. */
static enum status mark(struct undo *undo, const struct undo_case *of, struct effects *effects,
                        struct history *history, struct error *error)
{
    enum status status =
        store_read_case(undo->app->store, &of->id, STORE_NOW, &undo->arena, history, error);

    return status == STATUS_OK ? effect_marks(undo->app, history, &undo->arena, effects, error)
                               : status;
}

/* The verdicts of cases that stay, before anything is withdrawn. */
static enum status mark_before(struct undo *undo, struct error *error)
{
    struct arena arena = {0};
    struct history history;
    enum status status = STATUS_OK;

    for (size_t i = 0; i < undo->case_count && status == STATUS_OK; i++) {
        struct undo_case *of = &undo->cases[i];

        if (of->own)
            continue;
        arena_clear(&arena);
        status = store_read_case(undo->app->store, &of->id, STORE_NOW, &arena, &history, error);
        of->judged = status == STATUS_OK && history.judged_count > 0;
        if (status == STATUS_OK)
            of->wrong = undo_count_wrong(&history, NULL);
        if (status == STATUS_NOT_FOUND) /* the case was withdrawn before */
            status = STATUS_OK;
        if (of->judged)
            status = mark(undo, of, &of->before, &history, error);
    }
    arena_release(&arena);
    return status;
}

static enum status tell_effects(struct undo *undo, const struct undo_case *of, struct error *error)
{
    struct history history;
    struct effects after, added = {.count = 0};

    enum status status = mark(undo, of, &after, &history, error);
    if (status == STATUS_OK)
        status = effect_added(&of->before, &after, &undo->arena, &added, error);
    for (size_t i = 0; i < added.count && status == STATUS_OK; i++) {
        text_add(undo->effects, "case ");
        text_add_shown(undo->effects, history.casefile->number);
        text_add(undo->effects, ", visit of ");
        effect_tell(undo->effects, &added.rows[i]);
        text_add(undo->effects, "\n");
    }
    return status;
}

/* What is left of a case must hold together: activations of an expander that is gone would leave
 * a child with a wire in the mouth on no list. */
static enum status check_left(struct undo *undo, const struct undo_case *of, struct error *error)
{
    struct arena arena = {0};
    struct history left;
    struct error why = {0};

    enum status status =
        store_read_case(undo->app->store, &of->id, STORE_NOW, &arena, &left, error);
    if (status == STATUS_OK && undo_count_wrong(&left, &why) > of->wrong)
        status = undo_refuse_wrong(undo, &left, &why, error);
    arena_release(&arena);
    return status;
}

/* ---- doing it ---- */

static enum status withdraw_rows(struct undo *undo, struct error *error)
{
    char reason[64];
    enum status status = STATUS_OK;

    (void)snprintf(reason, sizeof reason, "import @%" PRId64 " was taken back",
                   undo->batch.sequence);
    for (size_t i = 0; i < undo->row_count && status == STATUS_OK; i++)
        status =
            store_withdraw(undo->app->store, undo->rows[i].kind, &undo->rows[i].row, reason, error);
    return status;
}

/* A case that is gone loses its state; the others get theirs anew. */
static enum status settle_cases(struct undo *undo, struct app_save *save, struct error *error)
{
    enum status status = STATUS_OK;

    for (size_t i = 0; i < undo->case_count && status == STATUS_OK; i++) {
        const struct undo_case *of = &undo->cases[i];
        struct casefile file;

        status = store_read_current(undo->app->store, RECORD_CASEFILE, &of->id, &undo->arena, &file,
                                    error);
        if (status == STATUS_NOT_FOUND) {
            undo->cases_gone += of->own;
            status = store_drop_state(undo->app->store, &of->id, error);
            continue;
        }
        if (status == STATUS_OK)
            status = check_left(undo, of, error);
        if (status == STATUS_OK)
            status = app_save_touch(save, &of->id, error);
        if (status == STATUS_OK && of->judged)
            status = tell_effects(undo, of, error);
    }
    return status;
}

static enum status take_back(struct undo *undo, struct app_save *save, struct error *error)
{
    enum status status = collect(undo, error);

    if (status == STATUS_OK)
        status = check_free(undo, error);
    if (status == STATUS_OK)
        status = mark_before(undo, error);
    if (status == STATUS_OK)
        status = withdraw_rows(undo, error);
    if (status == STATUS_OK)
        status = settle_cases(undo, save, error);
    if (status == STATUS_OK)
        status = undo_width_error(undo, save, error);
    if (status == STATUS_OK && undo->effects->failed)
        status = error_no_memory(error);
    return status;
}

/* The whole of it is one save: nobody can record on a row between the look and the withdrawal. */
static enum status save_undo(struct undo *undo, struct error *error)
{
    char label[32];
    struct app_save save;

    (void)snprintf(label, sizeof label, "@%" PRId64, undo->batch.sequence);
    const struct store_request request = {.id = store_new_id(undo->app->store),
                                          .command = "undo-import",
                                          .seat = undo->app->seat,
                                          .label = label};
    enum status status = app_save_begin(undo->app, COMMAND_UNDO_IMPORT, &request, &save, error);
    if (status != STATUS_OK)
        return status;
    status = take_back(undo, &save, error);
    if (status == STATUS_OK)
        return app_save_commit(&save, error);
    app_save_drop(&save);
    return status;
}

enum status keep_undo_import(struct app *app, const char *batch, struct text *out,
                             struct error *error)
{
    struct text effects = {0};
    struct undo undo = {.app = app, .out = out, .effects = &effects};

    enum status status = find_batch(&undo, batch, error);
    if (status == STATUS_OK)
        status = save_undo(&undo, error);
    if (status == STATUS_OK)
        undo_tell_done(&undo);
    arena_release(&undo.arena);
    text_release(&effects);
    return out->failed ? error_no_memory(error) : status;
}
