/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Figures of a large store beside the bars that the budgets set: ratios, and a few sizes. */
#ifndef SPRINGLINE_BENCH_BARS_H
#define SPRINGLINE_BENCH_BARS_H

#include <stdio.h>

enum { BARS_MAX = 32, BAR_NAME_SIZE = 96 };

/* A zeroed struct is empty. */
struct bars {
    struct bar {
        char name[BAR_NAME_SIZE];
        double figure, bar;
    } rows[BARS_MAX];
    int count;
};

/* Keeps a figure that should be bar at most. */
static inline void bars_add(struct bars *bars, const char *name, double figure, double bar)
{
    struct bar *row = &bars->rows[bars->count];

    if (bars->count == BARS_MAX) {
        fprintf(stderr, "bench: no room for the figure of %s\n", name);
        return;
    }
    snprintf(row->name, sizeof row->name, "%s", name);
    row->figure = figure;
    row->bar = bar;
    bars->count++;
}

/* One line each, and which were missed. Nothing fails: a figure depends on the machine. */
static inline void bars_print(const struct bars *bars)
{
    int missed = 0;

    printf("\nbars\n");
    for (int i = 0; i < bars->count; i++) {
        const struct bar *row = &bars->rows[i];
        int misses = row->figure > row->bar;
        printf("  %s %8.2f of %6.2f  %s\n", misses ? "MISSED" : "met   ", row->figure, row->bar,
               row->name);
        missed += misses;
    }
    printf("%d of %d bars missed\n", missed, bars->count);
}

#endif
