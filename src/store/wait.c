/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Waiting for another seat's save: short sleeps, a word to the screen, an end. */
#include <time.h>

#include "handle.h"

static int64_t now_ms(void)
{
    struct timespec time = {0, 0};

    (void)clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000 + time.tv_nsec / 1000000;
}

static void sleep_us(int us)
{
    struct timespec time = {us / 1000000, (long)(us % 1000000) * 1000};

    (void)nanosleep(&time, NULL); /* cut short by a signal: asked again at once */
}

/*
 * SQLite keeps no queue: whoever asks in the moment the file is free has it, and a seat that has
 * just saved asks again at once. So the longer a seat has waited the more often it asks: of many
 * that save without a pause the one that waited longest comes next (tests/store/many_seats_test.c;
 * the steps are our own, tried out). Short waits are the rule, and are not drawn out.
 */
static int pause_us(int64_t waited_ms)
{
    static const struct {
        int64_t until_ms;
        int us;
    } steps[] = {{20, 1000}, {500, 5000}, {1500, 2000}, {INT64_MAX, 300}};
    size_t at = 0;

    while (waited_ms >= steps[at].until_ms)
        at++;
    return steps[at].us;
}

int wait_busy(void *context, int count)
{
    struct store *store = context;
    int64_t waited;

    if (store->hurried)
        return 0;
    if (count == 0)
        store->wait_began_ms = now_ms();
    waited = now_ms() - store->wait_began_ms;
    if (waited >= store->wait_ms)
        return 0;
    if (waited >= WAIT_SHOWN_MS && store->waiting != NULL)
        store->waiting(store->waiting_context, (int32_t)waited);
    sleep_us(pause_us(waited));
    return 1;
}

void store_on_waiting(struct store *store, store_waiting waiting, void *context)
{
    store->waiting = waiting;
    store->waiting_context = context;
}

void store_hurry(struct store *store, bool hurried)
{
    store->hurried = hurried;
}
