/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who may be erased, when, and on what ground; what lists, forms and imports do with a child that
 * was. A child that may have something in the mouth must stay reachable (domain.md 7 as to safety
 * items): each thing that stands in the way is tried for itself. GDPR 17 from memory.
 */
#include "form_bench.h"
#include "kept_store.h"
#include "springline/app/authority.h"
#include "springline/app/erase.h"
#include "springline/app/lists.h"
#include "springline/app/visit.h"

static const char ground[] = "asked for in writing on 2026-05-30";

/* A finished course: the expander is out, the trainer ended, the case closed. */
static void finish(struct case_maker *maker)
{
    maker->patient.family = "Pennywhistle";
    maker->patient.given = "Oda";
    maker->patient.guardian = "Ruth Pennywhistle-Marrow";
    maker->patient.phone = "000 10 0199";
    maker->expanders[0].out_on = case_day(maker, 10);
    maker->expanders[0].out_reason = OUT_TARGET;
    maker->casefile.closed_on = case_day(maker, 5);
    maker->casefile.closed_reason = CLOSED_DISCONTINUED;
}

static void open_finished(struct form_bench *bench, const char *name)
{
    case_typical(&bench->maker);
    finish(&bench->maker);
    form_bench_keep(bench, name);
}

static enum status erase(struct form_bench *bench, const char *why)
{
    struct text out = {0};
    enum status status =
        erase_patient(&bench->kept.app, bench->maker.patient.chart, why, &out, &bench->error);

    if (status == STATUS_OK) /* what is printed afterwards names nobody */
        assert_null(strstr(text_string(&out), "Pennywhistle"));
    text_release(&out);
    return status;
}

static int64_t named(const struct form_bench *bench)
{
    return kept_number(bench->kept.path,
                       "SELECT (SELECT count(*) FROM patient WHERE family IS NOT NULL) + "
                       "(SELECT count(*) FROM case_state WHERE family <> '(erased)')");
}

/* ---- what stands in the way ---- */

static void in_place(struct case_maker *maker)
{
    maker->expanders[0].out_on = DAY_NONE;
    maker->expanders[0].out_reason = OUT_NONE;
}

static void bands_in(struct case_maker *maker)
{
    struct expander *lower = case_expander(maker, ARCH_LOWER, 20);

    lower->fitted_on = DAY_NONE;
}

static void separators_in(struct case_maker *maker)
{
    struct expander *lower = case_expander(maker, ARCH_LOWER, 20);

    lower->fitted_on = lower->banded_on = DAY_NONE;
}

static void wound(struct case_maker *maker)
{
    case_visit(maker, VISIT_CHECK, ARCH_UPPER, 12, 0, 0)->tissue = TISSUE_WOUND;
}

/* The reason for which it waits is a note, and goes with the erasure. */
static void wound_set_aside(struct case_maker *maker)
{
    struct contact *contact;

    wound(maker);
    contact = case_contact(maker, 2, OUTCOME_REACHED);
    contact->cleared = ANSWER_YES;
    contact->cleared_by = "Dr Ada Example";
    contact->note = "heals, seen by the family's dentist";
    contact->again_on = case_day(maker, -20);
}

static void booked(struct case_maker *maker)
{
    case_booking(maker, -3, BOOKING_CHECK, BOOKED_STANDING);
}

static void open_case(struct case_maker *maker)
{
    maker->casefile.closed_on = DAY_NONE;
    maker->casefile.closed_reason = CLOSED_NONE;
}

static void closed_tomorrow(struct case_maker *maker)
{
    maker->casefile.closed_on = case_day(maker, -1);
}

static void nobody_is_erased_who_must_be_reached(void **state)
{
    static const struct {
        void (*change)(struct case_maker *maker);
        const char *says;
    } tries[] = {
        {in_place, "the upper expander is in the mouth"},
        {bands_in, "the lower bands are in the mouth"},
        {separators_in, "the lower separators are in the mouth"},
        {wound, "a safety item stands"},
        {wound_set_aside, "is set aside"},
        {booked, "the booking of 2026-06-04 stands"},
        {open_case, "is open; close it"},
        {closed_tomorrow, "is open; close it"},
    };

    (void)state;
    for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
        struct form_bench bench = {0};
        struct text out = {0};
        char name[40];

        (void)snprintf(name, sizeof name, "erase_refused_%zu", i);
        case_typical(&bench.maker);
        finish(&bench.maker);
        tries[i].change(&bench.maker);
        form_bench_keep(&bench, name);
        assert_int_equal(erase_look(&bench.kept.app, bench.maker.patient.chart, &out, &bench.error),
                         STATUS_INPUT);
        assert_int_equal(erase(&bench, ground), STATUS_INPUT);
        if (strstr(bench.error.sentence, tries[i].says) == NULL)
            fail_msg("%s: %s", tries[i].says, bench.error.sentence);
        assert_int_equal(named(&bench), 2);
        assert_int_equal(kept_number(bench.kept.path, "SELECT count(*) FROM erasure"), 0);
        text_release(&out);
        form_bench_close(&bench);
    }
}

/* The last booking is over, and a kept one is none. */
static void what_is_over_does_not_stand_in_the_way(void **state)
{
    struct form_bench bench = {0};

    (void)state;
    case_typical(&bench.maker);
    finish(&bench.maker);
    case_booking(&bench.maker, 10, BOOKING_CHECK, BOOKED_KEPT);
    case_booking(&bench.maker, 2, BOOKING_CHECK, BOOKED_STANDING);
    case_booking(&bench.maker, -2, BOOKING_CHECK, BOOKED_CANCELLED)->cancelled_by =
        CANCELLER_FAMILY;
    form_bench_keep(&bench, "erase_over");
    if (erase(&bench, ground) != STATUS_OK)
        fail_msg("%s", bench.error.sentence);
    assert_int_equal(named(&bench), 0);
    form_bench_close(&bench);
}

/* ---- ground and authority ---- */

static void the_ground_is_in_words_and_without_a_name(void **state)
{
    static const struct {
        const char *ground, *says;
    } tries[] = {
        {"", "Say in some words"},
        {"ok", "Say in some words"},
        {"request", "Say in some words"},
        {"12 34", "Say in some words"},
        {"letter of Mrs Pennywhistle of 2026-05-30", "pennywhistle"},
        {"letter of the PENNYWH\xc3\x8fSTLE family", "pennywhistle"},
        {"letter of Ruth, the mother", "ruth"},
        {"asked by telephone from 000-10-0199", "000100199"},
        {"written\nrequest", "control"},
    };
    struct form_bench bench = {0};

    (void)state;
    open_finished(&bench, "erase_ground");
    for (size_t i = 0; i < sizeof tries / sizeof tries[0]; i++) {
        assert_int_equal(erase(&bench, tries[i].ground), STATUS_INPUT);
        if (strstr(bench.error.sentence, tries[i].says) == NULL)
            fail_msg("%s: %s", tries[i].ground, bench.error.sentence);
    }
    assert_int_equal(named(&bench), 2);
    /* A name within another word is none: "truth" holds "ruth". */
    assert_int_equal(erase(&bench, "asked for in truth and in writing"), STATUS_OK);
    form_bench_close(&bench);
}

static void only_an_orthodontist_erases(void **state)
{
    static const enum role others[] = {ROLE_ASSISTANT, ROLE_DESK, ROLE_READER};
    struct form_bench bench = {0};
    struct app_save save;

    (void)state;
    open_finished(&bench, "erase_role");
    struct store_request request = {.id = store_new_id(bench.kept.app.store), .command = "people"};
    assert_int_equal(app_save_begin(&bench.kept.app, COMMAND_ADD, &request, &save, &bench.error),
                     STATUS_OK);
    for (size_t i = 0; i < 3; i++) {
        struct person person = {
            .login = word_text(&words_role, (int)others[i]), .name = "Somebody", .role = others[i]};
        assert_int_equal(store_append(bench.kept.app.store, RECORD_PERSON, &person, &bench.error),
                         STATUS_OK);
    }
    assert_int_equal(app_save_commit(&save, &bench.error), STATUS_OK);
    for (size_t i = 0; i < 3; i++) {
        struct text out = {0};

        bench.kept.app.user = word_text(&words_role, (int)others[i]);
        assert_int_equal(erase(&bench, ground), STATUS_REFUSED);
        assert_int_equal(erase_look(&bench.kept.app, bench.maker.patient.chart, &out, &bench.error),
                         STATUS_REFUSED);
        assert_int_equal(out.length, 0); /* nor is anything shown */
    }
    assert_int_equal(kept_number(bench.kept.path, "SELECT count(*) FROM access WHERE what = "
                                                  "'refused' AND command = 'erase'"),
                     6);
    assert_int_equal(named(&bench), 2);
    bench.kept.app.user = "founder";
    if (erase(&bench, ground) != STATUS_OK)
        fail_msg("%s", bench.error.sentence);
    form_bench_close(&bench);
}

/* ---- afterwards ---- */

static enum status count_state(void *context, const struct case_state *found, day booked_on,
                               struct error *error)
{
    (void)found;
    (void)booked_on;
    (void)error;
    ++*(int *)context;
    return STATUS_OK;
}

static int found_by(struct form_bench *bench, const char *folded)
{
    int count = 0;

    assert_int_equal(store_search(bench->kept.app.store, folded, bench->kept.app.today, 10,
                                  count_state, &count, &bench->error),
                     STATUS_OK);
    return count;
}

static void it_is_logged_and_nobody_finds_the_name(void **state)
{
    struct form_bench bench = {0};
    struct text findings = {0};

    (void)state;
    open_finished(&bench, "erase_after");
    assert_int_equal(found_by(&bench, "pennywhistle"), 1);
    assert_int_equal(erase(&bench, ground), STATUS_OK);
    assert_int_equal(found_by(&bench, "pennywhistle"), 0);
    assert_int_equal(found_by(&bench, "erased"), 1);
    assert_int_equal(kept_number(bench.kept.path,
                                 "SELECT count(*) FROM access WHERE what = 'erased' AND subject = "
                                 "(SELECT chart FROM patient) AND detail LIKE '% values of % "
                                 "rows' AND person IS NOT NULL"),
                     1);
    assert_int_equal(kept_number(bench.kept.path,
                                 "SELECT count(*) FROM erasure WHERE reason IS NOT "
                                 "'asked for in writing on 2026-05-30'"),
                     0);
    if (app_verify(&bench.kept.app, &findings, &bench.error) != STATUS_OK)
        fail_msg("%s", text_string(&findings));
    text_release(&findings);
    /* Once more only the file is written anew. */
    assert_int_equal(erase(&bench, ground), STATUS_OK);
    assert_int_equal(
        kept_number(bench.kept.path, "SELECT count(*) FROM access WHERE what = 'erased'"), 1);
    form_bench_close(&bench);
}

static void nothing_more_is_recorded(void **state)
{
    static const enum form_kind kinds[] = {FORM_CONTACT, FORM_PATIENT, FORM_NEW_CASE, FORM_CHECK,
                                           FORM_BOOKING};
    struct form_bench bench = {0};
    struct visit_sheet sheet;

    (void)state;
    open_finished(&bench, "erase_entry");
    /* A form that was open while another seat erased is refused at its save. */
    form_bench_open(&bench, FORM_PATIENT);
    form_bench_fill(&bench, "given name", "Odette");
    assert_int_equal(erase(&bench, ground), STATUS_OK);
    assert_int_not_equal(form_save(&bench.kept.app, &bench.form, "slip", &bench.error), STATUS_OK);
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++)
        assert_non_null(strstr(form_bench_refusal(&bench, kinds[i]), "was erased"));
    assert_int_equal(visit_open(&bench.kept.app, &bench.kept.casefile, &sheet, &bench.error),
                     STATUS_INPUT);
    assert_non_null(strstr(bench.error.sentence, "was erased"));
    assert_int_equal(named(&bench), 0);
    form_bench_close(&bench);
}

/* ---- records that carry the same number ---- */

static void save_patient(struct form_bench *bench, const char *family, bool withdrawn)
{
    struct store *store = bench->kept.app.store;
    struct patient patient = bench->maker.patient;
    struct store_request request = {.id = store_new_id(store), .command = "patient"};
    struct id before = {{0}};

    assert_int_equal(store_begin(store, &request, &bench->error), STATUS_OK);
    if (withdrawn &&
        store_find_patient(store, patient.chart, STORE_NOW, &before, &bench->error) == STATUS_OK) {
        assert_int_equal(store_withdraw(store, RECORD_PATIENT, &before, "the import is taken back",
                                        &bench->error),
                         STATUS_OK);
    }
    patient.head = (struct row_head){.version = 0};
    patient.family = family;
    if (store_append(store, RECORD_PATIENT, &patient, &bench->error) != STATUS_OK)
        fail_msg("%s", bench->error.sentence);
    assert_int_equal(store_commit(store, &bench->error), STATUS_OK);
}

/* An import that was taken back and read again leaves the name twice; another child that once
 * carried the number by mistake is none of this one's. */
static void withdrawn_twins_go_too(void **state)
{
    struct form_bench bench = {0};
    struct text out = {0};

    (void)state;
    case_begin(&bench.maker);
    bench.maker.patient.family = "Pennywhistle";
    bench.maker.patient.given = "Oda";
    store_case_open(&bench.kept, "erase_twins", bench.maker.today);
    save_patient(&bench, "Pennywhistle", false);
    save_patient(&bench, "Otherchild", true);
    save_patient(&bench, "pennywh\xc3\xadstle", true); /* folds alike */
    assert_int_equal(erase_look(&bench.kept.app, bench.maker.patient.chart, &out, &bench.error),
                     STATUS_OK);
    assert_non_null(strstr(text_string(&out), "with 1 withdrawn records of the same number"));
    assert_non_null(strstr(text_string(&out), "1 withdrawn records of the same number, but of"));
    text_release(&out);
    assert_int_equal(erase(&bench, ground), STATUS_OK);
    assert_int_equal(
        kept_number(bench.kept.path, "SELECT count(*) FROM patient WHERE family IS NULL"), 2);
    assert_int_equal(
        kept_number(bench.kept.path, "SELECT count(*) FROM patient WHERE family = 'Otherchild'"),
        1);
    store_case_close(&bench.kept);
}

static void a_number_nobody_has_is_told(void **state)
{
    struct form_bench bench = {0};
    struct text out = {0};

    (void)state;
    open_finished(&bench, "erase_nobody");
    assert_int_equal(erase_look(&bench.kept.app, "P-none", &out, &bench.error), STATUS_NOT_FOUND);
    assert_int_equal(erase_patient(&bench.kept.app, "P-none", ground, &out, &bench.error),
                     STATUS_NOT_FOUND);
    assert_non_null(strstr(bench.error.sentence, "P-none"));
    text_release(&out);
    form_bench_close(&bench);
}

/* ---- what can not be erased ---- */

static void texts_that_stay_are_counted_and_named(void **state)
{
    struct form_bench bench = {0};
    struct text out = {0};
    struct draft draft = {
        .user = "ane", .form = "new-patient", .filled = 1, .content = "family\tPennywhistle\n"};

    (void)state;
    open_finished(&bench, "erase_texts");
    struct store *store = bench.kept.app.store;
    struct store_request request = {
        .id = store_new_id(store), .command = "contact", .label = "letter of the Pennywhistles"};
    struct contact contact = {.casefile = bench.kept.casefile,
                              .at = bench.kept.now,
                              .channel = CHANNEL_LETTER,
                              .again_on = DAY_NONE,
                              .by = "Ruth Pennywhistle-Marrow"};
    assert_int_equal(store_begin(store, &request, &bench.error), STATUS_OK);
    assert_int_equal(store_append(store, RECORD_CONTACT, &contact, &bench.error), STATUS_OK);
    assert_int_equal(store_withdraw(store, RECORD_CONTACT, &contact.head.id,
                                    "it was of Oda's sister", &bench.error),
                     STATUS_OK);
    assert_int_equal(store_commit(store, &bench.error), STATUS_OK);
    draft.request = store_new_id(store);
    draft.saved_at = bench.kept.now;
    assert_int_equal(store_put_draft(store, &draft, &bench.error), STATUS_OK);
    assert_int_equal(erase_look(&bench.kept.app, bench.maker.patient.chart, &out, &bench.error),
                     STATUS_OK);
    const char *told = text_string(&out);
    assert_non_null(strstr(told, "1 reasons of changes and withdrawals"));
    assert_non_null(strstr(told, "withdrawal, reason: holds \"oda\""));
    assert_non_null(strstr(told, "contact, by: holds \"pennywhistle-marrow\"") != NULL
                        ? told
                        : strstr(told, "contact, by: holds"));
    assert_non_null(strstr(told, "unsaved form \"new-patient\" of ane: holds \"pennywhistle\""));
    assert_null(strstr(told, "no name or telephone number"));
    text_release(&out);
    form_bench_close(&bench);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nobody_is_erased_who_must_be_reached),
        cmocka_unit_test(what_is_over_does_not_stand_in_the_way),
        cmocka_unit_test(the_ground_is_in_words_and_without_a_name),
        cmocka_unit_test(only_an_orthodontist_erases),
        cmocka_unit_test(it_is_logged_and_nobody_finds_the_name),
        cmocka_unit_test(nothing_more_is_recorded),
        cmocka_unit_test(withdrawn_twins_go_too),
        cmocka_unit_test(a_number_nobody_has_is_told),
        cmocka_unit_test(texts_that_stay_are_counted_and_named),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
