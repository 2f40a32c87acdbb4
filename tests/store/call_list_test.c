/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The lists of the desk over a real store: whom to call in which order, what is told while
 * dialling, the settings with their standing, the people. That a safety item is never put off by
 * "call again" is common practice, no source; the order of the groups is that of the recall list.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "springline/app/lists_call.h"
#include "springline/app/lists_find.h"
#include "springline/app/lists_settings.h"
#include "store_case.h"

struct office {
    struct store_case kept;
    struct call_list list;
    struct error error;
};

/* Keeps a case of this number, last activated so many days ago: due from 21 days on, overdue behind
 * 28, a safety item from 57 days on (core/protocol.h). */
static void keep_booked(struct office *office, const char *number, const char *family, int32_t seen,
                        int32_t again_in, enum booking_state booked)
{
    struct case_maker maker;

    case_begin(&maker);
    if (booked != BOOKED_NONE)
        case_booking(&maker, 0, BOOKING_ACTIVATION, booked);
    maker.casefile.number = number;
    maker.casefile.clinician = "Dr Ambrose Tidewell";
    maker.patient.chart = number;
    maker.patient.family = family;
    maker.patient.phone = "000 55 0123";
    maker.patient.guardian = "Hesper";
    maker.patient.phone2 = "000 55 0999";
    maker.patient.guardian2 = "Aunt Ottilie";
    case_trainer(&maker, 180, CASE_NEVER);
    case_expander(&maker, ARCH_UPPER, 180);
    case_visit(&maker, VISIT_ACTIVATION, ARCH_UPPER, seen, 1000, 1000);
    if (again_in != CASE_NEVER) {
        case_contact(&maker, 3, OUTCOME_NOT_REACHED)->note = "engaged";
        struct contact *contact = case_contact(&maker, 1, OUTCOME_LEFT_WORD);
        contact->channel = CHANNEL_TELEPHONE;
        contact->again_on = case_day(&maker, -again_in);
        contact->note = "with the grandmother";
    }
    store_case_keep(&office->kept, &maker);
}

/* Likewise, without a booking of today. */
static void keep_case(struct office *office, const char *number, const char *family, int32_t seen,
                      int32_t again_in)
{
    keep_booked(office, number, family, seen, again_in, BOOKED_NONE);
}

static void open_office(struct office *office, const char *name)
{
    struct case_maker maker;

    *office = (struct office){0};
    case_begin(&maker);
    store_case_open(&office->kept, name, maker.today);
}

static void close_office(struct office *office)
{
    lists_call_release(&office->list);
    store_case_close(&office->kept);
}

/* The numbers of the rows that a search finds, in order. */
static void assert_found(struct office *office, const char *typed, const char *numbers)
{
    struct text found = {0}, folded = {0};

    text_add_folded(&folded, typed);
    assert_int_equal(
        lists_call_find(&office->kept.app, &office->list, text_string(&folded), &office->error),
        STATUS_OK);
    for (size_t i = 0; i < office->list.found_count; i++)
        text_addf(&found, "%s%s", i == 0 ? "" : " ", office->list.found[i]->listed->number + 2);
    assert_string_equal(text_string(&found), numbers);
    text_release(&found);
    text_release(&folded);
}

static void read_list(struct office *office)
{
    if (lists_call(&office->kept.app, &office->list, &office->error) != STATUS_OK)
        fail_msg("%s", office->error.sentence);
}

static void who_waits_stands_behind_in_the_group(void **state)
{
    struct office office;

    (void)state;
    open_office(&office, "call_order");
    keep_case(&office, "C-01", "Foxglove", 25, CASE_NEVER); /* due */
    keep_case(&office, "C-02", "Foxglove", 27, 1);          /* due, to be called tomorrow */
    keep_case(&office, "C-03", "Foxglove", 40, 5);          /* the longest overdue, but waits */
    keep_case(&office, "C-04", "Foxglove", 33, CASE_NEVER);
    keep_case(&office, "C-05", "Foxglove", 35, 0); /* to be called today: does not wait */
    keep_case(&office, "C-06", "Foxglove", 80, 9); /* a safety item never waits */
    keep_case(&office, "C-07", "Foxglove", 60, CASE_NEVER);
    read_list(&office);
    assert_found(&office, "", "06 07 05 04 03 01 02");
    assert_int_equal(office.list.groups[RECALL_SAFETY], 2);
    assert_int_equal(office.list.groups[RECALL_OVERDUE], 3);
    assert_int_equal(office.list.groups[RECALL_DUE], 2);
    assert_int_equal(office.list.later, 2);
    close_office(&office);
}

/* Whoever tells the desk how many to call tells the same number, and what still stands. */
static void the_day_counts_as_the_recall_list(void **state)
{
    struct office office;
    struct arena arena = {0};
    struct today_list today;

    (void)state;
    open_office(&office, "call_counts");
    keep_booked(&office, "C-01", "Foxglove", 25, CASE_NEVER, BOOKED_STANDING);
    keep_booked(&office, "C-02", "Foxglove", 33, CASE_NEVER, BOOKED_MISSED); /* to call again */
    keep_booked(&office, "C-03", "Foxglove", 34, CASE_NEVER, BOOKED_CANCELLED);
    keep_booked(&office, "C-04", "Foxglove", 80, CASE_NEVER,
                BOOKED_STANDING); /* safety all the same */
    keep_case(&office, "C-05", "Foxglove", 40, 5);
    read_list(&office);
    if (lists_today(&office.kept.app, "", &arena, &today, &office.error) != STATUS_OK)
        fail_msg("%s", office.error.sentence);
    assert_int_equal(today.booking_count, 4);
    assert_int_equal(today.standing_count, 2);
    assert_int_equal(today.call_count, 4); /* all but C-01 */
    assert_int_equal(today.safety_count, 1);
    assert_int_equal(today.call_count, office.list.groups[RECALL_SAFETY] +
                                           office.list.groups[RECALL_OVERDUE] +
                                           office.list.groups[RECALL_DUE]);
    arena_release(&arena);
    close_office(&office);
}

static const struct case_state *state_of(struct office *office, size_t row)
{
    return lists_call_state(&office->kept.app, &office->list, office->list.found[row]);
}

static size_t states_read(const struct office *office)
{
    size_t count = 0;

    for (size_t i = 0; i < office->list.recalls.count; i++)
        count += office->list.recalls.rows[i]->row.state != NULL;
    return count;
}

/* A list of thousands is looked at row by row; a search and a sort look at all of them. */
static void a_state_is_read_when_its_row_is_looked_at(void **state)
{
    struct office office;

    (void)state;
    open_office(&office, "call_late_states");
    keep_case(&office, "C-01", "Foxglove", 25, CASE_NEVER);
    keep_case(&office, "C-02", "Larkspur", 40, 3);
    keep_case(&office, "C-03", "Bryony", 80, CASE_NEVER);
    read_list(&office);
    assert_found(&office, "", "03 02 01");
    assert_int_equal(states_read(&office), 0);
    assert_string_equal(state_of(&office, 1)->family, "Larkspur");
    assert_int_equal(state_of(&office, 1)->again_on, office.list.found[1]->listed->again_on);
    assert_ptr_equal(state_of(&office, 1), state_of(&office, 1));
    assert_int_equal(states_read(&office), 1);
    assert_found(&office, "bryony", "03");
    assert_int_equal(states_read(&office), 3);
    assert_string_equal(state_of(&office, 0)->family, "Bryony");
    close_office(&office);
}

/* Another seat took the case away after the list was read. Nothing that is shown may pass for what
 * was known of it: no name, no number to dial, no day. */
static void a_state_that_has_gone_is_not_made_up(void **state)
{
    struct office office;
    struct id gone;

    (void)state;
    open_office(&office, "call_gone");
    keep_case(&office, "C-01", "Foxglove", 25, CASE_NEVER);
    keep_case(&office, "C-02", "Larkspur", 40, 3);
    read_list(&office);
    assert_found(&office, "", "02 01");
    gone = office.list.found[0]->listed->casefile;
    struct store *store = office.kept.app.store;
    struct store_request request = {.id = store_new_id(store), .command = "undo"};
    assert_int_equal(store_begin(store, &request, &office.error), STATUS_OK);
    assert_int_equal(store_drop_state(store, &gone, &office.error), STATUS_OK);
    assert_int_equal(store_commit(store, &office.error), STATUS_OK);

    const struct case_state *unread = state_of(&office, 0);
    assert_string_equal(unread->family, "?");
    assert_string_equal(unread->phone, "?");
    assert_int_equal(unread->last_seen, DAY_NONE);
    assert_int_equal(unread->last_verdict, 0);
    assert_string_equal(lists_call_outcome(&office.kept.app, &office.list, office.list.found[0]),
                        "?");
    assert_int_equal(lists_recall_states(&office.kept.app, &office.list.recalls, &office.error),
                     STATUS_OK);
    assert_int_equal(states_read(&office), 1);
    assert_found(&office, "larkspur", "");
    assert_found(&office, "foxglove", "01");
    close_office(&office);
}

static void a_search_knows_groups_numbers_and_people(void **state)
{
    struct office office;

    (void)state;
    open_office(&office, "call_search");
    keep_case(&office, "C-01", "Larkspur", 25, CASE_NEVER);
    keep_case(&office, "C-02", "\xC3\x98sterhazel", 40, CASE_NEVER);
    keep_case(&office, "C-03", "Larkspur", 80, CASE_NEVER);
    read_list(&office);
    assert_found(&office, "overdue", "02");
    assert_found(&office, "SAFETY", "03");
    assert_found(&office, "unseen", "03");
    assert_found(&office, "oster", "02");
    assert_found(&office, "larkspur due", "01");
    assert_found(&office, "due larkspur ", "01");
    assert_found(&office, "000550123", "03 02 01");
    assert_found(&office, "0551 tidew", "");
    assert_found(&office, "000 55 0123", "03 02 01");
    assert_found(&office, "0123", ""); /* four digits are a case number, and no telephone's */
    assert_found(&office, "c-02", "02");
    assert_found(&office, "nobody", "");
    assert_found(&office, "", "03 02 01");
    close_office(&office);
}

static void assert_holds(const struct text *text, const char *part)
{
    if (strstr(text_string(text), part) == NULL)
        fail_msg("not told: %s\n%s", part, text_string(text));
}

static void what_the_desk_needs_is_told(void **state)
{
    struct office office;
    struct text told = {0}, why = {0}, late = {0}, title = {0};

    (void)state;
    open_office(&office, "call_told");
    keep_case(&office, "C-01", "Foxglove", 80, 9);
    keep_case(&office, "C-02", "Foxglove", 40, 5);
    keep_case(&office, "C-03", "Foxglove", 25, CASE_NEVER);
    read_list(&office);
    assert_found(&office, "", "01 02 03");
    struct call_row **rows = office.list.found;
    assert_int_equal(lists_call_tell(&office.kept.app, &office.list, rows[0], &told, &office.error),
                     STATUS_OK);
    assert_holds(&told, "C-01 Foxglove");
    assert_holds(&told, "tel. 000 55 0123 (Hesper), or 000 55 0999 (Aunt Ottilie)");
    assert_holds(
        &told,
        "SAFETY from 2026-05-09: expander in place, not seen"); /* 57 days after 2026-03-13 */
    assert_holds(&told, "2026-05-31 telephone left-word, call again 2026-06-10: with the grand");
    assert_holds(&told, "2026-05-29 ");
    assert_holds(&told, "not-reached: engaged.");
    text_clear(&told);
    assert_int_equal(lists_call_tell(&office.kept.app, &office.list, rows[2], &told, &office.error),
                     STATUS_OK);
    assert_holds(&told, "due from 2026-05-28"); /* 21 days after 2026-05-07 */
    assert_holds(&told, "No contact yet.");
    assert_string_equal(lists_call_outcome(&office.kept.app, &office.list, rows[0]), "left-word");
    assert_string_equal(lists_call_outcome(&office.kept.app, &office.list, rows[2]), "");
    for (size_t i = 0; i < 3; i++) {
        lists_call_why(rows[i], &why);
        lists_call_late(rows[i], &late);
        text_add(&why, "|");
        text_add(&late, "|");
    }
    assert_string_equal(text_string(&why),
                        "expander not seen|overdue, again 06-06|due from 2026-05-28|");
    assert_string_equal(text_string(&late), "!23 d|12 d||");
    lists_call_title(&office.list, 80, &title);
    assert_string_equal(text_string(&title),
                        "recall: 1 safety, 1 overdue, 1 due, 0 others; 1 to be called later");
    text_clear(&title);
    lists_call_title(&office.list, 30, &title);
    assert_string_equal(text_string(&title), "recall: 1 safety, 1 overdue");
    text_release(&told);
    text_release(&why);
    text_release(&late);
    text_release(&title);
    close_office(&office);
}

static void words_of_a_search(void **state)
{
    static const char *const texts[] = {"Vl\xC4\x8D\xC3\xADhr\xC3\xA1"
                                        "dek",
                                        "red fox", NULL};

    (void)state;
    assert_true(lists_found(texts, 3, ""));
    assert_true(lists_found(texts, 3, "  "));
    assert_true(lists_found(texts, 3, "fox vlci"));
    assert_false(lists_found(texts, 3, "fox wolf"));
    assert_true(lists_found_folded("red fox", "fo ed"));
    assert_false(lists_found_folded("red fox", "redfox"));
    assert_true(lists_found_folded("c-0035 o'lan-ternhan", "olant c35"));
    assert_true(lists_found_folded("c-0035 o'lan-ternhan", "o-lan c-35"));
    assert_true(lists_found_folded("c-0035 olan", "o'lan"));
    assert_false(lists_found_folded("c-0035 o'lan", "c3"));
    assert_false(lists_found_folded("c-0350 o'lan", "c35 "));
    assert_false(lists_found_folded("x c-0035", "c35"));
    assert_false(lists_found_folded("olan", "'"));
}

/* ---- settings ---- */

static const struct listed_setting *setting_named(const struct setting_list *list, const char *name)
{
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(list->rows[i].name, name) == 0)
            return &list->rows[i];
    }
    fail_msg("no setting %s", name);
    return NULL;
}

/* The practice gives itself another largest step, and a retention of its own. */
static void change_protocol(struct office *office)
{
    struct store *store = office->kept.app.store;
    struct store_request request = {
        .id = store_new_id(store), .command = "settings", .seat = "desk@two", .label = ""};
    struct arena arena = {0};
    struct protocol protocol;

    assert_int_equal(store_read_protocol(store, NULL, STORE_NOW, &arena, &protocol, &office->error),
                     STATUS_OK);
    protocol.step_max = 1500;
    protocol.retention_days = 200;
    protocol.width_error = 500;
    protocol.head.reason = "agreed at the meeting";
    assert_int_equal(store_begin(store, &request, &office->error), STATUS_OK);
    assert_int_equal(store_append(store, RECORD_PROTOCOL, &protocol, &office->error), STATUS_OK);
    assert_int_equal(store_commit(store, &office->error), STATUS_OK);
    arena_release(&arena);
}

static void assert_told(const struct lines *lines, const char *text)
{
    for (size_t i = 0; i < lines->count; i++) {
        if (strstr(lines->line[i], text) != NULL)
            return;
    }
    fail_msg("not told: %s", text);
}

/* Nobody measured twice: 0.30 mm is published (arch widths by Dahlberg), its MDC95 0.83 mm. A value
 * that somebody set is neither. */
static void the_error_of_a_width_is_published_or_set(void **state)
{
    struct office office;
    struct arena arena = {0};
    struct lines lines = {0};

    (void)state;
    open_office(&office, "call_width_error");
    assert_int_equal(lists_width_error(&office.kept.app, "", &arena, &lines, &office.error),
                     STATUS_OK);
    assert_told(&lines, "In use: 0.30 mm, PUBLISHED");
    assert_told(&lines, "A change of at most 0.83 mm is within it");
    assert_told(&lines, "Own error: none yet. Of 10 repeat pairs that are needed there are 0");
    change_protocol(&office);
    lines.count = 0;
    assert_int_equal(lists_width_error(&office.kept.app, "", &arena, &lines, &office.error),
                     STATUS_OK);
    assert_told(&lines, "In use: 0.50 mm, set by the practice");
    assert_int_equal(lists_width_error(&office.kept.app, "P-99", &arena, &lines, &office.error),
                     STATUS_NOT_FOUND);
    arena_release(&arena);
    close_office(&office);
}

/* Standings and defaults: core/protocol.h, after the research they name. */
static void settings_say_where_they_stand(void **state)
{
    struct office office;
    struct arena arena = {0};
    struct setting_list list;

    (void)state;
    open_office(&office, "call_settings");
    assert_int_equal(lists_settings(&office.kept.app, NULL, "", &arena, &list, &office.error),
                     STATUS_OK);
    assert_int_equal(list.count, SETTING_COUNT - 1);
    const struct listed_setting *row = setting_named(&list, "retention_days");
    assert_string_equal(row->value, "180 days");
    assert_string_equal(row->standing, "published");
    assert_string_equal(row->usual, "");
    assert_true(strlen(row->source) > 0);
    assert_string_equal(setting_named(&list, "step_max_mm")->standing, "common practice");
    change_protocol(&office);
    assert_int_equal(lists_settings(&office.kept.app, "", "", &arena, &list, &office.error),
                     STATUS_OK);
    row = setting_named(&list, "retention_days"); /* what was published is another value */
    assert_string_equal(row->value, "200 days");
    assert_string_equal(row->standing, "practice setting");
    assert_string_equal(row->usual, "180 days, published");
    assert_string_equal(setting_named(&list, "step_max_mm")->value, "1.50 mm");
    assert_non_null(strstr(list.title, "practice, version 2 of 2026-06-01, by desk@two"));
    assert_int_equal(lists_settings(&office.kept.app, "", "wear low", &arena, &list, &office.error),
                     STATUS_OK);
    assert_string_equal(list.rows[0].name, "wear_low");
    assert_int_equal(lists_settings(&office.kept.app, "P-99", "", &arena, &list, &office.error),
                     STATUS_NOT_FOUND);
    assert_int_equal(list.count, 0);
    arena_release(&arena);
    close_office(&office);
}

static void people_by_login_and_role(void **state)
{
    struct office office;
    struct arena arena = {0};
    struct person_list list;
    struct person people[] = {{.login = "pia", .name = "Pia Lanternhouse", .role = ROLE_DESK},
                              {.login = "amb", .name = "Dr Tidewell", .role = ROLE_ORTHODONTIST}};

    (void)state;
    open_office(&office, "call_people");
    struct store *store = office.kept.app.store;
    struct store_request request = {.id = store_new_id(store), .command = "person", .label = ""};
    assert_int_equal(store_begin(store, &request, &office.error), STATUS_OK);
    for (size_t i = 0; i < 2; i++)
        assert_int_equal(store_append(store, RECORD_PERSON, &people[i], &office.error), STATUS_OK);
    assert_int_equal(store_commit(store, &office.error), STATUS_OK);
    assert_int_equal(lists_people(&office.kept.app, "", &arena, &list, &office.error), STATUS_OK);
    assert_int_equal(list.count, 3);
    assert_string_equal(list.rows[0].login, "amb");
    assert_string_equal(list.rows[1].login, "founder");
    assert_string_equal(list.rows[2].name, "Pia Lanternhouse");
    assert_int_equal(lists_people(&office.kept.app, "lantern desk", &arena, &list, &office.error),
                     STATUS_OK);
    assert_int_equal(list.count, 1);
    assert_string_equal(list.rows[0].login, "pia");
    arena_release(&arena);
    close_office(&office);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(who_waits_stands_behind_in_the_group),
        cmocka_unit_test(the_day_counts_as_the_recall_list),
        cmocka_unit_test(a_state_is_read_when_its_row_is_looked_at),
        cmocka_unit_test(a_state_that_has_gone_is_not_made_up),
        cmocka_unit_test(a_search_knows_groups_numbers_and_people),
        cmocka_unit_test(what_the_desk_needs_is_told),
        cmocka_unit_test(words_of_a_search),
        cmocka_unit_test(the_error_of_a_width_is_published_or_set),
        cmocka_unit_test(settings_say_where_they_stand),
        cmocka_unit_test(people_by_login_and_role),
    };
    return cmocka_run_group_tests_name("call_list", tests, NULL, NULL);
}
