/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet of a month: written, read, digested. */
#include <inttypes.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange_private.h"
#include "month_private.h"
#include "springline/app/grow.h"
#include "springline/app/sign.h"

const char *const month_columns[MONTH_COLUMNS] = {
    "case",      "group",      "low",      "days_asked",     "days_known",     "days_met",
    "adherence", "low95",      "high95",   "source",         "unknown_share",  "visits",
    "holds",     "reductions", "rests",    "overrides",      "missed",         "short_run",
    "change",    "drifting",   "stricter", "untrained_days", "open_days",      "open_known",
    "open_met",  "wear_full",  "wear_low", "wear_known_min", "above_permitted"};

/* ---- writing ---- */

/* A cell; quotation marks only where it needs them (a number of a case is free text). */
static void add_cell(struct text *out, const char *cell, const char *end)
{
    if (cell[strcspn(cell, ",\"\r\n")] == '\0') {
        text_add(out, cell);
    } else {
        text_add_byte(out, '"');
        for (; *cell != '\0'; cell++) {
            text_add_byte(out, *cell);
            if (*cell == '"')
                text_add_byte(out, '"');
        }
        text_add_byte(out, '"');
    }
    text_add(out, end);
}

static void add_count(struct text *out, int32_t count)
{
    text_addf(out, "%" PRId32 ",", count);
}

/* Four decimals; empty where there is none. */
static void add_share(struct text *out, bool known, double share)
{
    if (known)
        text_addf(out, "%.4f", share);
    text_add(out, ",");
}

static void add_yes(struct text *out, bool yes)
{
    text_add(out, yes ? "yes," : "no,");
}

static void add_amounts(struct text *out, um right, um left)
{
    char text[MILLIMETRE_TEXT_SIZE];

    text_add(out, right == UM_NONE ? "-" : millimetre_to_text(right, text));
    text_add(out, "/");
    text_add(out, left == UM_NONE ? "-" : millimetre_to_text(left, text));
}

/* "2026-10-12 upper 1.50/1.50 of 1.00/1.00; ...": given of permitted, right/left. Reasons are words
 * about a person and stay out. */
static void add_above(struct text *out, const struct audit_row *row)
{
    char date[DAY_TEXT_SIZE];

    for (int32_t i = 0; i < row->overrides && i < AUDIT_OVERRIDES_MAX; i++) {
        const struct audit_override *above = &row->override_rows[i];

        text_addf(out, "%s%s %s ", i == 0 ? "" : "; ", day_to_text(above->date, date),
                  word_text(&words_arch, (int)above->arch));
        add_amounts(out, above->given_right, above->given_left);
        text_add(out, " of ");
        add_amounts(out, above->permitted_right, above->permitted_left);
        text_add(out, above->recomputed ? " recomputed" : "");
    }
    if (row->overrides > AUDIT_OVERRIDES_MAX)
        text_addf(out, "; and %" PRId32 " more", row->overrides - AUDIT_OVERRIDES_MAX);
    text_add(out, "\r\n");
}

static void add_wear(struct text *out, const struct audit_row *row)
{
    bool judged = row->days_known > 0;

    add_cell(out, word_text(&words_audit_group, (int)row->group), ",");
    add_yes(out, row->low);
    add_count(out, row->days_asked);
    add_count(out, row->days_known);
    add_count(out, row->days_met);
    add_share(out, judged, row->adherence);
    add_share(out, judged, row->low95);
    add_share(out, judged, row->high95);
    add_cell(out, word_text(&words_source, (int)row->source), ",");
    add_share(out, row->group != AUDIT_NOT_SEEN, row->unknown_share);
}

static void add_row(struct text *out, const struct listed_audit *listed)
{
    const struct audit_row *row = &listed->row;

    add_cell(out, listed->number, ",");
    add_wear(out, row);
    add_count(out, row->visits);
    add_count(out, row->holds);
    add_count(out, row->reductions);
    add_count(out, row->rests);
    add_count(out, row->overrides);
    add_count(out, row->missed);
    add_count(out, row->short_run);
    add_share(out, row->has_change, row->change);
    add_yes(out, row->drifting);
    add_yes(out, row->stricter);
    add_count(out, row->untrained_days);
    add_count(out, row->open_days);
    add_count(out, row->open_known);
    add_count(out, row->open_met);
    add_count(out, listed->wear_full_permille);
    add_count(out, listed->wear_low_permille);
    add_count(out, listed->wear_known_min_permille);
    add_above(out, row);
}

static void add_totals(struct text *out, const struct audit_totals *totals)
{
    const struct {
        const char *figure;
        int32_t count;
    } rows[] = {{"cases", totals->cases},
                {"below", totals->below},
                {"low", totals->low},
                {"unknown", totals->unknown},
                {"not_seen", totals->not_seen},
                {"meeting", totals->meeting},
                {"visits", totals->visits},
                {"holds", totals->holds},
                {"reductions", totals->reductions},
                {"rests", totals->rests},
                {"overrides", totals->overrides},
                {"missed", totals->missed}};

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        text_addf(out, "%s,%" PRId32 "\r\n", rows[i].figure, rows[i].count);
}

/* Each setting by the name and in the units of its field; the name of the protocol is the
 * practice's own. */
static void add_settings(struct text *out, const struct protocol *protocol)
{
    const struct record_table *table = &record_tables[RECORD_PROTOCOL];
    const union any_record record = {.protocol = *protocol};

    for (size_t i = 0; i < table->field_count; i++) {
        struct text value = {0};

        if (table->fields[i].type == FIELD_TEXT)
            continue;
        exchange_add_cell(&value, &table->fields[i], &record);
        text_addf(out, "setting %s,", table->fields[i].name);
        add_cell(out, text_string(&value), "\r\n");
        out->failed = out->failed || value.failed;
        text_release(&value);
    }
}

static int compare_numbers(const void *a, const void *b)
{
    return strcmp((*(const struct listed_audit *const *)a)->number,
                  (*(const struct listed_audit *const *)b)->number);
}

static enum status add_rows(struct text *out, const struct audit_list *list, struct error *error)
{
    const struct listed_audit **rows = calloc(list->count + 1, sizeof(struct listed_audit *));

    if (rows == NULL)
        return error_no_memory(error);
    for (size_t i = 0; i < list->count; i++)
        rows[i] = &list->rows[i];
    if (list->count > 0)
        qsort(rows, list->count, sizeof(struct listed_audit *), compare_numbers);
    for (size_t i = 0; i < list->count; i++)
        add_row(out, rows[i]);
    free(rows);
    return STATUS_OK;
}

enum status month_sheet_add(struct text *out, const struct audit_list *list, day month,
                            struct error *error)
{
    char text[DAY_TEXT_SIZE];

    text_addf(out, "figure,value\r\nsheet,%d\r\nmonth,%s\r\n", MONTH_SHEET_FORM,
              month_to_text(month, text));
    text_addf(out, "through,%s\r\n", day_to_text(day_month_start(month, 1) - 1, text));
    add_totals(out, &list->totals);
    add_settings(out, &list->protocol);
    text_add(out, "\r\n");
    for (size_t i = 0; i < MONTH_COLUMNS; i++)
        text_addf(out, "%s%s", month_columns[i], i + 1 < MONTH_COLUMNS ? "," : "\r\n");
    enum status status = add_rows(out, list, error);
    return status == STATUS_OK && out->failed ? error_no_memory(error) : status;
}

void month_digest(const char *sheet, size_t length, char digest[MONTH_DIGEST_TEXT])
{
    unsigned char hash[crypto_generichash_BYTES];

    _Static_assert(2 * sizeof hash + 1 == MONTH_DIGEST_TEXT, "BLAKE2b-256");
    (void)crypto_generichash(hash, sizeof hash, (const unsigned char *)sheet, length, NULL, 0);
    sign_hex(hash, sizeof hash, digest);
}

/* ---- reading ---- */

/* Ends the cell at *at, of which quotation marks are taken off, and moves *at behind its comma or
 * line end. *last: it was the last of its line. NULL: no cell of this form. */
static char *take_cell(char **at, bool *last)
{
    char *cell = *at, *from = *at, *to = *at;
    bool quoted = *from == '"';

    from += quoted;
    while (*from != '\0' && (quoted || (*from != ',' && *from != '\r'))) {
        if (quoted && *from == '"' && *++from != '"')
            break; /* behind the closing mark */
        *to++ = *from++;
    }
    *last = *from != ',';
    if (*last && (from[0] != '\r' || from[1] != '\n'))
        return NULL;
    *at = from + (*last ? 2 : 1);
    *to = '\0';
    return cell;
}

/* The cells of one line, exactly so many; false: not so. */
static bool take_line(char **at, const char **cells, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        bool last = false;

        cells[i] = take_cell(at, &last);
        if (cells[i] == NULL || last != (i + 1 == count))
            return false;
    }
    return true;
}

static bool is_header(const char *const *cells, const char *const *names, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        if (strcmp(cells[i], names[i]) != 0)
            return false;
    }
    return true;
}

static enum status no_sheet(struct error *error)
{
    return error_set(error, STATUS_DAMAGED, "month_close",
                     "The signed sheet of this month is not of a form that this program knows; run "
                     "springline verify.");
}

static enum status read_whole(char **at, struct arena *arena, struct month_sheet *sheet,
                              struct error *error)
{
    static const char *const header[] = {"figure", "value"};
    const char *cells[2];

    if (!take_line(at, cells, 2) || !is_header(cells, header, 2))
        return no_sheet(error);
    while (**at != '\r') {
        if (!take_line(at, cells, 2))
            return no_sheet(error);
        if (!app_grow(arena, (void **)&sheet->whole, sheet->whole_count, &sheet->whole_capacity,
                      sizeof *sheet->whole))
            return error_no_memory(error);
        sheet->whole[sheet->whole_count++] = (struct month_whole){cells[0], cells[1]};
    }
    if ((*at)[1] != '\n')
        return no_sheet(error);
    *at += 2;
    return STATUS_OK;
}

static enum status read_rows(char **at, struct arena *arena, struct month_sheet *sheet,
                             struct error *error)
{
    const char *cells[MONTH_COLUMNS];

    if (!take_line(at, cells, MONTH_COLUMNS) || !is_header(cells, month_columns, MONTH_COLUMNS))
        return no_sheet(error);
    while (**at != '\0') {
        if (!take_line(at, cells, MONTH_COLUMNS))
            return no_sheet(error);
        if (!app_grow(arena, (void **)&sheet->cells, sheet->row_count, &sheet->capacity,
                      sizeof cells))
            return error_no_memory(error);
        memcpy(sheet->cells + sheet->row_count++ * MONTH_COLUMNS, cells, sizeof cells);
    }
    return STATUS_OK;
}

enum status month_sheet_read(const char *text, struct arena *arena, struct month_sheet *sheet,
                             struct error *error)
{
    char *at = arena_text(arena, text, strlen(text));

    *sheet = (struct month_sheet){0};
    if (at == NULL)
        return error_no_memory(error);
    enum status status = read_whole(&at, arena, sheet, error);
    return status == STATUS_OK ? read_rows(&at, arena, sheet, error) : status;
}
