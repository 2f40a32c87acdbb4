/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The chain. hash[n] = BLAKE2b-256 over a tag, hash[n-1], the place n, the table, and each column
 * that is not NULL as its name, a type tag and its bytes, every one of them preceded by its length
 * in 8 bytes, little end first. A column that is NULL is left out, so that a later rung may add
 * columns without touching old hashes; a value that vanished is seen, for its name is missing.
 *
 * Personal values do not enter; their seals do: BLAKE2b-256 over a tag, 16 random bytes, the
 * column's name, and the value with its type tag.
 */
#include <sodium.h>
#include <string.h>

#include "cell.h"

static const char row_tag[] = "springline ledger row 1";
static const char seal_tag[] = "springline seal 1";
static const char genesis_tag[] = "springline ledger 1";

static void add_number(struct text *buffer, uint64_t number)
{
    char bytes[8];

    for (int i = 0; i < 8; i++)
        bytes[i] = (char)(number >> (8 * i) & 0xff);
    text_append(buffer, bytes, sizeof bytes);
}

static void add_bytes(struct text *buffer, const void *bytes, size_t length)
{
    add_number(buffer, length);
    if (length > 0)
        text_append(buffer, bytes, length);
}

static void add_cell(struct text *buffer, const struct cell *cell)
{
    static const char tags[] = {[CELL_NULL] = 'N',
                                [CELL_INTEGER] = 'I',
                                [CELL_TEXT] = 'T',
                                [CELL_BLOB] = 'B',
                                [CELL_REAL] = 'R'};

    text_add_byte(buffer, tags[cell->type]);
    if (cell->type == CELL_INTEGER || cell->type == CELL_REAL) {
        add_number(buffer, 8);
        add_number(buffer, (uint64_t)cell->integer);
    } else {
        add_bytes(buffer, cell->bytes, cell->length);
    }
}

/* The hash of the buffer, which is emptied. */
static bool finish(struct text *buffer, uint8_t hash[HASH_SIZE])
{
    bool good = !buffer->failed &&
                crypto_generichash(hash, HASH_SIZE, (const unsigned char *)text_string(buffer),
                                   buffer->length, NULL, 0) == 0;

    text_clear(buffer);
    return good;
}

void ledger_genesis(const struct id *practice, uint8_t hash[HASH_SIZE])
{
    unsigned char bytes[sizeof genesis_tag + sizeof practice->bytes];

    memcpy(bytes, genesis_tag, sizeof genesis_tag);
    memcpy(bytes + sizeof genesis_tag, practice->bytes, sizeof practice->bytes);
    (void)crypto_generichash(hash, HASH_SIZE, bytes, sizeof bytes, NULL, 0);
}

bool ledger_hash(struct text *buffer, const uint8_t before[HASH_SIZE], int64_t sequence,
                 const struct shape *shape, const struct cell *cells, uint8_t hash[HASH_SIZE])
{
    text_clear(buffer);
    text_append(buffer, row_tag, sizeof row_tag);
    text_append(buffer, (const char *)before, HASH_SIZE);
    add_number(buffer, (uint64_t)sequence);
    add_bytes(buffer, shape->table, strlen(shape->table));
    for (size_t i = 0; i < shape->column_count; i++) {
        const struct column *column = &shape->columns[i];

        if (!column->hashed || cells[i].type == CELL_NULL)
            continue;
        add_bytes(buffer, column->name, column->name_length);
        add_cell(buffer, &cells[i]);
    }
    return finish(buffer, hash);
}

bool ledger_seal(struct text *buffer, const uint8_t salt[SALT_SIZE], const struct column *column,
                 const struct cell *cell, uint8_t seal[HASH_SIZE])
{
    text_clear(buffer);
    text_append(buffer, seal_tag, sizeof seal_tag);
    text_append(buffer, (const char *)salt, SALT_SIZE);
    add_bytes(buffer, column->name, column->name_length);
    add_cell(buffer, cell);
    return finish(buffer, seal);
}
