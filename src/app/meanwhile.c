/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A case at one place of the ledger and at a later one: which records are other ones. */
#include "meanwhile.h"

#include <stdlib.h>
#include <string.h>

#include "form_engine.h"
#include "springline/app/grow.h"

/* The case at one of the two places. */
struct moment {
    struct history history; /* zeroed: the case was not there */
    struct assessment assessment;
};

struct comparison {
    struct app *app;
    int64_t from, to;
    struct arena *arena;
    struct meanwhile *list;
    struct moment then, now;
};

/* ---- rows ---- */

static enum status add_row(struct comparison *comparison, const struct meanwhile_row *row,
                           struct error *error)
{
    struct meanwhile *list = comparison->list;

    if (!app_grow(comparison->arena, (void **)&list->rows, list->count, &list->capacity,
                  sizeof *list->rows))
        return error_no_memory(error);
    list->rows[list->count++] = *row;
    return STATUS_OK;
}

static enum status add_version(struct comparison *comparison, enum record_kind kind,
                               const union any_record *now, const union any_record *before,
                               struct error *error)
{
    const struct meanwhile_row row = {.kind = kind,
                                      .before = before,
                                      .now = now,
                                      .reason = now->head.reason,
                                      .at = now->head.recorded_at,
                                      .order = now->head.sequence,
                                      .person = now->head.person,
                                      .request = now->head.request};

    return add_row(comparison, &row, error);
}

static enum status add_withdrawal(struct comparison *comparison, enum record_kind kind,
                                  const struct record_version *last, struct error *error)
{
    const struct meanwhile_row row = {.kind = kind,
                                      .before = last->record,
                                      .now = last->record,
                                      .withdrawn = true,
                                      .reason = last->gone.reason,
                                      .at = last->gone.at,
                                      .order = INT64_MAX, /* behind the versions it ends */
                                      .person = last->gone.person,
                                      .request = last->gone.request};

    return add_row(comparison, &row, error);
}

/* Every version of a record that came in between, the oldest first; gone: and that it ended. */
static enum status add_story(struct comparison *comparison, enum record_kind kind,
                             const struct id *record, bool gone, struct error *error)
{
    struct record_story story;

    enum status status =
        case_story_read(comparison->app, kind, record, comparison->arena, &story, error);
    if (status != STATUS_OK)
        return status;
    for (size_t i = story.count; i-- > 0 && status == STATUS_OK;) {
        const union any_record *version = story.versions[i].record;
        if (version->head.sequence <= comparison->from || version->head.sequence > comparison->to)
            continue;
        status = add_version(comparison, kind, version,
                             i + 1 < story.count ? story.versions[i + 1].record : NULL, error);
    }
    if (status == STATUS_OK && gone && story.versions[0].withdrawn)
        status = add_withdrawal(comparison, kind, &story.versions[0], error);
    return status;
}

/* ---- which records ---- */

static struct row_list assessed(const struct assessment *assessment, enum record_kind kind)
{
    switch ((int)kind) {
    case RECORD_TOOTH_WIDTH:
        return (struct row_list){assessment->tooth_widths, assessment->tooth_width_count};
    case RECORD_ARCH_SEGMENT:
        return (struct row_list){assessment->segments, assessment->segment_count};
    case RECORD_ARCH_DEPTH:
        return (struct row_list){assessment->depths, assessment->depth_count};
    case RECORD_PLAN:
        return (struct row_list){assessment->plans, assessment->plan_count};
    default:
        return (struct row_list){NULL, 0};
    }
}

static struct row_list one_row(const void *row)
{
    return (struct row_list){row, row == NULL ? 0 : 1};
}

static struct row_list rows_at(const struct moment *moment, enum record_kind kind)
{
    switch ((int)kind) {
    case RECORD_PATIENT:
        return one_row(moment->history.patient);
    case RECORD_CASEFILE:
        return one_row(moment->history.casefile);
    case RECORD_PROTOCOL:
        return one_row(moment->history.protocol);
    case RECORD_TOOTH_WIDTH:
    case RECORD_ARCH_SEGMENT:
    case RECORD_ARCH_DEPTH:
    case RECORD_PLAN:
        return assessed(&moment->assessment, kind);
    default:
        return form_rows_of(&moment->history, kind);
    }
}

static const union any_record *row_of(const struct row_list *list, enum record_kind kind, size_t at)
{
    return (const void *)((const char *)list->rows + at * record_tables[kind].size);
}

static bool holds(const struct row_list *list, enum record_kind kind, const struct id *record)
{
    for (size_t i = 0; i < list->count; i++) {
        if (id_equal(&row_of(list, kind, i)->head.record, record))
            return true;
    }
    return false;
}

/* A copy that is as large as any record: a row of a list ends with its own kind. */
static const union any_record *copy_row(struct arena *arena, enum record_kind kind,
                                        const union any_record *row)
{
    union any_record *copy = arena_alloc(arena, sizeof *copy);

    if (copy != NULL)
        memcpy(copy, row, record_tables[kind].size);
    return copy;
}

/* What stands now and did not then. *kept counts the rows that did. */
static enum status compare_now(struct comparison *comparison, enum record_kind kind, size_t *kept,
                               struct error *error)
{
    struct row_list list = rows_at(&comparison->now, kind);
    enum status status = STATUS_OK;

    *kept = 0;
    for (size_t i = 0; i < list.count && status == STATUS_OK; i++) {
        const union any_record *row = row_of(&list, kind, i);
        if (row->head.sequence <= comparison->from) {
            (*kept)++;
        } else if (row->head.version > 1) {
            status = add_story(comparison, kind, &row->head.record, false, error);
        } else {
            const union any_record *copy = copy_row(comparison->arena, kind, row);
            status = copy == NULL ? error_no_memory(error)
                                  : add_version(comparison, kind, copy, NULL, error);
        }
    }
    return status;
}

/* What stood then and stands no more. Of the protocol that governs the case it is only told that it
 * is another one, in the data of the case. */
static enum status compare_then(struct comparison *comparison, enum record_kind kind,
                                struct error *error)
{
    struct row_list then = rows_at(&comparison->then, kind);
    struct row_list now = rows_at(&comparison->now, kind);
    enum status status = STATUS_OK;

    for (size_t i = 0; i < then.count && status == STATUS_OK; i++) {
        const struct id *record = &row_of(&then, kind, i)->head.record;
        if (!holds(&now, kind, record))
            status = add_story(comparison, kind, record, true, error);
    }
    return status;
}

static enum status compare_kind(struct comparison *comparison, enum record_kind kind,
                                struct error *error)
{
    size_t kept = 0;

    enum status status = compare_now(comparison, kind, &kept, error);
    if (status != STATUS_OK || kept == rows_at(&comparison->then, kind).count)
        return status;
    return compare_then(comparison, kind, error);
}

/* ---- the two places ---- */

static enum status read_moment(struct comparison *comparison, const struct id *casefile,
                               int64_t as_of, bool assessments, struct moment *moment,
                               struct error *error)
{
    struct store *store = comparison->app->store;
    enum status status =
        store_read_case(store, casefile, as_of, comparison->arena, &moment->history, error);

    if (status == STATUS_NOT_FOUND) {
        *moment = (struct moment){0};
        return STATUS_OK;
    }
    if (status == STATUS_OK && assessments)
        status = store_read_assessment(store, casefile, as_of, comparison->arena,
                                       &moment->assessment, error);
    return status;
}

enum status meanwhile_of_case(struct app *app, const struct id *casefile, int64_t from, int64_t to,
                              unsigned kinds, struct arena *arena, struct meanwhile *list,
                              struct error *error)
{
    const unsigned assessments = kind_bit(RECORD_TOOTH_WIDTH) | kind_bit(RECORD_ARCH_SEGMENT) |
                                 kind_bit(RECORD_ARCH_DEPTH) | kind_bit(RECORD_PLAN);
    struct comparison comparison = {
        .app = app, .from = from, .to = to, .arena = arena, .list = list};
    bool too = (kinds & assessments) != 0;
    struct error unsaid = {0};

    enum status status = read_moment(&comparison, casefile, from, too, &comparison.then, &unsaid);
    if (status == STATUS_OK)
        status = read_moment(&comparison, casefile, to, too, &comparison.now, &unsaid);
    if (status != STATUS_OK) {
        if (error != NULL)
            *error = unsaid;
        return status;
    }
    /* A case that is gone took nothing with it: there was nothing in it. */
    if (comparison.now.history.casefile == NULL)
        kinds &= kind_bit(RECORD_CASEFILE);
    for (int kind = 0; kind < RECORD_JUDGED && status == STATUS_OK; kind++) {
        if ((kinds & kind_bit((enum record_kind)kind)) != 0)
            status = compare_kind(&comparison, (enum record_kind)kind, error);
    }
    return status;
}

enum status meanwhile_of_record(struct app *app, enum record_kind kind, const struct id *record,
                                int64_t from, int64_t to, struct arena *arena,
                                struct meanwhile *list, struct error *error)
{
    struct comparison comparison = {
        .app = app, .from = from, .to = to, .arena = arena, .list = list};
    union any_record current;

    for (size_t i = 0; i < list->count; i++) {
        if (list->rows[i].kind == kind && id_equal(&list->rows[i].now->head.record, record))
            return STATUS_OK;
    }
    enum status status = store_read_current(app->store, kind, record, arena, &current, error);
    if (status != STATUS_OK && status != STATUS_NOT_FOUND)
        return status;
    bool gone = status == STATUS_NOT_FOUND;
    if (!gone && current.head.sequence <= from)
        return STATUS_OK;
    return add_story(&comparison, kind, record, gone, error);
}

static int compare_rows(const void *a, const void *b)
{
    const struct meanwhile_row *first = a, *second = b;

    if (first->at != second->at)
        return first->at < second->at ? -1 : 1;
    return (first->order > second->order) - (first->order < second->order);
}

void meanwhile_sort(struct meanwhile *list)
{
    if (list->count > 1)
        qsort(list->rows, list->count, sizeof *list->rows, compare_rows);
}

/* An instant has seconds: what was saved in the same one may have come behind. */
enum status meanwhile_since(struct app *app, instant at, int64_t *opened_at, struct error *error)
{
    struct error unsaid = {0};
    int64_t sequence = 0;

    enum status status = store_sequence_at(app->store, at - 1, &sequence, &unsaid);
    if (status == STATUS_OK || status == STATUS_NO) {
        *opened_at = sequence < *opened_at ? sequence : *opened_at;
        return STATUS_OK;
    }
    if (error != NULL)
        *error = unsaid;
    return status;
}
