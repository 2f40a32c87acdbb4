/* SPDX-License-Identifier: GPL-3.0-or-later */
/* import: CSV files into the store, all of it or nothing. */
#include <inttypes.h>
#include <string.h>
#include <sys/stat.h>

#include "import_tell.h"
#include "springline/cli/commands.h"
#include "springline/cli/options.h"
#include "springline/cli/output.h"

struct asked {
    const char *path, *rejects;
    bool dry_run;
};

/* What the reporters need. */
struct telling {
    struct inputs inputs;
    struct import_messages messages;
    FILE *err;
    bool failed; /* memory ran out while a bad row was remembered */
    long broken; /* files that stopped being CSV */
};

static void tell_bad(void *context, const char *file, long line, const char *column,
                     const char *sentence)
{
    struct telling *telling = context;

    messages_add(&telling->messages, &telling->inputs, file, line, column, sentence);
    if (!inputs_mark(&telling->inputs, file, line))
        telling->failed = true;
}

static void tell_note(void *context, const char *file, long line, const char *column,
                      const char *sentence)
{
    struct telling *telling = context;

    messages_add(&telling->messages, &telling->inputs, file, line, column, sentence);
}

static void tell_unknown(FILE *err, const char *path, const struct text *unknown)
{
    struct text out = {0};

    if (unknown->length == 0)
        return;
    text_add(&out, "springline: ");
    text_add_shown(&out, path);
    text_add(&out, ": columns that are not known and are left alone: ");
    for (size_t i = 0; i + 1 < unknown->length; i++) {
        if (unknown->data[i] == '\n')
            text_add(&out, ", ");
        else
            text_add_byte(&out, unknown->data[i]);
    }
    text_add(&out, "\n");
    (void)fputs(text_string(&out), err);
    text_release(&out);
}

/* Where a file stops being CSV the rest of it was not read, and may hold more that is wrong. */
static void tell_broken(struct telling *telling, const struct input *input,
                        const struct error *error)
{
    long unread = input_unread(input);
    struct text sentence = {0};

    text_add(&sentence, error->sentence);
    if (unread == 1)
        text_add(&sentence, " The line after it was not read.");
    else if (unread > 1)
        text_addf(&sentence, " The %ld lines after it were not read.", unread);
    messages_add(&telling->messages, &telling->inputs, input->path, input->broken_line, "",
                 text_string(&sentence));
    telling->failed = telling->failed || sentence.failed;
    text_release(&sentence);
}

/* One file. Where it stops being CSV that is told and the other files are still read, so that all
 * that is wrong is said at once. */
static enum status read_file(struct import *import, struct telling *telling, struct input *input,
                             struct error *error)
{
    struct text unknown = {0};

    enum status status = input_read(import, input, &unknown, error);
    tell_unknown(telling->err, input->path, &unknown);
    text_release(&unknown);
    if (input->broken) {
        tell_broken(telling, input, error);
        telling->broken++;
        return STATUS_OK;
    }
    return status;
}

static enum status read_files(struct cli_session *session, struct telling *telling,
                              const struct asked *asked, struct exchange_totals *totals,
                              struct error *error)
{
    struct import *import = NULL;

    enum status status =
        import_begin(&session->app, asked->path, tell_bad, telling, &import, error);
    if (status != STATUS_OK)
        return status;
    import_set_notes(import, tell_note);
    for (size_t i = 0; i < telling->inputs.count && status == STATUS_OK; i++)
        status = read_file(import, telling, &telling->inputs.files[i], error);
    if (status == STATUS_OK)
        status = import_check(import, error);
    bool keep = status == STATUS_OK && telling->broken == 0 && !telling->failed &&
                !telling->messages.failed && !asked->dry_run;
    enum status ended = import_end(import, keep, totals, status == STATUS_OK ? error : NULL);
    return status == STATUS_OK ? ended : status;
}

/* Writes the bad rows of one file where they go; false when that failed. */
static bool write_bad_rows(struct telling *telling, struct input *input, const char *given,
                           struct text *path)
{
    struct error problem;

    if (given != NULL)
        text_add(path, given);
    else
        input_rejects_path(input, path);
    if (input_write_rejects(input, text_string(path), &problem) == STATUS_OK)
        return true;
    cli_report(telling->err, &problem);
    return false;
}

/* What to do now: the rejects alone would leave out the good rows, so they are only to be read. */
static void close_file(struct telling *telling, struct input *input, const struct asked *asked)
{
    bool write = !asked->dry_run || asked->rejects != NULL;
    struct text line = {0}, path = {0};

    text_add(&line, "springline: Nothing was kept. Mend ");
    text_add_shown(&line, input->path);
    text_addf(&line, " itself and import %s whole again",
              telling->inputs.count > 1 ? "the folder" : "it");
    if (write && write_bad_rows(telling, input, asked->rejects, &path)) {
        text_add(&line, "; ");
        text_add_shown(&line, text_string(&path));
        text_add(&line, " shows only the refused rows");
    }
    text_add(&line, ".\n");
    (void)fputs(line.failed ? "springline: Nothing was kept.\n" : text_string(&line), telling->err);
    text_release(&line);
    text_release(&path);
}

/* The bad rows of each file, beside it or where --rejects says; a dry run writes none unasked. */
static void close_files(struct telling *telling, const struct asked *asked)
{
    for (size_t i = 0; i < telling->inputs.count; i++) {
        struct input *input = &telling->inputs.files[i];

        if (input->bad_count > 0 || input->broken)
            close_file(telling, input, asked);
    }
}

static void put_totals_text(FILE *out, const struct exchange_totals *totals, bool kept)
{
    (void)fprintf(out, "%ld %s %s, %ld already recorded", totals->added,
                  totals->added == 1 ? "row" : "rows", kept ? "added" : "good",
                  totals->same - totals->repeated);
    if (totals->repeated > 0)
        (void)fprintf(out, ", %ld repeated", totals->repeated);
    (void)fprintf(out, ", %ld refused%s\n", totals->bad, kept ? "" : "; nothing was kept");
    if (totals->batch > 0)
        (void)fprintf(out,
                      "batch @%" PRId64 "; springline undo-import @%" PRId64 " takes it back\n",
                      totals->batch, totals->batch);
}

static enum status put_totals(struct cli_session *session, const struct exchange_totals *totals,
                              bool kept, struct error *error)
{
    static const struct cli_column columns[] = {{"added", COLUMN_NUMBER},
                                                {"same", COLUMN_NUMBER},
                                                {"bad", COLUMN_NUMBER},
                                                {"kept", COLUMN_WORD},
                                                {"batch", COLUMN_WORD}};
    FILE *out = session->start->out;
    char added[24], same[24], bad[24], batch[24] = "";
    const char *const cells[] = {added, same, bad, kept ? "yes" : "no", batch};
    struct cli_table table;

    if (session->call.format == FORMAT_TEXT) {
        put_totals_text(out, totals, kept);
        return STATUS_OK;
    }
    (void)snprintf(added, sizeof added, "%ld", totals->added);
    (void)snprintf(same, sizeof same, "%ld", totals->same);
    (void)snprintf(bad, sizeof bad, "%ld", totals->bad);
    if (totals->batch > 0)
        (void)snprintf(batch, sizeof batch, "@%" PRId64, totals->batch);
    cli_table_begin(&table, out, session->call.format, columns, 5);
    cli_table_row(&table, cells);
    return cli_table_end(&table, error);
}

static bool same_file(const char *a, const char *b)
{
    struct stat first, second;

    return stat(a, &first) == 0 && stat(b, &second) == 0 && first.st_dev == second.st_dev &&
           first.st_ino == second.st_ino;
}

static enum status check_rejects(const struct telling *telling, const char *rejects,
                                 struct error *error)
{
    if (rejects == NULL)
        return STATUS_OK;
    if (telling->inputs.count > 1)
        return error_set(error, STATUS_USAGE, "--rejects",
                         "It goes with one file; the rejects of a folder lie beside its files.");
    if (same_file(rejects, telling->inputs.files[0].path))
        return error_set(error, STATUS_USAGE, "--rejects",
                         "It names the file that is read; give another one.");
    return STATUS_OK;
}

static enum status import_all(struct cli_session *session, struct telling *telling,
                              const struct asked *asked, struct error *error)
{
    struct exchange_totals totals = {0};

    enum status status = read_files(session, telling, asked, &totals, error);
    totals.bad += telling->broken;
    bool kept = status == STATUS_OK && totals.bad == 0 && !asked->dry_run;
    messages_tell(&telling->messages, &telling->inputs, telling->err);
    if (status != STATUS_OK)
        return status;
    close_files(telling, asked);
    status = put_totals(session, &totals, kept, error);
    if (status == STATUS_OK && (telling->failed || telling->messages.failed))
        return error_no_memory(error);
    if (status == STATUS_OK && totals.bad > 0) {
        *error = (struct error){.status = STATUS_INPUT}; /* each row was told already */
        return STATUS_INPUT;
    }
    return status;
}

enum status cli_import(struct cli_session *session, struct error *error)
{
    struct telling telling = {.err = session->start->err};
    struct asked asked = {0};
    const struct cli_option options[] = {{"dry-run", NULL, &asked.dry_run},
                                         {"rejects", &asked.rejects, NULL}};

    enum status status = cli_read_options(&session->call, options, 2, 1, 1, &asked.path, error);
    if (status == STATUS_OK && asked.path[0] == '\0')
        status = error_set(error, STATUS_USAGE, "import", "Give a file or a folder.");
    if (status == STATUS_OK && asked.rejects != NULL && asked.rejects[0] == '\0')
        status = error_set(error, STATUS_USAGE, "--rejects", "Give the file to write.");
    if (status != STATUS_OK)
        return status;
    status = inputs_find(&telling.inputs, asked.path, error);
    if (status == STATUS_OK)
        status = check_rejects(&telling, asked.rejects, error);
    if (status == STATUS_OK)
        status = cli_open(session, error);
    if (status == STATUS_OK)
        status = import_all(session, &telling, &asked, error);
    messages_release(&telling.messages);
    inputs_release(&telling.inputs);
    return status;
}
