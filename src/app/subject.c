/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of everything kept of one patient, as cells. */
#include "springline/app/subject.h"

#include <inttypes.h>
#include <string.h>

#include "exchange_private.h"
#include "springline/app/authority.h"
#include "springline/app/grow.h"
#include "springline/app/sentence.h"
#include "springline/app/sign.h"
#include "springline/store/subject.h"
#include "subject_private.h"

enum { CELLS_MAX = 64, TRIES_MAX = 5, HASH_BYTES = 32 };

/* What stands behind the fields of every row. */
static const char *const tail[] = {"row_state",
                                   "version",
                                   "row_id",
                                   "record_id",
                                   "recorded_at",
                                   "recorded_by",
                                   "seat",
                                   "saved_with",
                                   "imported_from",
                                   "reason",
                                   "ledger_row",
                                   "ledger_hash",
                                   "withdrawn_at",
                                   "withdrawn_by",
                                   "withdrawn_reason",
                                   "withdrawn_ledger_row",
                                   "withdrawn_ledger_hash"};
enum { TAIL_COUNT = sizeof tail / sizeof tail[0] };

/* Rows of one kind on their way into one file. */
struct pouring {
    struct subject *subject;
    enum record_kind kind;
    struct text cells; /* each with its NUL */
    size_t starts[CELLS_MAX], count;
};

const char *subject_case_number(const struct subject *subject, const struct id *record)
{
    for (size_t i = 0; i < subject->case_count; i++)
        if (id_equal(&subject->cases[i].record, record))
            return subject->cases[i].number;
    return "";
}

/* ---- cells ---- */

static void begin_cell(struct pouring *pouring)
{
    if (pouring->count > 0)
        text_append(&pouring->cells, "", 1);
    if (pouring->count < CELLS_MAX)
        pouring->starts[pouring->count++] = pouring->cells.length;
}

static void add_cell(struct pouring *pouring, const char *text)
{
    begin_cell(pouring);
    exchange_guard(&pouring->cells, text == NULL ? "" : text);
}

static void add_number(struct pouring *pouring, int64_t number)
{
    begin_cell(pouring);
    text_addf(&pouring->cells, "%" PRId64, number);
}

static void add_id(struct pouring *pouring, const struct id *id)
{
    char text[ID_TEXT_SIZE];

    begin_cell(pouring);
    text_add(&pouring->cells, id_is_none(id) ? "" : id_to_text(id, text));
}

static void add_instant(struct pouring *pouring, instant at)
{
    char text[INSTANT_TEXT_SIZE];

    begin_cell(pouring);
    text_add(&pouring->cells, instant_to_text(at, text));
}

static void add_hash(struct pouring *pouring, const uint8_t hash[HASH_BYTES])
{
    char text[2 * HASH_BYTES + 1];

    sign_hex(hash, HASH_BYTES, text);
    begin_cell(pouring);
    text_add(&pouring->cells, text);
}

static enum status pour(struct pouring *pouring, struct error *error)
{
    const struct subject_taker *taker = pouring->subject->taker;
    const char *columns[CELLS_MAX];

    text_append(&pouring->cells, "", 1);
    if (pouring->cells.failed)
        return error_no_memory(error);
    for (size_t i = 0; i < pouring->count; i++)
        columns[i] = pouring->cells.data + pouring->starts[i];
    enum status status = taker->row(taker->context, columns, pouring->count, error);
    text_clear(&pouring->cells);
    pouring->count = 0;
    return status;
}

/* The name of a person, as it is now; else the row's id says who it was. */
static enum status add_person(struct pouring *pouring, const struct id *person, struct error *error)
{
    struct store *store = pouring->subject->app->store;
    struct arena arena = {0};
    struct person found = {.name = ""};
    enum status status = STATUS_OK;

    if (!id_is_none(person))
        status = store_read_current(store, RECORD_PERSON, person, &arena, &found, error);
    if (status == STATUS_NOT_FOUND)
        status = store_read_row(store, RECORD_PERSON, person, &arena, &found, error);
    add_cell(pouring, found.name);
    arena_release(&arena);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

/* Seat, command and, of an import, what was imported. */
static enum status add_save(struct pouring *pouring, const struct id *request, struct error *error)
{
    struct arena arena = {0};
    struct store_save_told save = {.seat = ""};

    enum status status =
        store_read_save(pouring->subject->app->store, request, &arena, &save, error);
    add_cell(pouring, save.seat);
    add_cell(pouring, save.command);
    add_cell(pouring, save.imported ? save.label : "");
    arena_release(&arena);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static enum status add_tail(struct pouring *pouring, const struct store_subject_row *row,
                            struct error *error)
{
    const struct row_head *head = row->record;

    add_cell(pouring, row->ended ? "withdrawn" : row->replaced ? "replaced" : "current");
    add_number(pouring, head->version);
    add_id(pouring, &head->id);
    add_id(pouring, &head->record);
    add_instant(pouring, head->recorded_at);
    enum status status = add_person(pouring, &head->person, error);
    if (status == STATUS_OK)
        status = add_save(pouring, &head->request, error);
    if (status != STATUS_OK)
        return status;
    add_cell(pouring, head->reason);
    add_number(pouring, head->sequence);
    add_hash(pouring, row->hash);
    if (!row->ended) {
        for (int i = 0; i < 5; i++)
            add_cell(pouring, "");
        return STATUS_OK;
    }
    add_instant(pouring, row->withdrawn.at);
    status = add_person(pouring, &row->withdrawn.person, error);
    add_cell(pouring, row->withdrawn.reason);
    add_number(pouring, row->withdrawn_sequence);
    add_hash(pouring, row->withdrawn_hash);
    return status;
}

/* What the findings said, one after the other. */
static void add_sentences(struct pouring *pouring, const struct judged *judged)
{
    struct sentence_stored stored = {.at = judged->findings};
    struct text sentence = {0}, all = {0};

    while (sentence_stored(&stored, &sentence)) {
        text_addf(&all, "%s%s", all.length == 0 ? "" : " ", text_string(&sentence));
        text_clear(&sentence);
    }
    add_cell(pouring, text_string(&all));
    pouring->cells.failed = pouring->cells.failed || all.failed || sentence.failed;
    text_release(&sentence);
    text_release(&all);
}

/* "practice 3": the limits a verdict was given under. */
static enum status add_protocol(struct pouring *pouring, const struct id *row, struct error *error)
{
    struct arena arena = {0};
    struct protocol protocol = {.name = ""};
    struct text text = {0};

    enum status status = store_read_row(pouring->subject->app->store, RECORD_PROTOCOL, row, &arena,
                                        &protocol, error);
    text_addf(&text, "%s %" PRId32, protocol.name, protocol.head.version);
    add_cell(pouring, status == STATUS_OK ? text_string(&text) : "");
    text_release(&text);
    arena_release(&arena);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static enum status add_reference(struct pouring *pouring, const struct field *field,
                                 const void *record, struct error *error)
{
    struct id id;

    memcpy(&id, (const char *)record + field->offset, sizeof id);
    if (field->refers == RECORD_CASEFILE)
        add_cell(pouring, subject_case_number(pouring->subject, &id));
    else if (field->refers == RECORD_PATIENT)
        add_cell(pouring, pouring->subject->who.chart);
    else if (field->refers == RECORD_PROTOCOL)
        return add_protocol(pouring, &id, error);
    else
        add_id(pouring, &id); /* of a visit: its row, as visits.csv has it */
    return STATUS_OK;
}

/* Every field, those too that no other file carries. */
static enum status add_fields(struct pouring *pouring, const void *record, struct error *error)
{
    const struct record_table *table = &record_tables[pouring->kind];
    enum status status = STATUS_OK;

    for (size_t i = 0; i < table->field_count && status == STATUS_OK; i++) {
        const struct field *field = &table->fields[i];

        if (field->type == FIELD_ID) {
            status = add_reference(pouring, field, record, error);
        } else if (pouring->kind == RECORD_JUDGED && strcmp(field->name, "verdict") == 0) {
            add_cell(pouring, word_text(&words_verdict, ((const struct judged *)record)->verdict));
        } else {
            begin_cell(pouring);
            exchange_add_cell(&pouring->cells, field, record);
        }
    }
    if (pouring->kind == RECORD_JUDGED)
        add_sentences(pouring, record);
    return status;
}

static enum status pour_row(void *context, const struct store_subject_row *row, struct error *error)
{
    struct pouring *pouring = context;

    enum status status = add_fields(pouring, row->record, error);
    if (status == STATUS_OK)
        status = add_tail(pouring, row, error);
    if (status == STATUS_OK)
        status = pour(pouring, error);
    pouring->subject->files[pouring->subject->file_count].rows++;
    return status;
}

static enum status pour_header(struct pouring *pouring, struct error *error)
{
    const struct record_table *table = &record_tables[pouring->kind];

    for (size_t i = 0; i < table->field_count; i++)
        add_cell(pouring, table->fields[i].name);
    if (pouring->kind == RECORD_JUDGED)
        add_cell(pouring, "sentences");
    for (size_t i = 0; i < TAIL_COUNT; i++)
        add_cell(pouring, tail[i]);
    return pour(pouring, error);
}

/* ---- files ---- */

static const char *file_of(enum record_kind kind)
{
    static const char *const names[RECORD_KIND_COUNT] = {
        [RECORD_PATIENT] = "patients.csv",
        [RECORD_CASEFILE] = "cases.csv",
        [RECORD_TRAINER] = "trainers.csv",
        [RECORD_EXPANDER] = "expanders.csv",
        [RECORD_VISIT] = "visits.csv",
        [RECORD_WIDTH] = "widths.csv",
        [RECORD_WEAR_DAY] = "wear_days.csv",
        [RECORD_WEAR_COUNT] = "wear_counts.csv",
        [RECORD_CONTACT] = "contacts.csv",
        [RECORD_BOOKING] = "bookings.csv",
        [RECORD_TOOTH_WIDTH] = "tooth_widths.csv",
        [RECORD_ARCH_SEGMENT] = "arch_segments.csv",
        [RECORD_ARCH_DEPTH] = "arch_depths.csv",
        [RECORD_PLAN] = "plans.csv",
        [RECORD_JUDGED] = "verdicts.csv",
        [RECORD_ACCESS] = "log.csv",
        [RECORD_SIGNATURE] = "signatures.csv",
        [RECORD_ERASURE] = "erasures.csv",
    };

    return names[kind];
}

static enum status begin_file(struct subject *subject, const char *name, struct error *error)
{
    subject->files[subject->file_count] = (struct subject_file){.name = name};
    return subject->taker->begin(subject->taker->context, name, error);
}

/* Also a file without rows: that nothing is kept of a kind is an answer too. */
static enum status pour_kind(struct subject *subject, enum record_kind kind, struct error *error)
{
    struct pouring pouring = {.subject = subject, .kind = kind};

    enum status status = begin_file(subject, file_of(kind), error);
    if (status == STATUS_OK)
        status = pour_header(&pouring, error);
    for (size_t i = 0; i < subject->who.count && status == STATUS_OK; i++)
        status = store_each_subject_row(subject->app->store, kind, &subject->who.patients[i],
                                        pour_row, &pouring, error);
    text_release(&pouring.cells);
    subject->file_count++;
    return status;
}

static enum status pour_draft(void *context, const struct draft *draft, struct error *error)
{
    struct pouring *pouring = context;

    add_cell(pouring, subject_case_number(pouring->subject, &draft->casefile));
    add_cell(pouring, draft->form);
    add_cell(pouring, draft->user);
    add_instant(pouring, draft->saved_at);
    add_cell(pouring, draft->content);
    pouring->subject->files[pouring->subject->file_count].rows++;
    return pour(pouring, error);
}

static enum status pour_drafts(struct subject *subject, struct error *error)
{
    static const char *const columns[] = {"case", "form", "user", "typed_at", "content"};
    struct pouring pouring = {.subject = subject};

    enum status status = begin_file(subject, "unsaved.csv", error);
    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++)
        add_cell(&pouring, columns[i]);
    if (status == STATUS_OK)
        status = pour(&pouring, error);
    for (size_t i = 0; i < subject->who.count && status == STATUS_OK; i++)
        status = store_each_subject_draft(subject->app->store, &subject->who.patients[i],
                                          pour_draft, &pouring, error);
    text_release(&pouring.cells);
    subject->file_count++;
    return status;
}

static enum status keep_case(void *context, const struct store_subject_row *row,
                             struct error *error)
{
    const struct casefile *casefile = row->record;
    struct subject *subject = context;
    const char *number = casefile->number;

    if (row->replaced)
        return STATUS_OK;
    number = arena_text(&subject->arena, number, strlen(number));
    if (number == NULL || !app_grow(&subject->arena, (void **)&subject->cases, subject->case_count,
                                    &subject->case_capacity, sizeof *subject->cases))
        return error_no_memory(error);
    subject->cases[subject->case_count++] = (struct subject_case){
        .record = casefile->head.record, .number = number, .current = !row->ended};
    return STATUS_OK;
}

static enum status pour_text(struct subject *subject, struct error *error)
{
    struct text text = {0};

    enum status status = subject_text(subject, &text, error);
    if (status == STATUS_OK && text.failed)
        status = error_no_memory(error);
    if (status == STATUS_OK)
        status =
            subject->taker->text(subject->taker->context, "record.txt", text_string(&text), error);
    text_release(&text);
    return status;
}

static enum status pour_all(struct subject *subject, const char *chart, struct error *error)
{
    enum status status = erase_find(subject->app, chart, &subject->who, error);

    for (size_t i = 0; i < subject->who.count && status == STATUS_OK; i++)
        status = store_each_subject_row(subject->app->store, RECORD_CASEFILE,
                                        &subject->who.patients[i], keep_case, subject, error);
    for (int kind = 0; kind < RECORD_KIND_COUNT && status == STATUS_OK; kind++)
        if (file_of((enum record_kind)kind) != NULL)
            status = pour_kind(subject, (enum record_kind)kind, error);
    if (status == STATUS_OK)
        status = pour_drafts(subject, error);
    return status == STATUS_OK ? pour_text(subject, error) : status;
}

/* *same: no other seat saved in between, so that all of it tells of one moment. */
static enum status try_copy(struct app *app, const char *chart, const struct subject_taker *taker,
                            bool *same, struct error *error)
{
    struct subject subject = {.app = app, .taker = taker};
    int64_t after = 0;
    uint8_t hash[HASH_BYTES];

    enum status status = store_head(app->store, &subject.head, hash, error);
    if (status == STATUS_OK)
        status = pour_all(&subject, chart, error);
    if (status == STATUS_OK)
        status = store_head(app->store, &after, hash, error);
    *same = after == subject.head;
    arena_release(&subject.arena);
    return status;
}

enum status subject_copy(struct app *app, const char *chart, const struct subject_taker *taker,
                         struct error *error)
{
    const struct log_entry entry = {.what = ACCESS_EXPORTED,
                                    .command = COMMAND_EXPORT,
                                    .subject = chart,
                                    .detail = "everything of one patient"};
    struct erase_subject who;
    bool same = false;

    enum status status = app_allow(app, COMMAND_EXPORT, chart, error);
    if (status == STATUS_OK)
        status = erase_find(app, chart, &who, error);
    if (status == STATUS_OK)
        status = app_log(app, &entry, error);
    for (int i = 0; i < TRIES_MAX && status == STATUS_OK && !same; i++) {
        if (i > 0)
            taker->restart(taker->context);
        status = try_copy(app, chart, taker, &same, error);
    }
    if (status == STATUS_OK && !same)
        status = error_set(error, STATUS_BUSY, chart,
                           "Other seats keep saving while the copy is made; try again.");
    return status;
}
