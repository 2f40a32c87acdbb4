/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A case made by case_maker, kept in a real store, so that use cases can be tried on it. */
#ifndef SPRINGLINE_TESTS_STORE_CASE_H
#define SPRINGLINE_TESTS_STORE_CASE_H

#include "case_maker.h"
#include "springline/app/app.h"

/* Instants one second apart from 2026-06-01T08:00:00Z and numbered bytes: the same in every run. */
struct store_case {
    struct app app;
    struct store_source source;
    instant now;
    uint64_t counter;
    char path[256];
    struct id casefile;
};

/* A new store in TMPDIR, opened; the app's today is the maker's. Fails the test on any error. */
void store_case_open(struct store_case *kept, const char *name, day today);
/* Keeps every row of the maker's case in one save, as imported history. */
void store_case_keep(struct store_case *kept, const struct case_maker *maker);
/* Closes and opens the store again. */
void store_case_reopen(struct store_case *kept);
/* Closes the store and removes the file. */
void store_case_close(struct store_case *kept);

#endif
