/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of undo-import: the batches there are, and what stands in its way. */
#include <inttypes.h>
#include <string.h>

#include "keep_private.h"

static void add_rows(struct text *out, int64_t rows)
{
    text_addf(out, "%" PRId64 " %s", rows, rows == 1 ? "row" : "rows");
}

void undo_tell_batch(struct text *out, const struct store_save_told *told)
{
    char at[INSTANT_TEXT_SIZE];

    text_addf(out, "@%" PRId64 "  %s  ", told->sequence, instant_to_text(told->at, at));
    text_add_shown(out, told->label);
    text_add(out, "  ");
    add_rows(out, told->rows);
    if (told->rows > 0 && told->withdrawn == told->rows)
        text_add(out, ", taken back");
    else if (told->withdrawn > 0)
        text_addf(out, ", %" PRId64 " of them withdrawn", told->withdrawn);
    text_add(out, "\n");
}

/* The number of a case, "?" when it can not be read. */
static void add_case_number(struct undo *undo, const struct id *casefile, struct text *out)
{
    struct casefile file;
    enum status status =
        store_read_current(undo->app->store, RECORD_CASEFILE, casefile, &undo->arena, &file, NULL);

    text_add(out, "case ");
    text_add_shown(out, status == STATUS_OK ? file.number : "?");
}

/* "visit of case C-0007, date 2026-11-20, kind activation, arch upper" */
static void add_key(struct undo *undo, enum record_kind kind, const union any_record *record,
                    struct text *out)
{
    const struct record_table *table = &record_tables[kind];
    struct text cell = {0};
    struct id id;

    for (const char *at = kind == RECORD_CASEFILE ? "case" : table->table; *at != '\0'; at++)
        text_add_byte(out, *at == '_' ? ' ' : *at);
    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];

        if ((field->flags & FIELD_KEY) == 0)
            continue;
        if (field->type == FIELD_ID) {
            memcpy(&id, (const char *)record + field->offset, sizeof id);
            text_add(out, " of ");
            if (field->refers == RECORD_CASEFILE)
                add_case_number(undo, &id, out);
            continue;
        }
        text_clear(&cell);
        exchange_add_cell(&cell, field, record);
        if (cell.length == 0)
            continue;
        if (kind == RECORD_CASEFILE || kind == RECORD_PATIENT)
            text_add(out, " ");
        else
            text_addf(out, ", %s ", field->name);
        text_add_shown(out, text_string(&cell));
    }
    out->failed = out->failed || cell.failed;
    text_release(&cell);
}

/* What has to be done first: another import is taken back as a whole. */
static void add_way_out(struct undo *undo, const struct row_head *head, struct text *out)
{
    struct store_save_told told;

    if (head->imported &&
        store_read_save(undo->app->store, &head->request, &undo->arena, &told, NULL) == STATUS_OK)
        text_addf(out, "take back import @%" PRId64 " first.", told.sequence);
    else
        text_add(out, "withdraw that first.");
}

enum status undo_refuse_dependent(struct undo *undo, enum record_kind kind, const struct id *row,
                                  struct error *error)
{
    union {
        union any_record record;
        struct judged judged;
    } found;
    char at[INSTANT_TEXT_SIZE];
    struct text key = {0}, way = {0};

    enum status status = store_read_row(undo->app->store, kind, row, &undo->arena, &found, error);
    if (status != STATUS_OK)
        return status;
    const struct row_head *head = &found.record.head;
    if (kind == RECORD_JUDGED)
        text_add(&key, "verdict of a visit");
    else
        add_key(undo, kind, &found.record, &key);
    add_way_out(undo, head, &way);
    if (key.failed || way.failed)
        status = error_no_memory(error);
    else
        status = error_set(error, STATUS_INPUT, NULL,
                           "Import @%" PRId64 " can not be taken back: %s (%s, recorded %s) stands "
                           "on its rows; %s",
                           undo->batch.sequence, text_string(&key),
                           head->version > 1 ? "corrected" : "later",
                           instant_to_text(head->recorded_at, at), text_string(&way));
    text_release(&key);
    text_release(&way);
    return status;
}

enum status undo_refuse_draft(struct undo *undo, const struct draft *draft, struct error *error)
{
    struct text number = {0};

    add_case_number(undo, &draft->casefile, &number);
    enum status status = error_set(
        error, STATUS_INPUT, NULL,
        "Import @%" PRId64 " can not be taken back: %s has an unsaved %s of %s; it must be saved "
        "or thrown away first.",
        undo->batch.sequence, draft->user, draft->form, text_string(&number));
    text_release(&number);
    return status;
}

struct wrong {
    size_t count;
    struct error *last;
};

static void count_wrong(void *context, const struct case_finding *finding)
{
    struct wrong *wrong = context;

    wrong->count++;
    (void)error_set(wrong->last, STATUS_INPUT, finding->column, "%s", finding->sentence);
}

size_t undo_count_wrong(const struct history *history, struct error *last)
{
    struct wrong wrong = {.last = last};

    import_check_case(history, 0, count_wrong, &wrong);
    return wrong.count;
}

enum status undo_refuse_wrong(struct undo *undo, const struct history *left,
                              const struct error *why, struct error *error)
{
    return error_set(error, STATUS_INPUT, NULL,
                     "Import @%" PRId64 " can not be taken back: what is left of case %.60s would "
                     "contradict itself (%.300s); take back or withdraw what was recorded on these "
                     "rows first.",
                     undo->batch.sequence, left->casefile->number, why->sentence);
}

void undo_tell_done(const struct undo *undo)
{
    struct text *out = undo->out;

    text_addf(out, "Import @%" PRId64 " (", undo->batch.sequence);
    text_add_shown(out, undo->batch.label);
    text_add(out, ") is taken back: ");
    add_rows(out, (int64_t)undo->row_count);
    text_addf(out, " withdrawn, %zu %s among them; they may be imported again.\n", undo->cases_gone,
              undo->cases_gone == 1 ? "case" : "cases");
    text_add(out, text_string(undo->effects));
    out->failed = out->failed || undo->effects->failed;
}
