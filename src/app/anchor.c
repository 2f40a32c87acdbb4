/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/anchor.h"

#include <ctype.h>
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

enum { HASH_BYTES = 32 };

void anchor_add(struct text *out, int64_t sequence, const uint8_t hash[32])
{
    text_addf(out, "%" PRId64 ":", sequence);
    for (size_t i = 0; i < HASH_BYTES; i++)
        text_addf(out, "%02x", (unsigned)hash[i]);
}

/* A whole number from 1; returns the place behind it, NULL: there is none. */
static const char *read_sequence(const char *text, int64_t *sequence)
{
    const int64_t most = INT64_MAX / 10 - 1;

    *sequence = 0;
    for (; *text >= '0' && *text <= '9' && *sequence < most; text++)
        *sequence = *sequence * 10 + (*text - '0');
    return *sequence > 0 ? text : NULL;
}

/* Hex digits with blanks between them to the end of the text. */
static bool read_digits(const char *text, char digits[ANCHOR_DIGITS + 1])
{
    size_t count = 0;

    for (; *text != '\0'; text++) {
        unsigned char sign = (unsigned char)*text;

        if (isspace(sign))
            continue;
        if (!isxdigit(sign) || count == ANCHOR_DIGITS)
            return false;
        digits[count++] = (char)tolower(sign);
    }
    digits[count] = '\0';
    return count >= ANCHOR_DIGITS_LEAST;
}

enum status anchor_from_text(const char *text, struct anchor *anchor, struct error *error)
{
    *anchor = (struct anchor){0};
    while (isspace((unsigned char)*text))
        text++;
    const char *behind = read_sequence(text, &anchor->sequence);
    if (behind != NULL && *behind == ':' && read_digits(behind + 1, anchor->digits))
        return STATUS_OK;
    return error_set(error, STATUS_USAGE, "--against",
                     "\"%.40s\" is no row of the ledger with its hash; give them as verify and the "
                     "printed month do, ROW:HASH, at least the first %d digits.",
                     text, (int)ANCHOR_DIGITS_LEAST);
}

/* The value behind a word at the beginning of a line, to the line's end; false: no such line. */
static bool find_value(const char *content, const char *word, char *value, size_t size)
{
    const size_t length = strlen(word);

    for (const char *line = content; *line != '\0';) {
        size_t end = strcspn(line, "\n");

        if (end > length && strncmp(line, word, length) == 0 && line[length] == ' ') {
            (void)snprintf(value, size, "%.*s", (int)(end - length - 1), line + length + 1);
            return end - length - 1 < size;
        }
        line += end + (line[end] == '\n');
    }
    return false;
}

enum status anchor_from_manifest(const char *content, const char *name, struct anchor *anchor,
                                 struct error *error)
{
    static const char first[] = "springline-backup 1\n";
    char sequence[24], practice[ID_TEXT_SIZE], head[ANCHOR_DIGITS + 1];

    *anchor = (struct anchor){0};
    bool good = strncmp(content, first, sizeof first - 1) == 0 &&
                find_value(content, "sequence", sequence, sizeof sequence) &&
                find_value(content, "practice", practice, sizeof practice) &&
                find_value(content, "head", head, sizeof head);
    if (good) {
        const char *behind = read_sequence(sequence, &anchor->sequence);
        good = behind != NULL && *behind == '\0' && id_from_text(practice, &anchor->practice) &&
               read_digits(head, anchor->digits) && strlen(anchor->digits) == ANCHOR_DIGITS;
    }
    return good ? STATUS_OK
                : error_set(error, STATUS_INPUT, name,
                            "%s is no manifest of a backup; name the FILE.manifest that springline "
                            "backup wrote.",
                            name);
}

static enum status refuse_cut(const struct anchor *anchor, int64_t newest, struct error *error)
{
    return error_set(error, STATUS_DAMAGED, "ledger",
                     "The ledger ends at row %" PRId64 ", but row %" PRId64
                     " was kept outside: its end was cut off, or this is an older copy or another "
                     "store; stop working in it and look for the one that holds that row.",
                     newest, anchor->sequence);
}

enum status anchor_hold(struct app *app, const struct anchor *anchor, struct text *out,
                        struct error *error)
{
    const struct id practice = store_site(app->store);
    struct text found = {0};
    uint8_t hash[HASH_BYTES], head[HASH_BYTES];
    int64_t newest;

    if (!id_is_none(&anchor->practice) && !id_equal(&anchor->practice, &practice))
        return error_set(error, STATUS_DAMAGED, "practice",
                         "The manifest is of another store than this one; name the manifest of a "
                         "backup of this store.");
    enum status status = store_head(app->store, &newest, head, error);
    if (status == STATUS_OK && anchor->sequence > newest)
        return refuse_cut(anchor, newest, error);
    if (status == STATUS_OK)
        status = store_hash_at(app->store, anchor->sequence, hash, error);
    if (status == STATUS_NOT_FOUND)
        return error_set(error, STATUS_DAMAGED, "ledger", "The ledger has no row %" PRId64 ".",
                         anchor->sequence);
    if (status != STATUS_OK)
        return status;
    anchor_add(&found, anchor->sequence, hash);
    const char *digits = strchr(text_string(&found), ':');
    bool same = digits != NULL && strncmp(digits + 1, anchor->digits, strlen(anchor->digits)) == 0;
    bool failed = found.failed;
    text_release(&found);
    if (failed)
        return error_no_memory(error);
    if (!same)
        return error_set(error, STATUS_DAMAGED, "ledger",
                         "Row %" PRId64 " of the ledger does not have the hash that was kept "
                         "outside: unless a digit was mistyped, rows up to there were changed and "
                         "the ledger hashed anew, or this is another store; stop working in it and "
                         "hold it against a backup of then.",
                         anchor->sequence);
    text_addf(out,
              "row %" PRId64 " has the hash that was kept: up to there it is the ledger of then\n",
              anchor->sequence);
    return out->failed ? error_no_memory(error) : STATUS_OK;
}
