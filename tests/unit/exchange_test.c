/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Kinds by header, guards, and imports row by row over a real store. The sentences for each kind of
 * bad cell are tried on the whole program: tests/cli/bad_input.sh.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "springline/app/exchange.h"
#include "store_case.h"

enum { CELLS_MAX = 32, TEXT_SIZE = 512 };

/* Cells parted by '|'. */
struct cells {
    char text[TEXT_SIZE];
    const char *cell[CELLS_MAX];
    size_t count;
};

static void cut(struct cells *cells, const char *text)
{
    assert_true(strlen(text) < sizeof cells->text);
    memcpy(cells->text, text, strlen(text) + 1);
    cells->count = 0;
    for (char *at = cells->text; at != NULL;) {
        char *end = strchr(at, '|');

        if (end != NULL)
            *end++ = '\0';
        assert_true(cells->count < CELLS_MAX);
        cells->cell[cells->count++] = at;
        at = end;
    }
}

static void knows_a_kind_by_its_header(void **state)
{
    static const struct {
        const char *header;
        enum record_kind kind;
    } table[] = {
        {"chart|family|given", RECORD_PATIENT},
        {"chart", RECORD_PATIENT},
        {"case|chart|opened", RECORD_CASEFILE},
        {"opened|chart|case", RECORD_CASEFILE},
        {"case|chart", RECORD_CASEFILE},
        {"case|issued_on", RECORD_TRAINER},
        {"case|arch|fitted_on", RECORD_EXPANDER},
        {"case|arch|banded_on", RECORD_EXPANDER},
        {"case|arch|site|landmark|teeth", RECORD_KIND_COUNT},
        {"case|date|kind|arch", RECORD_VISIT},
        {"case|date|kind", RECORD_KIND_COUNT},
        {"case|date|arch|site|landmark|teeth|method|repeat|mm|by", RECORD_WIDTH},
        {"case|date|day_minutes|night|source", RECORD_WEAR_DAY},
        {"case|date|source", RECORD_WEAR_DAY},
        {"case|from|to|days_met|days_asked|source", RECORD_WEAR_COUNT},
        {"case|at|channel", RECORD_CONTACT},
        {"case|date|time|kind|state", RECORD_BOOKING},
        {"case|date|tooth|method|repeat|mm", RECORD_TOOTH_WIDTH},
        {"case|date|arch|method|repeat|back_right_mm", RECORD_ARCH_SEGMENT},
        {"case|date|arch|teeth|method|repeat|mm|by", RECORD_ARCH_DEPTH},
        {"case|date|arch|landmark|teeth|method|repeat|mm|by", RECORD_KIND_COUNT}, /* no site */
        {"case|arch|made_on", RECORD_PLAN},
        {"case|arch", RECORD_KIND_COUNT},
        {"case|arch|separators_on|target_mm", RECORD_KIND_COUNT}, /* not fitted, not banded */
        {"colour|shape", RECORD_KIND_COUNT},
        {"", RECORD_KIND_COUNT},
        {"Chart|Family", RECORD_KIND_COUNT},
    };

    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct cells header;

        cut(&header, table[i].header);
        if (exchange_kind(header.cell, header.count) != table[i].kind)
            fail_msg("%s", table[i].header);
    }
}

/* Each kind's own columns make that kind and no other. */
static void knows_every_kind_by_all_its_columns(void **state)
{
    size_t kinds = 0;

    (void)state;
    for (; exchange_order[kinds] >= 0; kinds++) {
        const struct record_table *table = &record_tables[exchange_order[kinds]];
        const char *names[CELLS_MAX];
        size_t count = 0;

        for (size_t i = 0; i < table->field_count; i++)
            if ((table->fields[i].flags & FIELD_NOT_IN_CSV) == 0)
                names[count++] = table->fields[i].name;
        assert_int_equal(exchange_kind(names, count), exchange_order[kinds]);
        assert_int_equal(exchange_kind_named(table->csv), exchange_order[kinds]);
    }
    assert_int_equal(kinds, 14);
    assert_int_equal(exchange_kind_named("protocols"), RECORD_KIND_COUNT);
}

/* The characters of interchange.md, and each undone once. */
static void guards_what_looks_like_a_formula(void **state)
{
    static const struct {
        const char *cell, *guarded;
    } table[] = {
        {"=1+1", "'=1+1"},
        {"+49", "'+49"},
        {"-", "'-"},
        {"@a", "'@a"},
        {"\ta", "'\ta"},
        {"\ra", "'\ra"},
        {"'a", "''a"},
        {"''", "'''"},
        {"a=b", "a=b"},
        {"", ""},
        {"O'Lanternhan", "O'Lanternhan"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct text out = {0};

        exchange_guard(&out, table[i].cell);
        assert_string_equal(text_string(&out), table[i].guarded);
        assert_string_equal(exchange_unguard(text_string(&out)), table[i].cell);
        text_release(&out);
    }
}

/* ---- imports ---- */

/* Closes the store and removes it, its empty journal too. */
static void end(struct store_case *kept)
{
    char journal[sizeof kept->path + 16];

    snprintf(journal, sizeof journal, "%s-journal", kept->path);
    store_case_close(kept);
    (void)unlink(journal);
}

struct heard {
    long count, notes;
    char file[64], column[64], sentence[512];
    long line;
};

static void hear(void *context, const char *file, long line, const char *column,
                 const char *sentence)
{
    struct heard *heard = context;

    heard->count++;
    heard->line = line;
    snprintf(heard->file, sizeof heard->file, "%s", file);
    snprintf(heard->column, sizeof heard->column, "%s", column);
    snprintf(heard->sentence, sizeof heard->sentence, "%s", sentence);
}

static void hear_note(void *context, const char *file, long line, const char *column,
                      const char *sentence)
{
    (void)file;
    (void)line;
    assert_string_equal(column, "");
    assert_non_null(strstr(sentence, "Line 2 of this file has the same key and the same"));
    ((struct heard *)context)->notes++;
}

static const char *const base_lines[] = {
    "#patients",  "chart|family|born",          "P-1|Inkwell|2016-05-04", "P-2|Inkwell|2017-05-04",
    "#cases",     "case|chart|opened",          "C-1|P-1|2026-01-05",     "C-2|P-2|2026-01-05",
    "#expanders", "case|arch|fitted_on|out_on", "C-1|upper|2026-01-19|",  NULL};

/* Runs an import of lines ("#file", header, rows ...; NULL ends) and ends it. */
static enum status import_lines(struct app *app, const char *const *lines, bool keep,
                                struct exchange_totals *totals, struct heard *heard)
{
    struct import *import = NULL;
    struct error error = {0};
    struct cells cells;

    *heard = (struct heard){0};
    assert_int_equal(import_begin(app, "test", hear, heard, &import, &error), STATUS_OK);
    import_set_notes(import, hear_note);
    const char *file = NULL;
    long line = 0;
    for (size_t i = 0; lines[i] != NULL; i++) {
        bool bad = false;
        long before = heard->count;

        line++;
        if (lines[i][0] == '#') {
            file = lines[i] + 1;
            line = 0;
            continue;
        }
        cut(&cells, lines[i]);
        if (line == 1) {
            assert_int_equal(import_file(import, file, cells.cell, cells.count, NULL, &error),
                             STATUS_OK);
            continue;
        }
        assert_int_equal(import_row(import, line, cells.cell, cells.count, &bad, &error),
                         STATUS_OK);
        assert_int_equal(bad, heard->count > before);
    }
    assert_int_equal(import_check(import, &error), STATUS_OK);
    return import_end(import, keep, totals, &error);
}

static int64_t newest(struct store_case *kept)
{
    int64_t sequence = 0;
    uint8_t hash[32];

    assert_int_equal(store_head(kept->app.store, &sequence, hash, NULL), STATUS_OK);
    return sequence;
}

static day of(const char *text)
{
    day date = DAY_NONE;

    assert_true(day_from_text(text, &date));
    return date;
}

static void keeps_all_or_nothing(void **state)
{
    static const char *const spoiled[] = {"#patients", "chart|family|born", "P-3|Inkwell|", "P-4||",
                                          NULL};
    struct store_case kept;
    struct exchange_totals totals;
    struct heard heard;

    (void)state;
    store_case_open(&kept, "exchange_all", of("2026-06-01"));
    int64_t before = newest(&kept);
    assert_int_equal(import_lines(&kept.app, base_lines, false, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.added, 5);
    assert_int_equal(newest(&kept), before);
    assert_int_equal(import_lines(&kept.app, base_lines, true, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.added, 5);
    before = newest(&kept);
    assert_int_equal(import_lines(&kept.app, base_lines, true, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.added, 0);
    assert_int_equal(totals.same, 5);
    assert_int_equal(newest(&kept), before);
    assert_int_equal(import_lines(&kept.app, spoiled, true, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.added, 1);
    assert_int_equal(totals.bad, 1);
    assert_int_equal(newest(&kept), before);
    assert_int_equal(heard.line, 3);
    assert_string_equal(heard.file, "patients");
    assert_string_equal(heard.column, "family");
    end(&kept);
}

/* Lines after base_lines, and what is heard of them. */
struct trial {
    const char *lines[12];
    long bad;  /* rows refused */
    long line; /* the last heard */
    const char *column, *sentence;
};

static void tries(const struct trial *trials, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct store_case kept;
        struct exchange_totals totals;
        struct heard heard;
        const struct trial *trial = &trials[i];

        store_case_open(&kept, "exchange_trial", of("2026-06-01"));
        assert_int_equal(import_lines(&kept.app, base_lines, true, &totals, &heard), STATUS_OK);
        assert_int_equal(import_lines(&kept.app, trial->lines, true, &totals, &heard), STATUS_OK);
        if (totals.bad != trial->bad || heard.line != trial->line)
            fail_msg("trial %zu: %ld bad, line %ld: %s", i, totals.bad, heard.line, heard.sentence);
        assert_string_equal(heard.column, trial->column == NULL ? "" : trial->column);
        if (trial->sentence != NULL && strstr(heard.sentence, trial->sentence) == NULL)
            fail_msg("trial %zu: %s", i, heard.sentence);
        end(&kept);
    }
}

#define VISITS    "#visits", "case|date|kind|arch|right_mm|left_mm|elsewhere"
#define TRAINERS  "#trainers", "case|issued_on|ended_on"
#define EXPANDERS "#expanders", "case|arch|separators_on|banded_on|fitted_on|out_on"

static void checks_the_whole_case(void **state)
{
    static const struct trial trials[] = {
        /* An activation needs an expander in place: from the day of fit to the day it came out. */
        {{VISITS, "C-1|2026-01-18|activation|upper|1.00|1.00|", NULL},
         1,
         2,
         "date",
         "before the fit"},
        {{VISITS, "C-1|2026-01-19|activation|upper|1.00|1.00|", NULL}, 0, 0, NULL, NULL},
        {{VISITS, "C-1|2026-01-18|activation|upper|1.00|1.00|yes", NULL}, 0, 0, NULL, NULL},
        {{VISITS, "C-1|2026-01-18|check|upper|0.00|0.00|", NULL}, 0, 0, NULL, NULL},
        {{VISITS, "C-1|2026-01-18|check|upper|0.25|0.00|", NULL}, 1, 2, "date", "before the fit"},
        {{VISITS, "C-1|2026-01-18|relief|upper|||", NULL}, 1, 2, "date", "before the fit"},
        {{VISITS, "C-1|2026-01-18|repair|upper|||", NULL}, 0, 0, NULL, NULL},
        {{VISITS, "C-2|2026-01-20|activation|upper|1.00|1.00|", NULL}, 1, 2, "arch", "No expander"},
        {{VISITS, "C-1|2026-01-04|check||||", NULL}, 1, 2, "date", "before the case was opened"},
        {{VISITS, "C-1|2026-01-05|check||||", NULL}, 0, 0, NULL, NULL},
        /* One trainer at a time; the next may begin on the day the last one ended. */
        {{TRAINERS, "C-1|2026-01-05|2026-03-01", "C-1|2026-03-01|", NULL}, 0, 0, NULL, NULL},
        {{TRAINERS, "C-1|2026-01-05|2026-03-02", "C-1|2026-03-01|", NULL},
         1,
         3,
         "issued_on",
         "2026-01-05"},
        {{TRAINERS, "C-1|2026-03-01|", "C-1|2026-01-05|", NULL}, 1, 2, "issued_on", "2026-01-05"},
        {{TRAINERS, "C-1|2026-01-05|", "C-2|2026-03-01|", NULL}, 0, 0, NULL, NULL},
        /* One expander in an arch at a time; the lower is another arch. */
        {{EXPANDERS, "C-1|upper|||2026-03-02|", NULL}, 1, 2, "arch", "2026-01-19"},
        {{EXPANDERS, "C-1|lower|||2026-03-02|", NULL}, 0, 0, NULL, NULL},
        {{EXPANDERS, "C-1|upper||2026-03-02||", NULL}, 1, 2, "arch", "2026-01-19"},
        {{EXPANDERS, "C-1|upper|2026-03-02|||", NULL}, 0, 0, NULL, NULL},
        {{EXPANDERS, "C-2|upper||2026-03-02||", "C-2|upper||2026-04-02||", NULL},
         1,
         3,
         "arch",
         "2026-03-02"},
        {{EXPANDERS, "C-2|lower|||2026-03-02|2026-04-02", "C-2|lower|||2026-04-02|", NULL},
         0,
         0,
         NULL,
         NULL},
        {{EXPANDERS, "C-2|lower|||2026-03-02|2026-04-03", "C-2|lower|||2026-04-02|", NULL},
         1,
         3,
         "arch",
         "2026-03-02"},
        /* The expander that the visit needs may come in the same import, in any file order. */
        {{VISITS, "C-2|2026-03-09|activation|upper|1.00|1.00|", EXPANDERS,
          "C-2|upper|||2026-03-02|", NULL},
         0,
         0,
         NULL,
         NULL},
    };

    (void)state;
    tries(trials, sizeof trials / sizeof trials[0]);
}

static void compares_rows_of_one_key(void **state)
{
    static const struct trial trials[] = {
        {{VISITS, "C-1|2026-02-02|activation|upper|1.00|1.00|",
          "C-1|2026-02-02|activation|upper|1.00|1.00|", NULL},
         0,
         0,
         NULL,
         NULL},
        {{VISITS, "C-1|2026-02-02|activation|upper|1.00|1.00|",
          "C-1|2026-02-02|activation|upper|1.00|1.25|", NULL},
         1,
         3,
         "left_mm",
         "Line 2 of this file has the same key and other values (there \"1.00\")"},
        {{VISITS, "C-1|2026-02-02|activation|upper|1.00|1.00|", "C-1|2026-02-02|check|upper|||",
          NULL},
         0,
         0,
         NULL,
         NULL},
        {{"#patients", "chart|family|born", "P-1|Inkwell|2016-05-05", NULL},
         1,
         2,
         "born",
         "already recorded"},
        {{"#patients", "chart|family|born", "P-1|Inkwell|", NULL},
         1,
         2,
         "born",
         "already recorded"},
        /* A column the file does not have says nothing about it. */
        {{"#patients", "chart|family", "P-1|Inkwell", NULL}, 0, 0, NULL, NULL},
        {{"#cases", "case|chart|opened", "C-1|P-2|2026-01-05", NULL},
         1,
         2,
         "chart",
         "already recorded"},
        {{EXPANDERS, "C-1|upper||2026-01-12|2026-01-19|", NULL},
         1,
         2,
         "banded_on",
         "already recorded"},
    };

    (void)state;
    tries(trials, sizeof trials / sizeof trials[0]);
}

static void tells_of_a_refused_row_once(void **state)
{
    static const struct trial trials[] = {
        {{"#cases", "case|chart|opened", "C-3|P-1|2026-13-05", VISITS, "C-3|2026-02-02|check||||",
          "C-3|2026-02-03|check||||", NULL},
         1,
         2,
         "opened",
         NULL},
        {{"#patients", "chart|family", "P-3|", "#cases", "case|chart|opened", "C-3|P-3|2026-01-05",
          VISITS, "C-3|2026-02-02|check||||", NULL},
         1,
         2,
         "family",
         NULL},
        /* Nor is a case judged as a whole of which a row is missing. */
        {{EXPANDERS, "C-2|upper|||2026-02-30|", VISITS,
          "C-2|2026-03-09|activation|upper|1.00|1.00|", NULL},
         1,
         2,
         "fitted_on",
         NULL},
        {{EXPANDERS, "C-2|upper|||2026-02-20", VISITS, "C-2|2026-03-09|activation|upper|1.00|1.00|",
          NULL},
         1,
         2,
         "",
         "has 5 cells and the header 6"},
    };

    (void)state;
    tries(trials, sizeof trials / sizeof trials[0]);
}

/* Above what is permitted is history; above the cap of 5.00 mm (practice setting) it is a slip. */
static void refuses_slips_and_keeps_what_was_given(void **state)
{
    static const char *const given[] = {VISITS, "C-1|2026-02-02|activation|upper|5.00|4.00|", NULL};
    static const char *const slip[] = {VISITS, "C-1|2026-03-02|activation|upper|5.00|5.01|", NULL};
    struct store_case kept;
    struct exchange_totals totals;
    struct heard heard;

    (void)state;
    store_case_open(&kept, "exchange_slips", of("2026-06-01"));
    assert_int_equal(import_lines(&kept.app, base_lines, true, &totals, &heard), STATUS_OK);
    assert_int_equal(import_lines(&kept.app, given, true, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.added, 1);
    assert_int_equal(import_lines(&kept.app, slip, true, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.bad, 1);
    assert_string_equal(heard.column, "left_mm");
    end(&kept);
}

static void refuses_headers(void **state)
{
    static const struct {
        const char *header, *sentence;
    } table[] = {
        {"chart|family|family", "twice"},
        {"chart|given", "lacks the column family"},
        {"case|date|kind|right_mm|left_mm", "looks like that of visits, but the column arch"},
        {"colour", "names no columns"},
    };
    struct store_case kept;
    struct heard heard = {0};
    struct import *import = NULL;

    (void)state;
    store_case_open(&kept, "exchange_headers", of("2026-06-01"));
    assert_int_equal(import_begin(&kept.app, "test", hear, &heard, &import, NULL), STATUS_OK);
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        struct cells header;
        struct error error = {0};

        cut(&header, table[i].header);
        assert_int_equal(import_file(import, "f.csv", header.cell, header.count, NULL, &error),
                         STATUS_INPUT);
        assert_string_equal(error.where, "f.csv");
        if (strstr(error.sentence, table[i].sentence) == NULL)
            fail_msg("%s", error.sentence);
    }
    struct text unknown = {0};
    struct cells header;
    cut(&header, "chart|colour|family|shape");
    assert_int_equal(import_file(import, "f.csv", header.cell, header.count, &unknown, NULL),
                     STATUS_OK);
    assert_string_equal(text_string(&unknown), "colour\nshape\n");
    text_release(&unknown);
    assert_int_equal(import_end(import, true, NULL, NULL), STATUS_OK);
    end(&kept);
}

struct written {
    struct text text;
};

static enum status take_cells(void *context, const char *const *cells, size_t count,
                              struct error *error)
{
    struct written *written = context;

    (void)error;
    for (size_t i = 0; i < count; i++)
        text_addf(&written->text, "%s%s", i == 0 ? "" : "|", cells[i]);
    text_add(&written->text, "\n");
    return STATUS_OK;
}

static void exports_in_key_order(void **state)
{
    static const char *const lines[] = {
        "#visits",
        "case|date|kind|arch|right_mm|left_mm|hardware|note",
        "C-1|2026-03-02|check||||| '=note",
        "C-1|2026-02-02|check|upper|||broken-wire:left;loose-band|'=sum",
        "C-1|2026-02-02|activation|upper|1|.5||",
        NULL};
    static const char *const good[] = {
        "#visits",
        "case|date|kind|arch|right_mm|left_mm|hardware|note",
        "C-1|2026-03-02|check||||| '=note",
        "C-1|2026-02-02|check|upper|||broken-wire:left;loose-band|'=sum",
        "C-1|2026-02-02|activation|upper|1|0.5||",
        NULL};
    struct store_case kept;
    struct exchange_totals totals;
    struct heard heard;
    struct written written = {{0}};

    (void)state;
    store_case_open(&kept, "exchange_export", of("2026-06-01"));
    assert_int_equal(import_lines(&kept.app, base_lines, true, &totals, &heard), STATUS_OK);
    assert_int_equal(import_lines(&kept.app, lines, true, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.bad, 1);
    assert_string_equal(heard.column, "left_mm");
    assert_int_equal(import_lines(&kept.app, good, true, &totals, &heard), STATUS_OK);
    assert_int_equal(totals.added, 3);
    assert_int_equal(export_rows(&kept.app, RECORD_VISIT, take_cells, &written, NULL), STATUS_OK);
    assert_string_equal(
        text_string(&written.text),
        "case|date|kind|arch|right_mm|left_mm|tissue|hardware|repaired|elsewhere|override_reason|"
        "next_on|by|note\n"
        "C-1|2026-02-02|activation|upper|1.00|0.50||||||||\n"
        "C-1|2026-02-02|check|upper||||loose-band;broken-wire:left||||||'=sum\n"
        "C-1|2026-03-02|check||||||||||| '=note\n");
    text_release(&written.text);
    end(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(knows_a_kind_by_its_header),
        cmocka_unit_test(knows_every_kind_by_all_its_columns),
        cmocka_unit_test(guards_what_looks_like_a_formula),
        cmocka_unit_test(keeps_all_or_nothing),
        cmocka_unit_test(checks_the_whole_case),
        cmocka_unit_test(compares_rows_of_one_key),
        cmocka_unit_test(tells_of_a_refused_row_once),
        cmocka_unit_test(refuses_slips_and_keeps_what_was_given),
        cmocka_unit_test(refuses_headers),
        cmocka_unit_test(exports_in_key_order),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
