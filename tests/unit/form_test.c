/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What may stand in the fields of a form, which apply, and what is asked before it is saved. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/form.h"
#include "store_case.h"

struct bench {
    struct store_case kept;
    struct case_maker maker;
    struct history history;
    struct arena arena;
    struct form form;
    struct error error;
};

/* A case without trouble (today is 2026-06-01), with a booking and a contact. */
static void begin(struct bench *bench, const char *name)
{
    case_typical(&bench->maker);
    case_booking(&bench->maker, -9, BOOKING_ACTIVATION, BOOKED_STANDING);
    case_contact(&bench->maker, 3, OUTCOME_REACHED);
    store_case_open(&bench->kept, name, bench->maker.today);
    store_case_keep(&bench->kept, &bench->maker);
    if (store_read_case(bench->kept.app.store, &bench->kept.casefile, STORE_NOW, &bench->arena,
                        &bench->history, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

static void end(struct bench *bench)
{
    form_release(&bench->form);
    arena_release(&bench->arena);
    store_case_close(&bench->kept);
}

static void open_form(struct bench *bench, enum form_kind kind, enum record_kind record,
                      const struct row_head *row)
{
    struct form_subject subject = {.casefile = bench->kept.casefile, .record = record};

    if (row != NULL)
        subject.row = row->id;
    form_release(&bench->form);
    if (form_open(&bench->kept.app, kind, &subject, &bench->form, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
}

static int at(const struct bench *bench, const char *label)
{
    for (int i = 0; i < bench->form.field_count; i++) {
        if (strcmp(bench->form.fields[i].label, label) == 0)
            return i;
    }
    fail_msg("no field \"%s\"", label);
    return -1;
}

static enum entry enter(struct bench *bench, const char *label, const char *typed)
{
    char sentence[200];

    enum entry entry =
        form_enter(&bench->kept.app, &bench->form, at(bench, label), typed, sentence);
    if (entry == ENTRY_TAKEN)
        assert_string_equal(sentence, "");
    else
        assert_true(strlen(sentence) > 10);
    return entry;
}

struct example {
    const char *label, *typed;
    enum entry entry;
    const char *shown; /* when it is taken */
};

static void try_all(struct bench *bench, const struct example *examples, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const struct example *example = &examples[i];
        enum entry entry = enter(bench, example->label, example->typed);
        const struct form_field *field = &bench->form.fields[at(bench, example->label)];
        if (entry != example->entry)
            fail_msg("%s \"%s\": %d", example->label, example->typed, (int)entry);
        assert_true(field->wrong == (entry != ENTRY_TAKEN));
        if (entry == ENTRY_TAKEN)
            assert_string_equal(field->shown, example->shown);
    }
}
#define TRY(bench, examples) try_all(bench, examples, sizeof(examples) / sizeof(examples)[0])

/* ISO 8601 in full and basic form; without the year, the year is the program's own rule. */
static void days_are_read(void **state)
{
    static const struct example width[] = {
        {"date", "2026-05-08", ENTRY_TAKEN, "2026-05-08"},
        {"date", "20260508", ENTRY_TAKEN, "2026-05-08"},
        {"date", "0531", ENTRY_TAKEN, "2026-05-31"},
        {"date", "05-31", ENTRY_TAKEN, "2026-05-31"},
        {"date", "0601", ENTRY_TAKEN, "2026-06-01"},
        {"date", "0602", ENTRY_TAKEN, "2025-06-02"}, /* past events: a day to come is last year's */
        {"date", "12.31", ENTRY_TAKEN, "2025-12-31"},
        {"date", "2026-06-02", ENTRY_REFUSED, ""},
        {"date", "20260602", ENTRY_REFUSED, ""},
        {"date", "0230", ENTRY_REFUSED, ""},
        {"date", "2026-02-30", ENTRY_REFUSED, ""},
        {"date", "1301", ENTRY_REFUSED, ""},
        {"date", "14", ENTRY_REFUSED, ""},
        {"date", "8.5.2026", ENTRY_REFUSED, ""},
        {"date", "tomorrow", ENTRY_REFUSED, ""},
        {"date", "2024-05-31", ENTRY_ASK, ""},
        {"date", "2024-05-31", ENTRY_TAKEN, "2024-05-31"},
        {"date", "2024-06-01", ENTRY_TAKEN, "2024-06-01"}, /* two years to the day */
    };
    static const struct example booking[] = {
        {"date", "0602", ENTRY_TAKEN, "2026-06-02 (Tuesday)"},
        {"date", "1215", ENTRY_TAKEN, "2026-12-15 (Tuesday)"},
        {"date", "0520", ENTRY_TAKEN, "2026-05-20 (Wednesday)"},
        {"date", "0301", ENTRY_TAKEN, "2027-03-01 (Monday)"},
        {"date", "14", ENTRY_TAKEN, "2026-06-15 (Monday)"},
        {"date", "0", ENTRY_REFUSED, ""},
        {"time", "930", ENTRY_TAKEN, "09:30"},
        {"time", "0930", ENTRY_TAKEN, "09:30"},
        {"time", "9.30", ENTRY_TAKEN, "09:30"},
        {"time", "16:05", ENTRY_TAKEN, "16:05"},
        {"time", "2400", ENTRY_REFUSED, ""},
        {"time", "9:3", ENTRY_REFUSED, ""},
        {"time", "9", ENTRY_REFUSED, ""},
        {"time", "1:2:3", ENTRY_REFUSED, ""},
        {"time", "09301", ENTRY_REFUSED, ""},
        {"time", "9a0", ENTRY_REFUSED, ""},
    };
    struct bench bench = {0};

    (void)state;
    begin(&bench, "form_days");
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &bench.history.widths[0].head);
    TRY(&bench, width);
    open_form(&bench, FORM_CORRECT, RECORD_BOOKING, &bench.history.bookings[0].head);
    TRY(&bench, booking);
    end(&bench);
}

static void values_are_read(void **state)
{
    static const struct example visit[] = {
        {"right mm", "1.25", ENTRY_TAKEN, "1.25 mm"},
        {"right mm", "1,5", ENTRY_TAKEN, "1.50 mm"},
        {"right mm", "12.5", ENTRY_REFUSED, ""}, /* above the entry cap of 5.00 mm */
        {"right mm", "-0.25", ENTRY_REFUSED, ""},
        {"right mm", "1.255", ENTRY_REFUSED, ""},
        {"tissue", "1", ENTRY_TAKEN, "mild"}, /* the digits of the visit sheet */
        {"tissue", "2", ENTRY_TAKEN, "wound"},
        {"tissue", "wound", ENTRY_TAKEN, "wound"},
        {"tissue", "3", ENTRY_REFUSED, ""},
        {"tissue", "0", ENTRY_TAKEN, "sound"},
        {"all repaired", "1", ENTRY_TAKEN, "yes"},
        {"all repaired", "2", ENTRY_REFUSED, ""},
        {"all repaired", "0", ENTRY_TAKEN, "no"},
        {"all repaired", "yes", ENTRY_TAKEN, "yes"},
        {"all repaired", "00", ENTRY_TAKEN, "no"},
        {"all repaired", "", ENTRY_TAKEN, ""},
        {"hardware found", "0", ENTRY_TAKEN, "intact"},
        {"hardware found", "1r2", ENTRY_TAKEN, "loose-band:right;broken-wire"},
        {"hardware found", "6", ENTRY_REFUSED, ""},
        {"note", "=1+1, as said", ENTRY_TAKEN, "=1+1, as said"},
        {"note", "a\x1b[2Jb", ENTRY_REFUSED, ""},
        {"note", "   ", ENTRY_REFUSED, ""},
    };
    static const struct example width[] = {
        {"teeth", "1626", ENTRY_TAKEN, "16-26"},
        {"teeth", "17-27", ENTRY_TAKEN, "17-27"},
        {"teeth", "1926", ENTRY_REFUSED, ""},
        {"teeth", "1617", ENTRY_REFUSED, ""},
        {"teeth", "16-26", ENTRY_TAKEN, "16-26"},
        {"repeat number", "2", ENTRY_TAKEN, "2"},
        {"repeat number", "x", ENTRY_REFUSED, ""},
        {"repeat number", "2", ENTRY_TAKEN, "2"},
        {"width mm", "4.99", ENTRY_REFUSED, ""},
        {"width mm", "100.01", ENTRY_REFUSED, ""},
        {"width mm", "41.00", ENTRY_TAKEN, "41.00 mm"},
        {"width mm", "42.01", ENTRY_ASK, ""}, /* 2.01 mm from 40.00, the newest of the others */
        {"width mm", "42,01", ENTRY_TAKEN, "42.01 mm"},
        {"width mm", "42.00", ENTRY_TAKEN, "42.00 mm"},
    };
    static const struct example patient[] = {
        {"telephone", "mother", ENTRY_ASK, ""},
        {"telephone", "mother", ENTRY_TAKEN, "mother"},
        {"telephone", "000 10 0101", ENTRY_TAKEN, "000 10 0101"},
        {"born", "2016-05-01", ENTRY_TAKEN, "2016-05-01"}, /* long ago, as births are */
        {"chart", "P-1 ", ENTRY_REFUSED, ""},
        {"family name", "\u00c5ngstr\u00f6m", ENTRY_TAKEN, "\u00c5ngstr\u00f6m"},
        {"family name", "\u202eevil", ENTRY_REFUSED, ""},
    };
    struct bench bench = {0};

    (void)state;
    begin(&bench, "form_values");
    open_form(&bench, FORM_CORRECT, RECORD_VISIT, &bench.history.visits[0].head);
    TRY(&bench, visit);
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &bench.history.widths[1].head);
    TRY(&bench, width);
    open_form(&bench, FORM_CORRECT, RECORD_PATIENT, &bench.history.patient->head);
    TRY(&bench, patient);
    end(&bench);
}

/* 0 no, 1 yes, as on the visit sheet; a field that nobody answered is not recorded. */
static void an_answer_has_the_digits_of_the_chair(void **state)
{
    static const struct {
        const char *typed;
        enum answer answer;
        bool filled;
    } entries[] = {{"0", ANSWER_NO, true},
                   {"", ANSWER_NONE, false},
                   {"1", ANSWER_YES, true},
                   {"2", ANSWER_NONE, false}};
    struct bench bench = {0};
    char typed[SHEET_TEXT_SIZE], sentence[200];

    (void)state;
    begin(&bench, "form_answers");
    for (size_t i = 0; i < sizeof entries / sizeof entries[0]; i++) {
        struct arena arena = {0};
        struct history history;
        bool needs_reason;
        int index;

        open_form(&bench, FORM_QUESTIONS, RECORD_KIND_COUNT, NULL);
        int nickel = at(&bench, "nickel allergy");
        const struct form_field *field = &bench.form.fields[nickel];
        enum entry entry =
            form_enter(&bench.kept.app, &bench.form, nickel, entries[i].typed, sentence);
        assert_int_equal(field->filled, entries[i].filled);
        assert_int_equal(entry == ENTRY_TAKEN, entries[i].answer != ANSWER_NONE || !field->wrong);
        if (field->wrong)
            assert_string_equal(sentence, "Press one of 0 no, 1 yes.");
        if (!field->filled) { /* not recorded, so not saved as a no */
            assert_int_equal(
                form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                STATUS_INPUT);
            continue;
        }
        enter(&bench, "asked on", "0531");
        enter(&bench, "latex allergy", "0");
        for (int other = nickel + 2; other < bench.form.field_count; other++)
            assert_int_equal(
                form_enter(&bench.kept.app, &bench.form, other, entries[i].typed, sentence),
                ENTRY_TAKEN);
        if (form_save(&bench.kept.app, &bench.form, "asked again", &bench.error) != STATUS_OK)
            fail_msg("%s", bench.error.sentence);
        assert_int_equal(store_read_case(bench.kept.app.store, &bench.kept.casefile, STORE_NOW,
                                         &arena, &history, &bench.error),
                         STATUS_OK);
        assert_int_equal(history.casefile->nickel, entries[i].answer);
        assert_int_equal(history.casefile->latex, ANSWER_NO);
        assert_int_equal(history.casefile->seizure, entries[i].answer);
        arena_release(&arena);

        /* "*" takes what is recorded, with the same digit. */
        open_form(&bench, FORM_QUESTIONS, RECORD_KIND_COUNT, NULL);
        assert_string_equal(bench.form.fields[nickel].entered, entries[i].typed);
        form_same(&bench.kept.app, &bench.form, nickel, typed);
        assert_string_equal(typed, entries[i].typed);
        form_release(&bench.form);
    }
    end(&bench);
}

/* What is recorded stands in its field, and the same again is no change. */
static void recorded_values_stand_in_their_fields(void **state)
{
    struct bench bench = {0};
    bool needs_reason;
    int index;

    (void)state;
    begin(&bench, "form_recorded");
    open_form(&bench, FORM_CORRECT, RECORD_VISIT, &bench.history.visits[0].head);
    const struct form_field *field = &bench.form.fields[at(&bench, "right mm")];
    assert_int_equal(bench.form.first, at(&bench, "right mm"));
    assert_string_equal(field->entered, "1.00");
    assert_string_equal(field->recorded, "1.00 mm");
    assert_string_equal(field->shown, "1.00 mm");
    field = &bench.form.fields[at(&bench, "tissue")];
    assert_string_equal(field->entered, "0");
    assert_string_equal(field->shown, "sound");
    assert_false(form_dirty(&bench.form));
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "Nothing was entered"));
    enter(&bench, "right mm", "1");
    assert_false(form_dirty(&bench.form));
    enter(&bench, "right mm", "0.75");
    assert_true(form_dirty(&bench.form));
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_OK);
    assert_true(needs_reason);
    end(&bench);
}

/* design.md: a record with a course asks for a reason when a recorded value changes, not when an
 * empty one is filled; an event asks for one at any correction. */
static void a_reason_is_asked_for_a_change(void **state)
{
    struct bench bench = {0};
    bool needs_reason;
    int index;

    (void)state;
    begin(&bench, "form_reason");
    open_form(&bench, FORM_CORRECT, RECORD_PATIENT, &bench.history.patient->head);
    enter(&bench, "second guardian", "Ottoline Fernsby");
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_OK);
    assert_false(needs_reason);
    enter(&bench, "family name", "Bramblewick");
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_OK);
    assert_true(needs_reason);
    open_form(&bench, FORM_CORRECT, RECORD_VISIT, &bench.history.visits[0].head);
    enter(&bench, "note", "came late");
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_OK);
    assert_true(needs_reason);
    end(&bench);
}

static void what_is_wrong_or_missing_is_named(void **state)
{
    struct bench bench = {0};
    bool needs_reason;
    int index = -1;

    (void)state;
    begin(&bench, "form_missing");
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &bench.history.widths[0].head);
    enter(&bench, "date", "0230");
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_INPUT);
    assert_int_equal(index, at(&bench, "date"));
    assert_non_null(strstr(bench.error.sentence, "no day 2026-02-30"));
    enter(&bench, "date", "0501");
    enter(&bench, "width mm", "");
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_INPUT);
    assert_int_equal(index, at(&bench, "width mm"));
    enter(&bench, "width mm", "38");
    enter(&bench, "teeth", "46-36"); /* of the lower arch */
    assert_int_equal(form_ready(&bench.kept.app, &bench.form, &needs_reason, &index, &bench.error),
                     STATUS_INPUT);
    assert_int_equal(index, at(&bench, "teeth"));
    end(&bench);
}

static void days_and_amounts_are_nudged(void **state)
{
    struct bench bench = {0};
    char typed[SHEET_TEXT_SIZE] = "";

    (void)state;
    begin(&bench, "form_nudge");
    open_form(&bench, FORM_CORRECT, RECORD_VISIT, &bench.history.visits[0].head);
    int date = at(&bench, "date"), right = at(&bench, "right mm"),
        next = at(&bench, "next visit on");
    assert_true(form_nudge(&bench.kept.app, &bench.form, next, -1, typed));
    assert_string_equal(typed, "2026-05-31"); /* nothing typed: from today */
    assert_true(form_nudge(&bench.kept.app, &bench.form, next, 2, typed));
    assert_string_equal(typed, "2026-06-02");
    snprintf(typed, sizeof typed, "0301");
    assert_true(form_nudge(&bench.kept.app, &bench.form, date, -1, typed));
    assert_string_equal(typed, "2026-02-28");
    snprintf(typed, sizeof typed, "1,00");
    assert_true(form_nudge(&bench.kept.app, &bench.form, right, 1, typed));
    assert_string_equal(typed, "1.25");
    assert_true(form_nudge(&bench.kept.app, &bench.form, right, -9, typed));
    assert_string_equal(typed, "0.00");
    snprintf(typed, sizeof typed, "2");
    assert_false(form_nudge(&bench.kept.app, &bench.form, at(&bench, "tissue"), 1, typed));
    assert_string_equal(typed, "2");
    open_form(&bench, FORM_WIDTH, RECORD_KIND_COUNT, NULL);
    int on = at(&bench, "date");
    form_same(&bench.kept.app, &bench.form, on, typed);
    assert_string_equal(typed, "2026-06-01"); /* by a key of its own, never by Enter alone */
    assert_true(form_nudge(&bench.kept.app, &bench.form, on, 1, typed));
    assert_string_equal(typed, "2026-06-01"); /* what happened lies never ahead */
    for (int i = -1; i <= 1; i += 2) {
        typed[0] = '\0';
        bench.form.fields[on].if_empty[0] = '\0';
        assert_true(form_nudge(&bench.kept.app, &bench.form, on, i, typed));
        assert_string_equal(typed, "2026-06-01"); /* either key starts there */
    }
    form_same(&bench.kept.app, &bench.form, on, typed);
    assert_string_equal(typed, "2026-06-01"); /* nothing is offered any more */
    assert_true(form_nudge(&bench.kept.app, &bench.form, on, -1, typed));
    assert_string_equal(typed, "2026-05-31");
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &bench.history.widths[0].head);
    snprintf(typed, sizeof typed, "36.00"); /* a measurement is read, not counted up to */
    assert_false(form_nudge(&bench.kept.app, &bench.form, at(&bench, "width mm"), 1, typed));
    end(&bench);
}

/* Fields are walked in order; those that do not apply are passed by. */
static void fields_that_do_not_apply_are_passed(void **state)
{
    struct bench bench = {0};
    int index = -1;

    (void)state;
    begin(&bench, "form_step");
    open_form(&bench, FORM_TRAINER, RECORD_KIND_COUNT, NULL);
    assert_true(bench.form.fields[0].skipped); /* issued on: shown only */
    index = form_step(&bench.form, index, +1);
    assert_string_equal(bench.form.fields[index].label, "ended on");
    assert_int_equal(form_step(&bench.form, index, -1), -1);
    assert_int_equal(form_step(&bench.form, index, +1), bench.form.field_count);
    assert_string_equal(bench.form.fields[index].if_empty, "2026-06-01");
    assert_int_equal(enter(&bench, "ended on", ""), ENTRY_TAKEN);
    assert_string_equal(bench.form.fields[index].shown, "2026-06-01");
    index = form_step(&bench.form, index, +1);
    assert_string_equal(bench.form.fields[index].label, "why it ended");
    assert_int_equal(enter(&bench, "issued on", "0601"), ENTRY_REFUSED); /* is not asked */
    end(&bench);
}

/* The label has 25 cells beside the values at 80 columns, the hint three rows: our own layout, no
 * source. */
static void fits(const struct form_field *field)
{
    enum { LABEL_MOST = 25, HINT_MOST = 230 };
    size_t hint = strlen(field->label) + strlen(": Enter alone leaves it empty. ") +
                  strlen(field->help == NULL ? "" : field->help);

    for (int i = 0; i < field->choice_count; i++)
        hint += field->choices[i] == NULL ? 0 : strlen(field->choices[i]) + strlen("1   ");
    if (strlen(field->label) > LABEL_MOST || hint > HINT_MOST)
        fail_msg("%s: %zu cells of label, %zu of hint", field->label, strlen(field->label), hint);
    assert_null(strchr(field->label, '_')); /* a column of a file */
}

/* Keeps the row and opens it for a correction. */
static void fits_corrected(struct bench *bench, enum record_kind kind, void *row)
{
    struct store_request request = {.id = store_new_id(bench->kept.app.store), .command = "test"};

    assert_int_equal(store_begin(bench->kept.app.store, &request, &bench->error), STATUS_OK);
    assert_int_equal(store_append(bench->kept.app.store, kind, row, &bench->error), STATUS_OK);
    assert_int_equal(store_commit(bench->kept.app.store, &bench->error), STATUS_OK);
    open_form(bench, FORM_CORRECT, kind, row);
    assert_true(bench->form.field_count > 5);
    for (int i = 0; i < bench->form.field_count; i++)
        fits(&bench->form.fields[i]);
}

/* A row of each kind of an assessment. */
static void assessments_fit(struct bench *bench)
{
    const struct id casefile = bench->kept.casefile;
    const day date = bench->kept.app.today;
    struct tooth_width width = {.casefile = casefile,
                                .date = date,
                                .tooth = 75,
                                .method = METHOD_CAST,
                                .repeat = 1,
                                .value = 9800};
    struct arch_segment segment = {.casefile = casefile,
                                   .date = date,
                                   .arch = ARCH_UPPER,
                                   .method = METHOD_CAST,
                                   .repeat = 1,
                                   .back_right = 20300,
                                   .front_right = UM_NONE,
                                   .front_left = UM_NONE,
                                   .back_left = UM_NONE};
    struct arch_depth depth = {.casefile = casefile,
                               .date = date,
                               .arch = ARCH_UPPER,
                               .teeth = {16, 26},
                               .method = METHOD_CAST,
                               .repeat = 1,
                               .value = 29500};
    struct plan plan = {.casefile = casefile,
                        .arch = ARCH_UPPER,
                        .made_on = date,
                        .start_width = 31000,
                        .depth = 29500,
                        .target = 38000,
                        .separators_on = date,
                        .bands_on = date,
                        .fit_on = date,
                        .active_from = date,
                        .active_to_earliest = date,
                        .active_to_latest = date,
                        .retention_to_earliest = date,
                        .retention_to_latest = date};

    fits_corrected(bench, RECORD_TOOTH_WIDTH, &width);
    fits_corrected(bench, RECORD_ARCH_SEGMENT, &segment);
    fits_corrected(bench, RECORD_ARCH_DEPTH, &depth);
    fits_corrected(bench, RECORD_PLAN, &plan);
}

static void labels_and_helps_fit_the_screen(void **state)
{
    struct bench bench = {0};
    int forms = 0;

    (void)state;
    begin(&bench, "form_fits");
    assert_true(bench.history.wear_day_count > 0);
    for (int kind = FORM_NONE + 1; kind < FORM_KIND_COUNT; kind++) {
        struct form_subject subject = {.casefile = bench.kept.casefile};

        form_release(&bench.form);
        if (kind == FORM_SETTING || kind == FORM_CORRECT || kind == FORM_WITHDRAW ||
            form_open(&bench.kept.app, (enum form_kind)kind, &subject, &bench.form, &bench.error) !=
                STATUS_OK)
            continue;
        for (int i = 0; i < bench.form.field_count; i++)
            fits(&bench.form.fields[i]);
        forms++;
    }
    assert_true(forms >= FORM_KIND_COUNT - 5); /* some make no sense for this case */
    const struct {
        enum record_kind kind;
        const struct row_head *head;
    } rows[] = {{RECORD_PATIENT, &bench.history.patient->head},
                {RECORD_CASEFILE, &bench.history.casefile->head},
                {RECORD_TRAINER, &bench.history.trainers[0].head},
                {RECORD_EXPANDER, &bench.history.expanders[0].head},
                {RECORD_VISIT, &bench.history.visits[0].head},
                {RECORD_WIDTH, &bench.history.widths[0].head},
                {RECORD_WEAR_DAY, &bench.history.wear_days[0].head},
                {RECORD_CONTACT, &bench.history.contacts[0].head},
                {RECORD_BOOKING, &bench.history.bookings[0].head}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        open_form(&bench, FORM_CORRECT, rows[i].kind, rows[i].head);
        for (int field = 0; field < bench.form.field_count; field++)
            fits(&bench.form.fields[field]);
    }
    assessments_fit(&bench);
    end(&bench);
}

/* The title says which record it is, so that a wrong line is noticed before it is changed. */
static void a_title_names_the_record(void **state)
{
    struct bench bench = {0};

    (void)state;
    begin(&bench, "form_titles");
    open_form(&bench, FORM_CORRECT, RECORD_WIDTH, &bench.history.widths[0].head);
    assert_string_equal(bench.form.title, "Correction: width of 2025-12-03");
    open_form(&bench, FORM_WITHDRAW, RECORD_VISIT, &bench.history.visits[0].head);
    assert_string_equal(bench.form.title, "Withdrawal: visit of 2026-03-21, upper");
    open_form(&bench, FORM_CORRECT, RECORD_EXPANDER, &bench.history.expanders[0].head);
    assert_string_equal(bench.form.title, "Correction: upper expander, fitted on 2025-12-03");
    open_form(&bench, FORM_CORRECT, RECORD_PATIENT, &bench.history.patient->head);
    assert_string_equal(bench.form.title, "Correction: patient Quillfeather");
    open_form(&bench, FORM_WITHDRAW, RECORD_CASEFILE, &bench.history.casefile->head);
    assert_string_equal(bench.form.title, "Withdrawal: case C-0001");
    end(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(days_are_read),
        cmocka_unit_test(values_are_read),
        cmocka_unit_test(an_answer_has_the_digits_of_the_chair),
        cmocka_unit_test(recorded_values_stand_in_their_fields),
        cmocka_unit_test(a_reason_is_asked_for_a_change),
        cmocka_unit_test(what_is_wrong_or_missing_is_named),
        cmocka_unit_test(days_and_amounts_are_nudged),
        cmocka_unit_test(fields_that_do_not_apply_are_passed),
        cmocka_unit_test(labels_and_helps_fit_the_screen),
        cmocka_unit_test(a_title_names_the_record),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
