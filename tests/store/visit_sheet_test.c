/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The visit sheet over a real store: fields, soft ranges, drafts, and the save as one whole. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/visit.h"
#include "store_case.h"

struct bench {
    struct store_case kept;
    struct case_maker maker;
    struct visit_sheet sheet;
    struct error error;
};

static void open_sheet(struct bench *bench)
{
    bench->error = (struct error){0};
    if (visit_open(&bench->kept.app, &bench->kept.casefile, &bench->sheet, &bench->error) !=
        STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

static void open_typical(struct bench *bench, const char *name)
{
    case_typical(&bench->maker);
    store_case_open(&bench->kept, name, bench->maker.today);
    store_case_keep(&bench->kept, &bench->maker);
    open_sheet(bench);
}

static void close_bench(struct bench *bench)
{
    visit_release(&bench->sheet);
    store_case_close(&bench->kept);
}

static int at(const struct bench *bench, enum sheet_item item, enum arch arch)
{
    for (int i = 0; i < bench->sheet.field_count; i++) {
        if (bench->sheet.fields[i].item == item && bench->sheet.fields[i].arch == arch)
            return i;
    }
    fail_msg("no field %d of arch %d", (int)item, (int)arch);
    return -1;
}

static enum entry enter(struct bench *bench, enum sheet_item item, enum arch arch,
                        const char *typed)
{
    char sentence[200];

    enum entry entry =
        visit_enter(&bench->kept.app, &bench->sheet, at(bench, item, arch), typed, sentence);
    if (entry == ENTRY_TAKEN)
        assert_string_equal(sentence, "");
    else
        assert_true(strlen(sentence) > 10);
    return entry;
}

static void enter_sound(struct bench *bench, const char *right, const char *left)
{
    assert_int_equal(enter(bench, ITEM_TISSUE, ARCH_UPPER, "0"), ENTRY_TAKEN);
    assert_int_equal(enter(bench, ITEM_HARDWARE, ARCH_UPPER, "0"), ENTRY_TAKEN);
    enum entry taken = enter(bench, ITEM_RIGHT, ARCH_UPPER, right);
    assert_int_equal(taken, strcmp(right, "2.5") == 0 ? ENTRY_ASK : ENTRY_TAKEN);
    assert_int_equal(enter(bench, ITEM_LEFT, ARCH_UPPER, left), ENTRY_TAKEN);
}

static void read_back(struct bench *bench, struct arena *arena, struct history *history)
{
    assert_int_equal(store_read_case(bench->kept.app.store, &bench->kept.casefile, STORE_NOW, arena,
                                     history, &bench->error),
                     STATUS_OK);
}

static void saves_a_visit_whole(void **state)
{
    struct bench bench = {0};
    struct arena arena = {0};
    struct history history;
    bool needs_reason = true;
    int index;

    (void)state;
    open_typical(&bench, "visit_whole");
    assert_int_equal(bench.sheet.arch_count, 1);
    assert_int_equal(bench.sheet.judgements[0].verdict, VERDICT_PROCEED);
    assert_false(bench.sheet.examined[0]);
    assert_int_equal(enter(&bench, ITEM_WEAR_MET, ARCH_NONE, "20"), ENTRY_TAKEN);
    assert_int_equal(enter(&bench, ITEM_WEAR_SOURCE, ARCH_NONE, "3"), ENTRY_TAKEN);
    assert_int_equal(enter(&bench, ITEM_WIDTH, ARCH_UPPER, "40,5"), ENTRY_TAKEN);
    enter_sound(&bench, "1.0", "1,25");
    assert_true(bench.sheet.examined[0]);
    assert_int_equal(enter(&bench, ITEM_NEXT, ARCH_NONE, "24"), ENTRY_TAKEN);
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_OK);
    assert_false(needs_reason);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);

    read_back(&bench, &arena, &history);
    assert_int_equal(history.visit_count, bench.maker.history.visit_count + 1);
    assert_int_equal(history.width_count, bench.maker.history.width_count + 1);
    assert_int_equal(history.wear_count_count, bench.maker.history.wear_count_count + 1);
    assert_int_equal(history.judged_count, 1);
    assert_int_equal(history.judged[0].verdict, VERDICT_PROCEED);
    assert_int_equal(history.judged[0].rules_version, RULES_VERSION);
    assert_non_null(strstr(history.judged[0].findings, "\"rule\":\"step-size\""));
    arena_release(&arena);
    close_bench(&bench);
}

static void assert_head(struct bench *bench, size_t line, const char *text)
{
    struct arena arena = {0};
    struct lines lines = {0};

    assert_int_equal(visit_lines_who(&bench->kept.app, &bench->sheet, &arena, &lines), STATUS_OK);
    assert_true(lines.count > line);
    assert_string_equal(lines.line[line], text);
    arena_release(&arena);
}

/* The head says what is open and what today recorded already. The wording: the program's own. */
static void the_head_says_what_is_open_and_what_today_recorded(void **state)
{
    struct bench bench = {0};
    struct lines lines = {0};
    struct arena arena = {0};

    (void)state;
    open_typical(&bench, "visit_head");
    assert_int_equal(visit_lines_who(&bench.kept.app, &bench.sheet, &arena, &lines), STATUS_OK);
    assert_int_equal(lines.count, 1); /* nothing is open, nothing recorded */
    arena_release(&arena);
    enter_sound(&bench, "1.0", "1,25");
    assert_int_equal(enter(&bench, ITEM_TISSUE, ARCH_UPPER, "1"), ENTRY_TAKEN);
    assert_int_equal(enter(&bench, ITEM_RIGHT, ARCH_UPPER, "0.5"), ENTRY_TAKEN);
    assert_int_equal(enter(&bench, ITEM_LEFT, ARCH_UPPER, "0.75"), ENTRY_TAKEN);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    visit_release(&bench.sheet);
    open_sheet(&bench);
    assert_head(&bench, 1,
                "SEEN TODAY ALREADY: upper activation R 0.50 L 0.75, tissue mild, hardware "
                "intact. Correct it in the case (Esc, * 1).");
    close_bench(&bench);

    case_typical(&bench.maker);
    case_visit(&bench.maker, VISIT_CHECK, ARCH_UPPER, 3, UM_NONE, UM_NONE)->tissue = TISSUE_WOUND;
    store_case_open(&bench.kept, "visit_head_open", bench.maker.today);
    store_case_keep(&bench.kept, &bench.maker);
    open_sheet(&bench);
    assert_head(&bench, 1, "SAFETY: a wound or a fault is open since 2026-05-29");
    close_bench(&bench);

    case_begin(&bench.maker); /* nothing given yet, asked without answers: an import has none */
    case_expander(&bench.maker, ARCH_UPPER, 24);
    case_trainer(&bench.maker, 30, CASE_NEVER);
    store_case_open(&bench.kept, "visit_head_asked", bench.maker.today);
    store_case_keep(&bench.kept, &bench.maker);
    open_sheet(&bench);
    assert_head(&bench, 1, "health questions asked on 2025-05-07, answers not recorded");
    close_bench(&bench);
}

static void the_same_request_is_saved_once(void **state)
{
    struct bench bench = {0};
    struct arena arena = {0};
    struct history history;

    (void)state;
    open_typical(&bench, "visit_once");
    enter_sound(&bench, "1", "1");
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    read_back(&bench, &arena, &history);
    assert_int_equal(history.visit_count, bench.maker.history.visit_count + 1);
    arena_release(&arena);
    close_bench(&bench);
}

static void refuses_what_is_no_value(void **state)
{
    static const struct {
        enum sheet_item item;
        enum arch arch;
        const char *typed;
    } rows[] = {
        {ITEM_RIGHT, ARCH_UPPER, "12.5"},     {ITEM_RIGHT, ARCH_UPPER, "-0.25"},
        {ITEM_RIGHT, ARCH_UPPER, "abc"},      {ITEM_RIGHT, ARCH_UPPER, "1.2.3"},
        {ITEM_RIGHT, ARCH_UPPER, "5.01"},     {ITEM_TISSUE, ARCH_UPPER, "3"},
        {ITEM_TISSUE, ARCH_UPPER, "00"},      {ITEM_HARDWARE, ARCH_UPPER, "6"},
        {ITEM_HARDWARE, ARCH_UPPER, "01"},    {ITEM_WIDTH, ARCH_UPPER, "4.99"},
        {ITEM_WIDTH, ARCH_UPPER, "100.01"},   {ITEM_WEAR_MET, ARCH_NONE, "25"},
        {ITEM_WEAR_MET, ARCH_NONE, "-1"},     {ITEM_NEXT, ARCH_NONE, "0"},
        {ITEM_NEXT, ARCH_NONE, "401"},        {ITEM_NEXT, ARCH_NONE, "2026-02-30"},
        {ITEM_NOTE, ARCH_NONE, "a\x1b[2Jb"},  {ITEM_NOTE, ARCH_NONE, "\xff"},
        {ITEM_NOTE, ARCH_NONE, "\u202Eevil"}, {ITEM_WEAR_SOURCE, ARCH_NONE, "4"},
    };
    struct bench bench = {0};

    (void)state;
    open_typical(&bench, "visit_refuses");
    enter(&bench, ITEM_WEAR_MET, ARCH_NONE, "20");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (enter(&bench, rows[i].item, rows[i].arch, rows[i].typed) != ENTRY_REFUSED)
            fail_msg("\"%s\" was taken", rows[i].typed);
        int index = at(&bench, rows[i].item, rows[i].arch);
        assert_string_equal(bench.sheet.fields[index].entered, rows[i].typed);
        assert_true(bench.sheet.fields[index].wrong);
        assert_int_not_equal(visit_step(&bench.sheet, index, -1), index);
        enter(&bench, rows[i].item, rows[i].arch, "");
    }
    close_bench(&bench);
}

static void asks_once_for_a_soft_range(void **state)
{
    static const struct {
        enum sheet_item item;
        enum arch arch;
        const char *typed;
    } rows[] = {
        {ITEM_RIGHT, ARCH_UPPER, "2.25"},  /* above the largest step */
        {ITEM_LEFT, ARCH_UPPER, "0.60"},   /* no whole number of grains */
        {ITEM_WIDTH, ARCH_UPPER, "42.01"}, /* 2.01 mm from the last, 40.00 */
        {ITEM_NEXT, ARCH_NONE, "60"},      /* outside the window */
    };
    struct bench bench = {0};

    (void)state;
    open_typical(&bench, "visit_asks");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(enter(&bench, rows[i].item, rows[i].arch, rows[i].typed), ENTRY_ASK);
        assert_int_equal(enter(&bench, rows[i].item, rows[i].arch, rows[i].typed), ENTRY_TAKEN);
    }
    assert_int_equal(enter(&bench, ITEM_WIDTH, ARCH_UPPER, "42.00"), ENTRY_TAKEN);
    assert_int_equal(enter(&bench, ITEM_WIDTH, ARCH_UPPER, "42.01"), ENTRY_ASK); /* once more */
    close_bench(&bench);
}

static void an_amount_needs_tissue_and_hardware(void **state)
{
    struct bench bench = {0};
    bool needs_reason;
    int index;

    (void)state;
    open_typical(&bench, "visit_needs");
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_INPUT);
    enter(&bench, ITEM_RIGHT, ARCH_UPPER, "1");
    enter(&bench, ITEM_LEFT, ARCH_UPPER, "1");
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_INPUT);
    assert_int_equal(index, at(&bench, ITEM_TISSUE, ARCH_UPPER));
    enter(&bench, ITEM_TISSUE, ARCH_UPPER, "0");
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_INPUT);
    assert_int_equal(index, at(&bench, ITEM_HARDWARE, ARCH_UPPER));
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 1, "", &bench.error), STATUS_INPUT);
    enter(&bench, ITEM_HARDWARE, ARCH_UPPER, "0");
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_OK);
    enter(&bench, ITEM_LEFT, ARCH_UPPER, "");
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_INPUT);
    assert_int_equal(index, at(&bench, ITEM_LEFT, ARCH_UPPER));
    close_bench(&bench);
}

static void above_permitted_needs_a_reason(void **state)
{
    struct bench bench = {0};
    struct arena arena = {0};
    struct history history;
    bool needs_reason = false;
    int index;

    (void)state;
    open_typical(&bench, "visit_reason");
    enter(&bench, ITEM_TISSUE, ARCH_UPPER, "1"); /* mild: at most half of 2.00 */
    enter(&bench, ITEM_HARDWARE, ARCH_UPPER, "0");
    enter(&bench, ITEM_RIGHT, ARCH_UPPER, "1.25");
    enter(&bench, ITEM_LEFT, ARCH_UPPER, "1");
    assert_int_equal(bench.sheet.judgements[0].permitted_right, 1000);
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_OK);
    assert_true(needs_reason);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_INPUT);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 99, "", &bench.error), STATUS_INPUT);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 6, "", &bench.error), STATUS_INPUT);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 2, "seen twice", &bench.error),
                     STATUS_OK);
    read_back(&bench, &arena, &history);
    size_t found = 0;
    for (size_t i = 0; i < history.visit_count; i++) {
        if (history.visits[i].date == bench.maker.today &&
            strstr(history.visits[i].override_reason, "seen twice") != NULL)
            found++;
    }
    assert_int_equal(found, 1);
    arena_release(&arena);
    close_bench(&bench);
}

static void unrepaired_hardware_can_not_be_overridden(void **state)
{
    struct bench bench = {0};
    bool needs_reason;
    int index;

    (void)state;
    open_typical(&bench, "visit_hardware");
    assert_true(bench.sheet.fields[at(&bench, ITEM_REPAIRED, ARCH_UPPER)].skipped);
    enter(&bench, ITEM_TISSUE, ARCH_UPPER, "0");
    enter(&bench, ITEM_HARDWARE, ARCH_UPPER, "1r 4");
    assert_false(bench.sheet.fields[at(&bench, ITEM_REPAIRED, ARCH_UPPER)].skipped);
    enter(&bench, ITEM_RIGHT, ARCH_UPPER, "0.5");
    enter(&bench, ITEM_LEFT, ARCH_UPPER, "0.5");
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_INPUT);
    enter(&bench, ITEM_REPAIRED, ARCH_UPPER, "1");
    assert_int_equal(visit_ready(&bench.sheet, &needs_reason, &index, &bench.error), STATUS_OK);
    assert_int_equal(bench.sheet.judgements[0].permitted_right, 1000);
    close_bench(&bench);
}

static void relief_is_asked_when_nothing_was_given(void **state)
{
    struct bench bench = {0};
    struct arena arena = {0};
    struct history history;

    (void)state;
    open_typical(&bench, "visit_relief");
    enter_sound(&bench, "1", "0");
    assert_true(bench.sheet.fields[at(&bench, ITEM_RELIEF, ARCH_UPPER)].skipped);
    enter(&bench, ITEM_RIGHT, ARCH_UPPER, "0");
    assert_false(bench.sheet.fields[at(&bench, ITEM_RELIEF, ARCH_UPPER)].skipped);
    enter(&bench, ITEM_RELIEF, ARCH_UPPER, "1");
    assert_int_equal(bench.sheet.judgements[0].verdict, VERDICT_HOLD);
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    read_back(&bench, &arena, &history);
    size_t reliefs = 0;
    for (size_t i = 0; i < history.visit_count; i++)
        reliefs += history.visits[i].kind == VISIT_RELIEF;
    assert_int_equal(reliefs, 1);
    arena_release(&arena);
    close_bench(&bench);
}

static enum status take_draft(void *context, const struct draft *draft, struct error *error)
{
    struct bench *bench = context;

    open_sheet(bench);
    return visit_from_draft(&bench->kept.app, &bench->sheet, draft, error);
}

static void a_draft_comes_back_whole(void **state)
{
    struct bench bench = {0};

    (void)state;
    open_typical(&bench, "visit_draft");
    enter(&bench, ITEM_TISSUE, ARCH_UPPER, "1");
    enter(&bench, ITEM_WIDTH, ARCH_UPPER, "45"); /* asked about, not yet kept */
    enter(&bench, ITEM_NOTE, ARCH_NONE, "m\u00f3wi: \u0142uk");
    assert_int_equal(visit_put_draft(&bench.kept.app, &bench.sheet, &bench.error), STATUS_OK);
    struct id request = bench.sheet.request;
    visit_release(&bench.sheet);
    store_case_reopen(&bench.kept);
    assert_int_equal(
        store_each_draft(bench.kept.app.store, "tester", take_draft, &bench, &bench.error),
        STATUS_OK);
    assert_true(id_equal(&bench.sheet.request, &request));
    assert_int_equal(bench.sheet.fields[at(&bench, ITEM_TISSUE, ARCH_UPPER)].value, TISSUE_MILD);
    assert_string_equal(bench.sheet.fields[at(&bench, ITEM_NOTE, ARCH_NONE)].entered,
                        "m\u00f3wi: \u0142uk");
    assert_string_equal(bench.sheet.fields[at(&bench, ITEM_WIDTH, ARCH_UPPER)].entered, "45");
    assert_true(bench.sheet.fields[at(&bench, ITEM_WIDTH, ARCH_UPPER)].wrong); /* asked again */
    assert_int_equal(enter(&bench, ITEM_WIDTH, ARCH_UPPER, "45"), ENTRY_ASK);
    assert_int_equal(enter(&bench, ITEM_WIDTH, ARCH_UPPER, "45"), ENTRY_TAKEN);
    assert_int_equal(visit_put_draft(&bench.kept.app, &bench.sheet, &bench.error), STATUS_OK);
    visit_release(&bench.sheet);
    assert_int_equal(
        store_each_draft(bench.kept.app.store, "tester", take_draft, &bench, &bench.error),
        STATUS_OK);
    assert_true(bench.sheet.fields[at(&bench, ITEM_WIDTH, ARCH_UPPER)].filled); /* was answered */
    close_bench(&bench);
}

static void a_draft_keeps_its_day(void **state)
{
    struct bench bench = {0};

    (void)state;
    open_typical(&bench, "visit_day");
    enter(&bench, ITEM_TISSUE, ARCH_UPPER, "0");
    assert_int_equal(visit_put_draft(&bench.kept.app, &bench.sheet, &bench.error), STATUS_OK);
    visit_release(&bench.sheet);
    bench.kept.app.today++;
    assert_int_equal(
        store_each_draft(bench.kept.app.store, "tester", take_draft, &bench, &bench.error),
        STATUS_OK);
    assert_int_equal(bench.sheet.date, bench.maker.today);
    assert_int_equal(bench.sheet.fields[at(&bench, ITEM_TISSUE, ARCH_UPPER)].value, TISSUE_SOUND);
    close_bench(&bench);
}

static void a_save_at_another_seat_is_noticed(void **state)
{
    struct bench bench = {0}, other;

    (void)state;
    open_typical(&bench, "visit_seat");
    other = bench;
    open_sheet(&other);
    enter_sound(&bench, "1", "1");
    enter_sound(&other, "2", "2");
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    assert_int_equal(visit_save(&bench.kept.app, &other.sheet, 0, "", &bench.error),
                     STATUS_CONFLICT);
    assert_int_equal(other.sheet.judgements[0].verdict, VERDICT_HOLD);
    visit_release(&other.sheet);
    close_bench(&bench);
}

static void nothing_in_place_is_said(void **state)
{
    struct bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    bench.maker.expanders[0].out_on = bench.maker.today;
    bench.maker.expanders[0].out_reason = OUT_REST;
    store_case_open(&bench.kept, "visit_out", bench.maker.today);
    store_case_keep(&bench.kept, &bench.maker);
    assert_int_equal(visit_open(&bench.kept.app, &bench.kept.casefile, &bench.sheet, &bench.error),
                     STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "no expander in place"));
    store_case_close(&bench.kept);
}

static void one_sided_plans_ask_one_amount(void **state)
{
    struct bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    bench.maker.expanders[0].sides = SIDES_LEFT;
    store_case_open(&bench.kept, "visit_one", bench.maker.today);
    store_case_keep(&bench.kept, &bench.maker);
    open_sheet(&bench);
    assert_true(bench.sheet.fields[at(&bench, ITEM_RIGHT, ARCH_UPPER)].skipped);
    assert_int_equal(bench.sheet.judgements[0].permitted_right, 0);
    enter(&bench, ITEM_TISSUE, ARCH_UPPER, "0");
    enter(&bench, ITEM_HARDWARE, ARCH_UPPER, "0");
    enter(&bench, ITEM_LEFT, ARCH_UPPER, "1");
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    close_bench(&bench);
}

/* Ten pairs 0.40 mm apart: sqrt(10 x 0.16 / 20) = 0.2828 mm, Dahlberg 1940; 0.30 (published)
 * before. */
static void the_tenth_pair_makes_the_error_the_practices_own(void **state)
{
    struct bench bench = {0};
    struct arena arena = {0};
    struct protocol protocol;
    struct text out = {0};

    (void)state;
    case_typical(&bench.maker);
    for (int i = 0; i < 9; i++) {
        case_width(&bench.maker, ARCH_UPPER, 300 + i, 35000);
        case_width(&bench.maker, ARCH_UPPER, 300 + i, 35400);
    }
    case_width(&bench.maker, ARCH_UPPER, 0, 41000)->method = METHOD_MOUTH;
    store_case_open(&bench.kept, "visit_error", bench.maker.today);
    store_case_keep(&bench.kept, &bench.maker);
    open_sheet(&bench);
    assert_int_equal(bench.sheet.history.protocol->width_error, 300);
    enter(&bench, ITEM_WIDTH, ARCH_UPPER, "41.4");
    enter_sound(&bench, "1", "1");
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    assert_int_equal(
        store_read_protocol(bench.kept.app.store, NULL, STORE_NOW, &arena, &protocol, &bench.error),
        STATUS_OK);
    assert_int_equal(protocol.width_error, 280);
    assert_int_equal(protocol.head.version, 2);
    assert_non_null(strstr(protocol.head.reason, "10 repeat pairs"));
    assert_int_equal(app_verify(&bench.kept.app, &out, &bench.error), STATUS_OK);
    text_release(&out);
    arena_release(&arena);
    close_bench(&bench);
}

static bool lines_hold(const struct lines *lines, const char *text)
{
    for (size_t i = 0; i < lines->count; i++) {
        if (strstr(lines->line[i], text) != NULL)
            return true;
    }
    return false;
}

/* The condition stands in front, an excess is told while it is typed, typed wear never vanishes. */
static void the_lines_say_what_matters_at_once(void **state)
{
    struct bench bench = {0};
    struct arena arena = {0};
    struct lines verdict = {0}, after = {0}, past = {0};

    (void)state;
    open_typical(&bench, "visit_lines");
    visit_lines_verdict(&bench.sheet, 0, &arena, &verdict);
    assert_non_null(strstr(verdict.line[0], "upper, if tissue and hardware are sound: PROCEED"));
    enter_sound(&bench, "2.5", "1"); /* asked about: above the largest step */
    assert_int_equal(enter(&bench, ITEM_RIGHT, ARCH_UPPER, "2.5"), ENTRY_TAKEN);
    visit_lines_verdict(&bench.sheet, 0, &arena, &after);
    assert_non_null(strstr(after.line[0], "upper: PROCEED"));
    assert_non_null(strstr(after.line[1], "MORE THAN PERMITTED: right 2.50"));
    enter(&bench, ITEM_WEAR_MET, ARCH_NONE, "2");
    enter(&bench, ITEM_WEAR_SOURCE, ARCH_NONE, "2");
    visit_lines_past(&bench.kept.app, &bench.sheet, 2, &arena, &past);
    assert_true(lines_hold(&past, "typed: 2 of 24 days (diary) is kept"));
    arena_release(&arena);
    close_bench(&bench);
}

static void a_visit_keeps_the_booking_of_its_day(void **state)
{
    struct bench bench = {0};
    struct arena arena = {0};
    struct history history;

    (void)state;
    case_typical(&bench.maker);
    case_booking(&bench.maker, 0, BOOKING_ACTIVATION, BOOKED_STANDING);
    case_booking(&bench.maker, -7, BOOKING_ACTIVATION, BOOKED_STANDING);
    store_case_open(&bench.kept, "visit_booking", bench.maker.today);
    store_case_keep(&bench.kept, &bench.maker);
    open_sheet(&bench);
    enter_sound(&bench, "1", "1");
    assert_int_equal(visit_save(&bench.kept.app, &bench.sheet, 0, "", &bench.error), STATUS_OK);
    read_back(&bench, &arena, &history);
    assert_int_equal(history.booking_count, 2);
    for (size_t i = 0; i < history.booking_count; i++)
        assert_int_equal(history.bookings[i].state, history.bookings[i].date == bench.maker.today
                                                        ? BOOKED_KEPT
                                                        : BOOKED_STANDING);
    arena_release(&arena);
    close_bench(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(saves_a_visit_whole),
        cmocka_unit_test(the_head_says_what_is_open_and_what_today_recorded),
        cmocka_unit_test(the_same_request_is_saved_once),
        cmocka_unit_test(refuses_what_is_no_value),
        cmocka_unit_test(asks_once_for_a_soft_range),
        cmocka_unit_test(an_amount_needs_tissue_and_hardware),
        cmocka_unit_test(above_permitted_needs_a_reason),
        cmocka_unit_test(unrepaired_hardware_can_not_be_overridden),
        cmocka_unit_test(relief_is_asked_when_nothing_was_given),
        cmocka_unit_test(a_draft_comes_back_whole),
        cmocka_unit_test(a_draft_keeps_its_day),
        cmocka_unit_test(a_save_at_another_seat_is_noticed),
        cmocka_unit_test(nothing_in_place_is_said),
        cmocka_unit_test(one_sided_plans_ask_one_amount),
        cmocka_unit_test(the_tenth_pair_makes_the_error_the_practices_own),
        cmocka_unit_test(the_lines_say_what_matters_at_once),
        cmocka_unit_test(a_visit_keeps_the_booking_of_its_day),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
