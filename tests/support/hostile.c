/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "hostile.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <sqlite3.h>

#include "springline/base/text.h"
#include "springline/core/record.h"

#define REFUSED(bytes)                                                                             \
    {                                                                                              \
        HOSTILE_BEFORE bytes HOSTILE_AFTER, sizeof bytes + 3, true                                 \
    }
#define ODD(bytes)                                                                                 \
    {                                                                                              \
        bytes, sizeof bytes - 1, false                                                             \
    }
#define ACUTE_4 "\xCC\x81\xCC\x81\xCC\x81\xCC\x81"

const struct hostile_piece hostile_pieces[] = {
    /* Sequences: a colour that no program has, a title, a report, a reset, a string (ECMA-48). */
    REFUSED("\033[7331m"),
    REFUSED("\033]0;evil\a"),
    REFUSED("\033[6n"),
    REFUSED("\033c"),
    REFUSED("\033P+q544e\033\\"),
    REFUSED("\233"
            "7331m"),
    REFUSED("\xC2\x9B"
            "7331m"),
    REFUSED("\xC2\x85"),
    REFUSED("\xC2\x90"),
    REFUSED("\xC2\x9D"
            "0;evil\xC2\x9C"),
    /* C0 and DEL. */
    REFUSED("\r"),
    REFUSED("\n"),
    REFUSED("\t"),
    REFUSED("\b\b"),
    REFUSED("\a"),
    REFUSED("\x0E"),
    REFUSED("\x7F"),
    REFUSED("\v"),
    REFUSED("\x1A"),
    REFUSED("\x01"),
    /* Bidi controls. */
    REFUSED("\xE2\x80\xAA"),
    REFUSED("\xE2\x80\xAE"),
    REFUSED("\xE2\x81\xA6"),
    REFUSED("\xE2\x81\xA9"),
    REFUSED("\xE2\x80\x8E"),
    REFUSED("\xE2\x80\x8F"),
    REFUSED("\xD8\x9C"),
    /* Zero-width and invisible. */
    REFUSED("\xE2\x80\x8B"),
    REFUSED("\xEF\xBB\xBF"),
    REFUSED("\xE2\x81\xA0"),
    REFUSED("\xC2\xAD"),
    REFUSED("\xE3\x85\xA4"),
    REFUSED("\xE2\x80\xA8"),
    REFUSED("\xEF\xBF\xBB"),
    REFUSED("\xCD\x8F"),
    REFUSED("\xE1\xA0\x8E"),
    /* Tags and noncharacters. */
    REFUSED("\xF3\xA0\x80\x81"),
    REFUSED("\xF3\xA0\x81\x81"),
    REFUSED("\xEF\xBF\xBE"),
    REFUSED("\xEF\xB7\x90"),
    REFUSED("\xF4\x8F\xBF\xBF"),
    /* No UTF-8: loose bytes, overlong, a surrogate, beyond the last, cut off. */
    REFUSED("\xFF\xFE"),
    REFUSED("\x80"),
    REFUSED("\xC0\xAF"),
    REFUSED("\xED\xA0\x80"),
    REFUSED("\xF4\x90\x80\x80"),
    REFUSED("\xE2\x80"),
    REFUSED("\xF0\x9F"),
    /* A pile of marks. */
    REFUSED("e" ACUTE_4 ACUTE_4 ACUTE_4 ACUTE_4),
    /* Odd and good: double width, a joined picture, a joiner in Persian, right to left, marks, an
     * ideograph's variant, what a spreadsheet takes for a formula. */
    ODD("\xE4\xB8\xAD\xE5\xB1\xB1"),
    ODD("\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x91\xA7"),
    ODD("\xD9\x85\xDB\x8C\xE2\x80\x8C\xD8\xAE"),
    ODD("\xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D"),
    ODD("e\xCC\x81\xCC\x82"),
    ODD("\xE8\x91\x9B\xF3\xA0\x84\x80"),
    ODD("=1+1"),
    ODD("%s%n"),
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
    if (length + piece->length + 1 > HOSTILE_SIZE) {
        snprintf(out, HOSTILE_SIZE, "%s", text);
        return strlen(out);
    }
    memcpy(out, text, first);
    memcpy(out + first, piece->bytes, piece->length);
    memcpy(out + first + piece->length, text + first, length - first + 1);
    return length + piece->length;
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
