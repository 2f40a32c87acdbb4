/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbered rungs of the store's ladder, embedded at build time from schema/NNNN_name.sql. */
#ifndef SPRINGLINE_STORE_SCHEMA_H
#define SPRINGLINE_STORE_SCHEMA_H

#include <stddef.h>

/* One rung: the SQL that takes a store from version - 1 to version. */
struct schema_rung {
    int version;     /* the leading number of the file name; the first rung is 1 */
    const char *sql; /* the whole file, UTF-8, NUL-terminated; lives as long as the program */
};

/* Every rung in climbing order, versions 1, 2, 3 ... without a gap (the build checks it). */
extern const struct schema_rung schema_rungs[];

/* The number of rungs in schema_rungs, and so the newest version this program knows. */
extern const size_t schema_rung_count;

#endif
