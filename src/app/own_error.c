/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The practice's own error of a width: once there are enough repeat pairs it replaces the published
 * one (domain.md 2). It is a setting like any other: a new version of the protocol, with its
 * reason, written in the save that brought the pair, and every case's state follows.
 */
#include <inttypes.h>

#include "springline/app/app.h"
#include "springline/core/repeat.h"

static enum status touch(void *context, const struct case_state *state, day booked,
                         struct error *error)
{
    (void)booked;
    return app_save_touch(context, &state->casefile, error);
}

static enum status replace_error(struct app_save *save, struct protocol *protocol, um own,
                                 int64_t pairs, struct error *error)
{
    struct text reason = {0};

    text_addf(&reason, "own error of a width by Dahlberg, from %" PRId64 " repeat pairs", pairs);
    if (reason.failed)
        return error_no_memory(error);
    protocol->width_error = own;
    protocol->head.reason = text_string(&reason);
    enum status status = store_append(save->app->store, RECORD_PROTOCOL, protocol, error);
    text_release(&reason);
    if (status != STATUS_OK)
        return status;
    return store_each_state(save->app->store, save->app->today, touch, save, error);
}

enum status app_save_width_error(struct app_save *save, struct error *error)
{
    struct repeat_sums by_landmark[LANDMARK_COUNT];
    struct protocol protocol;
    um own;

    enum status status = store_repeat_pairs(save->app->store, by_landmark, error);
    const struct repeat_sums sums = repeat_pool(by_landmark);
    if (status != STATUS_OK || !width_own_error(sums.pairs, sums.sum_squares_um2, &own))
        return status;
    status = store_read_protocol(save->app->store, NULL, STORE_NOW, &save->arena, &protocol, error);
    if (status != STATUS_OK || protocol.width_error == own)
        return status;
    return replace_error(save, &protocol, own, sums.pairs, error);
}
