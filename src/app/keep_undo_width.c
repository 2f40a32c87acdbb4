/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The practice's own error of a width after measurements were taken back: worked out anew from the
 * repeat pairs that are left, or again what it was.
 */
#include <inttypes.h>
#include <stdio.h>

#include "keep_private.h"
#include "springline/core/repeat.h"

struct version_before {
    int32_t version;
    um width_error;
};

static enum status see_version(void *context, const void *record,
                               const struct store_withdrawn *withdrawn, struct error *error)
{
    struct version_before *before = context;
    const struct protocol *protocol = record;

    (void)withdrawn;
    (void)error;
    if (protocol->head.version == before->version)
        before->width_error = protocol->width_error;
    return STATUS_OK;
}

static enum status touch(void *context, const struct case_state *state, day booked,
                         struct error *error)
{
    (void)booked;
    return app_save_touch(context, &state->casefile, error);
}

/* The error of a width is again what it was before the import brought its own: too few repeat pairs
 * are left to work one out. */
static enum status restore_error(struct undo *undo, struct app_save *save, struct error *error)
{
    struct protocol protocol;
    struct version_before before = {.width_error = UM_NONE};
    char reason[64];

    enum status status = store_read_row(undo->app->store, RECORD_PROTOCOL, &undo->protocol,
                                        &undo->arena, &protocol, error);
    if (status != STATUS_OK)
        return status;
    before.version = protocol.head.version - 1;
    status = store_each_version(undo->app->store, RECORD_PROTOCOL, &protocol.head.record,
                                see_version, &before, error);
    if (status != STATUS_OK || before.width_error == UM_NONE)
        return status;
    (void)snprintf(reason, sizeof reason, "import @%" PRId64 " was taken back",
                   undo->batch.sequence);
    protocol.width_error = before.width_error;
    protocol.head.reason = reason;
    status = store_append(undo->app->store, RECORD_PROTOCOL, &protocol, error);
    return status == STATUS_OK
               ? store_each_state(undo->app->store, undo->app->today, touch, save, error)
               : status;
}

enum status undo_width_error(struct undo *undo, struct app_save *save, struct error *error)
{
    struct repeat_sums by_landmark[LANDMARK_COUNT];
    um own;

    if (!undo->widths)
        return STATUS_OK;
    enum status status = store_repeat_pairs(undo->app->store, by_landmark, error);
    if (status != STATUS_OK)
        return status;
    const struct repeat_sums sums = repeat_pool(by_landmark);
    if (width_own_error(sums.pairs, sums.sum_squares_um2, &own))
        return app_save_width_error(save, error);
    return id_is_none(&undo->protocol) ? STATUS_OK : restore_error(undo, save, error);
}
