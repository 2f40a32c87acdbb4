/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The caseload over every case: read one after another, then laid beside each other. */
#include "springline/app/caseload.h"

#include <stdlib.h>
#include <string.h>

#include "springline/app/grow.h"

struct caseload_maker {
    struct app *app;
    struct arena *arena;
    struct caseload_list *list;
};

static const char *kept(struct arena *arena, const char *text)
{
    return arena_text(arena, text == NULL ? "" : text, text == NULL ? 0 : strlen(text));
}

/* The case's id, and in it what tells the row: kind, arch and day. */
static struct id id_of(const struct listed_caseload *row)
{
    struct id id = row->casefile;
    uint32_t date = row->kind == CASELOAD_OVERRIDE ? (uint32_t)row->date : 0;

    id.bytes[0] ^= (uint8_t)(row->arch + (row->kind == CASELOAD_OVERRIDE ? 4 : 0));
    for (int i = 0; i < 4; i++)
        id.bytes[1 + i] ^= (uint8_t)(date >> (8 * i));
    return id;
}

static bool add_row(struct caseload_maker *maker, const struct history *history,
                    const struct listed_caseload *row)
{
    struct caseload_list *list = maker->list;

    if (!app_grow(maker->arena, (void **)&list->rows, list->count, &list->capacity,
                  sizeof *list->rows))
        return false;
    struct listed_caseload *added = &list->rows[list->count++];
    *added = *row;
    added->casefile = history->casefile->head.record;
    added->number = kept(maker->arena, history->casefile->number);
    added->family = kept(maker->arena, history->patient->family);
    added->given_name = kept(maker->arena, history->patient->given);
    added->id = id_of(added);
    return added->number != NULL && added->family != NULL && added->given_name != NULL;
}

/* at_work is kept in the kind until the lowest tenth is known. */
static bool add_response(struct caseload_maker *maker, const struct history *history,
                         const struct caseload_arch *arch)
{
    const struct listed_caseload row = {.kind = arch->lag       ? CASELOAD_WIDTH_LAG
                                                : arch->at_work ? CASELOAD_TENTH
                                                                : CASELOAD_RESPONSE,
                                        .arch = arch->arch,
                                        .gain = arch->gain,
                                        .given = arch->given,
                                        .response = arch->response,
                                        .date = arch->latest,
                                        .class = arch->class,
                                        .source = arch->source,
                                        .met = arch->met,
                                        .known = arch->known};

    maker->list->measured++;
    return add_row(maker, history, &row);
}

static bool add_override(struct caseload_maker *maker, const struct history *history,
                         enum arch arch, const struct caseload_override *override)
{
    const struct listed_caseload row = {.kind = CASELOAD_OVERRIDE,
                                        .arch = arch,
                                        .gain = override->by,
                                        .given =
                                            (int64_t) override->given_right + override->given_left,
                                        .date = override->date,
                                        .class = WEAR_UNKNOWN,
                                        .override = *override};

    return add_row(maker, history, &row);
}

static enum status take_case(void *context, const struct history *history, struct error *error)
{
    struct caseload_maker *maker = context;
    struct caseload_arch arch;
    bool good = true;

    for (int which = ARCH_UPPER; which <= ARCH_LOWER && good; which++) {
        if (!caseload_arch(history, (enum arch)which, maker->app->today, &arch))
            continue;
        maker->list->arches++;
        maker->list->overrides += (size_t)arch.override_count;
        if (arch.measured)
            good = add_response(maker, history, &arch);
        for (int i = 0; i < arch.override_count && i < CASELOAD_OVERRIDES_MAX && good; i++)
            good = add_override(maker, history, arch.arch, &arch.overrides[i]);
    }
    return good ? STATUS_OK : error_no_memory(error);
}

/* ---- beside each other ---- */

/* Collects the responses, of one class or (-1) of all; returns how many. */
static size_t collect(const struct caseload_list *list, int class, double *responses)
{
    size_t n = 0;

    for (size_t i = 0; i < list->count; i++) {
        const struct listed_caseload *row = &list->rows[i];
        if (row->kind != CASELOAD_OVERRIDE && (class < 0 || (int)row->class == class))
            responses[n++] = row->response;
    }
    return n;
}

/* The lowest tenth of all; of the others what is at work is nothing more than that. */
static void mark_tenth(struct caseload_list *list, const double *sorted)
{
    double most = 0;
    bool tenth = caseload_tenth(sorted, list->measured, &most);

    for (size_t i = 0; i < list->count; i++) {
        struct listed_caseload *row = &list->rows[i];
        if (row->kind == CASELOAD_TENTH && (!tenth || row->response > most))
            row->kind = CASELOAD_RESPONSE;
        list->width_lags += row->kind == CASELOAD_WIDTH_LAG;
        list->tenths += row->kind == CASELOAD_TENTH;
    }
}

static void spread_classes(struct caseload_list *list, double *responses)
{
    for (int class = WEAR_UNKNOWN; class <= WEAR_FULL; class ++)
        (void)caseload_spread(responses, collect(list, class, responses), &list->classes[class]);
    for (size_t i = 0; i < list->count; i++) {
        const struct listed_caseload *row = &list->rows[i];
        list->told[row->class] += row->kind != CASELOAD_OVERRIDE && row->source == SOURCE_TOLD;
    }
}

/* The share of days met against response, each source for itself. */
static void rank(struct caseload_list *list, enum source source, double *shares, double *responses,
                 double *work)
{
    size_t n = 0;

    for (size_t i = 0; i < list->count; i++) {
        const struct listed_caseload *row = &list->rows[i];
        if (row->kind == CASELOAD_OVERRIDE || row->source != source || row->known <= 0)
            continue;
        shares[n] = (double)row->met / (double)row->known;
        responses[n++] = row->response;
    }
    list->ranked[source] = n;
    list->has_rho[source] = caseload_rank(shares, responses, n, work, &list->rho[source]);
}

static enum status compare_all(struct caseload_list *list, struct arena *arena, struct error *error)
{
    double *responses = arena_array(arena, list->measured, sizeof *responses);
    double *shares = arena_array(arena, list->measured, sizeof *shares);
    double *work = arena_array(arena, list->measured, 2 * sizeof *work);

    if (responses == NULL || shares == NULL || work == NULL)
        return error_no_memory(error);
    (void)caseload_spread(responses, collect(list, -1, responses), &list->response);
    mark_tenth(list, responses);
    spread_classes(list, responses);
    for (int source = SOURCE_SENSOR; source <= SOURCE_TOLD; source++)
        rank(list, (enum source)source, shares, responses, work);
    return STATUS_OK;
}

static int compare_rows(const void *a, const void *b)
{
    const struct listed_caseload *left = a, *right = b;

    if (left->kind != right->kind)
        return left->kind < right->kind ? -1 : 1;
    if (left->kind == CASELOAD_OVERRIDE && left->date != right->date)
        return left->date > right->date ? -1 : 1;
    if (left->kind != CASELOAD_OVERRIDE &&
        (left->response < right->response || left->response > right->response))
        return left->response < right->response ? -1 : 1;
    int order = strcmp(left->number, right->number);
    return order != 0 ? order : (int)left->arch - (int)right->arch;
}

enum status caseload_read(struct app *app, struct arena *arena, struct caseload_list *list,
                          struct error *error)
{
    struct caseload_maker maker = {.app = app, .arena = arena, .list = list};
    struct protocol protocol;

    *list = (struct caseload_list){.least = UM_NONE};
    /* Before the practice's first protocol there is no case either. */
    enum status status = store_read_protocol(app->store, NULL, STORE_NOW, arena, &protocol, error);
    if (status == STATUS_OK)
        list->least = protocol.lag_total;
    if (status == STATUS_OK || status == STATUS_NOT_FOUND)
        status = store_each_case(app->store, STORE_NOW, take_case, &maker, error);
    if (status == STATUS_OK)
        status = compare_all(list, arena, error);
    if (status == STATUS_OK && list->count > 0)
        qsort(list->rows, list->count, sizeof *list->rows, compare_rows);
    return status;
}
