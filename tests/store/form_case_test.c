/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who is treated: new patients and cases, health questions, settings, people, closing. What each
 * form must do is the practice's own course of work (domain notes of the project); no outside
 * source but where one is named.
 */
#include "form_bench.h"

static void numbers_follow_the_greatest(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_numbers"); /* case C-0001, chart K-0001 */
    form_bench_open(&bench, FORM_NEW_PATIENT);
    assert_string_equal(form_bench_field(&bench, "case")->if_empty, "C-0002");
    assert_string_equal(form_bench_field(&bench, "chart")->if_empty, "K-0002");
    assert_string_equal(bench.form.fields[bench.form.first].label, "family name");
    form_bench_fill(&bench, "case", "C-0999");
    form_bench_fill(&bench, "chart", "");
    form_bench_fill(&bench, "family name", "Thistlewick");
    form_bench_fill(&bench, "opened", "");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_string_equal(history->casefile->number, "C-0999");
    assert_string_equal(history->patient->chart, "K-0002");
    assert_int_equal(history->casefile->opened, bench.maker.today);

    form_bench_open(&bench, FORM_NEW_PATIENT); /* all nines: one digit more */
    assert_string_equal(form_bench_field(&bench, "case")->if_empty, "C-1000");
    form_bench_fill(&bench, "case", "C-0001");
    form_bench_fill(&bench, "chart", "");
    form_bench_fill(&bench, "family name", "Thistlewick");
    form_bench_fill(&bench, "opened", "");
    form_bench_refused(&bench, "C-0001 exists already");
    form_bench_close(&bench);
}

static void a_child_that_is_here_is_named(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_namesake");
    form_bench_open(&bench, FORM_NEW_PATIENT);
    form_bench_fill(&bench, "family name", "QUILLFE\u00c1THER"); /* case and accent apart */
    form_bench_fill(&bench, "born", "2017-03-09");
    form_bench_says(&bench, "Is this child here already? Quillfeather, Odalys, born 2017-03-09, is "
                            "chart K-0001, case C-0001.");
    form_bench_says(&bench, "No telephone");
    form_bench_fill(&bench, "born", "2017-03-10");
    assert_null(strstr(form_bench_review(&bench), "here already"));
    /* an age at which arches grow no more is a slip of the year: asked once */
    assert_int_equal(form_bench_type(&bench, "born", "1917-03-09"), ENTRY_ASK);
    assert_non_null(strstr(bench.sentence, "109 years"));
    assert_int_equal(form_bench_type(&bench, "born", "1917-03-09"), ENTRY_TAKEN);
    form_bench_close(&bench);
}

static void another_case_of_the_patient(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    bench.maker.casefile.clinician = "Dr Ambrose Tidewell";
    form_bench_keep(&bench, "form_second_case");
    form_bench_open(&bench, FORM_NEW_CASE);
    form_bench_fill(&bench, "case", "");
    form_bench_fill(&bench, "opened", "");
    form_bench_fill(&bench, "clinician", "");
    form_bench_says(&bench, "Case C-0001 of this patient is still open.");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_string_equal(history->casefile->number, "C-0002");
    assert_string_equal(history->casefile->clinician, "Dr Ambrose Tidewell");
    assert_string_equal(history->patient->family, "Quillfeather");
    assert_int_equal(history->casefile->consent_on, DAY_NONE);
    form_bench_close(&bench);
}

static void answer(struct form_bench *bench, const char *nickel, const char *medical)
{
    form_bench_fill(bench, "asked on", "0601");
    form_bench_fill(bench, "nickel allergy", nickel);
    form_bench_fill(bench, "latex allergy", "no");
    form_bench_fill(bench, "bleeding, heart condition", medical);
    form_bench_fill(bench, "asthma or epilepsy", "no");
    form_bench_fill(bench, "braces or loose molars", "no");
}

static void each_yes_is_an_alert(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    bench.maker.casefile.asked_on = DAY_NONE;
    bench.maker.patient.alerts = "No latex allergy; grass pollen";
    form_bench_keep(&bench, "form_questions");
    form_bench_open(&bench, FORM_QUESTIONS);
    form_bench_refused(&bench, "needed");
    answer(&bench, "yes", "yes");
    form_bench_says(&bench, "medical advice before bands are seated");
    form_bench_says(&bench, "Tell the family: if a band is swallowed or inhaled, go to emergency "
                            "care.");
    form_bench_says(&bench, "wire comes loose");
    form_bench_says(&bench, "Alerts: No latex allergy; grass pollen; nickel allergy; bleeding or "
                            "heart condition.\n");
    form_bench_save(&bench, "");
    const struct history *history = form_bench_history(&bench);
    assert_string_equal(history->patient->alerts,
                        "No latex allergy; grass pollen; nickel allergy; bleeding or heart "
                        "condition");
    assert_int_equal(history->casefile->asked_on, bench.maker.today);
    assert_int_equal(history->casefile->nickel, ANSWER_YES);
    assert_int_equal(history->casefile->anchor, ANSWER_NO);

    form_bench_open(&bench, FORM_QUESTIONS); /* asked again: the alert stays, the doubt is told */
    form_bench_fill(&bench, "nickel allergy", "no");
    form_bench_says(&bench, "The alerts say \"nickel allergy\" and the answer is no");
    form_bench_save(&bench, "tested: no allergy");
    history = form_bench_history(&bench);
    assert_non_null(strstr(history->patient->alerts, "nickel allergy"));
    assert_int_equal(history->casefile->nickel, ANSWER_NO);
    form_bench_close(&bench);
}

/* With an expander in place "before anything is placed" would be false. The cautions are common
 * practice, no source. */
static void a_yes_behind_the_fit_is_told_as_such(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    form_bench_keep(&bench, "form_questions_late");
    form_bench_open(&bench, FORM_FIT); /* asked, as imported, and nobody wrote down the answers */
    form_bench_fill(&bench, "arch", "1");
    form_bench_fill(&bench, "wire mm", "0.75");
    form_bench_says(&bench, "Before an activation: health questions asked on 2025-05-07, answers "
                            "not recorded.");
    form_bench_open(&bench, FORM_QUESTIONS);
    answer(&bench, "yes", "yes");
    form_bench_says(&bench, "Nickel allergy, and wire or bands are in place: the clinician decides "
                            "now whether they stay.");
    form_bench_says(&bench, "bands are seated: medical advice now");
    assert_null(strstr(text_string(&bench.review), "before anything is placed"));
    form_bench_close(&bench);
}

static void a_known_alert_is_not_repeated(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    bench.maker.casefile.asked_on = DAY_NONE;
    bench.maker.patient.alerts = "Nickel allergy, patch test 2024";
    form_bench_keep(&bench, "form_alert_known");
    form_bench_open(&bench, FORM_QUESTIONS);
    answer(&bench, "yes", "no");
    form_bench_save(&bench, "");
    assert_string_equal(form_bench_history(&bench)->patient->alerts,
                        "Nickel allergy, patch test 2024");
    form_bench_close(&bench);
}

static void the_patient_and_the_case_change_with_a_reason(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_patient");
    form_bench_open(&bench, FORM_PATIENT);
    form_bench_fill(&bench, "telephone", "000 10 0101"); /* filled: no reason */
    form_bench_save(&bench, "");
    form_bench_open(&bench, FORM_PATIENT);
    form_bench_fill(&bench, "family name", "Quillfeather-Moss");
    form_bench_refused(&bench, "reason");
    form_bench_save(&bench, "the family told us");
    assert_string_equal(form_bench_history(&bench)->patient->family, "Quillfeather-Moss");

    form_bench_open(&bench, FORM_CASE);
    assert_int_equal(form_bench_type(&bench, "protocol", "Tuesday"), ENTRY_REFUSED);
    assert_non_null(strstr(bench.sentence, "no protocol called Tuesday"));
    form_bench_refused(&bench, "Tuesday");
    form_bench_fill(&bench, "protocol", "");
    assert_int_equal(form_bench_type(&bench, "clinician", "Dr Wilhelmina Quillfeather"),
                     ENTRY_ASK); /* nobody is called so yet */
    form_bench_fill(&bench, "clinician", "Dr Wilhelmina Quillfeather");
    form_bench_save(&bench, "");
    assert_string_equal(form_bench_history(&bench)->casefile->clinician,
                        "Dr Wilhelmina Quillfeather");
    form_bench_close(&bench);
}

static void closing_with_the_expander_in_is_a_safety_item(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    case_booking(&bench.maker, -3, BOOKING_ACTIVATION, BOOKED_STANDING);
    form_bench_keep(&bench, "form_close");
    form_bench_open(&bench, FORM_CLOSE);
    form_bench_fill(&bench, "closed on", "");
    assert_int_equal(form_bench_type(&bench, "why it is closed", "discontinued"), ENTRY_ASK);
    assert_non_null(strstr(bench.sentence, "upper expander is still in"));
    assert_non_null(strstr(bench.sentence, "a safety item of the recall list at once"));
    assert_int_equal(form_bench_type(&bench, "why it is closed", "discontinued"), ENTRY_TAKEN);
    form_bench_says(&bench, "The upper expander is still in the mouth: a safety item");
    form_bench_says(&bench, "closed with the expander in since 2026-06-01");
    form_bench_says(&bench, "The booking of 2026-06-04 at 09:00 still stands");
    form_bench_save(&bench, "");
    assert_int_equal(form_bench_history(&bench)->casefile->closed_reason, CLOSED_DISCONTINUED);
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_CLOSE), "closed on 2026-06-01"));
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_FIT), "closed on"));
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_CHECK), "closed on"));
    form_bench_open(&bench, FORM_OUT); /* what ends the item stays possible */
    form_bench_close(&bench);
}

/* ---- settings and people ---- */

static void a_share_is_written_as_people_write_it(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_setting");
    struct id row = form_bench_history(&bench)->protocol->head.id;
    form_bench_open_row(&bench, FORM_SETTING, &row, SETTING_WEAR_FULL);
    assert_string_equal(bench.form.title, "Setting of the practice");
    const struct form_field *field = form_bench_field(&bench, "wear_full");
    assert_string_equal(field->recorded, "80 %");
    assert_non_null(strstr(field->help, "Default 80 %, practice setting"));
    assert_non_null(strstr(field->help, "below it the step is reduced"));
    assert_false(form_dirty(&bench.form));
    static const char *const seventy[] = {"70", "70 %", "70%", "0.70", "0,7"};
    for (size_t i = 0; i < sizeof seventy / sizeof seventy[0]; i++) {
        form_bench_fill(&bench, "wear_full", seventy[i]);
        form_bench_says(&bench, "protocol practice: wear_full 80 % -> 70 %\n");
    }
    form_bench_fill(&bench, "wear_full", "62.5 %");
    form_bench_says(&bench, "protocol practice: wear_full 80 % -> 62.5 %\n");
    /* Nobody knows which of them is meant. */
    assert_int_equal(form_bench_type(&bench, "wear_full", "1"), ENTRY_REFUSED);
    assert_int_equal(form_bench_type(&bench, "wear_full", "1.00"), ENTRY_REFUSED);
    form_bench_fill(&bench, "wear_full", "100 %");
    form_bench_says(&bench, "protocol practice: wear_full 80 % -> 100 %\n");
    assert_int_equal(form_bench_type(&bench, "wear_full", "800"), ENTRY_TAKEN);
    form_bench_refused(&bench, "wear_full"); /* 800 % is out of the range of the protocol */
    assert_int_equal(form_bench_type(&bench, "wear_full", "eighty"), ENTRY_REFUSED);
    assert_int_equal(form_bench_type(&bench, "wear_full", "62.55 %"), ENTRY_REFUSED);
    assert_int_equal(form_bench_type(&bench, "wear_full", "%"), ENTRY_REFUSED);
    form_bench_fill(&bench, "wear_full", "0.40");
    form_bench_refused(&bench, "wear_low"); /* 0 < wear_low < wear_full <= 1 */
    form_bench_fill(&bench, "wear_full", "0.75");
    form_bench_says(&bench, "protocol practice: wear_full 80 % -> 75 %\n");
    form_bench_says(&bench, "applies to 1 open case from");
    form_bench_refused(&bench, "reason");
    form_bench_save(&bench, "agreed at the June meeting");
    assert_int_equal(form_bench_history(&bench)->protocol->wear_full_permille, 750);
    form_bench_close(&bench);
}

static void other_units_are_read_by_the_engine(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_setting_units");
    struct id row = form_bench_history(&bench)->protocol->head.id;
    form_bench_open_row(&bench, FORM_SETTING, &row, SETTING_STEP_MAX);
    form_bench_fill(&bench, "step_max_mm", "1.5");
    form_bench_save(&bench, "smaller steps");
    row = form_bench_history(&bench)->protocol->head.id;
    form_bench_open_row(&bench, FORM_SETTING, &row, SETTING_INTERVAL_MIN);
    form_bench_fill(&bench, "interval_min_days", "60");
    form_bench_refused(&bench, "interval");
    form_bench_fill(&bench, "interval_min_days", "22");
    form_bench_save(&bench, "a day more");
    row = form_bench_history(&bench)->protocol->head.id;
    form_bench_open_row(&bench, FORM_SETTING, &row, SETTING_WEAR_NIGHT);
    form_bench_fill(&bench, "wear_night", "no");
    form_bench_save(&bench, "only the day is asked for");
    const struct protocol *protocol = form_bench_history(&bench)->protocol;
    assert_int_equal(protocol->step_max, 1500);
    assert_int_equal(protocol->interval_min_days, 22);
    assert_int_equal(protocol->wear_night, ANSWER_NO);
    form_bench_close(&bench);
}

static void a_case_gets_limits_of_its_own(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_protocol");
    form_bench_open(&bench, FORM_PROTOCOL);
    form_bench_refused(&bench, "limits of its own");
    form_bench_fill(&bench, "limits of its own", "1");
    assert_string_equal(form_bench_review(&bench),
                        "new protocol C-0001: copied from \"practice\", 37 values, none changed\n"
                        "case C-0001: protocol C-0001\n"
                        "Its values are those of \"practice\" as they stand; later changes there "
                        "do not reach this case.\n");
    form_bench_refused(&bench, "reason"); /* other limits than the practice's: why is asked */
    form_bench_save(&bench, "a small arch");
    const struct history *history = form_bench_history(&bench);
    assert_string_equal(history->casefile->protocol, "C-0001");
    assert_string_equal(history->protocol->name, "C-0001");
    assert_int_equal(history->protocol->head.version, 1);
    struct protocol practice;
    assert_int_equal(store_read_protocol(bench.kept.app.store, NULL, STORE_NOW, &bench.arena,
                                         &practice, &bench.error),
                     STATUS_OK);
    for (int setting = SETTING_NONE + 1; setting < SETTING_COUNT; setting++)
        assert_int_equal(protocol_value(history->protocol, (enum setting)setting),
                         protocol_value(&practice, (enum setting)setting));
    struct id row = history->protocol->head.id;
    assert_non_null(strstr(form_bench_refusal(&bench, FORM_PROTOCOL), "already"));
    form_bench_open_row(&bench, FORM_SETTING, &row, SETTING_STEP_MAX);
    assert_string_equal(bench.form.title, "Setting of C-0001's own protocol");
    form_bench_fill(&bench, "step_max_mm", "1.75");
    form_bench_says(&bench, "protocol C-0001: step_max_mm 2.00 mm -> 1.75 mm\n");
    form_bench_says(&bench, "It applies to 1 open case from now on");
    /* What a change of the practice's does not reach is counted; a case's own reaches no other. */
    assert_null(strstr(form_bench_review(&bench), "does not follow"));
    form_bench_open_row(&bench, FORM_SETTING, &practice.head.id, SETTING_STEP_MAX);
    form_bench_fill(&bench, "step_max_mm", "1.75");
    form_bench_says(&bench, "It applies to 0 open cases from now on");
    form_bench_says(&bench, "Months printed anew and verdicts recomputed for imported visits "
                            "follow it too; --as-of shows them as they were.\n");
    form_bench_says(&bench, "1 open case has a protocol of its own and does not follow.\n");
    form_bench_close(&bench);
}

/* "tide" is rather a slip than a new clinician; the second Enter keeps it all the same. */
static void a_clinician_nobody_knows_is_asked_about(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    bench.maker.casefile.clinician = "Dr Ambrose Tidewell";
    form_bench_keep(&bench, "form_clinician");
    bench.kept.app.user = "founder"; /* alone only until somebody else is entered */
    form_bench_open(&bench, FORM_PERSON);
    form_bench_fill(&bench, "login", "wil");
    form_bench_fill(&bench, "name", "Dr Wilhelmina Quillfeather");
    form_bench_fill(&bench, "role", "orthodontist");
    form_bench_save(&bench, "");
    for (int i = 0; i < 3; i++) {
        form_bench_open(&bench, i == 0 ? FORM_NEW_PATIENT : i == 1 ? FORM_NEW_CASE : FORM_CASE);
        assert_int_equal(form_bench_type(&bench, "clinician", "tide"), ENTRY_ASK);
        assert_non_null(strstr(bench.sentence, "Nobody is called tide so far"));
        form_bench_fill(&bench, "clinician", "tide");
        form_bench_fill(&bench, "clinician", "Dr Wilhelmina Quillfeather");
        form_bench_fill(&bench, "clinician", "dr ambrose tidewell");
        form_bench_fill(&bench, "clinician", "");
    }
    form_bench_close(&bench);
}

static void a_person_has_one_login(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_person");
    bench.kept.app.user = "founder";
    for (int i = 0; i < 2; i++) {
        form_bench_open(&bench, FORM_PERSON);
        form_bench_fill(&bench, "login", "pia");
        form_bench_fill(&bench, "name", "Pia Lanternhouse");
        form_bench_fill(&bench, "role", "assistant");
        if (i == 0)
            form_bench_save(&bench, "");
        else
            form_bench_refused(&bench, "Pia Lanternhouse");
    }
    form_bench_close(&bench);
}

/* Who gives this login a name is named from that moment on, but shuts nobody out with it. */
static void the_person_at_this_seat_is_known_at_once(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_begin(&bench.maker);
    form_bench_keep(&bench, "form_person_here");
    assert_string_equal(app_by(&bench.kept.app), "tester");
    form_bench_open(&bench, FORM_PERSON);
    form_bench_fill(&bench, "login", "tester");
    form_bench_fill(&bench, "name", "Pia Lanternhouse");
    form_bench_fill(&bench, "role", "desk");
    form_bench_refused(&bench, "you could not come in: you come with the login tester, and yours "
                               "is recorded as founder");
    form_bench_fill(&bench, "role", "orthodontist");
    form_bench_save(&bench, "");
    assert_string_equal(app_by(&bench.kept.app), "Pia Lanternhouse");
    assert_false(bench.kept.app.alone);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_follow_the_greatest),
        cmocka_unit_test(a_child_that_is_here_is_named),
        cmocka_unit_test(another_case_of_the_patient),
        cmocka_unit_test(each_yes_is_an_alert),
        cmocka_unit_test(a_yes_behind_the_fit_is_told_as_such),
        cmocka_unit_test(a_known_alert_is_not_repeated),
        cmocka_unit_test(the_patient_and_the_case_change_with_a_reason),
        cmocka_unit_test(closing_with_the_expander_in_is_a_safety_item),
        cmocka_unit_test(a_share_is_written_as_people_write_it),
        cmocka_unit_test(other_units_are_read_by_the_engine),
        cmocka_unit_test(a_case_gets_limits_of_its_own),
        cmocka_unit_test(a_clinician_nobody_knows_is_asked_about),
        cmocka_unit_test(a_person_has_one_login),
        cmocka_unit_test(the_person_at_this_seat_is_known_at_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
