/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Who is meant by a chart number, what stands against an erasure, and the erasure itself. */
#include "springline/app/erase.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "erase_private.h"
#include "springline/app/authority.h"
#include "springline/core/course.h"
#include "springline/store/subject.h"

bool erase_done(const struct patient *patient)
{
    return strcmp(patient->family, patient_erased) == 0;
}

enum status erase_refuse_entry(const struct history *history, struct error *error)
{
    if (history->patient == NULL || !erase_done(history->patient))
        return STATUS_OK;
    return error_set(error, STATUS_INPUT, history->casefile->number,
                     "The patient of case %.60s was erased, and nothing more is recorded of it; "
                     "enter whoever comes again as a new patient.",
                     history->casefile->number);
}

void erase_add(struct store_erased *sum, const struct store_erased *one)
{
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++)
        sum->rows[kind] += one->rows[kind];
    sum->values += one->values;
    sum->drafts += one->drafts;
}

int32_t erase_rows(const struct store_erased *erased)
{
    int32_t rows = 0;

    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++)
        rows += erased->rows[kind];
    return rows;
}

/* ---- who is meant ---- */

struct bearer {
    struct id record;
    bool withdrawn;
    day born;
    const char *family; /* folded */
};

struct bearers {
    struct arena arena;
    struct bearer rows[ERASE_RECORDS_MAX];
    size_t count;
};

static enum status add_bearer(void *context, const struct store_subject_row *row,
                              struct error *error)
{
    struct bearers *found = context;
    const struct patient *patient = row->record;
    struct text folded = {0};

    if (found->count == ERASE_RECORDS_MAX)
        return error_set(error, STATUS_INPUT, patient->chart,
                         "More than %d records carry this chart number; correct their numbers "
                         "first.",
                         ERASE_RECORDS_MAX);
    text_add_folded(&folded, patient->family);
    const char *family = arena_text(&found->arena, text_string(&folded), folded.length);
    bool good = !folded.failed && family != NULL;
    text_release(&folded);
    if (!good)
        return error_no_memory(error);
    found->rows[found->count++] = (struct bearer){.record = patient->head.record,
                                                  .withdrawn = row->ended,
                                                  .born = patient->born,
                                                  .family = family};
    return STATUS_OK;
}

static bool alike(const struct bearer *a, const struct bearer *b)
{
    return a->born == b->born && strcmp(a->family, b->family) == 0;
}

static enum status choose(const struct bearers *found, struct erase_subject *subject,
                          struct error *error)
{
    const struct bearer *first = &found->rows[0];

    for (size_t i = 0; i < found->count; i++) /* of the withdrawn ones the newest stands last */
        if (first->withdrawn)
            first = &found->rows[i];
    subject->current = !first->withdrawn;
    subject->erased = strcmp(first->family, patient_erased) == 0;
    subject->patients[subject->count++] = first->record;
    for (size_t i = 0; i < found->count; i++) {
        const struct bearer *other = &found->rows[i];

        if (other == first)
            continue;
        if (alike(first, other))
            subject->patients[subject->count++] = other->record;
        else
            subject->unlike++;
    }
    if (!subject->current && subject->unlike > 0)
        return error_set(error, STATUS_INPUT, subject->chart,
                         "Only withdrawn records carry the chart number %.60s, of more than one "
                         "name: whose it is can not be said.",
                         subject->chart);
    return STATUS_OK;
}

enum status erase_find(struct app *app, const char *chart, struct erase_subject *subject,
                       struct error *error)
{
    struct bearers found = {.count = 0};

    *subject = (struct erase_subject){.count = 0};
    (void)snprintf(subject->chart, sizeof subject->chart, "%s", chart);
    enum status status = store_each_of_chart(app->store, chart, add_bearer, &found, error);
    if (status == STATUS_OK && found.count == 0)
        status = error_set(error, STATUS_NOT_FOUND, "patient",
                           "There is no patient with the chart number %.60s; it is written as it "
                           "was recorded.",
                           chart);
    if (status == STATUS_OK)
        status = choose(&found, subject, error);
    arena_release(&found.arena);
    return status;
}

/* ---- what stands against it ---- */

typedef enum status (*case_visitor)(struct app *app, const struct history *history, void *context,
                                    struct error *error);

struct each_case {
    struct app *app;
    case_visitor visitor;
    void *context;
};

static enum status visit_case(void *context, const struct store_subject_row *row,
                              struct error *error)
{
    const struct each_case *each = context;
    const struct casefile *casefile = row->record;
    struct arena arena = {0};
    struct history history;

    if (row->replaced || row->ended)
        return STATUS_OK;
    enum status status = store_read_case(each->app->store, &casefile->head.record, STORE_NOW,
                                         &arena, &history, error);
    if (status == STATUS_OK)
        status = each->visitor(each->app, &history, each->context, error);
    arena_release(&arena);
    return status;
}

/* Every case of the subject that stands. */
static enum status for_each_case(struct app *app, const struct erase_subject *subject,
                                 case_visitor visitor, void *context, struct error *error)
{
    struct each_case each = {app, visitor, context};
    enum status status = STATUS_OK;

    for (size_t i = 0; i < subject->count && status == STATUS_OK; i++)
        status = store_each_subject_row(app->store, RECORD_CASEFILE, &subject->patients[i],
                                        visit_case, &each, error);
    return status;
}

/* What of an arch is in the mouth by the record; NULL: nothing. */
static const char *left_in(const struct expander *expander)
{
    if (expander->out_on != DAY_NONE)
        return NULL;
    if (expander->fitted_on != DAY_NONE)
        return "expander";
    if (expander->banded_on != DAY_NONE)
        return "bands";
    return expander->separators_on != DAY_NONE ? "separators" : NULL;
}

/* Also one that is set aside: the reason for that is a note, which goes. */
static bool safety_stands(const struct history *history)
{
    struct case_state state;

    course_state(history, &state);
    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++)
        if (state.safety_from[item] != DAY_NONE)
            return true;
    return false;
}

static enum status check_case(struct app *app, const struct history *history, void *context,
                              struct error *error)
{
    const char *number = history->casefile->number;
    char date[DAY_TEXT_SIZE];

    (void)context;
    for (size_t i = 0; i < history->expander_count; i++) {
        const struct expander *expander = &history->expanders[i];

        if (left_in(expander) != NULL)
            return error_set(error, STATUS_INPUT, number,
                             "Case %.60s: by the record the %s %s in the mouth, and a child nobody "
                             "can name can not be called back; take it out and record that (out), "
                             "then erase.",
                             number, word_text(&words_arch, (int)expander->arch),
                             strcmp(left_in(expander), "expander") == 0 ? "expander is"
                             : strcmp(left_in(expander), "bands") == 0  ? "bands are"
                                                                        : "separators are");
    }
    if (safety_stands(history))
        return error_set(error, STATUS_INPUT, number,
                         "Case %.60s: a safety item stands or is set aside, and a child nobody can "
                         "name can not be called back; see the child and record the visit, then "
                         "erase.",
                         number);
    for (size_t i = 0; i < history->booking_count; i++) {
        const struct booking *booking = &history->bookings[i];

        if (booking->state == BOOKED_STANDING && booking->date >= app->today)
            return error_set(error, STATUS_INPUT, number,
                             "Case %.60s: the booking of %s stands; cancel it, then erase.", number,
                             day_to_text(booking->date, date));
    }
    if (history->casefile->closed_on == DAY_NONE || history->casefile->closed_on > app->today)
        return error_set(error, STATUS_INPUT, number,
                         "Case %.60s is open; close it (transferred or discontinued, where it is "
                         "not finished), then erase.",
                         number);
    return STATUS_OK;
}

enum status erase_check(struct app *app, const struct erase_subject *subject, struct error *error)
{
    return for_each_case(app, subject, check_case, NULL, error);
}

/* ---- erasing ---- */

/* In words, and without a name: it is kept for ever, where nothing can be blanked. */
static enum status check_ground(struct app *app, const struct erase_subject *subject,
                                const char *ground, struct error *error)
{
    struct erase_names names = {.count = 0};
    const char *found = NULL;

    enum status status =
        text_check(ground, strlen(ground), TEXT_NOTE_CHARACTERS, "--ground", error);
    if (status == STATUS_OK && (!text_says(ground) || strchr(ground, ' ') == NULL))
        status = error_set(error, STATUS_INPUT, "--ground",
                           "Say in some words why: the written request and its day, or the law.");
    if (status == STATUS_OK)
        status = erase_names_read(app, subject, &names, error);
    if (status == STATUS_OK && !erase_names_find(&names, ground, &found))
        status = error_no_memory(error);
    if (status == STATUS_OK && found != NULL)
        status = error_set(error, STATUS_INPUT, "--ground",
                           "The ground holds \"%.60s\", a name or number of the family, and can "
                           "never be erased itself; write it without.",
                           found);
    erase_names_release(&names);
    return status;
}

static enum status touch_case(struct app *app, const struct history *history, void *context,
                              struct error *error)
{
    (void)app;
    return app_save_touch(context, &history->casefile->head.record, error);
}

static enum status log_erasure(struct app *app, const struct erase_subject *subject,
                               const struct store_erased *erased, struct error *error)
{
    char detail[120];
    const struct log_entry entry = {.what = ACCESS_ERASED,
                                    .command = COMMAND_ERASE,
                                    .subject = subject->chart,
                                    .detail = detail};

    (void)snprintf(detail, sizeof detail, "%" PRId32 " values of %" PRId32 " rows", erased->values,
                   erase_rows(erased));
    return app_log_append(app, &entry, error);
}

/* Inside the save. */
static enum status erase_all(struct app *app, const char *chart, const char *ground,
                             struct app_save *save, struct store_erased *erased,
                             struct error *error)
{
    struct erase_subject subject;

    enum status status = erase_find(app, chart, &subject, error);
    if (status == STATUS_OK)
        status = erase_check(app, &subject, error);
    for (size_t i = 0; i < subject.count && status == STATUS_OK; i++) {
        struct store_erased one;

        status = store_erase_patient(app->store, &subject.patients[i], ground, &one, error);
        if (status == STATUS_OK)
            erase_add(erased, &one);
    }
    if (status == STATUS_OK)
        status = log_erasure(app, &subject, erased, error);
    if (status == STATUS_OK)
        status = for_each_case(app, &subject, touch_case, save, error);
    return status;
}

static enum status save_erasure(struct app *app, const char *chart, const char *ground,
                                struct store_erased *erased, struct error *error)
{
    struct app beside = *app;
    struct app_save save;

    enum status status = store_open_erasing(app->store, &beside.store, error);
    if (status != STATUS_OK)
        return status;
    const struct store_request request = {
        .id = store_new_id(beside.store), .command = "erase", .seat = app->seat};
    status = app_save_begin(&beside, COMMAND_ERASE, &request, &save, error);
    if (status == STATUS_OK) {
        status = erase_all(&beside, chart, ground, &save, erased, error);
        if (status == STATUS_OK)
            status = app_save_commit(&save, error);
        else
            app_save_drop(&save);
    }
    store_close(beside.store);
    return status;
}

/* Is there anything left to blank? */
static enum status count_left(struct app *app, const struct erase_subject *subject,
                              struct store_erased *left, struct error *error)
{
    enum status status = STATUS_OK;

    *left = (struct store_erased){.values = 0};
    for (size_t i = 0; i < subject->count && status == STATUS_OK; i++) {
        struct store_erased one;

        status = store_count_erasable(app->store, &subject->patients[i], &one, error);
        if (status == STATUS_OK)
            erase_add(left, &one);
    }
    return status;
}

/* The last step, which can be done again at any time. */
static enum status clean(struct app *app, const struct erase_subject *subject, struct text *out,
                         struct error *error)
{
    struct error problem = {0};
    enum status status = store_clean(app->store, &problem);

    if (status != STATUS_OK)
        return error_set(error, status, subject->chart,
                         "It is erased, but the file could not be written anew, and copies may be "
                         "left in its unused space: give the same command once more (%.200s)",
                         problem.sentence);
    text_add(out, "the file was written anew: no copy is left in its unused space\n"
                  "backups made before hold everything still; what a disk keeps of overwritten "
                  "files is outside this program\n");
    return out->failed ? error_no_memory(error) : STATUS_OK;
}

enum status erase_patient(struct app *app, const char *chart, const char *ground, struct text *out,
                          struct error *error)
{
    struct erase_subject subject;
    struct store_erased erased = {.values = 0};

    enum status status = app_allow(app, COMMAND_ERASE, chart, error);
    if (status == STATUS_OK)
        status = erase_find(app, chart, &subject, error);
    if (status == STATUS_OK)
        status = check_ground(app, &subject, ground, error);
    if (status == STATUS_OK)
        status = erase_check(app, &subject, error);
    if (status == STATUS_OK)
        status = count_left(app, &subject, &erased, error);
    if (status != STATUS_OK)
        return status;
    if (erased.values > 0 || erased.drafts > 0) {
        erased = (struct store_erased){.values = 0};
        status = save_erasure(app, chart, ground, &erased, error);
        if (status != STATUS_OK)
            return status;
        text_addf(out, "patient ");
        text_add_shown(out, subject.chart);
        text_addf(out,
                  ": %" PRId32 " values of %" PRId32 " rows erased, %" PRId32
                  " unsaved forms removed\n",
                  erased.values, erase_rows(&erased), erased.drafts);
    } else {
        text_add(out, "patient ");
        text_add_shown(out, subject.chart);
        text_add(out, ": erased before, nothing is left to blank\n");
    }
    return clean(app, &subject, out, error);
}
