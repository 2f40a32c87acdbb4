/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The month on the screen: what each row and figure says, and what stands behind it. The minimum of
 * 80 % is a setting of the practice (from memory: the usual adherence cut); Wilson's intervals are
 * J Am Stat Assoc 1927;22:209, worked out here by hand where a bound matters.
 *
 * The case is the typical one of case_maker on 2026-06-01: visits on 21 March, 14 April and 8 May,
 * so that May closed the period of 14 April to 7 May, 24 days, and its tail is 8 to 31 May.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "springline/app/audit_view.h"
#include "store_case.h"

#define MAY day_of(2026, 5, 1)

struct bench {
    struct case_maker maker;
    struct store_case kept;
    struct arena arena;
    struct audit_list list;
    struct audit_case_view view;
    struct error error;
};

static void bench_begin(struct bench *bench)
{
    memset(bench, 0, sizeof *bench);
    case_typical(&bench->maker);
    bench->maker.history.wear_day_count = 0;
}

/* Keeps the case and reads its May. */
static void bench_read(struct bench *bench, const char *name)
{
    store_case_open(&bench->kept, name, bench->maker.today);
    store_case_keep(&bench->kept, &bench->maker);
    assert_int_equal(
        lists_audit(&bench->kept.app, MAY, STORE_NOW, &bench->arena, &bench->list, &bench->error),
        STATUS_OK);
    assert_int_equal(bench->list.count, 1);
    assert_int_equal(audit_view_case(&bench->kept.app, &bench->kept.casefile, MAY, "",
                                     &bench->arena, &bench->view, &bench->error),
                     STATUS_OK);
}

static void bench_end(struct bench *bench)
{
    arena_release(&bench->arena);
    store_case_close(&bench->kept);
}

static const struct audit_figure *figure(const struct bench *bench, const char *name)
{
    for (size_t i = 0; i < bench->view.count; i++) {
        if (strcmp(bench->view.figures[i].name, name) == 0)
            return &bench->view.figures[i];
    }
    fail_msg("no figure %s", name);
    return NULL;
}

static size_t lines_with(const struct lines *lines, const char *part)
{
    size_t count = 0;

    for (size_t i = 0; i < lines->count; i++)
        count += strstr(lines->line[i], part) != NULL;
    return count;
}

static void holds(const char *text, const char *part)
{
    if (strstr(text, part) == NULL)
        fail_msg("\"%s\" is not in \"%s\"", part, text);
}

static void cell_is(const struct bench *bench, enum audit_cell cell, const char *wanted)
{
    struct text text = {0};

    audit_view_cell(&bench->list.rows[0], cell, &text);
    assert_string_equal(text_string(&text), wanted);
    text_release(&text);
}

/* ---- the figures and what they are made of ---- */

/* Days 14 April to 7 May are 48 to 25 days ago: 18 met, 4 missed, 2 of nothing. */
static void diary_of_april(struct bench *bench)
{
    case_wear(&bench->maker, SOURCE_DIARY, 48, 27, 18);
}

static void the_days_behind_a_figure_add_up_to_it(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    diary_of_april(&bench);
    case_count(&bench.maker, SOURCE_TOLD, 48, 25, 24, 24);
    bench_read(&bench, "audit_view_days");
    assert_int_equal(bench.list.rows[0].row.days_met, 18);
    assert_int_equal(bench.list.rows[0].row.days_known, 22);
    const struct audit_figure *judged = figure(&bench, "wear judged");
    assert_int_equal(lines_with(&judged->behind, ": met"), 18);
    assert_int_equal(lines_with(&judged->behind, ": missed"), 4);
    holds(judged->behind.line[0], "2026-04-14 to 2026-05-07, 24 days with a trainer");
    assert_int_equal(
        lines_with(&figure(&bench, "unknown days")->behind, "not known: 2026-05-06, 2026-05-07"),
        1);
    /* Told runs high and is shown beside, never counted: 24 of 24. */
    holds(figure(&bench, "told")->value, "24 of 24 known days met (told, runs high), 100 %");
    holds(figure(&bench, "told")->value, "not judged");
    assert_int_equal(lines_with(&figure(&bench, "told")->behind, "24 of 24 days asked about"), 1);
    holds(figure(&bench, "since visit")->value, "0 of 0 known days met, of 24 days");
    bench_end(&bench);
}

/* 24 days of which a diary knows 3 and a sensor none: less than half (the practice's own setting),
 * so unknown; what is known is told all the same. */
static void unknown_opens_to_what_each_source_knows(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    case_wear(&bench.maker, SOURCE_DIARY, 48, 46, 2);
    bench_read(&bench, "audit_view_unknown");
    const struct audit_figure *judged = figure(&bench, "wear judged");
    assert_string_equal(judged->value, "unknown, of 24 days");
    assert_int_equal(lines_with(&judged->behind, "sensor: 0 of 24 days known"), 1);
    assert_int_equal(lines_with(&judged->behind, "diary: 3 of 24 days known, by day records"), 1);
    assert_int_equal(lines_with(&judged->behind, "told, runs high: 0 of 24 days known"), 1);
    assert_int_equal(lines_with(&judged->behind, "a source judges from 50 % of the days on"), 1);
    assert_int_equal(lines_with(&judged->behind, ": met"), 2);
    bench_end(&bench);
    bench_begin(&bench);
    bench_read(&bench, "audit_view_nothing");
    judged = figure(&bench, "wear judged");
    assert_int_equal(lines_with(&judged->behind, "no source (sensor, diary, told) knows of a day"),
                     1);
    bench_end(&bench);
}

static void every_figure_with_something_behind_it_opens(void **state)
{
    struct bench bench;
    size_t opened = 0;

    (void)state;
    bench_begin(&bench);
    diary_of_april(&bench);
    case_booking(&bench.maker, 10, BOOKING_CHECK, BOOKED_MISSED);
    bench_read(&bench, "audit_view_opens");
    for (size_t i = 0; i < bench.view.count; i++) {
        const struct audit_figure *at = &bench.view.figures[i];
        struct lines lines = {0};

        assert_int_equal(at->opens, at->record != RECORD_KIND_COUNT ? AUDIT_OPENS_RECORD
                                    : at->behind.count > 0          ? AUDIT_OPENS_LINES
                                                                    : AUDIT_OPENS_NOTHING);
        for (size_t j = 0; j < i; j++)
            assert_false(id_equal(&at->id, &bench.view.figures[j].id));
        if (at->opens != AUDIT_OPENS_LINES)
            continue;
        assert_int_equal(audit_view_behind(&bench.kept.app, &bench.kept.casefile, MAY, &at->id,
                                           &bench.arena, &lines, &bench.error),
                         STATUS_OK);
        assert_int_equal(lines.count, at->behind.count);
        opened++;
    }
    assert_true(opened >= 6); /* judged, unknown, since visit, visits, missed, change */
    assert_int_equal(figure(&bench, "holds")->opens, AUDIT_OPENS_NOTHING);
    assert_int_equal(figure(&bench, "visit")->record, RECORD_VISIT);
    assert_int_equal(figure(&bench, "booking")->record, RECORD_BOOKING);
    assert_true(id_is_none(&figure(&bench, "judged by")->owner));
    assert_true(id_equal(&figure(&bench, "visit")->owner, &bench.kept.casefile));
    bench_end(&bench);
}

static void days_without_a_trainer_are_named(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    diary_of_april(&bench);
    bench.maker.trainers[0].ended_on = day_of(2026, 5, 10);
    bench.maker.trainers[0].ended_reason = TRAINER_LOST;
    case_trainer(&bench.maker, 19, CASE_NEVER); /* 13 May */
    bench_read(&bench, "audit_view_trainer");
    holds(figure(&bench, "no trainer")->value, "3 days");
    assert_int_equal(lines_with(&figure(&bench, "no trainer")->behind,
                                "2026-05-10 to 2026-05-12: 3 days without a trainer"),
                     1);
    assert_int_equal(lines_with(&figure(&bench, "no trainer")->behind, "(lost)"), 1);
    bench_end(&bench);
}

static void a_verdict_shows_its_reasons(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    case_wear(&bench.maker, SOURCE_DIARY, 48, 25, 10); /* 10 of 24: low, a hold on 8 May */
    bench_read(&bench, "audit_view_hold");
    const struct audit_figure *held = figure(&bench, "holds");
    assert_string_equal(held->value, "1");
    holds(held->behind.line[0], "2026-05-08 upper: HOLD");
    assert_true(lines_with(&held->behind, "low is below 50 %") == 1);
    bench_end(&bench);
}

/* A verdict stored with the visit of 8 May, as a save writes it. */
static void keep_verdict(struct bench *bench, const char *findings)
{
    struct history history;
    struct store *store = bench->kept.app.store;
    struct store_request request = {.id = store_new_id(store), .command = "visit"};
    struct judged judged = {.verdict = VERDICT_HOLD,
                            .next_from = DAY_NONE,
                            .next_to = DAY_NONE,
                            .rules_version = RULES_VERSION,
                            .width_error = 300,
                            .findings = findings};

    assert_int_equal(store_read_case(store, &bench->kept.casefile, STORE_NOW, &bench->arena,
                                     &history, &bench->error),
                     STATUS_OK);
    judged.protocol = history.protocol->head.id;
    for (size_t i = 0; i < history.visit_count; i++) {
        if (history.visits[i].date == day_of(2026, 5, 8))
            judged.visit = history.visits[i].head.id;
    }
    assert_int_equal(store_begin(store, &request, &bench->error), STATUS_OK);
    assert_int_equal(store_append(store, RECORD_JUDGED, &judged, &bench->error), STATUS_OK);
    assert_int_equal(store_commit(store, &bench->error), STATUS_OK);
    assert_int_equal(audit_view_case(&bench->kept.app, &bench->kept.casefile, MAY, "",
                                     &bench->arena, &bench->view, &bench->error),
                     STATUS_OK);
}

static void a_stored_verdict_shows_the_reasons_stored_with_it(void **state)
{
    static const char *const findings[] = {
        "[{\"rule\":\"invented\",\"effect\":\"hold\",\"text\":\"An invented reason. HOLD.\","
        "\"values\":{}},{\"rule\":\"other\",\"text\":\"Another \\\"one\\\".\"}]",
        "[]"};

    (void)state;
    for (size_t i = 0; i < sizeof findings / sizeof findings[0]; i++) {
        struct bench bench;

        bench_begin(&bench);
        diary_of_april(&bench);
        bench_read(&bench, i == 0 ? "audit_view_stored" : "audit_view_reasonless");
        assert_string_equal(figure(&bench, "holds")->value, "0"); /* by the rules of today */
        keep_verdict(&bench, findings[i]);
        const struct audit_figure *held = figure(&bench, "holds");
        assert_string_equal(held->value, "1");
        assert_null(strstr(held->behind.line[0], "recomputed"));
        assert_int_equal(held->behind.count, i == 0 ? 3 : 2);
        assert_string_equal(held->behind.line[1], i == 0
                                                      ? "  An invented reason. HOLD."
                                                      : "  no reason was stored with this verdict");
        if (i == 0)
            assert_string_equal(held->behind.line[2], "  Another \"one\".");
        bench_end(&bench);
    }
}

static void an_override_says_what_was_permitted_and_what_followed(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    case_wear(&bench.maker, SOURCE_DIARY, 48, 25, 10);
    bench.maker.visits[2].override_reason = "Family moves away";
    struct visit *next = case_visit(&bench.maker, VISIT_CHECK, ARCH_UPPER, 3, UM_NONE, UM_NONE);
    next->tissue = TISSUE_MILD;
    next->hardware = hardware_bit(FAULT_LOOSE_BAND, SIDE_RIGHT);
    case_width(&bench.maker, ARCH_UPPER, 3, 40500);
    bench_read(&bench, "audit_view_override");
    const struct lines *behind = &figure(&bench, "overrides")->behind;
    assert_int_equal(behind->count, 3);
    holds(behind->line[0], "2026-05-08 upper: given right 1.00, left 1.00 mm");
    holds(behind->line[0], "permitted right 0.00, left 0.00 mm (recomputed)");
    holds(behind->line[1], "Family moves away");
    holds(behind->line[2], "2026-05-29, tissue mild, hardware loose-band:right, hold (recomputed)");
    /* 36.00 at the fit, 40.00 on the day itself, 40.50 three weeks later. */
    holds(behind->line[2], "gain 4.50 mm on 2026-05-29, 4.00 mm before");
    bench_end(&bench);
}

static void no_reason_is_said_to_be_none(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    case_wear(&bench.maker, SOURCE_DIARY, 48, 25, 10);
    bench_read(&bench, "audit_view_silent");
    holds(figure(&bench, "overrides")->value, "1, 1 with no reason recorded");
    holds(figure(&bench, "overrides")->behind.line[2], "no visit yet; no width measured since");
    bench_end(&bench);
}

static void the_change_shows_both_months(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    diary_of_april(&bench);
    case_count(&bench.maker, SOURCE_DIARY, 72, 49, 24, 24);
    bench_read(&bench, "audit_view_change");
    /* April closed 21 March to 13 April: 24 of 24; May 18 of 22, 81.8 %: -18 points. */
    holds(figure(&bench, "change")->value, "-18 points");
    assert_int_equal(lines_with(&figure(&bench, "change")->behind, "2026-05: Meets"), 1);
    assert_int_equal(lines_with(&figure(&bench, "change")->behind, "2026-04: Meets"), 1);
    cell_is(&bench, AUDIT_CELL_CHANGE, "-18 pt");
    bench_end(&bench);
}

/* ---- near the boundary ---- */

static void the_group_goes_by_the_exact_share(void **state)
{
    static const struct {
        int32_t met, asked;
        const char *group, *share;
    } rows[] = {{20, 25, "meeting", "80 %"}, /* 0.80 exactly is not below */
                {19, 24, "below ?", "79 %"}, /* 0.7917; Wilson to 0.909 */
                {14, 24, "below", "58 %"},   /* Wilson to 0.755 */
                {11, 24, "below LOW", "45 %"},
                {0, 24, "below LOW", "0 %"}};

    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct bench bench;
        char name[40];

        bench_begin(&bench);
        bench.maker.visits[1].date -= rows[i].asked - 24; /* the period's first day */
        case_count(&bench.maker, SOURCE_DIARY, 48 + rows[i].asked - 24, 25, rows[i].met,
                   rows[i].asked);
        snprintf(name, sizeof name, "audit_view_bound_%zu", i);
        bench_read(&bench, name);
        cell_is(&bench, AUDIT_CELL_GROUP, rows[i].group);
        cell_is(&bench, AUDIT_CELL_SHARE, rows[i].share);
        bench_end(&bench);
    }
}

/* Counts that overlap: 7 of 16 days has the lower share and stands beside 12 of 25, and with 2 of 2
 * that is 9 of 18, a half, which is not low. But weighed as the 25 days it overlaps it is less than
 * half: the rule takes the period as low, the month's sum of days reads milder and says so. */
static void a_class_stricter_than_its_days_is_marked(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    case_count(&bench.maker, SOURCE_DIARY, 65, 41, 12, 25);
    case_count(&bench.maker, SOURCE_DIARY, 42, 27, 7, 16);
    case_count(&bench.maker, SOURCE_DIARY, 26, 25, 2, 2);
    bench_read(&bench, "audit_view_stricter");
    struct wear_periods periods;
    wear_periods(&bench.maker.history, &bench.maker.protocol, day_of(2026, 5, 8),
                 (struct reach){.through = day_of(2026, 5, 8)}, &periods);
    assert_int_equal(bench.list.rows[0].row.stricter, periods.period[0].stricter);
    assert_true(periods.period[0].stricter);
    assert_int_equal(periods.period[0].class, WEAR_LOW);
    assert_int_equal(bench.list.rows[0].row.days_met, 9); /* the figures stay */
    assert_int_equal(bench.list.rows[0].row.days_known, 18);
    cell_is(&bench, AUDIT_CELL_GROUP, "below *"); /* 9 of 18: Wilson to 0.71 */
    holds(bench.view.line, "records overlap or are half filled");
    holds(figure(&bench, "wear judged")->value, "*");
    assert_true(figure(&bench, "wear judged")->marked);
    assert_int_equal(lines_with(&figure(&bench, "wear judged")->behind, "the stricter stands"), 1);
    bench_end(&bench);
}

static void plain_records_are_not_marked(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    diary_of_april(&bench);
    bench_read(&bench, "audit_view_plain");
    assert_false(bench.list.rows[0].row.stricter);
    cell_is(&bench, AUDIT_CELL_GROUP, "meeting");
    assert_null(strstr(bench.view.line, "*"));
    bench_end(&bench);
}

/* ---- reading and searching ---- */

static void a_case_of_another_month_is_refused(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    bench_read(&bench, "audit_view_refused");
    assert_int_equal(audit_view_case(&bench.kept.app, &bench.kept.casefile, day_of(2025, 1, 1), "",
                                     &bench.arena, &bench.view, &bench.error),
                     STATUS_NO);
    holds(bench.error.sentence, "2025-01");
    assert_int_equal(bench.view.count, 0);
    assert_int_equal(audit_view_case(&bench.kept.app, &bench.kept.casefile, day_of(2026, 7, 1), "",
                                     &bench.arena, &bench.view, &bench.error),
                     STATUS_NO);
    struct id nothing = {{77}};
    struct lines lines = {0};
    assert_int_equal(audit_view_behind(&bench.kept.app, &bench.kept.casefile, MAY, &nothing,
                                       &bench.arena, &lines, &bench.error),
                     STATUS_NO);
    bench_end(&bench);
}

static void figures_are_found_by_their_words(void **state)
{
    struct bench bench;

    (void)state;
    bench_begin(&bench);
    bench_read(&bench, "audit_view_find");
    size_t all = bench.view.count;
    assert_int_equal(audit_view_case(&bench.kept.app, &bench.kept.casefile, MAY, "judged by",
                                     &bench.arena, &bench.view, &bench.error),
                     STATUS_OK);
    assert_int_equal(bench.view.count, 1);
    assert_true(all > 10);
    bench_end(&bench);
}

static void a_month_is_read_again_only_when_it_changed(void **state)
{
    struct bench bench;
    struct audit_shown shown;
    struct arena arena = {0};

    (void)state;
    bench_begin(&bench);
    bench_read(&bench, "audit_view_shown");
    audit_shown_begin(&shown, bench.maker.today);
    assert_int_equal(shown.month, MAY);
    assert_int_equal(audit_shown_read(&bench.kept.app, &shown, "", &arena, &bench.error),
                     STATUS_OK);
    const struct listed_audit *rows = shown.list.rows;
    assert_int_equal(shown.found_count, 1);
    assert_int_equal(shown.glance.count, 4);
    assert_int_equal(audit_shown_read(&bench.kept.app, &shown, "nobody", &arena, &bench.error),
                     STATUS_OK);
    assert_int_equal(shown.found_count, 0);
    assert_ptr_equal(shown.list.rows, rows); /* narrowing reads nothing */
    int64_t sequence = shown.sequence;
    bench.maker.history.visit_count = bench.maker.history.width_count = 0;
    bench.maker.patient.chart = "P-0002";
    bench.maker.casefile.number = "C-0002";
    store_case_keep(&bench.kept, &bench.maker); /* another case is saved */
    assert_int_equal(audit_shown_read(&bench.kept.app, &shown, "", &arena, &bench.error),
                     STATUS_OK);
    assert_true(shown.sequence > sequence);
    assert_int_equal(shown.found_count, 2);
    assert_false(audit_shown_move(&shown, 2, bench.maker.today)); /* July has not begun */
    assert_int_equal(shown.month, MAY);
    assert_true(audit_shown_move(&shown, 1, bench.maker.today)); /* June runs */
    assert_true(audit_shown_move(&shown, -1, bench.maker.today));
    arena_release(&arena);
    audit_shown_release(&shown);
    bench_end(&bench);
}

static void the_glance_has_the_month_before_beside_it(void **state)
{
    struct audit_list list = {
        .totals = {.cases = 4, .below = 2, .low = 1, .unknown = 1, .meeting = 1, .visits = 5},
        .totals_before = {.cases = 1, .not_seen = 1, .missed = 3}};
    struct arena arena = {0};
    struct lines lines = {0};
    struct error error;

    (void)state;
    assert_int_equal(audit_view_glance(&list, MAY, &arena, &lines, &error), STATUS_OK);
    assert_int_equal(lines.count, 4);
    assert_string_equal(lines.line[0],
                        "2026-05: below 2 (1 LOW), unknown 1, not seen 0, meeting 1, of 4 cases");
    assert_string_equal(lines.line[1],
                        "2026-04: below 0 (0 LOW), unknown 0, not seen 1, meeting 0, of 1 case");
    holds(lines.line[2], "2026-05: visits 5");
    holds(lines.line[3], "missed 3");
    arena_release(&arena);
}

/* ---- the file ---- */

static void the_sheet_is_a_new_file_that_only_we_can_read(void **state)
{
    struct bench bench;
    struct text told = {0};
    struct stat found;
    char here[400], folder[] = "audit_sheet_XXXXXX";

    (void)state;
    bench_begin(&bench);
    bench_read(&bench, "audit_view_file");
    assert_non_null(getcwd(here, sizeof here));
    const char *scratch = getenv("TMPDIR") == NULL ? "/tmp" : getenv("TMPDIR");
    assert_int_equal(chdir(scratch), 0);
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
    umask(0);
    for (int i = 1; i <= 2; i++) {
        text_clear(&told);
        assert_int_equal(audit_view_write(&bench.kept.app, MAY, &told), STATUS_OK);
        holds(text_string(&told), i == 1 ? "/audit-2026-05.txt" : "/audit-2026-05-2.txt");
        holds(text_string(&told), "Written: /");
        assert_int_equal(stat(text_string(&told) + strlen("Written: "), &found), 0);
        assert_int_equal(found.st_mode & 07777, 0600);
        assert_true(found.st_size > 1000);
    }
    assert_int_equal(unlink("audit-2026-05.txt"), 0);
    assert_int_equal(symlink("elsewhere", "audit-2026-05.txt"), 0); /* never followed */
    text_clear(&told);
    assert_int_equal(audit_view_write(&bench.kept.app, MAY, &told), STATUS_OK);
    holds(text_string(&told), "/audit-2026-05-3.txt");
    assert_int_not_equal(access("elsewhere", F_OK), 0);
    assert_int_equal(unlink("audit-2026-05.txt"), 0);
    assert_int_equal(unlink("audit-2026-05-2.txt"), 0);
    assert_int_equal(unlink("audit-2026-05-3.txt"), 0);
    assert_int_equal(mkdir("gone", 0700), 0);
    assert_int_equal(chdir("gone"), 0);
    assert_int_equal(rmdir("../gone"), 0);
    text_clear(&told);
    assert_int_equal(audit_view_write(&bench.kept.app, MAY, &told), STATUS_INPUT);
    holds(text_string(&told), "audit-2026-05.txt can not be made");
    assert_int_equal(chdir(scratch), 0);
    assert_int_equal(rmdir(folder), 0);
    assert_int_equal(chdir(here), 0);
    text_release(&told);
    bench_end(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_days_behind_a_figure_add_up_to_it),
        cmocka_unit_test(unknown_opens_to_what_each_source_knows),
        cmocka_unit_test(every_figure_with_something_behind_it_opens),
        cmocka_unit_test(days_without_a_trainer_are_named),
        cmocka_unit_test(a_verdict_shows_its_reasons),
        cmocka_unit_test(a_stored_verdict_shows_the_reasons_stored_with_it),
        cmocka_unit_test(an_override_says_what_was_permitted_and_what_followed),
        cmocka_unit_test(no_reason_is_said_to_be_none),
        cmocka_unit_test(the_change_shows_both_months),
        cmocka_unit_test(the_group_goes_by_the_exact_share),
        cmocka_unit_test(a_class_stricter_than_its_days_is_marked),
        cmocka_unit_test(plain_records_are_not_marked),
        cmocka_unit_test(a_case_of_another_month_is_refused),
        cmocka_unit_test(figures_are_found_by_their_words),
        cmocka_unit_test(a_month_is_read_again_only_when_it_changed),
        cmocka_unit_test(the_glance_has_the_month_before_beside_it),
        cmocka_unit_test(the_sheet_is_a_new_file_that_only_we_can_read),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
