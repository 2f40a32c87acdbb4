/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading: one case, all cases, lists, the ledger against an outside hash, drafts. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../../src/store/handle.h"
#include "kept_store.h"

/* A case of its own patient with this number. */
static struct id add_case(struct kept_store *kept, const char *number, int seed)
{
    union any_row row;
    struct id casefile;

    kept_fill(kept, RECORD_PATIENT, seed, &row);
    kept_append(kept, RECORD_PATIENT, &row);
    kept_fill(kept, RECORD_CASEFILE, seed, &row);
    row.casefile.number = number;
    kept_append(kept, RECORD_CASEFILE, &row);
    casefile = row.head.record;
    return casefile;
}

/* No statement may be left unfinished: it would keep every other seat from saving. */
static void nothing_is_left_open(struct kept_store *kept)
{
    sqlite3_stmt *stmt = NULL;

    assert_true(sqlite3_get_autocommit(kept->store->db));
    while ((stmt = sqlite3_next_stmt(kept->store->db, stmt)) != NULL)
        if (sqlite3_stmt_busy(stmt))
            fail_msg("unfinished: %s", sqlite3_sql(stmt));
}

static void a_case_with_everything(void **state)
{
    struct kept_store kept;
    struct history history;
    struct arena arena = {0};
    union any_row row;

    (void)state;
    kept_open(&kept, "history");
    kept_fill_all(&kept, 1);
    assert_int_equal(STATUS_OK, store_read_case(kept.store, &kept.records[RECORD_CASEFILE],
                                                STORE_NOW, &arena, &history, &kept.error));
    nothing_is_left_open(&kept);
    assert_string_equal("patient family 1 \xc3\x98", history.patient->family);
    assert_string_equal(STORE_PRACTICE_PROTOCOL, history.protocol->name);
    assert_int_equal(1, history.trainer_count);
    assert_int_equal(1, history.expander_count);
    assert_int_equal(1, history.visit_count);
    assert_int_equal(1, history.width_count);
    assert_int_equal(1, history.wear_day_count);
    assert_int_equal(1, history.wear_count_count);
    assert_int_equal(1, history.contact_count);
    assert_int_equal(1, history.booking_count);
    assert_int_equal(1, history.judged_count);
    assert_true(id_equal(&history.judged[0].visit, &history.visits[0].head.id));
    kept_fill(&kept, RECORD_WIDTH, 1, &row);
    kept_same_fields(RECORD_WIDTH, &row, &history.widths[0]);

    /* Many rows of a kind, and sound hardware, which is a word of its own. */
    kept_begin(&kept, "import");
    for (int i = 2; i < 40; i++) {
        kept_fill(&kept, RECORD_VISIT, i, &row);
        row.visit.hardware = HARDWARE_INTACT;
        kept_append(&kept, RECORD_VISIT, &row);
    }
    kept_commit(&kept);
    assert_int_equal(STATUS_OK, store_read_case(kept.store, &kept.records[RECORD_CASEFILE],
                                                STORE_NOW, &arena, &history, &kept.error));
    assert_int_equal(39, history.visit_count);
    for (size_t i = 0; i < history.visit_count; i++) {
        kept_fill(&kept, RECORD_VISIT, (int)(history.visits[i].date - 20600), &row);
        if (row.visit.date != 20601)
            row.visit.hardware = HARDWARE_INTACT;
        kept_same_fields(RECORD_VISIT, &row, &history.visits[i]);
    }

    struct id nobody = {{9}};
    assert_int_equal(STATUS_NOT_FOUND, store_read_case(kept.store, &nobody, STORE_NOW, &arena,
                                                       &history, &kept.error));
    assert_int_equal(STATUS_NOT_FOUND, store_read_case(kept.store, &kept.records[RECORD_CASEFILE],
                                                       1, &arena, &history, &kept.error));
    nothing_is_left_open(&kept);
    arena_release(&arena);
    kept_close(&kept);
}

/* A case names its protocol; without limits nothing is read as permitted. */
static void a_protocol_of_its_own(void **state)
{
    struct kept_store kept;
    struct history history;
    struct arena arena = {0};
    struct protocol protocol;
    union any_row row, own;

    (void)state;
    kept_open(&kept, "protocol");
    kept_fill_all(&kept, 1);
    kept_begin(&kept, "protocol");
    kept_fill(&kept, RECORD_PROTOCOL, 1, &own);
    own.protocol.name = "gentle";
    own.protocol.step_max = 1000;
    kept_append(&kept, RECORD_PROTOCOL, &own);
    kept_fill(&kept, RECORD_CASEFILE, 5, &row);
    row.casefile.protocol = "gentle";
    kept_append(&kept, RECORD_CASEFILE, &row);
    struct id gentle = row.head.record;
    kept_fill(&kept, RECORD_CASEFILE, 6, &row);
    row.casefile.protocol = "no such";
    kept_append(&kept, RECORD_CASEFILE, &row);
    struct id lost = row.head.record;
    kept_commit(&kept);
    assert_int_equal(
        STATUS_OK, store_read_case(kept.store, &gentle, STORE_NOW, &arena, &history, &kept.error));
    assert_int_equal(1000, history.protocol->step_max);
    assert_int_equal(STATUS_NOT_FOUND,
                     store_read_case(kept.store, &lost, STORE_NOW, &arena, &history, &kept.error));
    assert_non_null(strstr(kept.error.sentence, "no such"));
    assert_int_equal(STATUS_OK, store_read_protocol(kept.store, NULL, STORE_NOW, &arena, &protocol,
                                                    &kept.error));
    assert_int_equal(2000, protocol.step_max);
    /* A new version of the practice's own governs from then on; the past keeps the old one. */
    int64_t before;
    uint8_t hash[32];
    assert_int_equal(STATUS_OK, store_head(kept.store, &before, hash, &kept.error));
    protocol.step_max = 1500;
    protocol.head.reason = "meeting of June";
    kept_begin(&kept, "protocol");
    kept_append(&kept, RECORD_PROTOCOL, &protocol);
    kept_commit(&kept);
    assert_int_equal(
        STATUS_OK, store_read_protocol(kept.store, "", STORE_NOW, &arena, &protocol, &kept.error));
    assert_int_equal(1500, protocol.step_max);
    assert_int_equal(STATUS_OK,
                     store_read_protocol(kept.store, "", before, &arena, &protocol, &kept.error));
    assert_int_equal(2000, protocol.step_max);
    arena_release(&arena);
    kept_close(&kept);
}

struct numbers {
    char text[400];
    int stop_after;
};

static enum status note_case(void *context, const struct history *history, struct error *error)
{
    struct numbers *numbers = context;
    size_t used = strlen(numbers->text);

    (void)snprintf(numbers->text + used, sizeof numbers->text - used, "%s ",
                   history->casefile->number);
    if (numbers->stop_after > 0 && --numbers->stop_after == 0)
        return error_set(error, STATUS_NO, NULL, "Enough.");
    return STATUS_OK;
}

static enum status note_visit(void *context, const void *record, struct error *error)
{
    const struct visit *visit = record;
    struct numbers *numbers = context;
    size_t used = strlen(numbers->text);
    char date[DAY_TEXT_SIZE];

    (void)error;
    (void)snprintf(numbers->text + used, sizeof numbers->text - used, "%s %s %d, ",
                   day_to_text(visit->date, date), word_text(&words_arch, (int)visit->arch),
                   (int)visit->kind);
    return STATUS_OK;
}

static void cases_and_rows_come_in_key_order(void **state)
{
    struct kept_store kept;
    struct numbers numbers = {.text = ""};
    union any_row row;

    (void)state;
    kept_open(&kept, "key-order");
    kept_begin(&kept, "import");
    kept_fill(&kept, RECORD_PROTOCOL, 1, &row);
    kept_append(&kept, RECORD_PROTOCOL, &row);
    struct id b = add_case(&kept, "C-0002", 2), c = add_case(&kept, "C-0010", 10),
              a = add_case(&kept, "C-0001", 1);
    static const struct {
        int casefile, date, arch, kind;
    } made[] = {{1, 5, 1, 1}, {0, 9, 2, 2}, {0, 9, 1, 2}, {2, 7, 1, 1}, {0, 3, 1, 1}, {0, 9, 0, 7}};
    for (size_t i = 0; i < sizeof made / sizeof made[0]; i++) {
        kept_fill(&kept, RECORD_VISIT, 1, &row);
        row.visit.casefile = made[i].casefile == 0 ? a : made[i].casefile == 1 ? b : c;
        row.visit.date = 20600 + made[i].date;
        row.visit.arch = (enum arch)made[i].arch;
        row.visit.kind = (enum visit_kind)made[i].kind;
        kept_append(&kept, RECORD_VISIT, &row);
    }
    kept_commit(&kept);
    assert_int_equal(STATUS_OK,
                     store_each_case(kept.store, STORE_NOW, note_case, &numbers, &kept.error));
    assert_string_equal("C-0001 C-0002 C-0010 ", numbers.text);
    numbers = (struct numbers){.stop_after = 2};
    assert_int_equal(STATUS_NO,
                     store_each_case(kept.store, STORE_NOW, note_case, &numbers, &kept.error));
    assert_string_equal("Enough.", kept.error.sentence);
    nothing_is_left_open(&kept);
    numbers = (struct numbers){.text = ""};
    assert_int_equal(STATUS_OK, store_each_row(kept.store, RECORD_VISIT, STORE_NOW, note_visit,
                                               &numbers, &kept.error));
    assert_string_equal(
        "2026-05-30 upper 1, 2026-06-05  7, 2026-06-05 lower 2, 2026-06-05 upper 2, "
        "2026-06-01 upper 1, 2026-06-03 upper 1, ",
        numbers.text);
    nothing_is_left_open(&kept);

    struct id found;
    assert_int_equal(STATUS_OK,
                     store_find_case(kept.store, "C-0010", STORE_NOW, &found, &kept.error));
    assert_true(id_equal(&c, &found));
    memset(&kept.error, 0, sizeof kept.error);
    assert_int_equal(STATUS_NOT_FOUND,
                     store_find_case(kept.store, "C-001", STORE_NOW, &found, &kept.error));
    assert_string_equal("", kept.error.sentence);
    assert_int_equal(STATUS_OK, store_find_patient(kept.store, "patient chart 2 \xc3\x98",
                                                   STORE_NOW, &found, &kept.error));
    assert_int_equal(STATUS_NOT_FOUND, store_find_patient(kept.store, "patient chart 2 \xc3\x98", 2,
                                                          &found, &kept.error));
    kept_close(&kept);
}

struct seen_states {
    int count;
    day booked;
    struct case_state last;
    char family[80], number[40];
    enum status answer;
};

static enum status note_state(void *context, const struct case_state *state, day booked,
                              struct error *error)
{
    struct seen_states *seen = context;

    (void)error;
    seen->count++;
    seen->booked = booked;
    seen->last = *state;
    (void)snprintf(seen->family, sizeof seen->family, "%s", state->family);
    (void)snprintf(seen->number, sizeof seen->number, "%s", state->number);
    return seen->answer;
}

static int search(struct kept_store *kept, const char *folded, int most)
{
    struct seen_states seen = {0};

    assert_int_equal(
        STATUS_OK, store_search(kept->store, folded, 20600, most, note_state, &seen, &kept->error));
    return seen.count;
}

/* The same by the case's key, its texts in the arena; of a case without one there is none. */
static void one_state_by_its_case(struct kept_store *kept, const struct case_state *wanted)
{
    struct arena arena = {0};
    struct case_state got;
    struct id nobody = {{9}};

    assert_int_equal(STATUS_OK,
                     store_read_state(kept->store, &wanted->casefile, &arena, &got, &kept->error));
    nothing_is_left_open(kept);
    struct case_state same = *wanted;
    assert_string_equal(wanted->number, got.number);
    assert_string_equal(wanted->family, got.family);
    assert_string_equal(wanted->given, got.given);
    assert_string_equal(wanted->phone, got.phone);
    assert_string_equal(wanted->clinician, got.clinician);
    same.number = got.number;
    same.family = got.family;
    same.given = got.given;
    same.phone = got.phone;
    same.clinician = got.clinician;
    assert_memory_equal(&same, &got, sizeof got);
    assert_int_equal(STATUS_NOT_FOUND,
                     store_read_state(kept->store, &nobody, &arena, &got, &kept->error));
    nothing_is_left_open(kept);
    arena_release(&arena);
}

static void states_come_back_whole(void **state)
{
    struct kept_store kept;
    struct case_state wanted;
    struct seen_states seen = {0};
    union any_row row;

    (void)state;
    kept_open(&kept, "states");
    kept_fill_all(&kept, 1);
    kept_state(&kept, "C-0042", &wanted);
    kept_begin(&kept, "visit");
    assert_int_equal(STATUS_OK, store_put_state(kept.store, &wanted, &kept.error));
    wanted.stage = STAGE_RESTING;
    wanted.last_recomputed = false;
    assert_int_equal(STATUS_OK, store_put_state(kept.store, &wanted, &kept.error));
    /* Booked, an earlier one cancelled, one in the past. */
    for (int i = 0; i < 3; i++) {
        kept_fill(&kept, RECORD_BOOKING, 50 + i, &row);
        row.booking.date = 20600 + (i == 0 ? 30 : i == 1 ? 10 : -5);
        row.booking.state = i == 1 ? BOOKED_CANCELLED : BOOKED_STANDING;
        kept_append(&kept, RECORD_BOOKING, &row);
    }
    kept_commit(&kept);
    assert_int_equal(STATUS_OK,
                     store_each_state(kept.store, 20602, note_state, &seen, &kept.error));
    nothing_is_left_open(&kept);
    assert_int_equal(1, seen.count);
    assert_int_equal(20630, seen.booked);
    assert_string_equal(wanted.family, seen.family);
    one_state_by_its_case(&kept, &wanted);
    wanted.number = seen.last.number; /* texts compared above */
    wanted.family = seen.last.family;
    wanted.given = seen.last.given;
    wanted.phone = seen.last.phone;
    wanted.clinician = seen.last.clinician;
    assert_memory_equal(&wanted, &seen.last, sizeof wanted);
    assert_int_equal(STATUS_OK,
                     store_each_state(kept.store, 20631, note_state, &seen, &kept.error));
    assert_int_equal(DAY_NONE, seen.booked);
    seen.answer = STATUS_NO;
    assert_int_equal(STATUS_NO,
                     store_each_state(kept.store, 20631, note_state, &seen, &kept.error));
    nothing_is_left_open(&kept);

    assert_int_equal(1, search(&kept, "odegard", 10)); /* folded: stroke and ring gone */
    assert_int_equal(1, search(&kept, "c-0042", 10));
    assert_int_equal(1, search(&kept, "patient chart 1", 10));
    assert_int_equal(1, search(&kept, "ane", 10));
    assert_int_equal(1, search(&kept, "", 10));
    assert_int_equal(1, search(&kept, NULL, 10));
    assert_int_equal(0, search(&kept, "", 0));
    assert_int_equal(0, search(&kept, "nobody", 10));
    assert_int_equal(0, search(&kept, "%", 10)); /* no pattern: a text */
    kept_close(&kept);
}

static enum status note_booking(void *context, const struct booking *booking,
                                const struct case_state *state, struct error *error)
{
    struct numbers *numbers = context;
    size_t used = strlen(numbers->text);
    char clock[6];

    (void)error;
    (void)snprintf(numbers->text + used, sizeof numbers->text - used, "%s %s %s, ",
                   clock_to_text(booking->time_min, clock),
                   word_text(&words_booking_state, (int)booking->state), state->number);
    return STATUS_OK;
}

static void bookings_of_a_day_come_by_time(void **state)
{
    struct kept_store kept;
    struct numbers numbers = {.text = ""};
    struct case_state derived;
    union any_row row;

    (void)state;
    kept_open(&kept, "bookings");
    kept_fill_all(&kept, 1);
    kept_state(&kept, "C-0042", &derived);
    kept_begin(&kept, "bookings");
    assert_int_equal(STATUS_OK, store_put_state(kept.store, &derived, &kept.error));
    for (int i = 0; i < 3; i++) {
        kept_fill(&kept, RECORD_BOOKING, 10, &row);
        row.booking.time_min = 900 - 60 * i;
        row.booking.state = i == 1 ? BOOKED_CANCELLED : BOOKED_STANDING;
        kept_append(&kept, RECORD_BOOKING, &row);
    }
    row.booking.state = BOOKED_KEPT;
    kept_append(&kept, RECORD_BOOKING, &row);
    kept_commit(&kept);
    assert_int_equal(STATUS_OK,
                     store_each_booking(kept.store, 20610, note_booking, &numbers, &kept.error));
    /* A booking made before any state was derived comes all the same. */
    kept_begin(&kept, "bookings");
    assert_int_equal(SQLITE_OK,
                     sqlite3_exec(kept.store->db, "DELETE FROM case_state", NULL, NULL, NULL));
    struct numbers bare = {.text = ""};
    assert_int_equal(STATUS_OK,
                     store_each_booking(kept.store, 20610, note_booking, &bare, &kept.error));
    store_rollback(kept.store);
    assert_string_equal("13:00 kept , 14:00 cancelled , 15:00 booked , ", bare.text);
    assert_string_equal("13:00 kept C-0042, 14:00 cancelled C-0042, 15:00 booked C-0042, ",
                        numbers.text);
    nothing_is_left_open(&kept);
    kept_close(&kept);
}

/* BLAKE2b and the whole walk by Python's hashlib, written from the description alone. */
static void the_chain_is_what_an_outside_walk_finds(void **state)
{
    const char *source = getenv("SPRINGLINE_SOURCE");
    struct kept_store kept;
    union any_row row;
    char command[1000], line[200] = "", wanted[200];
    int64_t sequence;
    uint8_t hash[32];

    (void)state;
    kept_open(&kept, "oracle");
    kept_fill_all(&kept, 1);
    kept_fill(&kept, RECORD_PATIENT, 2, &row);
    row.patient.given = NULL;
    row.patient.born = DAY_NONE;
    kept_begin(&kept, "import");
    kept_append(&kept, RECORD_PATIENT, &row);
    row.head.reason = "misread";
    row.patient.given = "Bo";
    kept_append(&kept, RECORD_PATIENT, &row);
    assert_int_equal(
        STATUS_OK, store_withdraw(kept.store, RECORD_PATIENT, &row.head.id, "twice", &kept.error));
    kept_commit(&kept);
    assert_int_equal(STATUS_OK, store_head(kept.store, &sequence, hash, &kept.error));
    int used = snprintf(wanted, sizeof wanted, "%d ", (int)sequence);
    for (int i = 0; i < 32; i++)
        used += snprintf(wanted + used, sizeof wanted - (size_t)used, "%02x", hash[i]);
    (void)snprintf(command, sizeof command, "python3 '%s/tests/support/check_chain.py' '%s'",
                   source != NULL ? source : ".", kept.path);
    FILE *pipe = popen(command, "r");
    assert_non_null(pipe);
    assert_non_null(fgets(line, sizeof line, pipe));
    assert_int_equal(0, pclose(pipe));
    line[strcspn(line, "\n")] = '\0';
    assert_string_equal(wanted, line);
    kept_close(&kept);
}

struct seen_drafts {
    int count;
    char contents[200];
};

static enum status note_draft(void *context, const struct draft *draft, struct error *error)
{
    struct seen_drafts *seen = context;
    size_t used = strlen(seen->contents);

    (void)error;
    seen->count++;
    (void)snprintf(seen->contents + used, sizeof seen->contents - used, "%s ", draft->content);
    return STATUS_OK;
}

static const char *drafts_of(struct kept_store *kept, const char *user)
{
    static struct seen_drafts seen;

    seen = (struct seen_drafts){0};
    assert_int_equal(STATUS_OK,
                     store_each_draft(kept->store, user, note_draft, &seen, &kept->error));
    nothing_is_left_open(kept);
    return seen.contents;
}

static void a_fuller_draft_is_never_lost(void **state)
{
    struct kept_store kept;
    struct draft draft = {.user = "ane", .form = "visit", .filled = 5, .content = "five"};

    (void)state;
    kept_open(&kept, "draft");
    kept_fill_all(&kept, 1);
    draft.casefile = kept.records[RECORD_CASEFILE];
    draft.request = store_new_id(kept.store);
    draft.saved_at = kept.now;
    assert_int_equal(STATUS_OK, store_put_draft(kept.store, &draft, &kept.error));
    /* The same session may empty a field again. */
    draft.filled = 4;
    draft.content = "four";
    assert_int_equal(STATUS_OK, store_put_draft(kept.store, &draft, &kept.error));
    assert_string_equal("four ", drafts_of(&kept, "ane"));
    struct draft other = draft;
    other.request = store_new_id(kept.store);
    other.filled = 1;
    other.content = "one";
    assert_int_equal(STATUS_CONFLICT, store_put_draft(kept.store, &other, &kept.error));
    assert_string_equal("four ", drafts_of(&kept, "ane"));
    other.filled = 4;
    other.content = "as full";
    assert_int_equal(STATUS_OK, store_put_draft(kept.store, &other, &kept.error));
    assert_string_equal("as full ", drafts_of(&kept, "ane"));
    assert_string_equal("", drafts_of(&kept, "bo"));
    /* Newest first; another case, another form, another user. */
    struct draft second = other;
    second.casefile = store_new_id(kept.store);
    second.saved_at++;
    second.content = "newer";
    assert_int_equal(STATUS_OK, store_put_draft(kept.store, &second, &kept.error));
    assert_string_equal("newer as full ", drafts_of(&kept, "ane"));
    kept_reopen(&kept);
    assert_string_equal("newer as full ", drafts_of(&kept, "ane"));
    kept_close(&kept);
}

static void a_draft_goes_with_the_save(void **state)
{
    struct kept_store kept;
    struct draft draft = {.user = "ane", .form = "visit", .filled = 5, .content = ""};
    int64_t before, after;
    uint8_t hash[32];

    (void)state;
    kept_open(&kept, "draft-save");
    kept_fill_all(&kept, 1);
    draft.casefile = kept.records[RECORD_CASEFILE];
    draft.request = store_new_id(kept.store);
    draft.saved_at = kept.now;
    assert_int_equal(STATUS_OK, store_head(kept.store, &before, hash, &kept.error));
    assert_int_equal(STATUS_OK, store_put_draft(kept.store, &draft, &kept.error));
    assert_int_equal(STATUS_OK, store_head(kept.store, &after, hash, &kept.error));
    assert_int_equal(before, after); /* seat state: not in the ledger */
    kept_begin(&kept, "visit");
    assert_int_equal(STATUS_OK,
                     store_drop_draft(kept.store, "ane", "visit", &draft.casefile, &kept.error));
    store_rollback(kept.store);
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM draft"));
    kept_begin(&kept, "visit");
    assert_int_equal(STATUS_OK,
                     store_drop_draft(kept.store, "ane", "visit", &draft.casefile, &kept.error));
    kept_commit(&kept);
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM draft"));
    assert_int_equal(STATUS_OK,
                     store_drop_draft(kept.store, "ane", "visit", &draft.casefile, &kept.error));
    /* Only its own: the same user may have left one at another seat. */
    assert_int_equal(STATUS_OK, store_put_draft(kept.store, &draft, &kept.error));
    struct id request = store_new_id(kept.store);
    assert_int_equal(STATUS_OK, store_end_draft(kept.store, "ane", "visit", &draft.casefile,
                                                &request, &kept.error));
    assert_int_equal(1, kept_number(kept.path, "SELECT count(*) FROM draft"));
    assert_int_equal(STATUS_OK, store_end_draft(kept.store, "ane", "visit", &draft.casefile,
                                                &draft.request, &kept.error));
    assert_int_equal(0, kept_number(kept.path, "SELECT count(*) FROM draft"));
    draft.user = "";
    assert_int_equal(STATUS_INPUT, store_put_draft(kept.store, &draft, &kept.error));
    kept_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_case_with_everything),
        cmocka_unit_test(a_protocol_of_its_own),
        cmocka_unit_test(cases_and_rows_come_in_key_order),
        cmocka_unit_test(states_come_back_whole),
        cmocka_unit_test(bookings_of_a_day_come_by_time),
        cmocka_unit_test(the_chain_is_what_an_outside_walk_finds),
        cmocka_unit_test(a_fuller_draft_is_never_lost),
        cmocka_unit_test(a_draft_goes_with_the_save),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
