/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The forms of an assessment over a real store: what is typed becomes rows, one a tooth; repeats
 * are counted, slips refused, what is unusual asked about; corrected, withdrawn, and seen on the
 * case. Codes of teeth: ISO 3950. The ranges are the program's own (src/app/exchange_private.h).
 */
#include "form_bench.h"
#include "springline/app/case_view.h"
#include "springline/app/conflict.h"

static const struct assessment *read_back(struct form_bench *bench)
{
    static struct assessment all;

    arena_clear(&bench->arena);
    if (store_read_assessment(bench->kept.app.store, &bench->kept.casefile, STORE_NOW,
                              &bench->arena, &all, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    return &all;
}

static void begin(struct form_bench *bench, const char *name, enum form_kind kind)
{
    case_typical(&bench->maker);
    form_bench_keep(bench, name);
    form_bench_open(bench, kind);
}

/* The width recorded of a tooth with this repeat; UM_NONE: none. */
static um width_of(const struct assessment *all, int32_t tooth, int32_t repeat)
{
    for (size_t i = 0; i < all->tooth_width_count; i++) {
        if (all->tooth_widths[i].tooth == tooth && all->tooth_widths[i].repeat == repeat)
            return all->tooth_widths[i].value;
    }
    return UM_NONE;
}

static void shared(struct form_bench *bench, const char *arch)
{
    form_bench_fill(bench, "arch", arch);
    form_bench_fill(bench, "date", "");
    form_bench_fill(bench, "method", "cast");
}

/* ---- teeth ---- */

static void each_filled_tooth_becomes_a_row(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "teeth_rows", FORM_TEETH);
    assert_null(form_bench_field(&bench, "41 mm")); /* the arch comes first */
    shared(&bench, "lower");
    assert_null(form_bench_field(&bench, "11 mm"));
    assert_string_equal(form_bench_field(&bench, "41 mm")->if_empty, ""); /* nothing is offered */
    assert_string_equal(form_bench_field(&bench, "75 mm")->help,
                        "Left deciduous second molar, mesial to distal; empty: not measured.");
    form_bench_refused(&bench, "enter the width of one at least");
    form_bench_fill(&bench, "41 mm", "5,40");
    assert_string_equal(form_bench_field(&bench, "41 mm")->shown, "5.40 mm");
    form_bench_fill(&bench, "31 mm", "5.45");
    form_bench_fill(&bench, "75 mm", "9.8");
    form_bench_says(&bench, "2026-06-01, cast: 41 5.40 mm; 31 5.45 mm; 75 9.80 mm");
    form_bench_save(&bench, "");
    assert_string_equal(form_saved(&bench.form), "Saved: 3 widths of teeth of 2026-06-01.");
    const struct assessment *all = read_back(&bench);
    assert_int_equal(all->tooth_width_count, 3);
    assert_int_equal(width_of(all, 41, 1), 5400);
    assert_int_equal(width_of(all, 31, 1), 5450);
    assert_int_equal(width_of(all, 75, 1), 9800);
    assert_int_equal(all->tooth_widths[0].method, METHOD_CAST);
    assert_int_equal(all->tooth_widths[0].date, bench.maker.today);
    form_bench_close(&bench);
}

static void a_second_entry_of_the_day_is_the_next_repeat(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "teeth_repeat", FORM_TEETH);
    shared(&bench, "upper");
    form_bench_fill(&bench, "11 mm", "8.60");
    form_bench_save(&bench, "");
    form_bench_open(&bench, FORM_TEETH);
    shared(&bench, "upper");
    form_bench_fill(&bench, "11 mm", "8.70");
    form_bench_fill(&bench, "21 mm", "8.65");
    form_bench_says(&bench, "11 8.70 mm (repeat 2); 21 8.65 mm");
    form_bench_save(&bench, "");
    const struct assessment *all = read_back(&bench);
    assert_int_equal(all->tooth_width_count, 3);
    assert_int_equal(width_of(all, 11, 1), 8600);
    assert_int_equal(width_of(all, 11, 2), 8700);
    assert_int_equal(width_of(all, 21, 1), 8650);
    form_bench_close(&bench);
}

/* Another seat saved the same tooth while the sheet was open: that is told before anything is
 * saved, and the repeat is counted anew. */
static void another_seat_measured_meanwhile(void **state)
{
    struct form_bench bench = {0};
    struct form other = {0};
    char sentence[200];

    (void)state;
    begin(&bench, "teeth_seats", FORM_TEETH);
    assert_int_equal(form_open(&bench.kept.app, FORM_TEETH,
                               &(struct form_subject){.casefile = bench.kept.casefile}, &other,
                               &bench.error),
                     STATUS_OK);
    struct form *forms[] = {&bench.form, &other};
    for (int i = 0; i < 2; i++) {
        const char *const typed[] = {"1", "", "2"};
        for (int field = 0; field < 3; field++)
            assert_int_equal(form_enter(&bench.kept.app, forms[i], field, typed[field], sentence),
                             ENTRY_TAKEN);
        int tooth = form_step(forms[i], 2, +1); /* 15 */
        assert_int_equal(
            form_enter(&bench.kept.app, forms[i], tooth, i == 0 ? "7.00" : "7.10", sentence),
            ENTRY_TAKEN);
    }
    assert_int_equal(form_save(&bench.kept.app, &other, "", &bench.error), STATUS_OK);
    form_release(&other);
    assert_int_equal(form_save(&bench.kept.app, &bench.form, "", &bench.error), STATUS_CONFLICT);
    struct conflict conflict;
    assert_int_equal(conflict_read(&bench.kept.app, &bench.form, &conflict, &bench.error),
                     STATUS_OK);
    assert_int_equal(conflict.saved.count, 2);
    assert_string_equal(conflict.saved.line[1], "  new: width of tooth 15 of 2026-06-01, 7.10 mm");
    assert_int_equal(conflict.field_count, 0); /* each is a measurement of its own */
    assert_int_equal(conflict_settle(&bench.kept.app, &bench.form, &conflict, &bench.error),
                     STATUS_OK);
    conflict_release(&conflict);
    form_bench_save(&bench, "");
    const struct assessment *all = read_back(&bench);
    assert_int_equal(all->tooth_width_count, 2);
    assert_int_equal(width_of(all, 15, 1), 7100);
    assert_int_equal(width_of(all, 15, 2), 7000);
    form_bench_close(&bench);
}

static void slips_are_refused_and_the_unusual_is_asked(void **state)
{
    static const char *const refused[] = {"-5.4",  "0",     "54",   "0,54",
                                          "15.01", "5.405", "wide", "5,4,0"};
    static const char *const asked[] = {"3.40", "12.6", "15"};
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "teeth_slips", FORM_TEETH);
    shared(&bench, "lower");
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        assert_int_equal(form_bench_type(&bench, "41 mm", refused[i]), ENTRY_REFUSED);
        assert_true(bench.sentence[0] != '\0');
        assert_true(form_bench_field(&bench, "41 mm")->wrong);
    }
    form_bench_refused(&bench, "41 mm: ");
    for (size_t i = 0; i < sizeof asked / sizeof asked[0]; i++) {
        assert_int_equal(form_bench_type(&bench, "41 mm", asked[i]), ENTRY_ASK);
        assert_non_null(strstr(bench.sentence, "unusual for a tooth"));
        assert_int_equal(form_bench_type(&bench, "41 mm", asked[i]), ENTRY_TAKEN);
    }
    form_bench_fill(&bench, "41 mm", "5.40");
    form_bench_save(&bench, "");
    form_bench_open(&bench, FORM_TEETH);
    shared(&bench, "lower");
    form_bench_fill(&bench, "41 mm", "6.40"); /* 1.00 mm away is not more than 1.00 mm */
    assert_int_equal(form_bench_type(&bench, "41 mm", "6.41"), ENTRY_ASK);
    assert_non_null(strstr(bench.sentence, "1.00 mm from 5.40 mm of 2026-06-01"));
    form_bench_close(&bench);
}

/* What was typed for the other arch goes with it: no width may land on the tooth opposite. */
static void another_arch_begins_anew(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "teeth_arch", FORM_TEETH);
    shared(&bench, "upper");
    form_bench_fill(&bench, "12 mm", "6.80");
    form_bench_fill(&bench, "arch", "lower");
    form_bench_refused(&bench, "enter the width of one at least");
    form_bench_fill(&bench, "42 mm", "6.00");
    form_bench_fill(&bench, "arch", "upper");
    assert_string_equal(form_bench_field(&bench, "12 mm")->entered, "");
    form_bench_close(&bench);
}

/* Neither + nor - makes a measurement. */
static void no_key_counts_up_to_a_measurement(void **state)
{
    static const struct {
        enum form_kind kind;
        const char *label;
    } measured[] = {
        {FORM_TEETH, "41 mm"}, {FORM_ARCH_SIZE, "right back mm"}, {FORM_ARCH_SIZE, "depth mm"}};
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "teeth_nudge", FORM_TEETH);
    for (size_t i = 0; i < sizeof measured / sizeof measured[0]; i++) {
        char typed[SHEET_TEXT_SIZE] = "5.00";
        form_bench_open(&bench, measured[i].kind);
        shared(&bench, "lower");
        struct form_field *field = form_bench_field(&bench, measured[i].label);
        assert_non_null(field);
        assert_int_equal(field->input, INPUT_LENGTH);
        assert_false(
            form_nudge(&bench.kept.app, &bench.form, (int)(field - bench.form.fields), 1, typed));
    }
    form_bench_close(&bench);
}

static void a_sheet_half_filled_comes_back(void **state)
{
    struct form_bench bench = {0};
    struct draft draft;
    bool found = false;

    (void)state;
    begin(&bench, "teeth_draft", FORM_TEETH);
    shared(&bench, "upper");
    form_bench_fill(&bench, "55 mm", "8.9");
    assert_int_equal(form_bench_type(&bench, "65 mm", "13"), ENTRY_ASK);
    form_bench_fill(&bench, "65 mm", "13");
    assert_int_equal(form_put_draft(&bench.kept.app, &bench.form, &bench.error), STATUS_OK);
    form_bench_open(&bench, FORM_TEETH);
    assert_int_equal(form_find_draft(&bench.kept.app, &bench.form, &draft, &found, &bench.error),
                     STATUS_OK);
    assert_true(found);
    assert_int_equal(form_from_draft(&bench.kept.app, &bench.form, &draft, &bench.error),
                     STATUS_OK);
    assert_string_equal(form_bench_field(&bench, "55 mm")->shown, "8.90 mm");
    assert_string_equal(form_bench_field(&bench, "65 mm")->shown, "13.00 mm");
    form_bench_save(&bench, "");
    assert_int_equal(read_back(&bench)->tooth_width_count, 2);
    form_bench_close(&bench);
}

/* ---- segments and depth ---- */

static void an_arch_is_measured_in_one_sheet(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "arch_size", FORM_ARCH_SIZE);
    shared(&bench, "upper");
    form_bench_refused(&bench, "enter a segment or the depth");
    form_bench_fill(&bench, "right back mm", "20.30");
    form_bench_says(&bench, "the space available stays unknown");
    form_bench_fill(&bench, "right front mm", "14.60");
    form_bench_fill(&bench, "left front mm", "14.40");
    form_bench_fill(&bench, "left back mm", "20.60");
    /* 20.30 + 14.60 + 14.40 + 20.60 */
    form_bench_says(&bench, "Space available: 69.90 mm");
    form_bench_fill(&bench, "depth mm", "29.5");
    assert_string_equal(form_bench_field(&bench, "line between")->if_empty, "16-26");
    form_bench_fill(&bench, "line between", "");
    form_bench_save(&bench, "");
    const struct assessment *all = read_back(&bench);
    assert_int_equal(all->segment_count, 1);
    assert_int_equal(all->segments[0].front_left, 14400);
    assert_int_equal(all->depth_count, 1);
    assert_int_equal(all->depths[0].value, 29500);
    assert_int_equal(all->depths[0].teeth.left, 26);
    assert_int_equal(all->depths[0].method, METHOD_CAST);
    form_bench_open(&bench, FORM_ARCH_SIZE); /* again on that day: a repeat, the depth alone */
    shared(&bench, "upper");
    form_bench_fill(&bench, "depth mm", "29.7");
    form_bench_fill(&bench, "line between", "1626");
    form_bench_says(&bench, "repeat 2");
    form_bench_save(&bench, "");
    all = read_back(&bench);
    assert_int_equal(all->segment_count, 1);
    assert_int_equal(all->depth_count, 2);
    assert_int_equal(all->depths[0].repeat + all->depths[1].repeat, 1 + 2);
    form_bench_close(&bench);
}

static void no_arch_has_such_a_size(void **state)
{
    static const char *const depths[] = {"4", "400", "0", "-30", "4.99", "60.01"};
    static const char *const segments[] = {"2.25", "225", "0", "-22.5", "45.01"};
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "arch_slips", FORM_ARCH_SIZE);
    shared(&bench, "lower");
    for (size_t i = 0; i < sizeof depths / sizeof depths[0]; i++) {
        assert_int_equal(form_bench_type(&bench, "depth mm", depths[i]), ENTRY_REFUSED);
        assert_non_null(strstr(bench.sentence, "taken for a slip"));
    }
    for (size_t i = 0; i < sizeof segments / sizeof segments[0]; i++) {
        assert_int_equal(form_bench_type(&bench, "left front mm", segments[i]), ENTRY_REFUSED);
        assert_non_null(strstr(bench.sentence, "taken for a slip"));
    }
    form_bench_fill(&bench, "left front mm", "");
    form_bench_fill(&bench, "depth mm", "25");
    form_bench_fill(&bench, "line between", "16-26");
    form_bench_refused(&bench, "not in the lower arch");
    form_bench_close(&bench);
}

/* ---- correction, withdrawal, the case ---- */

static void keep_row(struct form_bench *bench, enum record_kind kind, void *row)
{
    struct store_request request = {.id = store_new_id(bench->kept.app.store), .command = "test"};
    struct app_save save;

    assert_int_equal(
        app_save_begin(&bench->kept.app, COMMAND_IMPORT, &request, &save, &bench->error),
        STATUS_OK);
    if (store_append(bench->kept.app.store, kind, row, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    assert_int_equal(app_save_touch(&save, &bench->kept.casefile, &bench->error), STATUS_OK);
    assert_int_equal(app_save_commit(&save, &bench->error), STATUS_OK);
}

/* A plan of the upper arch with a target of 38.00 mm and nothing else that may be empty. */
static struct plan bare_plan(const struct form_bench *bench)
{
    return (struct plan){.casefile = bench->kept.casefile,
                         .arch = ARCH_UPPER,
                         .made_on = bench->maker.today,
                         .balance = -3000,
                         .site = SITE_INTERMOLAR,
                         .landmark = LANDMARK_GINGIVAL,
                         .teeth = {16, 26},
                         .start_width = UM_NONE,
                         .depth = UM_NONE,
                         .target = 38000,
                         .activations_least = -1,
                         .activations_most = -1,
                         .weeks_least = -1,
                         .weeks_most = -1,
                         .visits_least = -1,
                         .visits_most = -1,
                         .separators_on = DAY_NONE,
                         .bands_on = DAY_NONE,
                         .fit_on = DAY_NONE,
                         .active_from = DAY_NONE,
                         .active_to_earliest = DAY_NONE,
                         .active_to_latest = DAY_NONE,
                         .retention_to_earliest = DAY_NONE,
                         .retention_to_latest = DAY_NONE};
}

static void open_row(struct form_bench *bench, enum form_kind kind, enum record_kind record,
                     const struct id *row)
{
    struct form_subject subject = {.casefile = bench->kept.casefile, .record = record, .row = *row};

    form_release(&bench->form);
    if (form_open(&bench->kept.app, kind, &subject, &bench->form, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

static void a_measurement_is_corrected_with_a_reason(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    begin(&bench, "teeth_correct", FORM_TEETH);
    shared(&bench, "lower");
    form_bench_fill(&bench, "41 mm", "5.40");
    form_bench_save(&bench, "");
    const struct assessment *all = read_back(&bench);
    open_row(&bench, FORM_CORRECT, RECORD_TOOTH_WIDTH, &all->tooth_widths[0].head.id);
    assert_string_equal(bench.form.title, "Correction: width of tooth 41 of 2026-06-01");
    form_bench_fill(&bench, "tooth", "19");
    form_bench_refused(&bench, "There is no tooth 19");
    form_bench_fill(&bench, "tooth", "42");
    form_bench_fill(&bench, "width mm", "6.00");
    form_bench_refused(&bench, "only with a reason");
    form_bench_save(&bench, "read off the neighbour");
    all = read_back(&bench);
    assert_int_equal(all->tooth_width_count, 1);
    assert_int_equal(width_of(all, 42, 1), 6000);
    assert_int_equal(all->tooth_widths[0].head.version, 2);
    open_row(&bench, FORM_WITHDRAW, RECORD_TOOTH_WIDTH, &all->tooth_widths[0].head.id);
    form_bench_says(&bench, "Withdrawn: width of tooth 42 of 2026-06-01, 6.00 mm.");
    form_bench_save(&bench, "another child");
    assert_int_equal(read_back(&bench)->tooth_width_count, 0);
    form_bench_close(&bench);
}

/* A plan has a course: what was empty is filled without a reason, what was recorded is changed with
 * one. A balance may be below 0. */
static void a_plan_is_corrected_in_versions(void **state)
{
    struct form_bench bench = {0};
    bool needs_reason = true;
    int index;

    (void)state;
    begin(&bench, "plan_correct", FORM_TEETH);
    struct plan plan = bare_plan(&bench);
    keep_row(&bench, RECORD_PLAN, &plan);
    open_row(&bench, FORM_CORRECT, RECORD_PLAN, &plan.head.id);
    form_bench_fill(&bench, "depth mm", "30");
    form_bench_fill(&bench, "fit on", "2026-07-20");
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_OK);
    assert_false(needs_reason);
    form_bench_save(&bench, "");
    const struct assessment *all = read_back(&bench);
    open_row(&bench, FORM_CORRECT, RECORD_PLAN, &all->plans[0].head.id);
    form_bench_fill(&bench, "balance mm", "-3,50");
    form_bench_fill(&bench, "bands on", "2026-07-21");
    form_bench_refused(&bench, "lies before");
    form_bench_fill(&bench, "bands on", "2026-07-13");
    form_bench_refused(&bench, "only with a reason");
    form_bench_save(&bench, "measured again");
    all = read_back(&bench);
    assert_int_equal(all->plan_count, 1);
    assert_int_equal(all->plans[0].head.version, 3);
    assert_int_equal(all->plans[0].balance, -3500);
    assert_string_equal(all->plans[0].head.reason, "measured again");
    struct plan second = bare_plan(&bench);
    struct store_request request = {.id = store_new_id(bench.kept.app.store), .command = "test"};
    assert_int_equal(store_begin(bench.kept.app.store, &request, &bench.error), STATUS_OK);
    assert_int_equal(store_append(bench.kept.app.store, RECORD_PLAN, &second, &bench.error),
                     STATUS_INPUT); /* an arch has one plan, in versions */
    store_rollback(bench.kept.app.store);
    form_bench_close(&bench);
}

static void a_case_with_a_plan_is_not_withdrawn(void **state)
{
    struct form_bench bench = {0};
    struct store_request request;
    struct casefile bare = {0};
    struct app_save save;

    (void)state;
    begin(&bench, "plan_case", FORM_TEETH);
    bare = *form_bench_history(&bench)->casefile;
    bare.head = (struct row_head){0};
    bare.number = "C-0002";
    request = (struct store_request){.id = store_new_id(bench.kept.app.store), .command = "test"};
    assert_int_equal(app_save_begin(&bench.kept.app, COMMAND_IMPORT, &request, &save, &bench.error),
                     STATUS_OK);
    assert_int_equal(store_append(bench.kept.app.store, RECORD_CASEFILE, &bare, &bench.error),
                     STATUS_OK);
    assert_int_equal(app_save_touch(&save, &bare.head.record, &bench.error), STATUS_OK);
    assert_int_equal(app_save_commit(&save, &bench.error), STATUS_OK);
    bench.kept.casefile = bare.head.record;
    struct plan plan = bare_plan(&bench);
    keep_row(&bench, RECORD_PLAN, &plan);
    open_row(&bench, FORM_WITHDRAW, RECORD_CASEFILE, &bare.head.id);
    assert_int_equal(form_save(&bench.kept.app, &bench.form, "a slip", &bench.error), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "holds 1 record"));
    form_bench_close(&bench);
}

/* The row of the case whose text holds this; NULL: none. */
static const struct case_row *row_with(const struct case_view *view, const char *text)
{
    for (size_t i = 0; i < view->count; i++) {
        if (strstr(view->rows[i].what, text) != NULL)
            return &view->rows[i];
    }
    return NULL;
}

static void the_case_shows_every_row_and_its_history(void **state)
{
    struct form_bench bench = {0};
    struct arena arena = {0};
    struct case_view view;
    struct lines lines = {0};

    (void)state;
    begin(&bench, "case_assessment", FORM_ARCH_SIZE);
    shared(&bench, "upper");
    form_bench_fill(&bench, "right back mm", "20.30");
    form_bench_fill(&bench, "depth mm", "29.5");
    form_bench_fill(&bench, "line between", "");
    form_bench_save(&bench, "");
    struct plan plan = bare_plan(&bench);
    keep_row(&bench, RECORD_PLAN, &plan);
    form_bench_open(&bench, FORM_TEETH);
    shared(&bench, "lower");
    form_bench_fill(&bench, "41 mm", "5.40");
    form_bench_save(&bench, "");
    assert_int_equal(
        case_view_read(&bench.kept.app, &bench.kept.casefile, "", &arena, &view, &bench.error),
        STATUS_OK);
    assert_string_equal(row_with(&view, "41 5.40, cast")->section, "tooth");
    assert_string_equal(row_with(&view, "upper R back 20.30 front NOT MEASURED")->section,
                        "segments");
    assert_string_equal(row_with(&view, "upper 16-26 29.50, cast")->section, "depth");
    assert_string_equal(
        row_with(&view, "upper balance -3.00, target 38.00 intermolar gingival 16-26")->section,
        "plan");
    const struct case_row *row = row_with(&view, "41 5.40");
    assert_int_equal(
        case_view_record(&bench.kept.app, row->record, &row->id, &arena, &lines, &bench.error),
        STATUS_OK);
    assert_non_null(strstr(lines.line[0], "tooth width of 2026-06-01, case C-0001"));
    bool told = false;
    for (size_t i = 0; i < lines.count; i++)
        told = told || strcmp(lines.line[i], "width: 5.40 mm") == 0;
    assert_true(told);
    open_row(&bench, FORM_WITHDRAW, RECORD_TOOTH_WIDTH, &row->row);
    form_bench_save(&bench, "another child");
    arena_clear(&arena);
    assert_int_equal(
        case_view_read(&bench.kept.app, &bench.kept.casefile, "", &arena, &view, &bench.error),
        STATUS_OK);
    assert_null(row_with(&view, "41 5.40"));
    assert_int_equal(case_view_read(&bench.kept.app, &bench.kept.casefile, "withdrawn", &arena,
                                    &view, &bench.error),
                     STATUS_OK);
    assert_string_equal(row_with(&view, "41 5.40")->mark, "withdrawn");
    arena_release(&arena);
    form_bench_close(&bench);
}

/* The state of before is read too, and none of another case. */
static void an_assessment_is_read_as_of_a_moment(void **state)
{
    struct form_bench bench = {0};
    struct assessment all;
    struct arena arena = {0};
    struct id other = {{7}};
    uint8_t head[32];
    int64_t before;

    (void)state;
    begin(&bench, "as_of", FORM_TEETH);
    shared(&bench, "lower");
    form_bench_fill(&bench, "41 mm", "5.40");
    assert_int_equal(store_head(bench.kept.app.store, &before, head, &bench.error), STATUS_OK);
    form_bench_save(&bench, "");
    assert_int_equal(store_read_assessment(bench.kept.app.store, &bench.kept.casefile, before,
                                           &arena, &all, &bench.error),
                     STATUS_OK);
    assert_int_equal(all.tooth_width_count, 0);
    assert_int_equal(
        store_read_assessment(bench.kept.app.store, &other, STORE_NOW, &arena, &all, &bench.error),
        STATUS_OK);
    assert_int_equal(all.tooth_width_count + all.segment_count + all.depth_count + all.plan_count,
                     0);
    assert_int_equal(read_back(&bench)->tooth_width_count, 1);
    arena_release(&arena);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_filled_tooth_becomes_a_row),
        cmocka_unit_test(a_second_entry_of_the_day_is_the_next_repeat),
        cmocka_unit_test(another_seat_measured_meanwhile),
        cmocka_unit_test(slips_are_refused_and_the_unusual_is_asked),
        cmocka_unit_test(another_arch_begins_anew),
        cmocka_unit_test(no_key_counts_up_to_a_measurement),
        cmocka_unit_test(a_sheet_half_filled_comes_back),
        cmocka_unit_test(an_arch_is_measured_in_one_sheet),
        cmocka_unit_test(no_arch_has_such_a_size),
        cmocka_unit_test(a_measurement_is_corrected_with_a_reason),
        cmocka_unit_test(a_plan_is_corrected_in_versions),
        cmocka_unit_test(a_case_with_a_plan_is_not_withdrawn),
        cmocka_unit_test(the_case_shows_every_row_and_its_history),
        cmocka_unit_test(an_assessment_is_read_as_of_a_moment),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
