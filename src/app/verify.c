/* SPDX-License-Identifier: GPL-3.0-or-later */
/* verify: the ledger walked by the store, then every derived state rebuilt and compared, and every
 * stored verdict worked out again. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "springline/app/anchor.h"
#include "springline/app/month.h"
#include "springline/app/secret.h"
#include "springline/core/course.h"
#include "springline/store/signature.h"
#include "verify_private.h"

/* Every case on its way through: its derived state, and the verdicts stored with its visits. */
struct passing {
    struct app *app;
    struct text *out;
    struct arena arena;
    size_t cases, different;
    struct verdict_check verdicts;
};

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

static void tell_state(struct passing *passing, const char *number, const char *what)
{
    if (passing->different++ >= VERIFY_LINES_SHOWN)
        return;
    text_add(passing->out, "derived state of case ");
    text_add_shown(passing->out, number);
    text_addf(passing->out, ": %s\n", what);
}

/* A case that can not be read is a finding: the others are still looked at. */
static bool is_finding(enum status status)
{
    return status == STATUS_DAMAGED || status == STATUS_NOT_FOUND;
}

static enum status compare_state(struct passing *passing, const struct id *casefile,
                                 const char *number, struct error *error)
{
    struct store *store = passing->app->store;
    struct case_state stored, fresh;
    struct history history;
    struct error problem = {0};

    bool found = true;

    passing->cases++;
    arena_clear(&passing->arena);
    enum status status =
        store_read_case(store, casefile, STORE_NOW, &passing->arena, &history, &problem);
    if (status == STATUS_OK) {
        course_state(&history, &fresh);
        status = store_read_state(store, casefile, &passing->arena, &stored, &problem);
        if (status == STATUS_OK)
            status = store_state_is_found(store, &fresh, &found, &problem);
    }
    const char *difference = status == STATUS_NOT_FOUND && problem.sentence[0] == '\0'
                                 ? "the whole state"
                             : status == STATUS_OK ? state_difference(&stored, &fresh)
                                                   : NULL;
    if (status == STATUS_OK && difference == NULL && !found)
        difference = "what it is searched by";
    if (difference != NULL) {
        char what[80];

        (void)snprintf(what, sizeof what, "%s differs from what the rows give", difference);
        tell_state(passing, number, what);
    } else if (is_finding(status)) {
        tell_state(passing, number, problem.sentence);
    } else if (status != STATUS_OK) {
        *error = problem;
        return status;
    }
    return STATUS_OK;
}

static enum status pass_case(void *context, const struct id *casefile, const char *number,
                             bool stands, struct error *error)
{
    struct passing *passing = context;
    enum status status = STATUS_OK;

    if (stands)
        status = compare_state(passing, casefile, number, error);
    return status == STATUS_OK ? verify_verdicts(&passing->verdicts, casefile, number, error)
                               : status;
}

/* A state that stands for no case: none of the cases has shown it. */
static enum status count_states(struct passing *passing, struct error *error)
{
    int64_t states, cases;

    enum status status = store_count_states(passing->app->store, &states, &cases, error);
    if (status == STATUS_OK && states != cases) {
        passing->different++;
        text_addf(passing->out, "derived states: %" PRId64 " stand for %" PRId64 " cases\n", states,
                  cases);
    }
    return status;
}

static void tell_passed(const struct passing *passing, size_t missed)
{
    struct text *out = passing->out;

    if (passing->different > VERIFY_LINES_SHOWN)
        text_addf(out, "and %zu derived states more\n", passing->different - VERIFY_LINES_SHOWN);
    if (passing->different == 0)
        text_add(out, "derived states: all follow from the rows\n");
    if (missed > 0)
        text_addf(out, "verdicts: %zu belong to no case\n", missed);
    if (passing->verdicts.wrong == 0 && missed == 0)
        text_addf(out, "verdicts: %zu worked out again, every one as it was stored\n",
                  passing->verdicts.same);
}

/* verdicts: how many the ledger had; more may have come in since. */
static enum status answer(struct passing *passing, size_t verdicts, struct error *error)
{
    const struct verdict_check *check = &passing->verdicts;
    const size_t seen = check->same + check->wrong + check->other_rules;
    const size_t missed = verdicts > seen ? verdicts - seen : 0;

    verify_verdicts_tell(&passing->verdicts);
    tell_passed(passing, missed);
    if (passing->different > 0)
        return error_set(error, STATUS_DAMAGED, "case_state",
                         "The derived state of %zu of %zu cases does not follow from the rows.",
                         passing->different, passing->cases);
    if (check->wrong + missed > 0)
        return error_set(error, STATUS_DAMAGED, "judged",
                         "%zu of %zu stored verdicts are not what the rules give for the rows of "
                         "then, though the ledger matches: something was written anew behind the "
                         "program; stop working in the store and hold it against a backup.",
                         check->wrong + missed, seen + missed);
    return STATUS_OK;
}

/* Case by case, each in a read transaction of its own, so that saves are let in between. */
static enum status pass_cases(struct app *app, int64_t verdicts, struct text *out,
                              struct error *error)
{
    struct passing passing = {.app = app, .out = out, .verdicts = {.app = app, .out = out}};

    enum status status = store_each_case_ever(app->store, pass_case, &passing, error);
    if (status == STATUS_OK)
        status = count_states(&passing, error);
    if (status == STATUS_OK)
        status = answer(&passing, (size_t)verdicts, error);
    verify_verdicts_release(&passing.verdicts);
    arena_release(&passing.arena);
    return status;
}

static enum status verify_signatures(struct app *app, struct text *out, struct error *error)
{
    int64_t count = 0;
    enum status status = store_verify_signatures(app->store, out, &count, error);

    if (status == STATUS_OK)
        text_addf(out, "signatures: %" PRId64 ", each under the row it was given for\n", count);
    return status;
}

/* One check after the other, whatever the ones before found: the first failure is told. */
static enum status also(enum status before, enum status next)
{
    return before == STATUS_OK ? next : before;
}

enum status app_verify(struct app *app, struct text *out, struct error *error)
{
    struct verify_report report = {0};

    enum status status = store_verify(app->store, &report, error);
    text_add(out, text_string(&report.findings));
    if (status == STATUS_OK) {
        text_addf(out, "ledger: %" PRId64 " rows, every one matches; head ", report.rows);
        anchor_add(out, report.rows, report.head);
        text_add(out, "\n");
        status = pass_cases(app, report.verdicts, out, error);
        status = also(status, verify_signatures(app, out, status == STATUS_OK ? error : NULL));
    }
    if (status == STATUS_OK)
        status = secret_verify(app, out, error);
    if (status == STATUS_OK)
        status = month_verify(app, out, error);
    text_release(&report.findings);
    return out->failed ? error_no_memory(error) : status;
}
