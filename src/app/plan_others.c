/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the practice's other cases responded, for a plan. */
#include "springline/app/grow.h"
#include "springline/app/plan_view.h"
#include "springline/core/caseload.h"

struct others_reader {
    const struct id *casefile; /* left out: it is the one that is planned for */
    day today;
    struct arena *arena;
    struct plan_others *others;
    int32_t number; /* of the case at hand */
};

static bool add_arch(struct others_reader *reader, const struct caseload_arch *arch)
{
    struct plan_others *others = reader->others;

    if (!app_grow(reader->arena, (void **)&others->rows, others->count, &others->capacity,
                  sizeof *others->rows))
        return false;
    others->rows[others->count++] = (struct plan_responded){arch->arch, arch->site, arch->landmark,
                                                            reader->number, arch->response};
    return true;
}

static enum status take_case(void *context, const struct history *history, struct error *error)
{
    struct others_reader *reader = context;
    struct caseload_arch arch;

    if (id_equal(&history->casefile->head.record, reader->casefile))
        return STATUS_OK;
    reader->number++;
    for (int which = ARCH_UPPER; which <= ARCH_LOWER; which++)
        if (caseload_response(history, (enum arch)which, reader->today, &arch) &&
            !add_arch(reader, &arch))
            return error_no_memory(error);
    return STATUS_OK;
}

enum status plan_others_read(struct app *app, const struct id *casefile, struct arena *arena,
                             struct plan_others *others, struct error *error)
{
    struct others_reader reader = {
        .casefile = casefile, .today = app->today, .arena = arena, .others = others};

    *others = (struct plan_others){0};
    return store_each_case(app->store, STORE_NOW, take_case, &reader, error);
}
