/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Random 128-bit identities. The bytes come from the caller (store, from libsodium). */
#ifndef SPRINGLINE_BASE_ID_H
#define SPRINGLINE_BASE_ID_H

#include <stdbool.h>
#include <stdint.h>

struct id {
    uint8_t bytes[16]; /* all zero: none */
};

enum { ID_TEXT_SIZE = 33 };

/* True when the id is none. */
bool id_is_none(const struct id *id);
/* True when both are the same. */
bool id_equal(const struct id *a, const struct id *b);
/* Byte order, for sorting: < 0, 0, > 0. */
int id_compare(const struct id *a, const struct id *b);
/* 32 lower-case hex digits. Returns buffer. */
char *id_to_text(const struct id *id, char buffer[ID_TEXT_SIZE]);
/* Reads 32 hex digits; false on anything else. */
bool id_from_text(const char *text, struct id *id);

#endif
