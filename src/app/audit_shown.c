/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The month for the screen: read once, searched, at a glance. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "springline/app/audit_view.h"
#include "told.h"

void audit_shown_begin(struct audit_shown *shown, day today)
{
    *shown = (struct audit_shown){.month = day_month_start(today, -1)};
}

bool audit_shown_move(struct audit_shown *shown, int months, day today)
{
    day moved = day_month_start(shown->month, months);

    if (moved == DAY_NONE || moved > today)
        return false;
    shown->month = moved;
    shown->now = false;
    return true;
}

bool audit_shown_turn(struct audit_shown *shown)
{
    if (!shown->is_closed)
        return false;
    shown->now = !shown->now;
    return true;
}

struct audit_when audit_shown_when(const struct audit_shown *shown)
{
    struct audit_when when = {shown->of_month, shown->today, STORE_NOW};

    if (shown->list.closed != NULL) {
        day ended = shown->closed.close.through + 1;
        when.as_of = shown->closed.close.newest_row;
        when.today = when.today < ended ? ended : when.today;
    }
    return when;
}

static bool is_still(const struct audit_shown *shown, day today, int64_t sequence)
{
    return shown->held && shown->of_month == shown->month && shown->today == today &&
           shown->sequence == sequence && shown->of_now == shown->now;
}

/* ---- safety items of today ---- */

struct safety_reader {
    struct listed_audit **rows; /* by the id of the case */
    size_t count;
    day today;
};

static int compare_ids(const struct listed_audit *a, const struct listed_audit *b)
{
    return memcmp(a->casefile.bytes, b->casefile.bytes, sizeof a->casefile.bytes);
}

static int compare_rows(const void *a, const void *b)
{
    return compare_ids(*(struct listed_audit *const *)a, *(struct listed_audit *const *)b);
}

static enum status take_state(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct safety_reader *reader = context;
    struct listed_audit wanted = {.casefile = state->casefile};
    const struct listed_audit *key = &wanted;
    struct listed_audit **found =
        bsearch(&key, reader->rows, reader->count, sizeof(struct listed_audit *), compare_rows);

    (void)booked;
    (void)error;
    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT && found != NULL; item++) {
        if (state->safety_from[item] != DAY_NONE && state->safety_from[item] <= reader->today)
            (*found)->safety |= 1U << item;
    }
    return STATUS_OK;
}

/* A month tells of wear; who must be called for another reason is not to be read past in it. */
static enum status read_safety(struct app *app, struct audit_shown *shown, struct error *error)
{
    struct audit_list *list = &shown->list;
    struct safety_reader reader = {.count = list->count, .today = app->today};

    if (list->count == 0)
        return STATUS_OK;
    reader.rows = arena_array(&shown->since, list->count, sizeof(struct listed_audit *));
    if (reader.rows == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < list->count; i++) {
        reader.rows[i] = &list->rows[i];
        list->rows[i].safety = 0;
    }
    qsort(reader.rows, reader.count, sizeof(struct listed_audit *), compare_rows);
    return store_each_state(app->store, app->today, take_state, &reader, error);
}

/* ---- a closed month ---- */

static enum status read_now(struct app *app, struct audit_shown *shown, struct error *error)
{
    return lists_audit(app, shown->month, STORE_NOW, &shown->arena, &shown->list, error);
}

static enum status keep_trouble(struct audit_shown *shown, const struct error *trouble,
                                struct error *error)
{
    shown->trouble = arena_text(&shown->arena, trouble->sentence, strlen(trouble->sentence));
    return shown->trouble == NULL ? error_no_memory(error) : STATUS_OK;
}

/* The figures of the close; where they can not be had, today's, and why. */
static enum status read_closed(struct app *app, struct audit_shown *shown, struct error *error)
{
    struct error trouble = {0};
    enum status status =
        month_redraw(app, &shown->closed, &shown->arena, &shown->list, &shown->truth, &trouble);

    if (status == STATUS_OK)
        return status;
    if (status != STATUS_DAMAGED)
        return error_set(error, status, trouble.where, "%s", trouble.sentence);
    status = keep_trouble(shown, &trouble, error);
    return status == STATUS_OK ? read_now(app, shown, error) : status;
}

/* Today's figures are read for the difference, or stand there already. */
static enum status read_changes(struct app *app, struct audit_shown *shown, struct error *error)
{
    const struct month_closed *closed = &shown->closed;
    struct error trouble = {0};

    arena_clear(&shown->since);
    shown->changes = (struct month_changes){0};
    if (!shown->is_closed || shown->trouble != NULL)
        return STATUS_OK;
    enum status status =
        shown->list.closed != NULL
            ? month_changes(app, closed, &shown->since, &shown->changes, &trouble)
            : month_changes_to(app, closed, &shown->list, &shown->since, &shown->changes, &trouble);
    if (status == STATUS_DAMAGED)
        return keep_trouble(shown, &trouble, error);
    if (status != STATUS_OK)
        return error_set(error, status, trouble.where, "%s", trouble.sentence);
    return STATUS_OK;
}

static enum status read_figures(struct app *app, struct audit_shown *shown, struct error *error)
{
    arena_clear(&shown->arena);
    shown->list = (struct audit_list){0};
    shown->truth = MONTH_AS_SIGNED;
    shown->trouble = NULL;
    enum status status = month_find(app, shown->month, &shown->arena, &shown->closed, error);
    shown->is_closed = status == STATUS_OK;
    if (status == STATUS_NOT_FOUND)
        return read_now(app, shown, error);
    if (status == STATUS_OK)
        status = shown->now ? read_now(app, shown, error) : read_closed(app, shown, error);
    return status;
}

/* ---- reading ---- */

static enum status read_month(struct app *app, struct audit_shown *shown, struct error *error)
{
    uint8_t hash[32];
    int64_t sequence = 0;
    enum status status = store_head(app->store, &sequence, hash, error);

    if (status == STATUS_OK && is_still(shown, app->today, sequence))
        return STATUS_OK;
    /* What was closed stays as it was closed: only what changed since is read again. */
    bool stays = shown->held && shown->list.closed != NULL && !shown->now &&
                 shown->of_month == shown->month && shown->today == app->today;
    shown->held = false;
    if (status == STATUS_OK && !stays)
        status = read_figures(app, shown, error);
    if (status == STATUS_OK)
        status = read_changes(app, shown, error);
    if (status == STATUS_OK)
        status = read_safety(app, shown, error);
    if (status != STATUS_OK) {
        shown->list = (struct audit_list){0};
        return status;
    }
    shown->held = true;
    shown->of_month = shown->month;
    shown->today = app->today;
    shown->sequence = sequence;
    shown->of_now = shown->now;
    return STATUS_OK;
}

/* ---- the glance ---- */

static void add_groups(struct text *out, day month, const struct audit_totals *totals)
{
    char text[MONTH_TEXT_SIZE];

    text_addf(out,
              "%s: below %" PRId32 " (%" PRId32 " LOW), unknown %" PRId32 ", not seen %" PRId32
              ", meeting %" PRId32 ", of %" PRId32 " %s",
              month_to_text(month, text), totals->below, totals->low, totals->unknown,
              totals->not_seen, totals->meeting, totals->cases,
              totals->cases == 1 ? "case" : "cases");
}

static void add_work(struct text *out, day month, const struct audit_totals *totals)
{
    char text[MONTH_TEXT_SIZE];

    text_addf(out,
              "%s: visits %" PRId32 ", holds %" PRId32 ", reductions %" PRId32 ", rests %" PRId32
              ", overrides %" PRId32 ", missed %" PRId32,
              month_to_text(month, text), totals->visits, totals->holds, totals->reductions,
              totals->rests, totals->overrides, totals->missed);
}

static bool add_groups_of(struct text *text, const struct audit_list *list, day month,
                          struct arena *arena, struct lines *lines)
{
    add_groups(text, month, &list->totals);
    return told_end_line(arena, lines, text);
}

/* What stands behind the groups of the month itself. */
static bool add_others(struct text *text, const struct audit_list *list, day month,
                       struct arena *arena, struct lines *lines)
{
    day before = day_month_start(month, -1);

    add_groups(text, before, &list->totals_before);
    bool good = told_end_line(arena, lines, text);
    add_work(text, month, &list->totals);
    good = good && told_end_line(arena, lines, text);
    add_work(text, before, &list->totals_before);
    return good && told_end_line(arena, lines, text);
}

enum status audit_view_glance(const struct audit_list *list, day month, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    struct text text = {0};
    bool good = add_groups_of(&text, list, month, arena, lines) &&
                add_others(&text, list, month, arena, lines);

    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}

/* By whom and when it was closed; then what changed since, or what is wrong. */
static bool add_closed(struct text *text, const struct audit_shown *shown, struct arena *arena,
                       struct lines *lines)
{
    if (!shown->is_closed)
        return true;
    month_add_closed(text, &shown->closed);
    text_addf(text, " (ledger row %" PRId32 ")%s", shown->closed.close.newest_row,
              shown->list.closed != NULL ? "" : "; these are today's figures");
    bool good = told_end_line(arena, lines, text);
    if (shown->trouble != NULL)
        text_add(text, "DAMAGED: it can not be drawn as it was signed; 8 in the menu says why");
    else if (shown->truth == MONTH_AS_SIGNED) {
        month_add_changed(text, &shown->changes);
        text_add(text, shown->changes.count > 0 ? " (8 in the menu lists it)" : "");
    } else
        text_add(text, "NOT WHAT WAS SIGNED: 8 in the menu says why");
    return good && told_end_line(arena, lines, text);
}

static enum status make_glance(struct audit_shown *shown, struct arena *arena, struct error *error)
{
    struct text text = {0};
    struct lines *lines = &shown->glance;
    bool good = add_groups_of(&text, &shown->list, shown->month, arena, lines) &&
                add_closed(&text, shown, arena, lines) &&
                add_others(&text, &shown->list, shown->month, arena, lines);

    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}

/* ---- the whole ---- */

enum status audit_shown_read(struct app *app, struct audit_shown *shown, const char *folded,
                             struct arena *arena, struct error *error)
{
    shown->found_count = 0;
    shown->glance = (struct lines){0};
    enum status status = read_month(app, shown, error);
    if (status != STATUS_OK)
        return status;
    shown->found = arena_array(arena, shown->list.count, sizeof *shown->found);
    if (shown->found == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < shown->list.count; i++) {
        if (audit_view_matches(&shown->list.rows[i], folded))
            shown->found[shown->found_count++] = &shown->list.rows[i];
    }
    return make_glance(shown, arena, error);
}

/* Of a month that has ended: is it closed, and are these the figures of then? */
static const char *standing_of(const struct audit_shown *shown)
{
    if (shown->is_closed)
        return shown->list.closed != NULL ? "as closed" : "NOT AS CLOSED";
    return day_month_start(shown->month, 1) > shown->today ? "running" : "not closed";
}

void audit_shown_title(const struct audit_shown *shown, bool searching, struct text *out)
{
    char month[MONTH_TEXT_SIZE];

    text_addf(out, "Audit of %s: %zu %s", month_to_text(shown->month, month), shown->found_count,
              searching                 ? "found"
              : shown->found_count == 1 ? "case"
                                        : "cases");
    text_addf(out, ", %s", standing_of(shown));
}

void audit_shown_release(struct audit_shown *shown)
{
    arena_release(&shown->arena);
    arena_release(&shown->since);
    *shown = (struct audit_shown){0};
}
