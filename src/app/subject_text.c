/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The part of a patient's copy that is read, not processed. */
#include <inttypes.h>
#include <string.h>

#include "springline/app/advise.h"
#include "springline/app/forecast_view.h"
#include "subject_private.h"

enum { COLUMNS = 80, NAME_CELLS = 18 };

/* What each file holds, in words a parent knows. */
static const char *const meanings[][2] = {
    {"patients.csv", "who it is: names, birth date, guardians, telephones, alerts"},
    {"cases.csv", "the course of treatment: opened, consent, health questions, closed"},
    {"trainers.csv", "the removable trainers that were handed out"},
    {"expanders.csv", "the wires: fitted, checked, planned, taken out"},
    {"visits.csv", "each visit: what was found, what was given in mm on each side, notes"},
    {"widths.csv", "measured widths of the arches in mm"},
    {"wear_days.csv", "wear of the trainer, day by day"},
    {"wear_counts.csv", "wear of the trainer, counted over several days"},
    {"contacts.csv", "calls, letters and messages"},
    {"bookings.csv", "appointments: booked, kept, missed, cancelled"},
    {"tooth_widths.csv", "measured widths of teeth in mm"},
    {"arch_segments.csv", "measured room along the arches in mm"},
    {"arch_depths.csv", "measured depths of the arches in mm"},
    {"plans.csv", "plans of the treatment"},
    {"verdicts.csv", "what the practice's rules said at each visit, and why"},
    {"log.csv", "when a copy was taken or an entry refused"},
    {"signatures.csv", "who signed, when, and for what"},
    {"erasures.csv", "what was erased, and on what ground"},
    {"unsaved.csv", "forms that were begun and not saved"},
};

static const char *meaning_of(const char *name)
{
    for (size_t i = 0; i < sizeof meanings / sizeof meanings[0]; i++)
        if (strcmp(meanings[i][0], name) == 0)
            return meanings[i][1];
    return "";
}

static enum status tell_who(const struct subject *subject, struct text *out, struct error *error)
{
    struct store *store = subject->app->store;
    struct arena arena = {0};
    struct patient patient;

    enum status status = store_read_current(store, RECORD_PATIENT, &subject->who.patients[0],
                                            &arena, &patient, error);
    text_add(out, "Everything kept of the patient with chart number ");
    text_add_shown(out, subject->who.chart);
    if (status == STATUS_OK) {
        text_add(out, "\n");
        text_add_shown(out, patient.given);
        text_add(out, patient.given[0] == '\0' ? "" : " ");
        text_add_shown(out, patient.family);
    }
    text_add(out, "\n");
    arena_release(&arena);
    return status == STATUS_NOT_FOUND ? STATUS_OK : status;
}

static void tell_when(const struct subject *subject, struct text *out)
{
    const struct app *app = subject->app;
    struct id site = store_site(app->store);
    struct text line = {0};
    char date[DAY_TEXT_SIZE], store[ID_TEXT_SIZE];

    text_addf(&line,
              "Written on %s by %s with springline " SPRINGLINE_VERSION
              " from store %.8s of this practice, as of ledger row %" PRId64 ".",
              day_to_text(app->today, date), app_by(app), id_to_text(&site, store), subject->head);
    text_add_wrapped(out, "", text_string(&line), COLUMNS);
    text_add(out, "\n");
    text_add_wrapped(out, "", app_caution, COLUMNS);
    text_add_wrapped(out, "",
                     "For what purpose this is kept, for how long, and who else has received it, "
                     "the practice itself can say. Whoever holds this folder holds all of it: keep "
                     "it as you would keep a letter from the doctor.",
                     COLUMNS);
    out->failed = out->failed || line.failed;
    text_release(&line);
}

static void tell_files(const struct subject *subject, struct text *out)
{
    text_add(out, "\nThe files beside this one\n");
    for (size_t i = 0; i < subject->file_count; i++) {
        const struct subject_file *file = &subject->files[i];

        text_addf(out, "%-*s %5zu  %s\n", NAME_CELLS, file->name, file->rows,
                  meaning_of(file->name));
    }
    text_add(out, "\n");
    text_add_wrapped(
        out, "",
        "Each is a table that any spreadsheet opens (CSV, UTF-8, a comma between cells). It holds "
        "every version ever recorded, oldest first: row_state says whether a row stands (current), "
        "was "
        "corrected by a later one (replaced) or was taken back (withdrawn); then come who recorded "
        "it, when (UTC), and why a value was changed. ledger_row and ledger_hash are its place in "
        "the practice's ledger, by which it can be shown that nothing was altered since. An empty "
        "cell was not recorded, or was erased (erasures.csv). A cell that would begin with = + - @ "
        "or ' has a ' before it.",
        COLUMNS);
}

static enum status tell_case(const struct subject *subject, const struct subject_case *of,
                             struct text *out, struct error *error)
{
    struct arena arena = {0};
    struct history history;
    struct lines forecast = {0};
    struct signed_rows signed_rows = {0};
    enum status status = STATUS_OK;

    text_add(out, "\n----------------------------------------\n");
    if (!of->current) {
        text_add(out, "Case ");
        text_add_shown(out, of->number);
        text_add(out, " was withdrawn; its rows stand in the files.\n");
        return STATUS_OK;
    }
    status = store_read_case(subject->app->store, &of->record, STORE_NOW, &arena, &history, error);
    if (status == STATUS_OK)
        status = forecast_view_tell(subject->app, &history, ARCH_NONE, &arena, &forecast, error);
    if (status == STATUS_OK)
        status = store_read_signed(subject->app->store, &of->record, &arena, &signed_rows, error);
    if (status == STATUS_OK)
        chart_text(out, &history, &signed_rows, &forecast, subject->app->today, COLUMNS);
    arena_release(&arena);
    return status;
}

enum status subject_text(const struct subject *subject, struct text *out, struct error *error)
{
    enum status status = tell_who(subject, out, error);

    if (status != STATUS_OK)
        return status;
    tell_when(subject, out);
    tell_files(subject, out);
    for (size_t i = 0; i < subject->case_count && status == STATUS_OK; i++)
        status = tell_case(subject, &subject->cases[i], out, error);
    if (subject->case_count == 0)
        text_add(out, "\nNo case is recorded.\n");
    return status;
}
