/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What an import has to say of its rows: kept until all is read, then told in the order of lines.
 */
#ifndef SPRINGLINE_CLI_IMPORT_TELL_H
#define SPRINGLINE_CLI_IMPORT_TELL_H

#include <stdio.h>

#include "import_input.h"

struct import_message {
    size_t file; /* index into the inputs */
    long line;
    size_t order;
    const char *column, *sentence;
};

struct import_messages {
    struct arena arena;
    struct import_message *rows;
    size_t count, capacity;
    bool failed; /* memory ran out */
};

/* Remembers one sentence about a row of the file at path. */
void messages_add(struct import_messages *messages, const struct inputs *inputs, const char *path,
                  long line, const char *column, const char *sentence);

/* Writes them to err by file, line, and the order they came in. */
void messages_tell(struct import_messages *messages, const struct inputs *inputs, FILE *err);

/* Frees all. */
void messages_release(struct import_messages *messages);

#endif
