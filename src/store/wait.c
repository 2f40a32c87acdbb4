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

static void sleep_ms(int ms)
{
    struct timespec time = {ms / 1000, (long)(ms % 1000) * 1000000};

    (void)nanosleep(&time, NULL); /* cut short by a signal: asked again at once */
}

int wait_busy(void *context, int count)
{
    static const int steps[] = {1, 2, 5, 10, 15, 20, 25};
    const int last = (int)(sizeof steps / sizeof steps[0]) - 1;
    struct store *store = context;
    int64_t waited;

    if (count == 0)
        store->wait_began_ms = now_ms();
    waited = now_ms() - store->wait_began_ms;
    if (waited >= store->wait_ms)
        return 0;
    if (waited >= WAIT_SHOWN_MS && store->waiting != NULL)
        store->waiting(store->waiting_context, (int32_t)waited);
    sleep_ms(steps[count < last ? count : last]);
    return 1;
}

void store_on_waiting(struct store *store, store_waiting waiting, void *context)
{
    store->waiting = waiting;
    store->waiting_context = context;
}
