/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The month's audit over every case. */
#include <stdlib.h>
#include <string.h>

#include "springline/app/grow.h"
#include "springline/app/lists.h"

struct audit_maker {
    struct arena *arena;
    struct audit_list *list;
    size_t capacity;
    day month, today;
};

static const char *kept(struct arena *arena, const char *text)
{
    return arena_text(arena, text == NULL ? "" : text, text == NULL ? 0 : strlen(text));
}

/* The reasons point into the case's history, which does not outlive the visit to it. */
static bool keep_reasons(struct arena *arena, struct audit_row *row)
{
    int32_t count = row->overrides < AUDIT_OVERRIDES_MAX ? row->overrides : AUDIT_OVERRIDES_MAX;

    for (int32_t i = 0; i < count; i++) {
        row->override_rows[i].reason = kept(arena, row->override_rows[i].reason);
        if (row->override_rows[i].reason == NULL)
            return false;
    }
    return true;
}

bool lists_audit_row(const struct history *history, const struct audit_row *row,
                     struct arena *arena, struct listed_audit *listed)
{
    const struct protocol *protocol = history->protocol;

    *listed = (struct listed_audit){.number = kept(arena, history->casefile->number),
                                    .family = kept(arena, history->patient->family),
                                    .given = kept(arena, history->patient->given),
                                    .clinician = kept(arena, history->casefile->clinician),
                                    .casefile = history->casefile->head.record,
                                    .wear_full_permille = protocol->wear_full_permille,
                                    .wear_low_permille = protocol->wear_low_permille,
                                    .wear_known_min_permille = protocol->wear_known_min_permille,
                                    .row = *row};
    return listed->number != NULL && listed->family != NULL && listed->given != NULL &&
           listed->clinician != NULL && keep_reasons(arena, &listed->row);
}

static enum status take_case(void *context, const struct history *history, struct error *error)
{
    struct audit_maker *maker = context;
    struct audit_list *list = maker->list;
    struct audit_row row;

    if (audit_case(history, day_month_start(maker->month, -1), maker->today, &row))
        audit_add(&list->totals_before, &row);
    if (!audit_case(history, maker->month, maker->today, &row))
        return STATUS_OK;
    audit_add(&list->totals, &row);
    if (!app_grow(maker->arena, (void **)&list->rows, list->count, &maker->capacity,
                  sizeof *list->rows))
        return error_no_memory(error);
    struct listed_audit *listed = &list->rows[list->count];
    if (!lists_audit_row(history, &row, maker->arena, listed))
        return error_no_memory(error);
    list->count++;
    return STATUS_OK;
}

/* Below first, the lowest adherence leading; then unknown, not seen, meeting; by case number. */
static int compare_listed(const void *a, const void *b)
{
    const struct listed_audit *left = a, *right = b;

    if (left->row.group != right->row.group)
        return left->row.group < right->row.group ? -1 : 1;
    if (left->row.group == AUDIT_BELOW) {
        int64_t left_share = (int64_t)left->row.days_met * right->row.days_known;
        int64_t right_share = (int64_t)right->row.days_met * left->row.days_known;
        if (left_share != right_share)
            return left_share < right_share ? -1 : 1;
    }
    return strcmp(left->number, right->number);
}

/* ---- the cases ---- */

struct case_ids {
    struct arena arena;
    struct id *ids;
    size_t count, capacity;
};

static enum status take_id(void *context, const void *record, struct error *error)
{
    struct case_ids *cases = context;

    if (!app_grow(&cases->arena, (void **)&cases->ids, cases->count, &cases->capacity,
                  sizeof *cases->ids))
        return error_no_memory(error);
    cases->ids[cases->count++] = ((const struct casefile *)record)->head.record;
    return STATUS_OK;
}

enum status lists_each_case(struct app *app, int64_t as_of, store_case_visitor visitor,
                            void *context, struct error *error)
{
    struct case_ids cases = {0};
    struct arena arena = {0};

    enum status status = store_each_row(app->store, RECORD_CASEFILE, as_of, take_id, &cases, error);
    for (size_t i = 0; i < cases.count && status == STATUS_OK; i++) {
        struct history history;

        arena_clear(&arena);
        status = store_read_case(app->store, &cases.ids[i], as_of, &arena, &history, error);
        if (status == STATUS_OK)
            status = visitor(context, &history, error);
    }
    arena_release(&arena);
    arena_release(&cases.arena);
    return status;
}

enum status lists_audit_on(struct app *app, day month, day today, int64_t as_of,
                           struct arena *arena, struct audit_list *list, struct error *error)
{
    struct audit_maker maker = {.arena = arena, .list = list, .month = month, .today = today};
    char text[MONTH_TEXT_SIZE];

    *list = (struct audit_list){0};
    if (month > today)
        return error_set(error, STATUS_INPUT, "--month",
                         "The month %s has not begun; name one that has.",
                         month_to_text(month, text));
    /* Before the practice's first protocol there is no case either. */
    enum status status =
        store_read_protocol(app->store, NULL, as_of, arena, &list->protocol, error);
    if (status == STATUS_OK || status == STATUS_NOT_FOUND)
        status = as_of == STORE_NOW ? store_each_case(app->store, as_of, take_case, &maker, error)
                                    : lists_each_case(app, as_of, take_case, &maker, error);
    if (status == STATUS_OK && list->count > 0)
        qsort(list->rows, list->count, sizeof *list->rows, compare_listed);
    return status;
}

enum status lists_audit(struct app *app, day month, int64_t as_of, struct arena *arena,
                        struct audit_list *list, struct error *error)
{
    return lists_audit_on(app, month, app->today, as_of, arena, list, error);
}
