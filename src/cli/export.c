/* SPDX-License-Identifier: GPL-3.0-or-later */
/* export: one kind to the output or a folder, or every kind to a folder. */
#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "export_patient.h"
#include "help_text.h"
#include "springline/app/exchange.h"
#include "springline/cli/commands.h"
#include "springline/cli/csv.h"
#include "springline/cli/file.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

enum { KINDS_MAX = 16, TRIES_MAX = 5 };

/* Where the rows of one kind go. */
struct sink {
    FILE *out;
    const char *name; /* what a sentence calls it */
    struct text line;
    bool json, terminal;
    struct cli_column columns[CLI_COLUMNS_MAX]; /* JSON: made from the header row */
    struct cli_table table;
    bool headed;
    enum record_kind kind;
    size_t rows; /* the header too */
};

static enum status write_csv(void *context, const char *const *cells, size_t count,
                             struct error *error)
{
    struct sink *sink = context;

    sink->rows++;
    text_clear(&sink->line);
    csv_add_row(&sink->line, cells, count);
    if (sink->terminal)
        return cli_put_csv(sink->out, true, &sink->line, error);
    if (sink->line.failed)
        return error_no_memory(error);
    if (fwrite(sink->line.data, 1, sink->line.length, sink->out) != sink->line.length)
        return error_set(error, STATUS_UNUSABLE, sink->name,
                         "The rows could not be written whole: %s.", strerror(errno));
    return STATUS_OK;
}

/* The type of a column by the record table: lengths and whole numbers go bare into JSON. */
static enum cli_column_type column_type(enum record_kind kind, const char *name)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++)
        if (strcmp(table->fields[i].name, name) == 0)
            return table->fields[i].type == FIELD_UM || table->fields[i].type == FIELD_INT
                       ? COLUMN_NUMBER
                       : COLUMN_WORD;
    return COLUMN_WORD;
}

static enum status write_json(void *context, const char *const *cells, size_t count,
                              struct error *error)
{
    struct sink *sink = context;

    (void)error;
    sink->rows++;
    if (sink->headed) {
        const char *plain[CLI_COLUMNS_MAX];

        /* No spreadsheet reads JSON: the guard of CSV comes off again. */
        for (size_t i = 0; i < count; i++)
            plain[i] =
                sink->columns[i].type == COLUMN_NUMBER ? cells[i] : exchange_unguard(cells[i]);
        cli_table_row(&sink->table, plain);
        return STATUS_OK;
    }
    for (size_t i = 0; i < count; i++)
        sink->columns[i] = (struct cli_column){cells[i], column_type(sink->kind, cells[i])};
    sink->headed = true;
    cli_table_begin(&sink->table, sink->out, FORMAT_JSON, sink->columns, count);
    return STATUS_OK;
}

static void add_count(struct text *counts, enum record_kind kind, size_t rows)
{
    text_addf(counts, "%s%s %zu", counts->length == 0 ? "" : ", ", record_tables[kind].csv,
              rows > 0 ? rows - 1 : 0);
}

/* counts: which kind and how many rows, for the log. */
static enum status export_kind(struct cli_session *session, enum record_kind kind, FILE *out,
                               const char *name, struct text *counts, struct error *error)
{
    struct sink sink = {.out = out,
                        .name = name,
                        .kind = kind,
                        .json = session->call.format == FORMAT_JSON,
                        .terminal = cli_is_terminal(out)};

    enum status status =
        export_rows(&session->app, kind, sink.json ? write_json : write_csv, &sink, error);
    if (sink.headed) {
        struct error *reported = status == STATUS_OK ? error : NULL;
        enum status ended = cli_table_end(&sink.table, reported);

        status = status == STATUS_OK ? ended : status;
    }
    add_count(counts, kind, sink.rows);
    text_release(&sink.line);
    return status;
}

/* The folder, made if it is not there, for the owner alone. */
static enum status make_folder(const char *folder, struct error *error)
{
    struct stat found;

    if (mkdir(folder, 0700) == 0) {
        cli_file_sync_folder(folder);
        return STATUS_OK;
    }
    if (errno == EEXIST && stat(folder, &found) == 0 && S_ISDIR(found.st_mode))
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, folder, "The folder can not be made: %s.",
                     strerror(errno == EEXIST ? ENOTDIR : errno));
}

static enum status export_aside(struct cli_session *session, enum record_kind kind,
                                const char *folder, struct cli_file *file, struct text *counts,
                                struct error *error)
{
    struct text path = {0};

    text_addf(&path, "%s%s%s.%s", folder, folder[strlen(folder) - 1] == '/' ? "" : "/",
              record_tables[kind].csv, session->call.format == FORMAT_JSON ? "json" : "csv");
    enum status status =
        path.failed ? error_no_memory(error) : cli_file_begin(file, text_string(&path), error);
    text_release(&path);
    if (status != STATUS_OK)
        return status;
    status = export_kind(session, kind, file->out, text_string(&file->path), counts, error);
    if (status == STATUS_OK)
        status = cli_file_finish(file, error);
    if (status != STATUS_OK)
        cli_file_drop(file);
    return status;
}

static void drop_files(struct cli_file *files, size_t count)
{
    for (size_t i = 0; i < count; i++)
        cli_file_drop(&files[i]);
}

/* Every file aside. Kinds are read one after the other: *same says that no other seat saved in
 * between, so that they tell of one moment. */
static enum status write_aside(struct cli_session *session, const int *kinds, size_t count,
                               const char *folder, struct cli_file *files, struct text *counts,
                               bool *same, struct error *error)
{
    int64_t before = 0, after = 0;
    uint8_t hash[32];
    size_t written = 0;

    text_clear(counts);
    enum status status = store_head(session->app.store, &before, hash, error);
    for (; written < count && status == STATUS_OK; written++)
        status = export_aside(session, (enum record_kind)kinds[written], folder, &files[written],
                              counts, error);
    if (status == STATUS_OK)
        status = store_head(session->app.store, &after, hash, error);
    *same = before == after;
    if (status != STATUS_OK || !*same)
        drop_files(files, written);
    return status;
}

static void tell_replaced(FILE *err, const char *paths)
{
    struct text line = {0};

    text_add(&line, "springline: replaced: ");
    text_add_shown(&line, paths);
    text_add(&line, "\n");
    (void)fputs(line.failed ? "springline: files were replaced\n" : text_string(&line), err);
    text_release(&line);
}

static enum status log_counts(struct cli_session *session, const struct text *counts,
                              struct error *error)
{
    return counts->failed ? error_no_memory(error)
                          : export_log(&session->app, text_string(counts), error);
}

/* The files take their places only when all of them are there. */
static enum status export_files(struct cli_session *session, const int *kinds, size_t count,
                                const char *folder, struct error *error)
{
    struct cli_file files[KINDS_MAX] = {{0}};
    struct text replaced = {0}, counts = {0};
    bool same = false;

    enum status status = make_folder(folder, error);
    for (int tries = 0; tries < TRIES_MAX && status == STATUS_OK && !same; tries++)
        status = write_aside(session, kinds, count, folder, files, &counts, &same, error);
    if (status == STATUS_OK && !same)
        status = error_set(error, STATUS_BUSY, folder,
                           "Other seats keep saving while the files are written; try again.");
    if (status == STATUS_OK) {
        status = log_counts(session, &counts, error);
        if (status != STATUS_OK)
            drop_files(files, count);
    }
    text_release(&counts);
    if (status != STATUS_OK)
        return status;
    for (size_t i = 0; i < count && status == STATUS_OK; i++) {
        bool there = access(text_string(&files[i].path), F_OK) == 0;

        if (there) {
            text_add(&replaced, replaced.length == 0 ? "" : ", ");
            text_add(&replaced, text_string(&files[i].path));
        }
        status = cli_file_place(&files[i], error);
    }
    drop_files(files, count);
    if (status == STATUS_OK && replaced.length > 0)
        tell_replaced(session->start->err, text_string(&replaced));
    text_release(&replaced);
    return status;
}

static enum status read_kinds(const char *name, const char *folder, int kinds[KINDS_MAX],
                              size_t *count, struct error *error)
{
    struct text names = {0};

    *count = 0;
    if (strcmp(name, "all") == 0) {
        if (folder == NULL)
            return error_set(error, STATUS_USAGE, "export",
                             "Every kind is a file of its own; give a folder: export all --out "
                             "FOLDER.");
        for (; exchange_order[*count] >= 0; (*count)++)
            kinds[*count] = exchange_order[*count];
        return STATUS_OK;
    }
    kinds[0] = (int)exchange_kind_named(name);
    *count = 1;
    if (kinds[0] != (int)RECORD_KIND_COUNT)
        return STATUS_OK;
    for (size_t i = 0; exchange_order[i] >= 0; i++)
        text_addf(&names, "%s, ", record_tables[exchange_order[i]].csv);
    enum status status =
        error_set(error, STATUS_USAGE, "export", "There is no kind \"%.40s\"; give %sor all.", name,
                  text_string(&names));
    text_release(&names);
    return status;
}

static enum status count_row(void *context, const char *const *cells, size_t count,
                             struct error *error)
{
    (void)cells;
    (void)count;
    (void)error;
    ++*(size_t *)context;
    return STATUS_OK;
}

/* What goes to the output is gone once it is written: counted and logged before. */
static enum status export_out(struct cli_session *session, enum record_kind kind,
                              struct error *error)
{
    struct text counts = {0};
    size_t rows = 0;

    enum status status = export_rows(&session->app, kind, count_row, &rows, error);
    add_count(&counts, kind, rows);
    if (status == STATUS_OK)
        status = log_counts(session, &counts, error);
    if (status == STATUS_OK)
        status = export_kind(session, kind, session->start->out, "output", &counts, error);
    text_release(&counts);
    return status;
}

/* Kinds, or a patient: one of the two. */
static enum status check_asked(struct cli_session *session, const char *name, const char *chart,
                               const char *folder, struct error *error)
{
    const struct cli_call *call = &session->call;

    if (chart == NULL && name == NULL)
        return error_set(error, STATUS_USAGE, call->argv[0],
                         "Give %s after %s; see springline help %s.", help_needs(call->command),
                         call->argv[0], call->argv[0]);
    if (folder != NULL && folder[0] == '\0')
        return error_set(error, STATUS_USAGE, "--out", "Give the folder to write into.");
    if (call->format_given && call->format == FORMAT_TEXT)
        return error_set(error, STATUS_USAGE, "--format", "export writes csv or json.");
    if (chart == NULL)
        return STATUS_OK;
    if (name != NULL)
        return error_set(error, STATUS_USAGE, "--patient",
                         "Everything of one patient is written; leave \"%.40s\" away.", name);
    if (folder == NULL)
        return error_set(error, STATUS_USAGE, "--patient",
                         "It becomes several files; give a folder that does not exist: --out "
                         "FOLDER.");
    if (call->format == FORMAT_JSON)
        return error_set(error, STATUS_USAGE, "--format",
                         "Everything of one patient is written as csv, with a text to read.");
    return STATUS_OK;
}

enum status cli_export(struct cli_session *session, struct error *error)
{
    const char *name = NULL, *folder = NULL, *chart = NULL;
    const struct cli_option options[] = {{"out", &folder, NULL}, {"patient", &chart, NULL}};
    int kinds[KINDS_MAX];
    size_t count = 0;

    enum status status = cli_read_options(&session->call, options, 2, 0, 1, &name, error);
    if (status == STATUS_OK)
        status = check_asked(session, name, chart, folder, error);
    if (status == STATUS_OK && chart == NULL)
        status = read_kinds(name, folder, kinds, &count, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status != STATUS_OK)
        return status;
    if (chart != NULL)
        return export_patient(session, chart, folder, error);
    if (folder != NULL)
        return export_files(session, kinds, count, folder, error);
    return export_out(session, (enum record_kind)kinds[0], error);
}
