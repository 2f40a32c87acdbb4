/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The printed month: pages of so many lines, head and foot on each, no case torn, the ledger's row
 * and hash at the end. 66 lines of 80 columns to a page: common practice, no source.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/audit_view.h"
#include "store_case.h"

#define MAY day_of(2026, 5, 1)

enum { CASES_MOST = 64, HEAD_LINES = 3 };

/* A store with one case, and a list of invented ones to be printed. */
struct bench {
    struct store_case kept;
    struct case_maker maker;
    struct listed_audit rows[CASES_MOST];
    char numbers[CASES_MOST][16];
    struct audit_list list;
    struct text paper;
    struct error error;
};

/* prepare: changes the stored case before it is kept; or NULL. */
static void bench_open_with(struct bench *bench, const char *name, size_t count,
                            void (*prepare)(struct case_maker *maker))
{
    memset(bench, 0, sizeof *bench);
    case_typical(&bench->maker);
    if (prepare != NULL)
        prepare(&bench->maker);
    store_case_open(&bench->kept, name, bench->maker.today);
    store_case_keep(&bench->kept, &bench->maker);
    protocol_defaults(&bench->list.protocol);
    bench->list.rows = bench->rows;
    bench->list.count = count;
    for (size_t i = 0; i < count; i++) {
        snprintf(bench->numbers[i], sizeof bench->numbers[i], "C-%04zu", 100 + i);
        bench->rows[i] = (struct listed_audit){.number = bench->numbers[i],
                                               .family = "Example",
                                               .given = "Invented",
                                               .clinician = "Dr Nobody",
                                               .wear_full_permille = 800,
                                               .wear_low_permille = 500,
                                               .wear_known_min_permille = 500};
        bench->rows[i].row.group = (enum audit_group)(AUDIT_BELOW + i * 4 / count);
        bench->rows[i].row.days_known = bench->rows[i].row.days_asked = 20;
        bench->rows[i].row.days_met = i < count / 2 ? 9 : 19;
        bench->rows[i].row.source = SOURCE_DIARY;
        bench->rows[i].row.untrained_days = (int32_t)(i % 3);
        audit_add(&bench->list.totals, &bench->rows[i].row);
    }
}

static void bench_open(struct bench *bench, const char *name, size_t count)
{
    bench_open_with(bench, name, count, NULL);
}

static void bench_print(struct bench *bench, int64_t as_of, int rows, int columns)
{
    text_clear(&bench->paper);
    assert_int_equal(audit_view_paper(&bench->kept.app, &bench->list, MAY, as_of, rows, columns,
                                      &bench->paper, &bench->error),
                     STATUS_OK);
}

static void bench_close(struct bench *bench)
{
    text_release(&bench->paper);
    store_case_close(&bench->kept);
}

/* One page: its text is cut out of the paper. */
struct page {
    const char *at;
    size_t length;
    int lines, widest;
};

static int pages_of(const struct text *paper, struct page *pages, int most)
{
    const char *at = text_string(paper);
    int count = 0;

    for (;;) {
        size_t length = strcspn(at, "\f");
        struct page page = {.at = at, .length = length};

        for (size_t i = 0; i < length;) {
            size_t bytes = 0;
            struct text line = {0};

            while (at[i + bytes] != '\n') {
                assert_true(i + bytes < length); /* each line is ended */
                bytes++;
            }
            text_append(&line, at + i, bytes);
            int width = text_width(text_string(&line));
            page.widest = width > page.widest ? width : page.widest;
            text_release(&line);
            page.lines++;
            i += bytes + 1;
        }
        assert_true(count < most);
        pages[count++] = page;
        if (at[length] == '\0')
            return count;
        at += length + 1;
    }
}

static bool page_has(const struct page *page, const char *part)
{
    struct text copy = {0};

    text_append(&copy, page->at, page->length);
    bool found = strstr(text_string(&copy), part) != NULL;
    text_release(&copy);
    return found;
}

static void every_page_has_head_foot_and_its_size(void **state)
{
    static const struct {
        int rows, columns, real_rows, real_columns;
    } sizes[] = {{66, 80, 66, 80}, {48, 132, 48, 132}, {24, 60, 24, 60}, {1, 1, 24, 60}};
    struct bench bench;
    struct page pages[CASES_MOST];

    (void)state;
    bench_open(&bench, "audit_paper_size", 40);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        bench_print(&bench, STORE_NOW, sizes[i].rows, sizes[i].columns);
        int count = pages_of(&bench.paper, pages, CASES_MOST);
        assert_true(count > 1);
        for (int page = 0; page < count; page++) {
            char number[32];

            snprintf(number, sizeof number, "page %d of %d\n", page + 1, count);
            assert_true(page_has(&pages[page], number));
            assert_true(page_has(&pages[page], "Month's audit 2026-05"));
            assert_true(page_has(&pages[page], "local law and"));
            assert_true(page_has(&pages[page], "drawn 2026-06-01, ledger row "));
            assert_int_equal(pages[page].lines, sizes[i].real_rows - 1);
            assert_true(pages[page].widest <= sizes[i].real_columns);
        }
    }
    bench_close(&bench);
}

/* From its number to the next blank line a case stands on one page. */
static void no_case_is_torn(void **state)
{
    struct bench bench;
    struct page pages[CASES_MOST];

    (void)state;
    bench_open(&bench, "audit_paper_torn", 40);
    for (int rows = 24; rows <= 70; rows++) {
        bench_print(&bench, STORE_NOW, rows, 72);
        int count = pages_of(&bench.paper, pages, CASES_MOST);
        size_t found = 0;
        for (int page = 0; page < count; page++) {
            const char *end = pages[page].at + pages[page].length;

            for (const char *at = pages[page].at; at < end; at++) {
                if (strncmp(at, "\nC-0", 4) != 0)
                    continue;
                found++;
                const char *stop = strstr(at, "In the month: ");
                assert_true(stop != NULL && stop < end);
            }
            /* A body goes on at the top of a page only with a block that begins there: a line that
             * is indented belongs to the one before. */
            const char *top = pages[page].at;
            for (int line = 0; line < HEAD_LINES + 1; line++)
                top = strchr(top, '\n') + 1;
            assert_true(*top != ' ' && *top != '\n');
        }
        assert_int_equal(found, 40);
    }
    bench_close(&bench);
}

static void a_heading_stands_with_its_first_case(void **state)
{
    static const char *const headings[] = {"BELOW THE MINIMUM: 10\nC-", "UNKNOWN: 10\nC-",
                                           "NOT SEEN: 10\nC-", "MEETING THE MINIMUM: 10\nC-"};
    struct bench bench;

    (void)state;
    bench_open(&bench, "audit_paper_heading", 40);
    for (int rows = 24; rows <= 70; rows++) {
        bench_print(&bench, STORE_NOW, rows, 80);
        for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++)
            assert_non_null(strstr(text_string(&bench.paper), headings[i]));
    }
    bench_close(&bench);
}

/* A block that is longer than a page goes on over as many as it takes, and nothing is lost. */
static void a_name_longer_than_a_page_goes_on(void **state)
{
    enum { LETTERS = 2500 };
    struct bench bench;
    struct page pages[CASES_MOST];
    char *name = malloc(LETTERS + 1);
    size_t letters = 0;

    (void)state;
    assert_non_null(name);
    memset(name, 'Q', LETTERS); /* no word of ours has one */
    name[LETTERS] = '\0';
    bench_open(&bench, "audit_paper_long", 4);
    bench.rows[0].family = name;
    bench_print(&bench, STORE_NOW, 24, 60);
    int count = pages_of(&bench.paper, pages, CASES_MOST);
    for (int page = 0; page < count; page++) {
        assert_int_equal(pages[page].lines, 23);
        assert_true(pages[page].widest <= 60);
    }
    for (const char *at = text_string(&bench.paper); *at != '\0'; at++)
        letters += *at == 'Q';
    assert_int_equal(letters, LETTERS);
    bench_close(&bench);
    free(name);
}

/* A sheet that somebody answers for has a place for who and when (common practice, no source):
 * once, on one page, behind the ledger's hash. */
static void the_sheet_is_signed_at_its_end(void **state)
{
    struct bench bench;
    struct page pages[CASES_MOST];

    (void)state;
    bench_open(&bench, "audit_paper_sign", 40);
    for (int rows = 24; rows <= 70; rows++) {
        bench_print(&bench, STORE_NOW, rows, 80);
        int count = pages_of(&bench.paper, pages, CASES_MOST);
        const char *hash = strstr(text_string(&bench.paper), "springline verify --against");
        const char *name = strstr(text_string(&bench.paper), "\nName:      ____");
        assert_non_null(hash);
        assert_non_null(name);
        assert_true(name > hash);
        assert_true(page_has(&pages[count - 1], "\nName:      ____"));
        assert_true(page_has(&pages[count - 1], "\nDate:      ____"));
        assert_true(page_has(&pages[count - 1], "\nSignature: ____"));
    }
    bench_close(&bench);
}

/* 2.50 mm where 2.00 were permitted (the largest step), on 30 May, by a person named. */
static void give_more(struct case_maker *maker)
{
    struct visit *visit = case_visit(maker, VISIT_ACTIVATION, ARCH_UPPER, 2, 2500, 2500);

    visit->by = "Dr Nobody";
    visit->override_reason = "agreed";
}

static void an_override_names_who_gave_it(void **state)
{
    struct bench bench;

    (void)state;
    bench_open_with(&bench, "audit_paper_by", 1, give_more);
    bench.rows[0].casefile = bench.kept.casefile;
    bench.rows[0].row.overrides = 1;
    bench_print(&bench, STORE_NOW, 66, 80);
    assert_non_null(strstr(text_string(&bench.paper), "Reason: agreed; given by Dr Nobody"));
    bench_close(&bench);
}

/* A wound of 27 May that nobody saw healed: whatever the month says of the wear. */
static void leave_a_wound(struct case_maker *maker)
{
    struct visit *visit = case_visit(maker, VISIT_CHECK, ARCH_UPPER, 5, UM_NONE, UM_NONE);

    visit->tissue = TISSUE_WOUND;
}

static void who_may_come_to_harm_stands_on_it_by_name(void **state)
{
    struct bench bench;

    (void)state;
    bench_open_with(&bench, "audit_paper_wound", 1, leave_a_wound);
    bench.kept.app.today = day_of(2026, 6, 20); /* 1 to 7 days after a fault or wound it is seen */
    bench_print(&bench, STORE_NOW, 132, 80);
    assert_non_null(strstr(text_string(&bench.paper),
                           "SAFETY ITEMS ON 2026-05-31, AND ON 2026-06-20, WHEN IT WAS DRAWN: 1"));
    assert_non_null(strstr(text_string(&bench.paper), "C-0001 Quillfeather, Odalys: "));
    assert_non_null(strstr(text_string(&bench.paper), "wound or fault open since 2026-0"));
    bench.kept.app.today = day_of(2026, 8, 20); /* of a month long past: its last day alone */
    bench_print(&bench, STORE_NOW, 132, 80);
    assert_non_null(strstr(text_string(&bench.paper), "SAFETY ITEMS ON 2026-05-31: "));
    bench_close(&bench);
}

static void nothing_stored_steers_the_printer(void **state)
{
    struct bench bench;

    (void)state;
    bench_open(&bench, "audit_paper_hostile", 4);
    bench.rows[0].family = "\f\033[2J\nE\x9b";
    bench.rows[1].given = "\u202e\u5b9f\u4f8b";
    bench_print(&bench, STORE_NOW, 132, 80);
    const char *paper = text_string(&bench.paper);
    assert_null(strchr(paper, '\033'));
    assert_null(strchr(paper, '\f')); /* one page, no form feed of anybody's */
    assert_null(strstr(paper, "\u202e"));
    assert_non_null(strstr(paper, "\\x0C\\x1B[2J"));
    bench_close(&bench);
}

/* The hash as the paper spells it: 64 digits in groups of four. */
static void read_hash(const char *paper, char digits[65])
{
    const char *at = strstr(paper, "springline verify --against '");
    size_t count = 0;

    assert_non_null(at);
    at = strchr(at, ':');
    assert_non_null(at);
    for (at++; count < 64; at++) {
        assert_true(*at != '\0');
        if (*at != ' ' && *at != '\n')
            digits[count++] = *at;
    }
    digits[64] = '\0';
}

static void spell(const uint8_t hash[32], char digits[65])
{
    for (size_t i = 0; i < 32; i++)
        snprintf(digits + 2 * i, 3, "%02x", (unsigned)hash[i]);
}

static void the_ledgers_row_and_hash_close_the_sheet(void **state)
{
    struct bench bench;
    uint8_t hash[32], before[32];
    int64_t sequence;
    char digits[65], wanted[65], row[48];

    (void)state;
    bench_open(&bench, "audit_paper_hash", 4);
    assert_int_equal(store_head(bench.kept.app.store, &sequence, hash, &bench.error), STATUS_OK);
    bench_print(&bench, STORE_NOW, 66, 80);
    read_hash(text_string(&bench.paper), digits);
    spell(hash, wanted);
    assert_string_equal(digits, wanted);
    snprintf(row, sizeof row, "as of row %lld of the store's ledger", (long long)sequence);
    assert_non_null(strstr(text_string(&bench.paper), row));
    /* As of an earlier row it is that row's hash, which is the one the next row chains on. */
    assert_int_equal(store_hash_at(bench.kept.app.store, sequence - 1, before, &bench.error),
                     STATUS_OK);
    assert_memory_not_equal(before, hash, sizeof hash);
    bench_print(&bench, sequence - 1, 66, 80);
    read_hash(text_string(&bench.paper), digits);
    spell(before, wanted);
    assert_string_equal(digits, wanted);
    text_clear(&bench.paper);
    assert_int_equal(audit_view_paper(&bench.kept.app, &bench.list, MAY, sequence + 1, 66, 80,
                                      &bench.paper, &bench.error),
                     STATUS_NOT_FOUND);
    assert_int_equal(store_hash_at(bench.kept.app.store, 0, before, &bench.error),
                     STATUS_NOT_FOUND);
    assert_int_equal(store_hash_at(bench.kept.app.store, sequence, before, &bench.error),
                     STATUS_OK);
    assert_memory_equal(before, hash, sizeof hash);
    bench_close(&bench);
}

static void an_empty_month_is_one_page(void **state)
{
    struct bench bench;
    struct page pages[CASES_MOST];

    (void)state;
    bench_open(&bench, "audit_paper_empty", 1);
    bench.list.count = 0;
    bench.list.totals = (struct audit_totals){0};
    bench_print(&bench, STORE_NOW, 66, 80);
    assert_int_equal(pages_of(&bench.paper, pages, CASES_MOST), 1);
    assert_true(page_has(&pages[0], "BELOW THE MINIMUM: 0\n"));
    assert_true(page_has(&pages[0], "page 1 of 1\n"));
    bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_page_has_head_foot_and_its_size),
        cmocka_unit_test(no_case_is_torn),
        cmocka_unit_test(a_heading_stands_with_its_first_case),
        cmocka_unit_test(a_name_longer_than_a_page_goes_on),
        cmocka_unit_test(the_sheet_is_signed_at_its_end),
        cmocka_unit_test(an_override_names_who_gave_it),
        cmocka_unit_test(who_may_come_to_harm_stands_on_it_by_name),
        cmocka_unit_test(nothing_stored_steers_the_printer),
        cmocka_unit_test(the_ledgers_row_and_hash_close_the_sheet),
        cmocka_unit_test(an_empty_month_is_one_page),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
