/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What looking (erase_tell.c) and erasing (erase.c) share. */
#ifndef SPRINGLINE_APP_ERASE_PRIVATE_H
#define SPRINGLINE_APP_ERASE_PRIVATE_H

#include "springline/app/erase.h"
#include "springline/store/erase.h"

/* The words of every name and telephone number that was ever recorded of the family, folded. */
struct erase_names {
    struct arena arena;
    const char **words;
    size_t count, capacity;
};

/* Reads them; release with erase_names_release, also after a failure. */
enum status erase_names_read(struct app *app, const struct erase_subject *subject,
                             struct erase_names *names, struct error *error);
void erase_names_release(struct erase_names *names);
/* The first of them that stands in text, a word for itself; NULL: none does. False: no memory. */
bool erase_names_find(const struct erase_names *names, const char *text, const char **found);

/* What stands against the erasure: STATUS_INPUT with what to do first. */
enum status erase_check(struct app *app, const struct erase_subject *subject, struct error *error);

/* Sums up over the records of the subject. */
void erase_add(struct store_erased *sum, const struct store_erased *one);
int32_t erase_rows(const struct store_erased *erased);

#endif
