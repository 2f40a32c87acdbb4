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
    return true;
}

static bool is_still(const struct audit_shown *shown, day today, int64_t sequence)
{
    return shown->held && shown->of_month == shown->month && shown->today == today &&
           shown->sequence == sequence;
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
    reader.rows = arena_array(&shown->arena, list->count, sizeof(struct listed_audit *));
    if (reader.rows == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < list->count; i++)
        reader.rows[i] = &list->rows[i];
    qsort(reader.rows, reader.count, sizeof(struct listed_audit *), compare_rows);
    return store_each_state(app->store, app->today, take_state, &reader, error);
}

static enum status read_month(struct app *app, struct audit_shown *shown, struct error *error)
{
    uint8_t hash[32];
    int64_t sequence = 0;
    enum status status = store_head(app->store, &sequence, hash, error);

    if (status == STATUS_OK && is_still(shown, app->today, sequence))
        return STATUS_OK;
    shown->held = false;
    arena_clear(&shown->arena);
    if (status == STATUS_OK)
        status = lists_audit(app, shown->month, STORE_NOW, &shown->arena, &shown->list, error);
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
    return STATUS_OK;
}

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
    return audit_view_glance(&shown->list, shown->month, arena, &shown->glance, error);
}

void audit_shown_title(const struct audit_shown *shown, bool searching, struct text *out)
{
    char month[MONTH_TEXT_SIZE];

    text_addf(out, "Audit of %s: %zu %s", month_to_text(shown->month, month), shown->found_count,
              searching                 ? "found"
              : shown->found_count == 1 ? "case"
                                        : "cases");
}

void audit_shown_release(struct audit_shown *shown)
{
    arena_release(&shown->arena);
    *shown = (struct audit_shown){0};
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

enum status audit_view_glance(const struct audit_list *list, day month, struct arena *arena,
                              struct lines *lines, struct error *error)
{
    day before = day_month_start(month, -1);
    struct text text = {0};

    add_groups(&text, month, &list->totals);
    bool good = told_end_line(arena, lines, &text);
    add_groups(&text, before, &list->totals_before);
    good = good && told_end_line(arena, lines, &text);
    add_work(&text, month, &list->totals);
    good = good && told_end_line(arena, lines, &text);
    add_work(&text, before, &list->totals_before);
    good = good && told_end_line(arena, lines, &text);
    text_release(&text);
    return good ? STATUS_OK : error_no_memory(error);
}
