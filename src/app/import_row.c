/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One row of a file: its cells read and judged, what it refers to found, kept or passed over. */
#include <string.h>

#include "import_private.h"
#include "springline/app/grow.h"

struct row {
    struct import *import;
    long line;
    const char *const *cells;
    union any_record record;
    struct import_party
        *party; /* the case (of a patients row: the patient) it belongs to, if known */
    bool bad;
    bool orphan; /* what it refers to was refused: nothing to keep it under */
    bool erased; /* what it refers to is of a patient who was erased */
};

static void complain(struct row *row, const char *column, const char *sentence)
{
    row->bad = true;
    import_report(row->import, row->line, column, sentence);
}

/* A refusal becomes a bad row; anything else is a failure and is passed on. */
static enum status complain_of(struct row *row, enum status status, const struct error *problem,
                               struct error *error)
{
    if (status == STATUS_INPUT)
        complain(row, problem->where, problem->sentence);
    else if (status != STATUS_OK && error != NULL)
        *error = *problem;
    return status == STATUS_INPUT ? STATUS_OK : status;
}

/* Was the patient of a party of the store erased? A case knows by its state. */
static enum status find_erased(struct import *import, enum record_kind kind,
                               struct import_party *party, struct error *error)
{
    struct arena arena = {0};
    struct case_state state = {.family = ""};
    struct patient patient = {.family = ""};

    enum status status =
        kind == RECORD_PATIENT
            ? store_read_current(import->app->store, kind, &party->id, &arena, &patient, error)
            : store_read_state(import->app->store, &party->id, &arena, &state, error);
    if (status == STATUS_OK) {
        const char *family = kind == RECORD_PATIENT ? patient.family : state.family;
        party->erased = family != NULL && strcmp(family, patient_erased) == 0;
    }
    arena_release(&arena);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

enum status import_find_party(struct import *import, enum record_kind kind, const char *number,
                              struct import_party **party, struct error *error)
{
    struct import_index *index = kind == RECORD_PATIENT ? &import->patients : &import->cases;
    struct id id;

    *party = import_index_find(index, number);
    if (*party != NULL)
        return STATUS_OK;
    enum status status = kind == RECORD_PATIENT
                             ? store_find_patient(import->app->store, number, STORE_NOW, &id, error)
                             : store_find_case(import->app->store, number, STORE_NOW, &id, error);
    if (status == STATUS_NOT_FOUND)
        return STATUS_OK;
    if (status != STATUS_OK)
        return status;
    *party = import_index_add(index, &import->arena, number);
    if (*party == NULL)
        return error_no_memory(error);
    (*party)->id = id;
    return find_erased(import, kind, *party, error);
}

/* The number of another record: must be known, in the store or from a row before. */
static enum status read_reference(struct row *row, const struct field *field, const char *cell,
                                  struct error *error)
{
    const char *number = exchange_unguard(cell);
    const char *table = record_tables[field->refers].csv;
    struct import_party *party = NULL;
    struct error problem;

    if (number[0] == '\0') {
        complain(row, field->name, "The cell is empty; every row needs it.");
        return STATUS_OK;
    }
    enum status status =
        text_check(number, strlen(number), TEXT_CELL_CHARACTERS, field->name, &problem);
    if (status == STATUS_OK)
        status = import_check_key_text(field->name, number, &problem);
    if (status != STATUS_OK)
        return complain_of(row, status, &problem, error);
    status = import_find_party(row->import, field->refers, number, &party, error);
    if (status != STATUS_OK)
        return status;
    if (party == NULL) {
        (void)error_set(&problem, STATUS_INPUT, field->name,
                        "There is no %s %.60s; correct the number, or import its row of %s first.",
                        field->refers == RECORD_PATIENT ? "patient with chart" : "case", number,
                        table);
        return complain_of(row, STATUS_INPUT, &problem, error);
    }
    row->orphan = row->orphan || party->refused;
    row->erased = row->erased || party->erased;
    if (field->refers == RECORD_CASEFILE)
        row->party = party;
    exchange_set(field, &row->record, &party->id, sizeof party->id);
    return STATUS_OK;
}

/* Every cell is read, so that all that is wrong in a row is said at once. */
static enum status read_cells(struct row *row, struct error *error)
{
    enum status status = STATUS_OK;
    struct error problem;

    exchange_blank(row->import->kind, &row->record);
    for (size_t i = 0; i < row->import->column_count && status == STATUS_OK; i++) {
        const struct field *field = row->import->columns[i];

        if (field == NULL)
            continue;
        if (field->type == FIELD_ID)
            status = read_reference(row, field, row->cells[i], error);
        else
            status =
                complain_of(row, exchange_read_cell(field, row->cells[i], &row->record, &problem),
                            &problem, error);
    }
    return status;
}

static enum status check_protocol(struct row *row, struct error *error)
{
    const char *name = row->record.casefile.protocol;
    struct protocol protocol;
    struct error problem;

    if (name == NULL || name[0] == '\0')
        return STATUS_OK;
    enum status status = store_read_protocol(row->import->app->store, name, STORE_NOW,
                                             &row->import->row_arena, &protocol, error);
    if (status != STATUS_NOT_FOUND)
        return status;
    (void)error_set(&problem, STATUS_INPUT, "protocol",
                    "There is no protocol \"%.60s\" here; leave the cell empty for the practice's "
                    "own.",
                    name);
    return complain_of(row, STATUS_INPUT, &problem, error);
}

static enum status check_row(struct row *row, struct error *error)
{
    struct error problem;

    enum status status = complain_of(
        row,
        import_check_record(row->import->kind, &row->record, row->import->app->today, &problem),
        &problem, error);
    if (status == STATUS_OK && !row->bad && row->import->kind == RECORD_CASEFILE)
        status = check_protocol(row, error);
    return status;
}

/* The first column of the file in which the row differs from found; NULL: none. */
static const struct field *first_difference(const struct row *row, const union any_record *found)
{
    for (size_t i = 0; i < row->import->column_count; i++) {
        const struct field *field = row->import->columns[i];

        if (field != NULL && !exchange_same(field, &row->record, found))
            return field;
    }
    return NULL;
}

static void note(const struct row *row, const char *column, const char *sentence)
{
    const struct import *import = row->import;

    if (import->notes != NULL)
        import->notes(import->context, import->files[import->file_count - 1], row->line, column,
                      sentence);
}

/* "Line 3 of this file", "Line 3 of visits.csv" */
static void add_place(struct text *out, const struct import *import,
                      const struct import_place *place)
{
    bool here = (size_t)place->file + 1 == import->file_count;

    text_addf(out, "Line %ld of ", (long)place->line);
    text_add(out, here ? "this file" : import->files[place->file]);
}

/* A row of this import has the key: the same fields are passed over with a note. */
static void compare_repeated(struct row *row, const struct field *field, const char *known,
                             const struct import_place *place)
{
    struct text sentence = {0};

    add_place(&sentence, row->import, place);
    if (field == NULL) {
        row->import->totals.repeated++;
        text_add(&sentence, " has the same key and the same values; this row is passed over.");
        note(row, "", text_string(&sentence));
    } else {
        text_addf(&sentence, " has the same key and other values%s%.60s%s; keep one of the two.",
                  known[0] != '\0' ? " (there \"" : "", known, known[0] != '\0' ? "\")" : "");
        complain(row, field->name, text_string(&sentence));
    }
    text_release(&sentence);
}

static void compare_recorded(struct row *row, const union any_record *found,
                             const struct field *field, const char *known)
{
    struct error problem;

    if (field == NULL)
        return;
    if (row->import->kind == RECORD_PATIENT && strcmp(found->patient.family, patient_erased) == 0) {
        complain(
            row, "chart",
            "The patient of this chart number was erased; give whoever comes again a new one.");
        return;
    }
    (void)error_set(&problem, STATUS_INPUT, field->name,
                    "This row is already recorded with other values%s%.60s%s; correct it on the "
                    "screen.",
                    known[0] != '\0' ? " (here \"" : "", known, known[0] != '\0' ? "\")" : "");
    complain(row, field->name, problem.sentence);
}

/* The key is known already: the same fields are passed over, others are a bad row. */
static void compare_known(struct row *row, const union any_record *found)
{
    const struct field *field = first_difference(row, found);
    const struct import_place *place = NULL;
    struct text known = {0};

    if (id_equal(&found->head.request, &row->import->request))
        place = import_place_of(row->import, found->head.sequence);
    if (field == NULL)
        row->import->totals.same++;
    else
        exchange_add_cell(&known, field, found);
    if (place != NULL)
        compare_repeated(row, field, text_string(&known), place);
    else
        compare_recorded(row, found, field, text_string(&known));
    text_release(&known);
}

/* Remembers from which line the row with this place in the ledger came. */
static enum status keep_place(struct import *import, int64_t sequence, long line,
                              struct error *error)
{
    if (import->first_sequence == 0)
        import->first_sequence = sequence;
    while ((int64_t)import->place_count <= sequence - import->first_sequence) {
        if (!app_grow(&import->arena, (void **)&import->places, import->place_count,
                      &import->place_capacity, sizeof *import->places))
            return error_no_memory(error);
        import->places[import->place_count++] = (struct import_place){.file = -1};
    }
    import->places[sequence - import->first_sequence] =
        (struct import_place){.file = (int32_t)import->file_count - 1, .line = (int32_t)line};
    return STATUS_OK;
}

/* A case or patient whose row was just kept can be referred to. */
static enum status know_party(struct row *row, struct error *error)
{
    struct import *import = row->import;
    bool patient = import->kind == RECORD_PATIENT;
    const char *number = patient ? row->record.patient.chart : row->record.casefile.number;

    if (!patient && import->kind != RECORD_CASEFILE)
        return STATUS_OK;
    row->party =
        import_index_add(patient ? &import->patients : &import->cases, &import->arena, number);
    if (row->party == NULL)
        return error_no_memory(error);
    row->party->id = row->record.head.record;
    return STATUS_OK;
}

/* The case's state must be rewritten, and the case checked, once all rows are there. */
static enum status touch(struct row *row, struct error *error)
{
    struct import *import = row->import;

    if (import->kind == RECORD_PATIENT || row->party->touched)
        return STATUS_OK;
    if (!app_grow(&import->arena, (void **)&import->touched, import->touched_count,
                  &import->touched_capacity, sizeof *import->touched))
        return error_no_memory(error);
    import->touched[import->touched_count++] = row->party;
    row->party->touched = true;
    return app_save_touch(&import->save, &row->party->id, error);
}

/*
 * Imported history may lie above what would be permitted; but above the cap it is the same slip as
 * at the chair, 12.5 for 1.25, and is refused like there (domain.md 2).
 */
static enum status check_amounts(const struct row *row, struct error *problem)
{
    const struct import *import = row->import;
    const um amounts[] = {row->record.visit.right, row->record.visit.left};
    const char *const columns[] = {"right_mm", "left_mm"};
    char given[MILLIMETRE_TEXT_SIZE], cap[MILLIMETRE_TEXT_SIZE];

    if (import->kind != RECORD_VISIT || import->entry_cap == UM_NONE)
        return STATUS_OK;
    for (int i = 0; i < 2; i++) {
        if (amounts[i] != UM_NONE && amounts[i] > import->entry_cap)
            return error_set(problem, STATUS_INPUT, columns[i],
                             "%s mm is above %s mm, the most that is taken as no slip; check the "
                             "point.",
                             millimetre_to_text(amounts[i], given),
                             millimetre_to_text(import->entry_cap, cap));
    }
    return STATUS_OK;
}

static enum status append_row(struct row *row, struct error *error)
{
    struct import *import = row->import;
    struct error problem;

    enum status status = check_amounts(row, &problem);
    if (status == STATUS_OK && row->erased)
        status =
            error_set(&problem, STATUS_INPUT, import->kind == RECORD_CASEFILE ? "chart" : "case",
                      "The patient was erased, and nothing more is recorded; import whoever "
                      "comes again as a new patient.");
    if (status == STATUS_OK)
        status = store_append(import->app->store, import->kind, &row->record, &problem);
    if (status != STATUS_OK)
        return complain_of(row, status, &problem, error);
    import->totals.added++;
    status = keep_place(import, row->record.head.sequence, row->line, error);
    if (status == STATUS_OK)
        status = know_party(row, error);
    if (status == STATUS_OK)
        status = touch(row, error);
    return status;
}

static enum status keep_row(struct row *row, struct error *error)
{
    struct import *import = row->import;
    union any_record found;

    enum status status = store_find_same_key(import->app->store, import->kind, &row->record,
                                             &import->row_arena, &found, error);
    if (status == STATUS_NOT_FOUND)
        return append_row(row, error);
    if (status == STATUS_OK)
        compare_known(row, &found);
    return status;
}

/* The cell of a column by which the row is known; NULL: the row has none. */
static const char *number_cell(const struct row *row, size_t count, const char *column)
{
    for (size_t i = 0; i < row->import->column_count && i < count; i++)
        if (row->import->columns[i] != NULL && strcmp(row->import->columns[i]->name, column) == 0)
            return exchange_unguard(row->cells[i]);
    return NULL;
}

/* After a bad row: what hangs on it can not be judged, and is not reported over and over. */
static enum status mark_doubt(struct row *row, size_t count, struct error *error)
{
    struct import *import = row->import;
    bool patient = import->kind == RECORD_PATIENT;
    bool own = patient || import->kind == RECORD_CASEFILE;
    const char *number = number_cell(row, count, patient ? "chart" : "case");
    struct import_party *party = NULL;

    if (number == NULL || !text_is_utf8(number, strlen(number)))
        return STATUS_OK;
    enum status status = import_find_party(import, patient ? RECORD_PATIENT : RECORD_CASEFILE,
                                           number, &party, error);
    if (status != STATUS_OK)
        return status;
    if (party == NULL && own) {
        party =
            import_index_add(patient ? &import->patients : &import->cases, &import->arena, number);
        if (party == NULL)
            return error_no_memory(error);
        party->refused = true;
    }
    if (party != NULL)
        party->doubtful = true;
    return STATUS_OK;
}

static enum status take_row(struct row *row, struct error *error)
{
    enum status status = read_cells(row, error);

    if (status == STATUS_OK && !row->bad)
        status = check_row(row, error);
    if (status == STATUS_OK && !row->bad && !row->orphan)
        status = keep_row(row, error);
    return status;
}

static bool all_empty(const char *const *cells, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (cells[i][0] != '\0')
            return false;
    return true;
}

enum status import_row(struct import *import, long line, const char *const *cells, size_t count,
                       bool *bad, struct error *error)
{
    struct row row = {.import = import, .line = line, .cells = cells};
    struct error problem;
    enum status status = STATUS_OK;

    arena_clear(&import->row_arena);
    if (count != import->column_count) {
        (void)error_set(&problem, STATUS_INPUT, "",
                        "The row has %zu cells and the header %zu; add or take out commas, or put "
                        "the cell that holds one in quotation marks.",
                        count, import->column_count);
        complain(&row, "", problem.sentence);
    } else if (all_empty(cells, count)) {
        complain(&row, "", "Every cell of the row is empty; take the row out.");
    } else {
        status = take_row(&row, error);
    }
    if (status == STATUS_OK && (row.bad || row.orphan))
        status = mark_doubt(&row, count, error);
    import->totals.bad += row.bad;
    *bad = row.bad;
    return status;
}
