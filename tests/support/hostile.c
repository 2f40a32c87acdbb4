/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hostile.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <sqlite3.h>

#include "springline/base/text.h"
#include "springline/core/record.h"

#define ACUTE_4 "\xCC\x81\xCC\x81\xCC\x81\xCC\x81"

const struct hostile_piece hostile_pieces[] = {
    /* Sequences: a colour that no program has, a title, a report, a reset, a string (ECMA-48). */
    {HOSTILE_BEFORE "\033[7331m" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\033]0;evil\a" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\033[6n" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\033c" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\033P+q544e\033\\" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\233"
                    "7331m" HOSTILE_AFTER,
     true},
    {HOSTILE_BEFORE "\xC2\x9B"
                    "7331m" HOSTILE_AFTER,
     true},
    {HOSTILE_BEFORE "\xC2\x85" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xC2\x90" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xC2\x9D"
                    "0;evil\xC2\x9C" HOSTILE_AFTER,
     true},
    /* C0 and DEL. */
    {HOSTILE_BEFORE "\r" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\n" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\t" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\b\b" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\a" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\x0E" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\x7F" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\v" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\x1A" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\x01" HOSTILE_AFTER, true},
    /* Bidi controls. */
    {HOSTILE_BEFORE "\xE2\x80\xAA" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x80\xAE" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x81\xA6" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x81\xA9" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x80\x8E" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x80\x8F" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xD8\x9C" HOSTILE_AFTER, true},
    /* Zero-width and invisible. */
    {HOSTILE_BEFORE "\xE2\x80\x8B" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xEF\xBB\xBF" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x81\xA0" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xC2\xAD" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE3\x85\xA4" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x80\xA8" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xEF\xBF\xBB" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xCD\x8F" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE1\xA0\x8E" HOSTILE_AFTER, true},
    /* Tags and noncharacters. */
    {HOSTILE_BEFORE "\xF3\xA0\x80\x81" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xF3\xA0\x81\x81" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xEF\xBF\xBE" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xEF\xB7\x90" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xF4\x8F\xBF\xBF" HOSTILE_AFTER, true},
    /* No UTF-8: loose bytes, overlong, a surrogate, beyond the last, cut off. */
    {HOSTILE_BEFORE "\xFF\xFE" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\x80" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xC0\xAF" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xED\xA0\x80" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xF4\x90\x80\x80" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xE2\x80" HOSTILE_AFTER, true},
    {HOSTILE_BEFORE "\xF0\x9F" HOSTILE_AFTER, true},
    /* A pile of marks. */
    {HOSTILE_BEFORE "e" ACUTE_4 ACUTE_4 ACUTE_4 ACUTE_4 HOSTILE_AFTER, true},
    /* Odd and good: double width, a joined picture, a joiner in Persian, right to left, marks, an
     * ideograph's variant, what a spreadsheet takes for a formula. */
    {"\xE4\xB8\xAD\xE5\xB1\xB1", false},
    {"\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x91\xA7", false},
    {"\xD9\x85\xDB\x8C\xE2\x80\x8C\xD8\xAE", false},
    {"\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D", false},
    {"e\xCC\x81\xCC\x82", false},
    {"\xE8\x91\x9B\xF3\xA0\x84\x80", false},
    {"=1+1", false},
    {"%s%n", false},
};
const size_t hostile_piece_count = sizeof hostile_pieces / sizeof hostile_pieces[0];

size_t hostile_text(const char *text, char out[HOSTILE_SIZE])
{
    uint32_t character = 0, sum = 2166136261U; /* FNV-1a */
    size_t length = strlen(text), first = text_decode(text, length, &character);

    for (size_t i = 0; i < length; i++)
        sum = (sum ^ (unsigned char)text[i]) * 16777619U;
    const struct hostile_piece *piece = &hostile_pieces[sum % hostile_piece_count];
    first = first == 0 ? length > 0 : first;
    size_t more = strlen(piece->bytes);
    if (length + more + 1 > HOSTILE_SIZE) {
        snprintf(out, HOSTILE_SIZE, "%s", text);
        return strlen(out);
    }
    memcpy(out, text, first);
    memcpy(out + first, piece->bytes, more);
    memcpy(out + first + more, text + first, length - first + 1);
    return length + more;
}

/* hostile(TEXT) in SQL. The protocol of all cases is found by its name. */
static void spoil(sqlite3_context *context, int count, sqlite3_value **values)
{
    const char *text = (const char *)sqlite3_value_text(values[0]);
    char out[HOSTILE_SIZE];

    (void)count;
    if (text == NULL || text[0] == '\0' || strcmp(text, "practice") == 0) {
        sqlite3_result_value(context, values[0]);
        return;
    }
    size_t length = hostile_text(text, out);
    sqlite3_result_text(context, out, (int)length, SQLITE_TRANSIENT);
}

/* Names of rows and hashes as text, by which the program finds what they stand for. */
static bool is_a_name_of_the_program(enum record_kind kind, const char *column)
{
    return kind == RECORD_ERASURE || kind == RECORD_MONTH_CLOSE ||
           (kind == RECORD_SIGNATURE && strcmp(column, "name") != 0);
}

static bool spoil_column(sqlite3 *db, const char *table, const char *column)
{
    struct text sql = {0};
    char *problem = NULL;

    text_addf(&sql, "UPDATE \"%s\" SET \"%s\" = hostile(\"%s\")", table, column, column);
    bool good = sqlite3_exec(db, text_string(&sql), NULL, NULL, &problem) == SQLITE_OK;
    if (!good)
        printf("# %s.%s: %s\n", table, column, problem);
    sqlite3_free(problem);
    text_release(&sql);
    return good;
}

static bool spoil_records(sqlite3 *db)
{
    bool good = true;

    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++) {
        const struct record_table *table = &record_tables[kind];
        good = spoil_column(db, table->table, "reason") && good;
        for (size_t i = 0; i < table->field_count; i++) {
            const struct field *field = &table->fields[i];
            if (field->type == FIELD_TEXT && kind != RECORD_JUDGED &&
                !is_a_name_of_the_program((enum record_kind)kind, field->name))
                good = spoil_column(db, table->table, field->name) && good;
        }
    }
    return good;
}

static bool drop_triggers(sqlite3 *db)
{
    sqlite3_stmt *names = NULL;
    struct text sql = {0};

    if (sqlite3_prepare_v2(db, "SELECT name FROM sqlite_schema WHERE type = 'trigger'", -1, &names,
                           NULL) != SQLITE_OK)
        return false;
    while (sqlite3_step(names) == SQLITE_ROW)
        text_addf(&sql, "DROP TRIGGER \"%s\";", (const char *)sqlite3_column_text(names, 0));
    sqlite3_finalize(names);
    bool good = sqlite3_exec(db, text_string(&sql), NULL, NULL, NULL) == SQLITE_OK;
    text_release(&sql);
    return good;
}

bool hostile_spoil(const char *path)
{
    static const struct {
        const char *table, *column;
    } others[] = {{"case_state", "number"}, {"case_state", "family"},    {"case_state", "given"},
                  {"case_state", "phone"},  {"case_state", "clinician"}, {"request", "seat"},
                  {"request", "label"},     {"withdrawal", "reason"},    {"presence", "seat"}};
    static const char inner[] =
        "UPDATE judged SET findings = "
        "replace(findings, '\"text\":\"', '\"text\":\"' || hostile(substr(findings, 40, 9)));"
        "UPDATE draft SET content = rtrim(content, char(10)) || hostile('x') || char(10)";
    sqlite3 *db = NULL;
    char *problem = NULL;

    bool good = sqlite3_open_v2(path, &db, SQLITE_OPEN_READWRITE, NULL) == SQLITE_OK &&
                sqlite3_create_function_v2(db, "hostile", 1, SQLITE_UTF8, NULL, spoil, NULL, NULL,
                                           NULL) == SQLITE_OK &&
                sqlite3_exec(db, "PRAGMA ignore_check_constraints=ON; PRAGMA foreign_keys=OFF",
                             NULL, NULL, NULL) == SQLITE_OK &&
                drop_triggers(db);
    good = good && spoil_records(db);
    for (size_t i = 0; good && i < sizeof others / sizeof others[0]; i++)
        good = spoil_column(db, others[i].table, others[i].column);
    if (good && sqlite3_exec(db, inner, NULL, NULL, &problem) != SQLITE_OK) {
        printf("# findings and drafts: %s\n", problem);
        good = false;
    }
    sqlite3_free(problem);
    sqlite3_close(db);
    return good;
}
