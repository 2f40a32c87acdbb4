/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * For tests of the shell: puts hostile text into every text column of a store, or says what a text
 * becomes by it, or every piece, a line of hex digits each and whether it must be refused; or which
 * columns of which files hold text, or the number of a record that does:
 *
 *     spoil STORE
 *     spoil --say TEXT
 *     spoil --list
 *     spoil --columns
 */
#include <stdio.h>
#include <string.h>

#include "hostile.h"
#include "springline/core/record.h"

static void list(void)
{
    for (size_t i = 0; i < hostile_piece_count; i++) {
        for (const char *at = hostile_pieces[i].bytes; *at != '\0'; at++)
            printf("%02x", (unsigned)(unsigned char)*at);
        printf(" %s\n", hostile_pieces[i].refused ? "refused" : "taken");
    }
}

static void list_columns(void)
{
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct record_table *table = &record_tables[kind];
        for (size_t i = 0; table->csv != NULL && i < table->field_count; i++) {
            const struct field *field = &table->fields[i];
            if ((field->flags & FIELD_NOT_IN_CSV) == 0 &&
                (field->type == FIELD_TEXT || field->type == FIELD_ID))
                printf("%s %s\n", table->csv, field->name);
        }
    }
}

int main(int argc, char **argv)
{
    char out[HOSTILE_SIZE];

    if (argc == 2 && strcmp(argv[1], "--list") == 0) {
        list();
        return 0;
    }
    if (argc == 2 && strcmp(argv[1], "--columns") == 0) {
        list_columns();
        return 0;
    }
    if (argc == 3 && strcmp(argv[1], "--say") == 0) {
        size_t length = hostile_text(argv[2], out);
        return fwrite(out, 1, length, stdout) == length ? 0 : 1;
    }
    if (argc != 2) {
        fputs("usage: spoil STORE | --say TEXT | --list | --columns\n", stderr);
        return 2;
    }
    return hostile_spoil(argv[1]) ? 0 : 1;
}
