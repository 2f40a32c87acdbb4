/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The backup as a person makes it: noted in the store, and its age told from the seventh day on
 * (our own setting, no source). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "kept_store.h"
#include "springline/app/keep.h"
#include "store_case.h"

enum { DAY_SECONDS = 24 * 60 * 60 };

static struct error error;

static void good(enum status status)
{
    if (status != STATUS_OK)
        fail_msg("status %d: %s", (int)status, error.sentence);
}

/* What the first screen is told, opened as it is. */
static void tells(struct store_case *kept, const char *words)
{
    struct text out = {0};

    store_close(kept->app.store);
    kept->app.store = NULL;
    good(store_open_first(kept->path, &kept->source, &kept->app.store, &error));
    good(keep_stale(&kept->app, &out, &error));
    if (words[0] == '\0')
        assert_string_equal("", text_string(&out));
    else
        assert_int_equal(0, strncmp(words, text_string(&out), strlen(words)));
    assert_null(strchr(text_string(&out), '\n'));
    text_release(&out);
    good(store_open_rest(kept->app.store, &error));
}

static void back_up(struct store_case *kept, char path[300], struct text *out)
{
    char manifest[320];

    (void)snprintf(path, 300, "%s.copy", kept->path);
    (void)snprintf(manifest, sizeof manifest, "%s.manifest", path);
    (void)unlink(path);
    (void)unlink(manifest);
    good(keep_backup(&kept->app, path, out, &error));
    assert_int_equal(0, unlink(manifest));
}

static void the_age_of_the_newest_is_told(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct text out = {0};
    char path[300];

    (void)state;
    case_typical(&maker);
    store_case_open(&kept, "stale", maker.today);
    tells(&kept, ""); /* nothing can be lost yet */
    store_case_keep(&kept, &maker);
    tells(&kept, "No backup was ever made");
    back_up(&kept, path, &out);
    assert_int_equal(0, unlink(path));
    tells(&kept, "");
    kept.now += KEEP_STALE_DAYS * DAY_SECONDS - 60;
    tells(&kept, "");
    kept.now += 120;
    tells(&kept, "The last backup is 7 days old");
    kept.now += 2 * DAY_SECONDS;
    tells(&kept, "The last backup is 9 days old");
    back_up(&kept, path, &out);
    assert_int_equal(0, unlink(path));
    tells(&kept, "");
    kept.now -= 30 * DAY_SECONDS; /* a clock set back makes no backup older or younger */
    tells(&kept, "");
    text_release(&out);
    store_case_close(&kept);
}

/* A save without a row: who made a copy, when, where; the ledger is sound with it, and the copy
 * itself knows nothing of it. */
static void a_backup_is_noted_in_the_store(void **state)
{
    struct store_case kept;
    struct case_maker maker;
    struct text out = {0};
    char path[300], label[400], real[4096];

    (void)state;
    case_typical(&maker);
    store_case_open(&kept, "noted", maker.today);
    store_case_keep(&kept, &maker);
    int64_t rows = kept_number(kept.path, "SELECT count(*) FROM ledger");
    back_up(&kept, path, &out);
    assert_int_equal(0, strncmp(text_string(&out), path, strlen(path)));
    /* The save that says so, and its row in the log. */
    assert_int_equal(rows + 2, kept_number(kept.path, "SELECT count(*) FROM ledger"));
    assert_int_equal(rows, kept_number(path, "SELECT count(*) FROM ledger"));
    kept_text(kept.path, "SELECT label FROM request WHERE command = 'backup'", label, sizeof label);
    assert_non_null(realpath(path, real));
    assert_string_equal(real, label);
    kept_text(kept.path, "SELECT seat FROM request WHERE command = 'backup'", label, sizeof label);
    assert_string_equal("tester@test", label);
    text_clear(&out);
    good(app_verify(&kept.app, &out, &error));
    assert_int_equal(STATUS_INPUT, keep_backup(&kept.app, path, &out, &error));
    assert_int_equal(rows + 2, kept_number(kept.path, "SELECT count(*) FROM ledger"));
    assert_int_equal(0, unlink(path));
    text_release(&out);
    store_case_close(&kept);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_age_of_the_newest_is_told),
        cmocka_unit_test(a_backup_is_noted_in_the_store),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
