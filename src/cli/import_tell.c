/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "import_tell.h"

#include <stdlib.h>
#include <string.h>

#include "springline/app/grow.h"

void messages_add(struct import_messages *messages, const struct inputs *inputs, const char *path,
                  long line, const char *column, const char *sentence)
{
    size_t file = 0;

    while (file < inputs->count && strcmp(inputs->files[file].path, path) != 0)
        file++;
    const struct import_message message = {
        .file = file,
        .line = line,
        .order = messages->count,
        .column = arena_text(&messages->arena, column, strlen(column)),
        .sentence = arena_text(&messages->arena, sentence, strlen(sentence))};
    if (file == inputs->count || message.column == NULL || message.sentence == NULL ||
        !app_grow(&messages->arena, (void **)&messages->rows, messages->count, &messages->capacity,
                  sizeof *messages->rows)) {
        messages->failed = true;
        return;
    }
    messages->rows[messages->count++] = message;
}

static int compare_messages(const void *a, const void *b)
{
    const struct import_message *left = a, *right = b;

    if (left->file != right->file)
        return left->file < right->file ? -1 : 1;
    if (left->line != right->line)
        return left->line < right->line ? -1 : 1;
    return (left->order > right->order) - (left->order < right->order);
}

static void tell(const struct import_message *message, const char *file, FILE *err)
{
    struct text out = {0};

    text_add(&out, "springline: ");
    text_add_shown(&out, file);
    text_addf(&out, " line %ld", message->line);
    if (message->column[0] != '\0') {
        text_add(&out, ", ");
        text_add_shown(&out, message->column);
    }
    text_add(&out, ": ");
    text_add_shown(&out, message->sentence);
    text_add(&out, "\n");
    (void)fputs(out.failed ? "springline: A row is refused.\n" : text_string(&out), err);
    text_release(&out);
}

void messages_tell(struct import_messages *messages, const struct inputs *inputs, FILE *err)
{
    if (messages->count > 0)
        qsort(messages->rows, messages->count, sizeof *messages->rows, compare_messages);
    for (size_t i = 0; i < messages->count; i++)
        tell(&messages->rows[i], inputs->files[messages->rows[i].file].path, err);
}

void messages_release(struct import_messages *messages)
{
    arena_release(&messages->arena);
    *messages = (struct import_messages){0};
}
