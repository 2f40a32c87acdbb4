/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Who else has a case open: said on ticks, seen at the head of the case, its visit and its forms,
 * forgotten when a seat is gone. Without a terminal; the other seat has a connection of its own.
 * One minute and three are our own judgement, no source.
 */
#include <sqlite3.h>
#include <time.h>

#include "desk.h"
#include "kept_store.h"
#include "springline/app/presence.h"
#include "springline/ui/screens.h"

struct other {
    struct app app;
    struct error error;
};

static void sit_down(struct desk *desk, struct other *other, const char *seat)
{
    *other = (struct other){.app = desk->kept.app};
    other->app.seat = seat;
    other->app.user = "other";
    if (store_open(desk->kept.path, &desk->kept.source, &other->app.store, &other->error) !=
        STATUS_OK)
        fail_msg("%s", other->error.sentence);
    assert_int_equal(app_know_person(&other->app, &other->error), STATUS_OK);
}

static void stand_up(struct other *other)
{
    store_close(other->app.store);
}

/* The other login is one of the practice's people. */
static void employ(struct desk *desk, const char *name)
{
    struct person person = {.login = "other", .name = name, .role = ROLE_ASSISTANT};
    struct store *store = desk->kept.app.store;
    desk->kept.app.user = "founder"; /* not alone any more */
    struct store_request request = {.id = store_new_id(store), .command = "person"};

    assert_int_equal(store_begin(store, &request, &desk->error), STATUS_OK);
    assert_int_equal(store_append(store, RECORD_PERSON, &person, &desk->error), STATUS_OK);
    assert_int_equal(store_commit(store, &desk->error), STATUS_OK);
}

static const char *others_of(struct other *other, const struct id *casefile)
{
    static char line[300];
    struct text text = {0};

    assert_true(presence_others(&other->app, casefile, &text));
    snprintf(line, sizeof line, "%s", text_string(&text));
    text_release(&text);
    return line;
}

/* So many ms without a key. */
static bool pass(struct desk *desk, int64_t milliseconds)
{
    desk->headless.clock_ms += milliseconds;
    bool changed = ui_event(&desk->ui, EVENT_NOTHING, NULL);
    if (changed)
        ui_draw(&desk->ui);
    return changed;
}

static int64_t head_of(struct desk *desk)
{
    int64_t sequence = 0;
    uint8_t hash[32];

    assert_int_equal(store_head(desk->kept.app.store, &sequence, hash, &desk->error), STATUS_OK);
    return sequence;
}

static void open_case(struct desk *desk, const char *name)
{
    desk_open(desk, name);
    assert_true(screen_go(&desk->ui, COMMAND_TO_CASE, &desk->kept.casefile));
    desk_keys(desk, "<Home>"); /* a key: the screen looks who is there */
}

/* What this seat has open is said at the first tick, and no more when it is left. */
static void what_is_open_is_said(void **state)
{
    struct desk desk;
    struct other other;
    char since[60];

    (void)state;
    desk_open(&desk, "presence_said");
    sit_down(&desk, &other, "other@pts/9");
    pass(&desk, 200);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 0);
    assert_true(screen_go(&desk.ui, COMMAND_TO_CASE, &desk.kept.casefile));
    desk_keys(&desk, "<Home>");
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 0);
    int64_t head = head_of(&desk);
    pass(&desk, 200);
    assert_int_equal(
        strncmp(others_of(&other, &desk.kept.casefile), "open at another seat since 08:", 30), 0);
    assert_non_null(strstr(others_of(&other, &desk.kept.casefile), " UTC: tester, tester@test"));
    assert_int_equal(head_of(&desk), head); /* seat state: not in the ledger */
    kept_text(desk.kept.path, "SELECT since FROM presence", since, sizeof since);
    /* To its visit and back: the same case, open since then. Renewed only after a minute. */
    desk.kept.now += 600;
    desk_keys(&desk, "*2");
    pass(&desk, 1000);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence WHERE seen_at > "
                                                 "since"),
                     0);
    pass(&desk, PRESENCE_RENEW_S * 1000);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence WHERE seen_at > "
                                                 "since"),
                     1);
    char again[60];
    kept_text(desk.kept.path, "SELECT since FROM presence", again, sizeof again);
    assert_string_equal(since, again);
    desk_keys(&desk, "<Esc><Esc>");
    assert_int_equal(desk.ui.depth, 1);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 1);
    pass(&desk, 200);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 0);
    assert_string_equal(others_of(&other, &desk.kept.casefile), "");
    stand_up(&other);
    desk_close(&desk);
}

static void leaving_the_program_is_said(void **state)
{
    struct desk desk;

    (void)state;
    open_case(&desk, "presence_left");
    pass(&desk, 200);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 1);
    desk_stand_up(&desk);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 0);
    store_case_close(&desk.kept);
}

/* At the head of the case, of its visit and of a form, on the first frame, on both sizes. */
static void others_stand_at_the_head(void **state)
{
    static const char *const seen[] = {"open at another seat since 08:", "Cara Sample"};
    static const char *const opened[] = {"*1<Esc>", "*2", "*a"};
    struct desk desk;
    struct other other;

    (void)state;
    desk_open(&desk, "presence_head");
    employ(&desk, "Cara Sample");
    sit_down(&desk, &other, "other@pts/9");
    instant since = INSTANT_NONE;
    assert_true(presence_say(&other.app, &desk.kept.casefile, &since));
    desk_keys(&desk, "<Home>");
    assert_false(desk_shows(&desk, "open at another seat"));
    for (int small = 0; small <= 1; small++) {
        desk_resize(&desk, small == 1 ? 12 : 24, small == 1 ? 40 : 80);
        assert_true(screen_go(&desk.ui, COMMAND_TO_CASE, &desk.kept.casefile));
        for (int i = 0; i < 3; i++) {
            desk_keys(&desk, opened[i]);
            assert_shows(&desk, seen[0]);
            if (small == 0)
                assert_shows(&desk, seen[1]);
            if (i > 0)
                desk_keys(&desk, "<Esc>");
        }
        desk_keys(&desk, "<Esc>");
        assert_int_equal(desk.ui.depth, 1);
        assert_false(desk_shows(&desk, "open at another seat"));
    }
    stand_up(&other);
    desk_close(&desk);
}

/* It comes and goes while the case stands on the screen; the rows and the selection stay. */
static void it_comes_and_goes(void **state)
{
    struct desk desk;
    struct other other, third;
    instant since = INSTANT_NONE;

    (void)state;
    open_case(&desk, "presence_moves");
    sit_down(&desk, &other, "other@pts/9");
    sit_down(&desk, &third, "other@pts/10");
    pass(&desk, 200);
    assert_false(pass(&desk, 200)); /* nothing new: no frame */
    desk_keys(&desk, "+++");
    int row = desk.headless.cursor_row;
    assert_true(presence_say(&other.app, &desk.kept.casefile, &since));
    assert_true(pass(&desk, 200));
    assert_shows(&desk, ": tester, other@pts/9");
    assert_true(desk.headless.cursor_row >= row); /* pushed down at most */
    desk.kept.now += 5;
    since = INSTANT_NONE;
    assert_true(presence_say(&third.app, &desk.kept.casefile, &since));
    assert_true(pass(&desk, 200));
    assert_shows(&desk, "other@pts/9 (and 1 more)"); /* who is there longest */
    assert_true(presence_end(&other.app));
    assert_true(pass(&desk, 200));
    assert_shows(&desk, "other@pts/10");
    /* Killed: it says nothing more. After three minutes it is forgotten, without a write. */
    desk.kept.now += PRESENCE_STALE_S + 1;
    assert_true(pass(&desk, 31000));
    assert_false(desk_shows(&desk, "open at another seat"));
    /* Its row goes with the next one that ends. */
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 2);
    desk_keys(&desk, "<Esc>");
    pass(&desk, 200);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 0);
    stand_up(&third);
    stand_up(&other);
    desk_close(&desk);
}

static int64_t now_ms(void)
{
    struct timespec time = {0};

    (void)clock_gettime(CLOCK_MONOTONIC, &time);
    return (int64_t)time.tv_sec * 1000 + time.tv_nsec / 1000000;
}

/* Another seat saves: nothing is waited for, and it is said at a later tick. */
static void nothing_waits(void **state)
{
    struct desk desk;
    struct other other;

    (void)state;
    open_case(&desk, "presence_busy");
    sit_down(&desk, &other, "other@pts/9");
    struct store_request request = {.id = store_new_id(other.app.store), .command = "hold"};
    assert_int_equal(store_begin(other.app.store, &request, &other.error), STATUS_OK);
    int64_t began = now_ms();
    pass(&desk, 200);
    assert_true(now_ms() - began < 90); /* a wait would be told from 100 ms on */
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 0);
    assert_int_equal(store_commit(other.app.store, &other.error), STATUS_OK);
    pass(&desk, 200);
    assert_int_equal(kept_number(desk.kept.path, "SELECT count(*) FROM presence"), 1);
    /* Nor while all of the file is locked, as at the end of a save. */
    sqlite3 *lock = NULL;
    assert_int_equal(sqlite3_open(desk.kept.path, &lock), SQLITE_OK);
    assert_int_equal(sqlite3_exec(lock, "BEGIN EXCLUSIVE", NULL, NULL, NULL), SQLITE_OK);
    began = now_ms();
    pass(&desk, PRESENCE_RENEW_S * 1000);
    assert_true(now_ms() - began < 90);
    assert_int_equal(sqlite3_exec(lock, "ROLLBACK", NULL, NULL, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_close(lock), SQLITE_OK);
    stand_up(&other);
    desk_close(&desk);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_open_is_said),
        cmocka_unit_test(leaving_the_program_is_said),
        cmocka_unit_test(others_stand_at_the_head),
        cmocka_unit_test(it_comes_and_goes),
        cmocka_unit_test(nothing_waits),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
