/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The desk's forms: contacts, bookings, widths, wear. Self-report of wear exceeds sensors by 3.8 to
 * 5.0 h a day (published, see core/wear.h); the rest is the practice's own course of work, no
 * outside source.
 */
#include "form_bench.h"
#include "springline/app/case_view.h"
#include "springline/app/lists_call.h"
#include "springline/core/course.h"

/* Nobody has seen the child for 60 days: longer than restart_after_days, 56. */
static void unseen(struct form_bench *bench, const char *name)
{
    case_begin(&bench->maker);
    bench->maker.casefile.clinician = "Dr Ambrose Tidewell";
    case_trainer(&bench->maker, 200, CASE_NEVER);
    case_expander(&bench->maker, ARCH_UPPER, 100);
    case_visit(&bench->maker, VISIT_ACTIVATION, ARCH_UPPER, 60, 1000, 1000);
    form_bench_keep(bench, name);
}

static day safety_from(struct form_bench *bench)
{
    struct case_state state;

    course_state(form_bench_history(bench), &state);
    return state.safety_from[SAFETY_UNSEEN];
}

static void a_contact_alone_clears_nothing(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    unseen(&bench, "desk_contact");
    assert_true(safety_from(&bench) <= bench.maker.today);
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "");
    form_bench_fill(&bench, "outcome", "not-reached");
    assert_null(form_bench_field(&bench, "set the safety item aside"));
    assert_string_equal(form_bench_field(&bench, "call again on")->if_empty, "2026-06-08");
    assert_int_equal(form_bench_type(&bench, "call again on", "2026-05-31"), ENTRY_REFUSED);
    form_bench_fill(&bench, "call again on", "");
    form_bench_says(&bench, "The safety item stands");
    form_bench_says(&bench, "new contact: at 2026-06-01 08:00 UTC; "); /* read by people */
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(history->contacts[0].channel, CHANNEL_TELEPHONE);
    assert_int_equal(history->contacts[0].again_on, bench.maker.today + 7);
    assert_string_equal(history->contacts[0].by, "tester");
    assert_true(safety_from(&bench) <= bench.maker.today);
    form_bench_close(&bench);
}

/* In a trial the date is fixed and the clock goes on: the contact is of the trial's day. */
static void a_contact_is_of_the_fixed_date(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    unseen(&bench, "desk_fixed");
    bench.kept.app.today_fixed = true;
    bench.kept.now += (instant)6 * SECONDS_OF_DAY;
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "");
    form_bench_fill(&bench, "outcome", "left-word");
    form_bench_fill(&bench, "call again on", "0602");
    form_bench_save(&bench, "");
    const struct contact *contact = &form_bench_history(&bench)->contacts[0];
    assert_int_equal(instant_day(contact->at), bench.maker.today);
    assert_int_equal(instant_day(contact->head.recorded_at), bench.maker.today + 6);
    form_bench_close(&bench);
}

/* The lines of the newest contact as its record is opened, in the review's text. */
static const char *record_of_contact(struct form_bench *bench)
{
    const struct id record = form_bench_history(bench)->contacts[0].head.record;
    struct arena arena = {0};
    struct lines lines = {0};

    if (case_view_record(&bench->kept.app, RECORD_CONTACT, &record, &arena, &lines,
                         &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    text_clear(&bench->review);
    for (size_t i = 0; i < lines.count; i++)
        text_addf(&bench->review, "%s\n", lines.line[i]);
    arena_release(&arena);
    return text_string(&bench->review);
}

static void a_clinician_sets_it_aside_with_a_reason(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    unseen(&bench, "desk_cleared");
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "telephone");
    form_bench_fill(&bench, "outcome", "reached");
    assert_string_equal(form_bench_field(&bench, "call again on")->if_empty, "");
    form_bench_fill(&bench, "set the safety item aside", "yes");
    form_bench_refused(&bench, "decided by");
    assert_string_equal(form_bench_field(&bench, "decided by")->if_empty, "");
    form_bench_fill(&bench, "decided by", "");
    form_bench_refused(&bench, "decided by"); /* Enter alone names nobody */
    form_bench_fill(&bench, "decided by", "dr ambrose tidewell");
    form_bench_refused(&bench, "call again on");
    form_bench_fill(&bench, "call again on", "2026-07-28"); /* 57 days: one too many */
    form_bench_refused(&bench, "the clinician's reason");
    form_bench_fill(&bench, "the clinician's reason", ".");
    form_bench_refused(&bench, "says nothing");
    form_bench_fill(&bench, "the clinician's reason", "seen by the family dentist, all sound");
    form_bench_refused(&bench, "at the latest 2026-07-27 (56 days)");
    form_bench_fill(&bench, "call again on", "2026-06-15");
    form_bench_says(&bench, "The safety item is set aside until 2026-06-15; then it is a safety "
                            "item again unless the child was seen.");
    form_bench_says(&bench, "A safety item goes: expander in place, not seen");
    form_bench_save(&bench, "");
    const struct contact *contact = &form_bench_history(&bench)->contacts[0];
    assert_int_equal(contact->cleared, ANSWER_YES);
    assert_string_equal(contact->cleared_by, "Dr Ambrose Tidewell");
    assert_int_equal(safety_from(&bench), bench.maker.today + 14);
    const char *told = record_of_contact(&bench);
    assert_non_null(strstr(told, "\nsafety set aside: yes\nsafety set aside by: Dr Ambrose"));
    assert_null(strstr(told, "cleared"));
    form_bench_close(&bench);
}

static void enter_person(struct form_bench *bench, const char *login, const char *name,
                         const char *role)
{
    bench->kept.app.user = "founder"; /* alone only until somebody else is entered */
    form_bench_open(bench, FORM_PERSON);
    form_bench_fill(bench, "login", login);
    form_bench_fill(bench, "name", name);
    form_bench_fill(bench, "role", role);
    form_bench_save(bench, "");
}

static void refuses(struct form_bench *bench, const char *typed, const char *text)
{
    assert_int_equal(form_bench_type(bench, "decided by", typed), ENTRY_REFUSED);
    if (strstr(bench->sentence, text) == NULL)
        fail_msg("not \"%s\": %s", text, bench->sentence);
    form_bench_refused(bench, text);
}

/* Who answers for a child that nobody looks after is an orthodontist whom the practice knows. */
/* The hint of the case's row in the recall list, in the review's text. */
static const char *recall_hint(struct form_bench *bench)
{
    struct call_list list = {0};

    if (lists_call(&bench->kept.app, &list, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    assert_int_equal(list.count, 1);
    text_clear(&bench->review);
    if (lists_call_tell(&bench->kept.app, &list, &list.rows[0], &bench->review, &bench->error) !=
        STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    lists_call_release(&list);
    return text_string(&bench->review);
}

/* Does the head of the case have this line, whatever the size of the screen? */
static bool heads(struct form_bench *bench, const char *text)
{
    struct case_view view;
    bool found = false;

    arena_clear(&bench->arena);
    if (case_view_read(&bench->kept.app, &bench->kept.casefile, "", &bench->arena, &view,
                       &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    for (size_t i = 0; i < view.head_count; i++)
        found = found || (strcmp(view.head[i].text, text) == 0 && view.head[i].always);
    return found;
}

/* Set aside is not gone: until when, by whom and why stand wherever the item would. */
static void what_is_set_aside_is_shown(void **state)
{
    static const char aside[] =
        "safety set aside until 2026-06-15 by Dr Ambrose Tidewell: seen by the family dentist";
    struct form_bench bench = {0};

    (void)state;
    unseen(&bench, "desk_shown");
    assert_null(strstr(recall_hint(&bench), "set aside"));
    assert_false(heads(&bench, aside));
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "telephone");
    form_bench_fill(&bench, "outcome", "reached");
    form_bench_fill(&bench, "set the safety item aside", "yes");
    form_bench_fill(&bench, "decided by", "Dr Ambrose Tidewell");
    form_bench_fill(&bench, "call again on", "2026-06-15");
    form_bench_fill(&bench, "the clinician's reason", "seen by the family dentist");
    form_bench_save(&bench, "");
    assert_non_null(strstr(form_saved(&bench.form), aside));
    assert_non_null(strstr(recall_hint(&bench), aside));
    assert_true(heads(&bench, aside));
    bench.kept.app.today += 13; /* the last day */
    assert_true(heads(&bench, aside));
    bench.kept.app.today += 1; /* it stands again */
    assert_false(heads(&bench, aside));
    assert_null(strstr(recall_hint(&bench), aside));
    form_bench_close(&bench);
}

/* The lines above the fields, in the review's text. */
static const char *about(struct form_bench *bench)
{
    struct arena arena = {0};
    struct lines lines = {0};

    assert_int_equal(form_about(&bench->kept.app, &bench->form, &arena, &lines), STATUS_OK);
    text_clear(&bench->review);
    for (size_t i = 0; i < lines.count; i++)
        text_addf(&bench->review, "%s\n", lines.line[i]);
    arena_release(&arena);
    return text_string(&bench->review);
}

static void who_dials_sees_the_numbers_and_why(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    unseen(&bench, "desk_dialling");
    form_bench_open(&bench, FORM_CONTACT);
    assert_string_equal(about(&bench),
                        "no number\nSAFETY from 2026-05-29: expander in place, not seen\n");
    form_bench_open(&bench, FORM_PATIENT);
    assert_string_equal(about(&bench), "");
    form_bench_fill(&bench, "guardian", "Dorian Quillfeather");
    form_bench_fill(&bench, "telephone", "000 10 0122");
    form_bench_fill(&bench, "second guardian", "Ida Quillfeather");
    form_bench_fill(&bench, "second telephone", "000 10 0199");
    form_bench_save(&bench, "");
    form_bench_open(&bench, FORM_CONTACT);
    assert_non_null(strstr(about(&bench), "tel. 000 10 0122 (Dorian Quillfeather), or 000 10 0199 "
                                          "(Ida Quillfeather)\nSAFETY from "));
    form_bench_close(&bench);
}

static void only_a_known_orthodontist_decides(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    unseen(&bench, "desk_decided");
    enter_person(&bench, "pia", "Pia Lanternhouse", "desk");
    enter_person(&bench, "wil", "Dr Wilhelmina Quillfeather", "orthodontist");
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "telephone");
    form_bench_fill(&bench, "outcome", "reached");
    form_bench_fill(&bench, "set the safety item aside", "yes");
    refuses(&bench, "tide", "known: Dr Ambrose Tidewell, tester, Dr Wilhelmina Quillfeather");
    refuses(&bench, "pia lanternhouse", "Pia Lanternhouse is recorded as desk");
    refuses(&bench, "pia", "Pia Lanternhouse is recorded as desk");
    form_bench_fill(&bench, "decided by", "wil");
    assert_string_equal(form_bench_field(&bench, "decided by")->shown,
                        "Dr Wilhelmina Quillfeather");
    form_bench_fill(&bench, "decided by", "DR AMBROSE TIDEWELL");
    assert_string_equal(form_bench_field(&bench, "decided by")->shown, "Dr Ambrose Tidewell");
    enter_person(&bench, "amb", "Dr Ambrose Tidewell", "reader"); /* of the case, but no more */
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "telephone");
    form_bench_fill(&bench, "outcome", "reached");
    form_bench_fill(&bench, "set the safety item aside", "yes");
    refuses(&bench, "Dr Ambrose Tidewell", "is recorded as reader");
    refuses(&bench, "tide", "known: tester, Dr Wilhelmina Quillfeather)");
    form_bench_close(&bench);
}

static void what_was_typed_goes_with_the_outcome(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    unseen(&bench, "desk_taken_back");
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "");
    form_bench_fill(&bench, "outcome", "reached");
    form_bench_fill(&bench, "set the safety item aside", "yes");
    form_bench_fill(&bench, "decided by", "Dr Ambrose Tidewell");
    form_bench_fill(&bench, "outcome", "left-word"); /* not reached after all */
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->contacts[0].cleared, ANSWER_NONE);
    assert_string_equal(form_bench_history(&bench)->contacts[0].cleared_by == NULL
                            ? ""
                            : form_bench_history(&bench)->contacts[0].cleared_by,
                        "");
    assert_true(safety_from(&bench) <= bench.maker.today);
    form_bench_close(&bench);
}

static void without_a_safety_item_none_is_asked_about(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    form_bench_keep(&bench, "desk_plain");
    form_bench_open(&bench, FORM_CONTACT);
    form_bench_fill(&bench, "channel", "");
    form_bench_fill(&bench, "outcome", "reached");
    assert_null(form_bench_field(&bench, "set the safety item aside"));
    form_bench_save(&bench, "");
    form_bench_close(&bench);
}

/* ---- bookings ---- */

static void a_booking_is_looked_at_from_all_sides(void **state)
{
    struct form_bench bench = {0};
    struct case_state about;

    (void)state;
    case_typical(&bench.maker);
    case_booking(&bench.maker, -4, BOOKING_CHECK, BOOKED_STANDING); /* 2026-06-05 09:00 */
    form_bench_keep(&bench, "desk_booking");
    course_state(form_bench_history(&bench), &about);
    form_bench_open(&bench, FORM_BOOKING);
    assert_string_equal(form_bench_field(&bench, "for")->if_empty, "activation");
    assert_int_equal(form_bench_type(&bench, "date", "2026-05-31"), ENTRY_REFUSED);
    assert_non_null(strstr(bench.sentence, "past"));
    assert_int_equal(form_bench_type(&bench, "date", "2026-06-06"), ENTRY_ASK);
    assert_non_null(strstr(bench.sentence, "2026-06-06 is a Saturday."));
    assert_int_equal(form_bench_type(&bench, "date", "2026-06-07"), ENTRY_ASK);
    assert_non_null(strstr(bench.sentence, "2026-06-07 is a Sunday."));
    assert_int_equal(form_bench_type(&bench, "date", "2026-06-07"), ENTRY_TAKEN);
    form_bench_fill(&bench, "date", "2026-09-01");
    assert_string_equal(form_bench_field(&bench, "date")->shown, "2026-09-01 (Tuesday)");
    form_bench_refused(&bench, "time");
    assert_int_equal(form_bench_type(&bench, "time", "0300"), ENTRY_ASK);
    assert_non_null(strstr(bench.sentence, "03:00 is outside 07:00 to 19:00."));
    assert_int_equal(form_bench_type(&bench, "time", "0659"), ENTRY_ASK);
    assert_int_equal(form_bench_type(&bench, "time", "19:01"), ENTRY_ASK);
    form_bench_fill(&bench, "time", "0700");
    form_bench_fill(&bench, "time", "1900");
    form_bench_fill(&bench, "time", "0930");
    form_bench_fill(&bench, "for", "");
    assert_true(about.due_to != DAY_NONE && about.due_to < day_of(2026, 9, 1));
    form_bench_says(&bench, "The day lies outside the window");
    form_bench_says(&bench, "date 2026-09-01 (Tuesday)");
    assert_null(strstr(form_bench_review(&bench), "no activation is planned"));
    form_bench_says(&bench, "A booking of this case stands already: 2026-06-05 at 09:00.");
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->booking_count, 2);
    form_bench_open(&bench, FORM_BOOKING);
    form_bench_fill(&bench, "date", "2026-06-05");
    form_bench_fill(&bench, "time", "09:00");
    form_bench_fill(&bench, "for", "check");
    form_bench_refused(&bench, "recorded already");
    form_bench_close(&bench);
}

/* The window begins 21 days (core/protocol.h) after the activation of Saturday 2026-05-23. */
static void no_weekend_is_offered(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    case_trainer(&bench.maker, 200, CASE_NEVER);
    case_expander(&bench.maker, ARCH_UPPER, 100);
    case_visit(&bench.maker, VISIT_ACTIVATION, ARCH_UPPER, 9, 1000, 1000);
    form_bench_keep(&bench, "desk_weekend");
    form_bench_open(&bench, FORM_BOOKING);
    assert_non_null(strstr(form_bench_field(&bench, "date")->help, "Due 2026-06-13 to"));
    assert_string_equal(form_bench_field(&bench, "date")->if_empty, "2026-06-15"); /* a Monday */
    form_bench_close(&bench);
}

static void in_retention_no_activation_is_booked_unasked(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    bench.maker.expanders[0].passive_on = bench.maker.today - 10;
    form_bench_keep(&bench, "desk_retention");
    form_bench_open(&bench, FORM_BOOKING);
    form_bench_fill(&bench, "date", "2026-06-16");
    form_bench_fill(&bench, "time", "0930");
    form_bench_fill(&bench, "for", "activation");
    form_bench_says(&bench, "The case is in retention: no activation is planned");
    form_bench_fill(&bench, "for", "check");
    assert_null(strstr(form_bench_review(&bench), "no activation is planned"));
    form_bench_close(&bench);
}

static void two_children_at_one_minute_are_told(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    case_booking(&bench.maker, -4, BOOKING_CHECK, BOOKED_STANDING);
    form_bench_keep(&bench, "desk_clash");
    form_bench_open(&bench, FORM_NEW_CASE);
    form_bench_fill(&bench, "case", "");
    form_bench_fill(&bench, "opened", "");
    form_bench_save(&bench, "");
    bench.kept.casefile = form_casefile(&bench.form);
    form_bench_open(&bench, FORM_BOOKING);
    assert_string_equal(form_bench_field(&bench, "for")->if_empty, "assessment");
    form_bench_fill(&bench, "date", "2026-06-05");
    form_bench_fill(&bench, "time", "09:00");
    form_bench_fill(&bench, "for", "");
    form_bench_says(&bench, "Case C-0001 (Quillfeather) is booked for the same time, 09:00.");
    form_bench_fill(&bench, "time", "09:15");
    assert_null(strstr(form_bench_review(&bench), "same time"));
    form_bench_close(&bench);
}

static enum booking_state state_of(const struct history *history, day date)
{
    for (size_t i = 0; i < history->booking_count; i++) {
        if (history->bookings[i].date == date)
            return history->bookings[i].state;
    }
    return BOOKED_NONE;
}

static void what_became_of_a_booking(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    day today = bench.maker.today;
    case_booking(&bench.maker, -20, BOOKING_CHECK, BOOKED_STANDING);
    case_booking(&bench.maker, 2, BOOKING_ACTIVATION, BOOKED_STANDING);
    case_booking(&bench.maker, 9, BOOKING_CHECK, BOOKED_CANCELLED);
    form_bench_keep(&bench, "desk_ended");
    form_bench_open(&bench, FORM_BOOKING_END);
    assert_string_equal(form_bench_field(&bench, "booking")->if_empty, "2026-05-30 09:00");
    form_bench_fill(&bench, "booking", "");
    form_bench_refused(&bench, "what became of it");
    assert_int_equal(form_bench_type(&bench, "what became of it", "1"), ENTRY_REFUSED);
    form_bench_fill(&bench, "what became of it", "missed");
    form_bench_save(&bench, ""); /* its course, no correction: no reason is asked */
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(state_of(history, today - 2), BOOKED_MISSED);
    assert_int_equal(history->visit_count, bench.maker.history.visit_count + 1);

    form_bench_open(&bench, FORM_BOOKING_END); /* to come: it can only be cancelled */
    assert_null(form_bench_field(&bench, "booking"));
    assert_int_equal(form_bench_type(&bench, "what became of it", "kept"), ENTRY_REFUSED);
    form_bench_fill(&bench, "what became of it", "cancelled");
    form_bench_refused(&bench, "cancelled by");
    form_bench_fill(&bench, "cancelled by", "family");
    form_bench_save(&bench, "");
    history = form_bench_history(&bench);
    assert_int_equal(state_of(history, today + 20), BOOKED_CANCELLED);
    assert_int_equal(history->visit_count, bench.maker.history.visit_count + 1);
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_BOOKING_END), "no booking that stands"));
    form_bench_close(&bench);
}

static void another_booking_is_chosen(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    case_booking(&bench.maker, 24, BOOKING_ACTIVATION, BOOKED_STANDING);
    case_booking(&bench.maker, 2, BOOKING_ACTIVATION, BOOKED_STANDING);
    form_bench_keep(&bench, "desk_chosen");
    form_bench_open(&bench, FORM_BOOKING_END);
    form_bench_fill(&bench, "what became of it", "missed");
    form_bench_fill(&bench, "booking", "2");
    assert_string_equal(form_bench_field(&bench, "what became of it")->entered, "");
    form_bench_fill(&bench, "what became of it", "kept");
    form_bench_says(&bench, "No visit of that day is recorded");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_int_equal(state_of(history, bench.maker.today - 2), BOOKED_KEPT);
    assert_int_equal(state_of(history, bench.maker.today - 24), BOOKED_STANDING);
    assert_int_equal(history->visit_count, bench.maker.history.visit_count);
    form_bench_close(&bench);
}

/* ---- widths and wear ---- */

static void a_width_is_offered_what_the_plan_measures(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    form_bench_keep(&bench, "desk_width");
    for (int i = 0; i < 2; i++) {
        form_bench_open(&bench, FORM_WIDTH);
        form_bench_fill(&bench, "date", "");
        form_bench_fill(&bench, "arch", "");
        assert_string_equal(form_bench_field(&bench, "landmark")->if_empty, "fossa");
        form_bench_fill(&bench, "site", "");
        form_bench_fill(&bench, "landmark", i == 0 ? "" : "gingival");
        form_bench_fill(&bench, "teeth", "");
        form_bench_fill(&bench, "method", "");
        assert_string_equal(form_bench_field(&bench, "repeat number")->if_empty, "1");
        form_bench_fill(&bench, "repeat number", "");
        form_bench_fill(&bench, "width mm", "40,35");
        /* 0.35 mm from 40.00; the smallest real change is 2.772 x 0.30 mm = 0.83 mm */
        form_bench_says(&bench, i == 0 ? "within measurement error (error 0.83 mm)"
                                       : "does not count for the expander");
        form_bench_save(&bench, "");
    }
    form_bench_open(&bench, FORM_WIDTH);
    form_bench_fill(&bench, "date", "");
    form_bench_fill(&bench, "arch", "");
    form_bench_fill(&bench, "site", "");
    form_bench_fill(&bench, "landmark", "");
    form_bench_fill(&bench, "teeth", "");
    form_bench_fill(&bench, "method", "");
    assert_string_equal(form_bench_field(&bench, "repeat number")->if_empty, "2"); /* a repeat */
    form_bench_close(&bench);
}

static void wear_is_asked_from_the_last_visit_to_yesterday(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    form_bench_keep(&bench, "desk_wear");
    form_bench_open(&bench, FORM_WEAR);
    assert_string_equal(form_bench_field(&bench, "from")->if_empty, "2026-05-08");
    form_bench_fill(&bench, "from", "");
    form_bench_fill(&bench, "to", "2026-06-01");
    form_bench_fill(&bench, "days met", "20");
    assert_string_equal(form_bench_field(&bench, "of days asked about")->if_empty, "25");
    form_bench_fill(&bench, "of days asked about", "");
    form_bench_fill(&bench, "known from", "told");
    form_bench_refused(&bench, "Today is not over");
    form_bench_fill(&bench, "to", "");
    form_bench_refused(&bench, "25 days asked are more than the 24");
    form_bench_fill(&bench, "of days asked about", "");
    form_bench_says(&bench, "3.8 to 5.0 hours a day");
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->wear_counts[0].days_asked, 24);
    form_bench_open(&bench, FORM_WEAR); /* counted to yesterday: asked again from the visit */
    form_bench_fill(&bench, "from", "2026-05-20");
    form_bench_fill(&bench, "to", "");
    form_bench_fill(&bench, "days met", "3");
    form_bench_fill(&bench, "of days asked about", "");
    form_bench_fill(&bench, "known from", "told");
    form_bench_says(&bench, "overlaps a count of the same source");
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_contact_alone_clears_nothing),
        cmocka_unit_test(a_contact_is_of_the_fixed_date),
        cmocka_unit_test(a_clinician_sets_it_aside_with_a_reason),
        cmocka_unit_test(what_is_set_aside_is_shown),
        cmocka_unit_test(who_dials_sees_the_numbers_and_why),
        cmocka_unit_test(only_a_known_orthodontist_decides),
        cmocka_unit_test(what_was_typed_goes_with_the_outcome),
        cmocka_unit_test(without_a_safety_item_none_is_asked_about),
        cmocka_unit_test(a_booking_is_looked_at_from_all_sides),
        cmocka_unit_test(no_weekend_is_offered),
        cmocka_unit_test(in_retention_no_activation_is_booked_unasked),
        cmocka_unit_test(two_children_at_one_minute_are_told),
        cmocka_unit_test(what_became_of_a_booking),
        cmocka_unit_test(another_booking_is_chosen),
        cmocka_unit_test(a_width_is_offered_what_the_plan_measures),
        cmocka_unit_test(wear_is_asked_from_the_last_visit_to_yesterday),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
