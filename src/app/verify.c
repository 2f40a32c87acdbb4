/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verify: the ledger walked by the store, then every derived state rebuilt and compared. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "springline/app/app.h"
#include "springline/app/grow.h"
#include "springline/core/course.h"

struct kept_states {
    struct arena arena;
    struct case_state *states;
    size_t count, capacity;
};

struct comparison {
    struct kept_states kept;
    struct text *out;
    size_t cases, different;
};

static enum status keep_state(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct kept_states *kept = &((struct comparison *)context)->kept;

    (void)booked;
    if (!app_grow(&kept->arena, (void **)&kept->states, kept->count, &kept->capacity,
                  sizeof *kept->states) ||
        !app_copy_state(&kept->arena, state, &kept->states[kept->count]))
        return error_no_memory(error);
    kept->count++;
    return STATUS_OK;
}

static int compare_states(const void *a, const void *b)
{
    const struct case_state *left = a, *right = b;
    return id_compare(&left->casefile, &right->casefile);
}

static bool same_text(const char *a, const char *b)
{
    return strcmp(a == NULL ? "" : a, b == NULL ? "" : b) == 0;
}

/* The first field in which two states differ; NULL when they agree. */
static const char *state_difference(const struct case_state *a, const struct case_state *b)
{
    if (a->stage != b->stage || a->stage_upper != b->stage_upper ||
        a->stage_lower != b->stage_lower || a->stability_from_upper != b->stability_from_upper ||
        a->stability_from_lower != b->stability_from_lower)
        return "stage";
    if (a->newest != b->newest)
        return "newest date";
    if (a->last_seen != b->last_seen)
        return "last seen";
    if (a->due_from != b->due_from || a->due_to != b->due_to)
        return "next date";
    if (memcmp(a->safety_from, b->safety_from, sizeof a->safety_from) != 0)
        return "safety";
    if (a->again_on != b->again_on || a->last_contact != b->last_contact)
        return "last contact";
    if (a->last_verdict != b->last_verdict || a->last_recomputed != b->last_recomputed)
        return "last verdict";
    if (!same_text(a->number, b->number) || !same_text(a->family, b->family) ||
        !same_text(a->given, b->given) || !same_text(a->phone, b->phone) ||
        !same_text(a->clinician, b->clinician))
        return "name or number";
    return NULL;
}

static enum status compare_case(void *context, const struct history *history, struct error *error)
{
    struct comparison *comparison = context;
    struct case_state fresh;

    (void)error;
    comparison->cases++;
    course_state(history, &fresh);
    const struct case_state *stored =
        comparison->kept.count == 0
            ? NULL
            : bsearch(&fresh, comparison->kept.states, comparison->kept.count,
                      sizeof *comparison->kept.states, compare_states);
    const char *difference = stored == NULL ? "the whole state" : state_difference(stored, &fresh);
    if (difference == NULL)
        return STATUS_OK;
    comparison->different++;
    text_add(comparison->out, "derived state of case ");
    text_add_shown(comparison->out, history->casefile->number);
    text_addf(comparison->out, ": %s differs from what the rows give\n", difference);
    return STATUS_OK;
}

static enum status verify_states(struct app *app, struct text *out, struct error *error)
{
    struct comparison comparison = {.out = out};

    enum status status = store_each_state(app->store, app->today, keep_state, &comparison, error);
    if (status == STATUS_OK) {
        if (comparison.kept.count > 0)
            qsort(comparison.kept.states, comparison.kept.count, sizeof *comparison.kept.states,
                  compare_states);
        status = store_each_case(app->store, STORE_NOW, compare_case, &comparison, error);
    }
    if (status == STATUS_OK && comparison.kept.count != comparison.cases)
        text_addf(out, "derived states: %zu stand for %zu cases\n", comparison.kept.count,
                  comparison.cases);
    if (status == STATUS_OK &&
        (comparison.different > 0 || comparison.kept.count != comparison.cases))
        status = error_set(error, STATUS_DAMAGED, "case_state",
                           "The derived state of %zu of %zu cases does not follow from the rows.",
                           comparison.different, comparison.cases);
    arena_release(&comparison.kept.arena);
    return status;
}

enum status app_verify(struct app *app, struct text *out, struct error *error)
{
    struct verify_report report = {0};

    enum status status = store_verify(app->store, &report, error);
    text_add(out, text_string(&report.findings));
    if (status == STATUS_OK) {
        text_addf(out, "ledger: %" PRId64 " rows, every one matches; head ", report.rows);
        for (size_t i = 0; i < sizeof report.head; i++)
            text_addf(out, "%02x", (unsigned)report.head[i]);
        text_add(out, "\n");
        status = verify_states(app, out, error);
    }
    if (status == STATUS_OK)
        text_add(out, "derived states: all follow from the rows\n");
    text_release(&report.findings);
    return out->failed ? error_no_memory(error) : status;
}
