/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Corrections and withdrawals over a real store: what changes, what is marked, what is refused. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/effect.h"
#include "springline/app/form.h"
#include "springline/core/course.h"
#include "springline/core/wear.h"
#include "store_case.h"

struct bench {
    struct store_case kept;
    struct case_maker maker;
    struct history history; /* as read last */
    struct arena arena;
    struct form form;
    struct error error;
    bool needs_reason;
    int index;
};

static void read_case(struct bench *bench)
{
    if (store_read_case(bench->kept.app.store, &bench->kept.casefile, STORE_NOW, &bench->arena,
                        &bench->history, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

/* The case of the maker in a store. */
static void keep(struct bench *bench, const char *name)
{
    store_case_open(&bench->kept, name, bench->maker.today);
    store_case_keep(&bench->kept, &bench->maker);
    read_case(bench);
}

static void end(struct bench *bench)
{
    form_release(&bench->form);
    arena_release(&bench->arena);
    store_case_close(&bench->kept);
}

static enum status open_kind(struct bench *bench, enum form_kind kind, enum record_kind record,
                             const struct row_head *row)
{
    struct form_subject subject = {.casefile = bench->kept.casefile, .record = record};

    subject.row = row->id;
    form_release(&bench->form);
    return form_open(&bench->kept.app, kind, &subject, &bench->form, &bench->error);
}

static void open_form(struct bench *bench, enum form_kind kind, enum record_kind record,
                      const struct row_head *row)
{
    if (open_kind(bench, kind, record, row) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

static enum entry enter(struct bench *bench, const char *label, const char *typed)
{
    char sentence[200];

    for (int i = 0; i < bench->form.field_count; i++) {
        if (strcmp(bench->form.fields[i].label, label) == 0)
            return form_enter(&bench->kept.app, &bench->form, i, typed, sentence);
    }
    fail_msg("no field \"%s\"", label);
    return ENTRY_REFUSED;
}

static enum status ready(struct bench *bench)
{
    return form_ready(&bench->kept.app, &bench->form, &bench->needs_reason, &bench->index,
                      &bench->error);
}

static enum status save(struct bench *bench, const char *reason)
{
    return form_save(&bench->kept.app, &bench->form, reason, &bench->error);
}

/* Is a line of the review of the form like this? */
static bool review_says(struct bench *bench, const char *words)
{
    struct lines lines = {0};
    bool said = false;

    if (form_review(&bench->kept.app, &bench->form, &bench->arena, &lines, &bench->error) !=
        STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    for (size_t i = 0; i < lines.count; i++)
        said = said || strstr(lines.line[i], words) != NULL;
    if (!said) {
        for (size_t i = 0; i < lines.count; i++)
            print_message("  %s\n", lines.line[i]);
    }
    return said;
}

/* A visit of today from the visit sheet, stored with its verdict. */
static void save_visit(struct bench *bench)
{
    static const struct {
        enum sheet_item item;
        const char *typed;
    } entries[] = {
        {ITEM_TISSUE, "0"}, {ITEM_HARDWARE, "0"}, {ITEM_RIGHT, "1.00"}, {ITEM_LEFT, "1.00"}};
    struct visit_sheet sheet;
    char sentence[200];

    assert_int_equal(visit_open(&bench->kept.app, &bench->kept.casefile, &sheet, &bench->error),
                     STATUS_OK);
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        for (int j = 0; j < sheet.field_count; j++) {
            if (sheet.fields[j].item == entries[i].item)
                assert_int_equal(
                    visit_enter(&bench->kept.app, &sheet, j, entries[i].typed, sentence),
                    ENTRY_TAKEN);
        }
    }
    assert_int_equal(visit_save(&bench->kept.app, &sheet, 0, "", &bench->error), STATUS_OK);
    visit_release(&sheet);
    read_case(bench);
}

/* The visits whose stored verdict the record does not give any more. */
static size_t marks(struct bench *bench)
{
    struct effects effects;

    read_case(bench);
    assert_int_equal(
        effect_marks(&bench->kept.app, &bench->history, &bench->arena, &effects, &bench->error),
        STATUS_OK);
    return effects.count;
}

static const struct width *newest_width(const struct bench *bench)
{
    const struct width *newest = &bench->history.widths[0];

    for (size_t i = 1; i < bench->history.width_count; i++) {
        if (bench->history.widths[i].date > newest->date)
            newest = &bench->history.widths[i];
    }
    return newest;
}

/* domain.md 4, target-near: with 49.60 of 50.00 mm no 1.00 mm a side is permitted any more. */
static void a_corrected_width_marks_the_later_visit(void **state)
{
    struct bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    keep(&bench, "correct_width");
    save_visit(&bench);
    assert_int_equal(bench.history.judged_count, 1);
    assert_int_equal(bench.history.judged[0].verdict, VERDICT_PROCEED);
    assert_int_equal(marks(&bench), 0);
    struct id record = newest_width(&bench)->head.record;

    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &newest_width(&bench)->head);
    assert_string_equal(bench.form.fields[bench.form.first].label, "width mm");
    assert_int_equal(enter(&bench, "width mm", "49,60"), ENTRY_ASK); /* 10 mm from the one before */
    assert_int_equal(enter(&bench, "width mm", "49,60"), ENTRY_TAKEN);
    assert_int_equal(ready(&bench), STATUS_OK);
    assert_true(bench.needs_reason);
    assert_true(review_says(&bench, "width 40.00 mm -> 49.60 mm"));
    assert_true(review_says(&bench, "The verdict of 2026-06-01 upper, PROCEED, would be "));
    assert_true(review_says(&bench, "the visit is marked."));

    assert_int_equal(save(&bench, ""), STATUS_INPUT); /* no reason, nothing saved */
    assert_int_equal(save(&bench, "   "), STATUS_INPUT);
    assert_int_equal(marks(&bench), 0);
    assert_int_equal(save(&bench, "caliper misread"), STATUS_OK);
    assert_string_equal(form_saved(&bench.form), "Saved: width of 2026-05-08, upper 49.60 mm.");
    assert_int_equal(marks(&bench), 1);
    assert_int_equal(bench.history.judged_count, 1); /* what was said then stays */
    assert_int_equal(bench.history.judged[0].verdict, VERDICT_PROCEED);
    assert_true(id_equal(&newest_width(&bench)->head.record, &record));
    assert_int_equal(newest_width(&bench)->value, 49600);
    assert_int_equal(newest_width(&bench)->head.version, 2);
    assert_string_equal(newest_width(&bench)->head.reason, "caliper misread");

    assert_int_equal(save(&bench, "caliper misread"), STATUS_OK); /* the same request: one save */
    read_case(&bench);
    assert_int_equal(newest_width(&bench)->head.version, 2);

    /* Put right again, the mark goes, and the review says so. */
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &newest_width(&bench)->head);
    enter(&bench, "width mm", "40");
    enter(&bench, "width mm", "40");
    assert_true(review_says(&bench, "The mark of 2026-06-01 upper goes"));
    assert_int_equal(save(&bench, "it was right"), STATUS_OK);
    assert_int_equal(marks(&bench), 0);
    end(&bench);
}

/* The row of a corrected visit is another one; the verdict given at the chair stays its own. */
static void a_corrected_visit_keeps_its_verdict(void **state)
{
    struct bench bench = {0};
    const struct visit *visit = NULL;

    (void)state;
    case_typical(&bench.maker);
    keep(&bench, "correct_visit");
    save_visit(&bench);
    for (size_t i = 0; i < bench.history.visit_count; i++) {
        if (bench.history.visits[i].date == bench.maker.today)
            visit = &bench.history.visits[i];
    }
    assert_non_null(visit);
    open_form(&bench, FORM_CORRECT, RECORD_VISIT, &visit->head);
    enter(&bench, "tissue", "2");
    assert_true(review_says(&bench, "The verdict stored with this visit, proceed, stays"));
    assert_true(review_says(&bench, "PROCEED, would be HOLD"));
    assert_true(review_says(&bench, "A safety item arises: wound or fault open"));
    assert_int_equal(save(&bench, "wound found in the notes"), STATUS_OK);
    assert_int_equal(marks(&bench), 1);
    assert_int_equal(bench.history.judged_count, 1);
    assert_int_equal(bench.history.judged[0].verdict, VERDICT_PROCEED);
    for (size_t i = 0; i < bench.history.visit_count; i++) {
        if (bench.history.visits[i].date == bench.maker.today)
            visit = &bench.history.visits[i];
    }
    struct judgement judgement;
    bool recomputed = true;
    assert_int_equal(visit->head.version, 2);
    assert_true(course_verdict_of(&bench.history, visit, &judgement, &recomputed));
    assert_false(recomputed);
    assert_int_equal(judgement.verdict, VERDICT_PROCEED);
    end(&bench);
}

/* More than was permitted wants its reason, whether it is typed at the chair or corrected later. */
static void a_raised_amount_asks_why_above_permitted(void **state)
{
    struct bench bench = {0};
    const struct visit *visit = NULL;

    (void)state;
    case_typical(&bench.maker);
    keep(&bench, "correct_above");
    save_visit(&bench);
    for (size_t i = 0; i < bench.history.visit_count; i++) {
        if (bench.history.visits[i].date == bench.maker.today)
            visit = &bench.history.visits[i];
    }
    assert_non_null(visit);
    open_form(&bench, FORM_CORRECT, RECORD_VISIT, &visit->head);
    enter(&bench, "right mm", "2.00"); /* permitted: no reason beyond that of the correction */
    assert_int_equal(ready(&bench), STATUS_OK);
    enter(&bench, "right mm", "2.50");
    assert_int_equal(ready(&bench), STATUS_INPUT);
    assert_string_equal(bench.form.fields[bench.index].label, "why above permitted");
    assert_non_null(strstr(bench.error.sentence, "(right 2.00, left 2.00)"));
    enter(&bench, "why above permitted", "the family leaves for a month");
    assert_int_equal(ready(&bench), STATUS_OK);
    assert_int_equal(save(&bench, "mistyped"), STATUS_OK);
    end(&bench);
}

static void another_seat_is_not_overwritten(void **state)
{
    struct bench bench = {0};
    struct store *other;
    struct arena arena = {0};
    struct history history;
    struct app_save theirs;

    (void)state;
    case_typical(&bench.maker);
    keep(&bench, "correct_conflict");
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &newest_width(&bench)->head);
    enter(&bench, "width mm", "41");

    assert_int_equal(store_open(bench.kept.path, &bench.kept.source, &other, &bench.error),
                     STATUS_OK);
    struct app app = bench.kept.app;
    app.store = other;
    struct store_request request = {.id = store_new_id(other), .command = "correct"};
    assert_int_equal(
        store_read_case(other, &bench.kept.casefile, STORE_NOW, &arena, &history, &bench.error),
        STATUS_OK);
    struct width width = *newest_width(&bench);
    width.value = 40500;
    width.head.reason = "read again";
    assert_int_equal(app_save_begin(&app, COMMAND_IMPORT, &request, &theirs, &bench.error),
                     STATUS_OK);
    assert_int_equal(store_append(other, RECORD_WIDTH, &width, &bench.error), STATUS_OK);
    assert_int_equal(app_save_touch(&theirs, &bench.kept.casefile, &bench.error), STATUS_OK);
    assert_int_equal(app_save_commit(&theirs, &bench.error), STATUS_OK);
    store_close(other);
    arena_release(&arena);

    assert_int_equal(save(&bench, "caliper misread"), STATUS_CONFLICT);
    assert_non_null(strstr(bench.error.sentence, "was saved meanwhile"));
    struct width mine = *newest_width(&bench);
    read_case(&bench);
    assert_int_equal(newest_width(&bench)->value, 40500);
    /* The row it was opened for is not the newest any more. */
    assert_int_equal(open_kind(&bench, FORM_CORRECT, RECORD_WIDTH, &mine.head), STATUS_CONFLICT);
    assert_int_equal(open_kind(&bench, FORM_WITHDRAW, RECORD_WIDTH, &mine.head), STATUS_CONFLICT);
    end(&bench);
}

static void what_the_case_contradicts_is_refused(void **state)
{
    struct bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    keep(&bench, "correct_refused");

    /* An older visit stands on the fit: the fit can not be put behind it. */
    open_form(&bench, FORM_CORRECT, RECORD_EXPANDER, &bench.history.expanders[0].head);
    enter(&bench, "fitted on", "2026-05-01");
    assert_int_equal(ready(&bench), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "before the fit"));
    assert_int_equal(save(&bench, "mistyped"), STATUS_INPUT);

    assert_string_equal(bench.error.sentence,
                        "The visits of 2026-03-21 and 2026-04-14 would lie before the fit of the "
                        "expander; correct or withdraw them first, or check what is entered here.");
    assert_string_equal(bench.form.fields[bench.index].label, "fitted on");
    /* And a visit not before it. */
    open_form(&bench, FORM_CORRECT, RECORD_VISIT, &bench.history.visits[0].head);
    enter(&bench, "date", "2025-11-01");
    assert_int_equal(save(&bench, "mistyped"), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "before the fit"));
    enter(&bench, "date", "2020-11-01");
    enter(&bench, "date", "2020-11-01"); /* long ago */
    assert_int_equal(save(&bench, "mistyped"), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "is recorded as given elsewhere."));
    enter(&bench, "date", "2026-03-21");

    /* What is wrong within a record is told by the names on the form, no column of a file. */
    enter(&bench, "right mm", "");
    enter(&bench, "left mm", "");
    assert_int_equal(save(&bench, "mistyped"), STATUS_INPUT);
    assert_string_equal(bench.error.sentence,
                        "An activation needs \"right mm\" or \"left mm\" (0.00 where none was "
                        "given), unless it was given elsewhere.");
    enter(&bench, "right mm", "1");
    assert_int_equal(save(&bench, "mistyped"), STATUS_INPUT);
    assert_string_equal(bench.error.sentence,
                        "\"left mm\" is empty; write 0.00 if nothing was given on that side.");
    assert_int_equal(ready(&bench), STATUS_INPUT);
    assert_string_equal(bench.form.fields[bench.index].label, "left mm");

    /* The key of another record. */
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &newest_width(&bench)->head);
    char date[DAY_TEXT_SIZE];
    enter(&bench, "date", day_to_text(case_day(&bench.maker, 52), date));
    assert_int_equal(save(&bench, "mistyped"), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "recorded already: width of 2026-04-10"));
    read_case(&bench);
    assert_int_equal(newest_width(&bench)->date, case_day(&bench.maker, 24));
    end(&bench);
}

/* What is typed outlives the program, the unusual value that was kept included. */
static void a_draft_is_found_again(void **state)
{
    struct bench bench = {0};
    struct draft draft;
    bool found = true;

    (void)state;
    case_typical(&bench.maker);
    keep(&bench, "correct_draft");
    struct row_head row = newest_width(&bench)->head;
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &row);
    assert_int_equal(form_find_draft(&bench.kept.app, &bench.form, &draft, &found, &bench.error),
                     STATUS_OK);
    assert_false(found);
    enter(&bench, "width mm", "49.60");
    enter(&bench, "width mm", "49.60");
    enter(&bench, "measured by", "Pia Lanternhouse");
    struct id request = bench.form.request;
    assert_int_equal(form_put_draft(&bench.kept.app, &bench.form, &bench.error), STATUS_OK);
    store_case_reopen(&bench.kept);

    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &bench.history.widths[0].head);
    assert_int_equal(form_find_draft(&bench.kept.app, &bench.form, &draft, &found, &bench.error),
                     STATUS_OK);
    assert_int_equal(found, id_equal(&row.id, &bench.history.widths[0].head.id));
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &row);
    assert_int_equal(form_find_draft(&bench.kept.app, &bench.form, &draft, &found, &bench.error),
                     STATUS_OK);
    assert_true(found);
    assert_int_equal(form_from_draft(&bench.kept.app, &bench.form, &draft, &bench.error),
                     STATUS_OK);
    assert_true(form_dirty(&bench.form));
    assert_true(id_equal(&bench.form.request, &request));
    assert_int_equal(ready(&bench), STATUS_OK);
    assert_int_equal(save(&bench, "caliper misread"), STATUS_OK);
    read_case(&bench);
    assert_int_equal(newest_width(&bench)->value, 49600);
    assert_string_equal(newest_width(&bench)->by, "Pia Lanternhouse");
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &newest_width(&bench)->head);
    assert_int_equal(form_find_draft(&bench.kept.app, &bench.form, &draft, &found, &bench.error),
                     STATUS_OK);
    assert_false(found); /* the save took it */
    end(&bench);
}

/* domain.md 3: of two counts only one is left; its share alone is the adherence. */
static void a_withdrawn_count_counts_no_more(void **state)
{
    struct bench bench = {0};
    struct wear_period period;
    day from, to;

    (void)state;
    case_begin(&bench.maker);
    case_trainer(&bench.maker, 200, CASE_NEVER);
    case_expander(&bench.maker, ARCH_UPPER, 180);
    case_visit(&bench.maker, VISIT_ACTIVATION, ARCH_UPPER, 28, 1000, 1000);
    case_count(&bench.maker, SOURCE_DIARY, 28, 15, 14, 14);
    case_count(&bench.maker, SOURCE_DIARY, 14, 1, 2, 14);
    keep(&bench, "withdraw_count");
    from = case_day(&bench.maker, 28);
    to = case_day(&bench.maker, 1);
    wear_judge(&bench.history, bench.history.protocol, from, to, &period);
    assert_int_equal(period.judged.met, 16);
    assert_int_equal(period.judged.known, 28);

    const struct wear_count *low = &bench.history.wear_counts[0];
    if (low->days_met != 2)
        low = &bench.history.wear_counts[1];
    open_form(&bench, FORM_WITHDRAW, RECORD_WEAR_COUNT, &low->head);
    assert_int_equal(bench.form.field_count, 0);
    assert_int_equal(ready(&bench), STATUS_OK);
    assert_true(bench.needs_reason);
    assert_true(review_says(&bench, "Withdrawn: wear from 2026-05-18 to 2026-05-31, 2 of 14"));
    assert_int_equal(save(&bench, ""), STATUS_INPUT);
    assert_int_equal(save(&bench, "of another child"), STATUS_OK);
    assert_non_null(strstr(form_saved(&bench.form), "Withdrawn: wear from 2026-05-18"));
    struct row_head gone = low->head;
    read_case(&bench);
    assert_int_equal(bench.history.wear_count_count, 1);
    wear_judge(&bench.history, bench.history.protocol, from, to, &period);
    assert_int_equal(period.judged.met, 14);
    assert_int_equal(period.judged.known, 14);
    assert_int_equal(open_kind(&bench, FORM_CORRECT, RECORD_WEAR_COUNT, &gone), STATUS_NOT_FOUND);
    end(&bench);
}

static void what_others_stand_on_is_not_withdrawn(void **state)
{
    struct bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    keep(&bench, "withdraw_refused");
    open_form(&bench, FORM_WITHDRAW, RECORD_EXPANDER, &bench.history.expanders[0].head);
    assert_int_equal(ready(&bench), STATUS_INPUT);
    assert_string_equal(bench.error.sentence,
                        "The visits of 2026-03-21, 2026-04-14 and 2026-05-08 stand on this "
                        "expander; withdraw or correct them first, or correct the expander "
                        "instead.");
    assert_int_equal(save(&bench, "never fitted"), STATUS_INPUT);
    open_form(&bench, FORM_WITHDRAW, RECORD_PATIENT, &bench.history.patient->head);
    assert_int_equal(save(&bench, "entered twice"), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "Case C-0001 is of this patient"));
    open_form(&bench, FORM_WITHDRAW, RECORD_CASEFILE, &bench.history.casefile->head);
    assert_int_equal(save(&bench, "entered twice"), STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "withdraw these first"));
    open_form(&bench, FORM_WITHDRAW, RECORD_PROTOCOL, &bench.history.protocol->head);
    assert_int_equal(save(&bench, "not needed"), STATUS_INPUT);
    read_case(&bench);
    assert_int_equal(bench.history.expander_count, 1);
    end(&bench);
}

static enum status count_state(void *context, const struct case_state *state, day booked,
                               struct error *error)
{
    (void)state;
    (void)booked;
    (void)error;
    ++*(int *)context;
    return STATUS_OK;
}

/* A case entered by mistake, with nothing in it, and then its patient. */
static void an_empty_case_can_be_withdrawn(void **state)
{
    struct bench bench = {0};
    struct text findings = {0};
    int states = 0;

    (void)state;
    case_begin(&bench.maker);
    keep(&bench, "withdraw_case");
    struct row_head patient = bench.history.patient->head;
    open_form(&bench, FORM_WITHDRAW, RECORD_CASEFILE, &bench.history.casefile->head);
    assert_int_equal(save(&bench, "entered twice"), STATUS_OK);
    assert_int_equal(store_each_state(bench.kept.app.store, bench.maker.today, count_state, &states,
                                      &bench.error),
                     STATUS_OK);
    assert_int_equal(states, 0);
    bench.kept.casefile = (struct id){0};
    open_form(&bench, FORM_WITHDRAW, RECORD_PATIENT, &patient);
    assert_int_equal(save(&bench, "entered twice"), STATUS_OK);
    if (app_verify(&bench.kept.app, &findings, &bench.error) != STATUS_OK)
        fail_msg("%s", text_string(&findings));
    text_release(&findings);
    end(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_corrected_width_marks_the_later_visit),
        cmocka_unit_test(a_corrected_visit_keeps_its_verdict),
        cmocka_unit_test(a_raised_amount_asks_why_above_permitted),
        cmocka_unit_test(another_seat_is_not_overwritten),
        cmocka_unit_test(what_the_case_contradicts_is_refused),
        cmocka_unit_test(a_draft_is_found_again),
        cmocka_unit_test(a_withdrawn_count_counts_no_more),
        cmocka_unit_test(what_others_stand_on_is_not_withdrawn),
        cmocka_unit_test(an_empty_case_can_be_withdrawn),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
