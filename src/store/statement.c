/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every statement of the store, prepared once when it is opened, in one step or two. */
#include <string.h>

#include "handle.h"

/* A save: its request row, and the last ledger row before the next save. The rows of a save follow
 * its request without a gap, for they were written in one transaction. */
#define SAVE_COLUMNS                                                                               \
    "save.id, save.sequence, save.recorded_at, save.person, save.command, save.seat, save.label, " \
    "save.imported"
#define AFTER_SAVE                                                                                 \
    "(SELECT min(later.sequence) FROM request AS later WHERE later.sequence > "                    \
    "save.sequence)"
/* The ledger rows of record rows that the save wrote. */
#define ROWS_OF_SAVE                                                                               \
    "ledger.sequence > save.sequence AND ledger.sequence < coalesce(" AFTER_SAVE                   \
    ", 9223372036854775807) AND ledger.kind <> 'request' AND ledger.kind <> 'withdrawal'"
/* A number of more digits is no counted one: a date with a time, a code read from a card. */
#define GREATEST_FIRST                                                                             \
    "WHERE length(digits) BETWEEN 1 AND 15 ORDER BY CAST(digits AS INTEGER) DESC, name DESC "      \
    "LIMIT 1"

#define SECRET_COLUMNS "login, passphrase, pin, set_at, once_until, pin_failures"
/* A row of the log as row_read takes it, and the seat of its save. */
#define LOG_COLUMNS                                                                                \
    "kept.id, kept.record, kept.version, kept.sequence, kept.recorded_at, kept.person, "           \
    "kept.request, kept.reason, kept.what, kept.login, kept.command, kept.subject, kept.detail, "  \
    "save.seat FROM access AS kept CROSS JOIN request AS save ON save.id = kept.request "

static const char *const statement_sql[STATEMENT_COUNT] = {
    [STATEMENT_BEGIN_READ] = "BEGIN DEFERRED",
    [STATEMENT_BEGIN_WRITE] = "BEGIN IMMEDIATE",
    [STATEMENT_COMMIT] = "COMMIT",
    [STATEMENT_ROLLBACK] = "ROLLBACK",
    [STATEMENT_DATA_VERSION] = "PRAGMA data_version",
    [STATEMENT_PRACTICE] = "SELECT id FROM practice",
    [STATEMENT_HEAD] =
        "SELECT sequence, recorded_at, hash FROM ledger ORDER BY sequence DESC LIMIT 1",
    [STATEMENT_LEDGER_INSTANT] = "SELECT recorded_at FROM ledger WHERE sequence = :sequence",
    [STATEMENT_LEDGER_HASH] = "SELECT hash FROM ledger WHERE sequence = :sequence",
    [STATEMENT_LEDGER_INSERT] = "INSERT INTO ledger (sequence, kind, row, recorded_at, hash) "
                                "VALUES (:sequence, :kind, :row, :recorded_at, :hash)",
    [STATEMENT_REQUEST_FIND] = "SELECT imported FROM request WHERE id = :id",
    [STATEMENT_REQUEST_INSERT] =
        "INSERT INTO request (id, sequence, recorded_at, practice, person, seat, command, label, "
        "imported) VALUES (:id, :sequence, :recorded_at, :practice, :person, :seat, :command, "
        ":label, :imported)",
    [STATEMENT_WITHDRAWAL_INSERT] =
        "INSERT INTO withdrawal (id, sequence, recorded_at, practice, person, request, kind, row, "
        "reason) VALUES (:id, :sequence, :recorded_at, :practice, :person, :request, :kind, :row, "
        ":reason)",
    [STATEMENT_CHART_OF_CASE] =
        "SELECT who.chart FROM casefile_current AS file CROSS JOIN patient_current AS who "
        "ON who.record = file.patient WHERE file.record = :casefile",
    [STATEMENT_REPEAT_PAIRS] =
        "SELECT second.landmark, count(*), sum(second.um - first.um), "
        "sum((second.um - first.um) * (second.um - first.um)) "
        "FROM width_current AS second JOIN width_current AS first "
        "ON first.casefile = second.casefile AND first.date = second.date "
        "AND first.arch = second.arch AND first.site = second.site "
        "AND first.landmark = second.landmark AND first.teeth = second.teeth "
        "AND first.method = second.method AND first.repeat = 1 "
        "WHERE second.repeat = 2 GROUP BY second.landmark",
    /* The columns of a row as row_sql_select orders them; the sheet is left out. */
    [STATEMENT_MONTHS] =
        "SELECT kept.id, kept.record, kept.version, kept.sequence, kept.recorded_at, kept.person, "
        "kept.request, kept.reason, kept.month, kept.through, kept.newest_row, kept.hash, '', "
        "kept.digest, kept.rules_version, kept.cases, kept.unsigned_visits "
        "FROM month_close_current AS kept WHERE :month IS NULL OR kept.month = :month "
        "ORDER BY kept.month",
    [STATEMENT_MONTH_HAS_CASES] =
        "SELECT EXISTS (SELECT 1 FROM trainer_current AS worn CROSS JOIN casefile_current AS file "
        "ON file.record = worn.casefile WHERE worn.issued_on <= :last AND file.opened <= :last "
        "AND (file.closed_on IS NULL OR file.closed_on > :last))",
    [STATEMENT_PEOPLE] =
        /* The choice to be asked nothing counts while it is newer than anything recorded of
         * somebody else: who was joined and is left again must choose anew. */
    "SELECT record, login, name, role, CASE WHEN EXISTS (SELECT 1 FROM person AS other WHERE "
    "other.record <> kept.record AND other.sequence > kept.sequence) THEN 'no' ELSE alone END "
    "FROM person_current AS kept ORDER BY sequence",
    [STATEMENT_WITHDRAWAL_OF] =
        "SELECT recorded_at, person, request, reason FROM withdrawal WHERE row = :row",
    [STATEMENT_SAVE] = "SELECT " SAVE_COLUMNS " FROM request AS save WHERE save.id = :id",
    [STATEMENT_IMPORTS] =
        "SELECT " SAVE_COLUMNS ", "
        "(SELECT count(*) FROM ledger WHERE " ROWS_OF_SAVE " AND ledger.kind <> 'protocol'), "
        "(SELECT count(*) FROM ledger CROSS JOIN withdrawal AS gone ON gone.row = ledger.row "
        "WHERE " ROWS_OF_SAVE " AND ledger.kind <> 'protocol') "
        "FROM request AS save WHERE save.imported = 1 ORDER BY save.sequence",
    [STATEMENT_NEWEST_SAVE] = "SELECT recorded_at FROM request WHERE command = :command "
                              "ORDER BY sequence DESC LIMIT 1",
    [STATEMENT_ROWS_OF_SAVE] =
        "SELECT ledger.kind, ledger.row, ledger.sequence FROM request AS save CROSS JOIN ledger "
        "WHERE save.id = :id AND " ROWS_OF_SAVE " ORDER BY ledger.sequence DESC",
    [STATEMENT_GREATEST_CASE] =
        "SELECT name FROM (SELECT \"case\" AS name, substr(\"case\", 1 + length(rtrim(\"case\", "
        "'0123456789'))) AS digits FROM casefile) " GREATEST_FIRST,
    [STATEMENT_GREATEST_CHART] =
        "SELECT name FROM (SELECT chart AS name, substr(chart, 1 + length(rtrim(chart, "
        "'0123456789'))) AS digits FROM patient) " GREATEST_FIRST,
    [STATEMENT_STATES_MISSING] = "SELECT EXISTS (SELECT 1 FROM casefile_current) "
                                 "AND NOT EXISTS (SELECT 1 FROM case_state)",
    [STATEMENT_STATES_COUNT] = "SELECT (SELECT count(*) FROM case_state), "
                               "(SELECT count(*) FROM casefile_current)",
    [STATEMENT_CASE_AFTER] =
        "SELECT kept.id, kept.\"case\", EXISTS (SELECT 1 FROM casefile_current AS now "
        "WHERE now.record = kept.id) FROM casefile AS kept "
        "WHERE kept.id > :after AND kept.version = 1 ORDER BY kept.id LIMIT 1",
    [STATEMENT_STATE_WORDS] = "SELECT search FROM case_state WHERE casefile = :casefile",
    [STATEMENT_STATE_DROP] = "DELETE FROM case_state WHERE casefile = :casefile",
    [STATEMENT_DRAFT_PUT] =
        "INSERT INTO draft (user, form, casefile, saved_at, filled, request, content) "
        "VALUES (:user, :form, :casefile, :saved_at, :filled, :request, :content) "
        "ON CONFLICT (user, form, casefile) DO UPDATE SET saved_at = excluded.saved_at, "
        "filled = excluded.filled, request = excluded.request, content = excluded.content "
        "WHERE draft.request = excluded.request OR draft.filled <= excluded.filled",
    [STATEMENT_DRAFT_DROP] =
        "DELETE FROM draft WHERE user = :user AND form = :form AND casefile = :casefile "
        "AND (:request IS NULL OR request = :request)",
    [STATEMENT_DRAFTS] = "SELECT form, casefile, saved_at, filled, request, content FROM draft "
                         "WHERE user = :user ORDER BY saved_at DESC, form, casefile",
    [STATEMENT_DRAFT_OF_CASE] =
        "SELECT form, casefile, saved_at, filled, request, content, user FROM draft "
        "WHERE casefile = :casefile ORDER BY saved_at LIMIT 1",
    [STATEMENT_SECRET] = "SELECT " SECRET_COLUMNS " FROM secret WHERE login = :login",
    [STATEMENT_SECRETS] = "SELECT " SECRET_COLUMNS " FROM secret ORDER BY login",
    [STATEMENT_SECRET_PUT] =
        "INSERT INTO secret (login, passphrase, pin, set_at, once_until, pin_failures) "
        "VALUES (:login, :passphrase, :pin, :set_at, :once_until, :pin_failures) "
        "ON CONFLICT (login) DO UPDATE SET passphrase = excluded.passphrase, pin = excluded.pin, "
        "set_at = excluded.set_at, once_until = excluded.once_until, "
        "pin_failures = excluded.pin_failures",
    [STATEMENT_FAILURE] = "SELECT failures, newest_at FROM sign_in_failure WHERE login = :login",
    [STATEMENT_FAILURE_PUT] =
        "INSERT INTO sign_in_failure (login, failures, newest_at) "
        "VALUES (:login, :failures, :newest_at) ON CONFLICT (login) DO UPDATE SET "
        "failures = excluded.failures, newest_at = excluded.newest_at",
    /* And the old ones of logins that are none, which app keeps under a hash. */
    [STATEMENT_FAILURE_DROP] =
        "DELETE FROM sign_in_failure WHERE login = :login "
        "OR (length(login) = 65 AND login GLOB '[?]*' AND newest_at < :before)",
    [STATEMENT_LOGIN_OWNER] = "SELECT login, name FROM person WHERE login = :login "
                              "AND record <> :record ORDER BY sequence DESC LIMIT 1",
    [STATEMENT_LOGIN_TAKEN] =
        "SELECT other.login, other.name FROM person AS written JOIN person AS other "
        "ON other.login = written.login AND other.record <> written.record "
        "WHERE written.request = :request ORDER BY written.sequence, other.sequence DESC LIMIT 1",
    [STATEMENT_LOG] = "SELECT " LOG_COLUMNS "ORDER BY kept.sequence DESC",
    /* By the index of what; a login is found among the few rows of one sort. */
    [STATEMENT_LOG_OF] = "SELECT " LOG_COLUMNS "WHERE kept.what = :what "
                         "AND (:login IS NULL OR kept.login = :login) ORDER BY kept.sequence DESC",
    [STATEMENT_PRESENCE_PUT] =
        "INSERT INTO presence (seat, casefile, seen_at, since, person) "
        "VALUES (:seat, :casefile, :seen_at, :since, :person) "
        "ON CONFLICT (seat) DO UPDATE SET casefile = excluded.casefile, "
        "seen_at = excluded.seen_at, since = excluded.since, person = excluded.person",
    [STATEMENT_PRESENCE_DROP] = "DELETE FROM presence WHERE seat = :seat OR seen_at < :before",
    [STATEMENT_PRESENCES] = "SELECT seat, casefile, seen_at, since, person FROM presence "
                            "WHERE casefile = :casefile ORDER BY since, seat",
};

static enum status prepare(struct store *store, const char *sql, sqlite3_stmt **stmt,
                           struct error *error)
{
    int code = sqlite3_prepare_v3(store->db, sql, -1, SQLITE_PREPARE_PERSISTENT, stmt, NULL);

    if (code == SQLITE_OK)
        return STATUS_OK;
    if ((code & 0xff) == SQLITE_ERROR)
        return error_set(error, STATUS_UNUSABLE, store->path,
                         "%s does not hold the tables of this program (%s); restore the newest "
                         "backup.",
                         store->path, sqlite3_errmsg(store->db));
    return store_failure(store, code, error);
}

static enum status prepare_statement(struct store *store, enum statement which, struct text *sql,
                                     struct error *error)
{
    text_clear(sql);
    if (statement_sql[which] != NULL)
        text_add(sql, statement_sql[which]);
    state_sql(sql, store->shapes, which);
    signature_sql(sql, store->shapes, which);
    if (sql->failed)
        return error_no_memory(error);
    return prepare(store, text_string(sql), &store->statements[which], error);
}

static enum status prepare_kind(struct store *store, enum record_kind kind, struct text *sql,
                                struct error *error)
{
    for (int which = 0; which < ROW_STATEMENT_COUNT; which++) {
        enum status status;

        if (store->rows[kind][which] != NULL)
            continue;
        text_clear(sql);
        row_sql(sql, store->shapes, kind, (enum row_statement)which);
        if (sql->failed)
            return error_no_memory(error);
        if (sql->length == 0)
            continue;
        status = prepare(store, text_string(sql), &store->rows[kind][which], error);
        if (status != STATUS_OK)
            return status;
    }
    return STATUS_OK;
}

/* What a first screen reads: the states of the cases, the day's bookings, the seat's drafts. */
static const enum statement first_statements[] = {
    STATEMENT_BEGIN_READ,     STATEMENT_ROLLBACK, STATEMENT_DATA_VERSION, STATEMENT_PRACTICE,
    STATEMENT_HEAD,           STATEMENT_STATES,   STATEMENT_BOOKINGS,     STATEMENT_DRAFTS,
    STATEMENT_STATE,                            /* of a case on the list, when its row is shown */
    STATEMENT_REQUEST_FIND,                     /* every row that is read names its request */
    STATEMENT_NEWEST_SAVE,                      /* how old the newest backup is */
    STATEMENT_STATES_MISSING, STATEMENT_PEOPLE, /* who sits here comes before anything is shown */
    STATEMENT_UNSIGNED_COUNT,                   /* how many visits wait for a signature */
};

enum status statements_prepare_first(struct store *store, struct error *error)
{
    struct text sql = {0};
    enum status status = STATUS_OK;

    for (size_t i = 0; i < sizeof first_statements / sizeof first_statements[0]; i++) {
        if (status == STATUS_OK)
            status = prepare_statement(store, first_statements[i], &sql, error);
    }
    text_release(&sql);
    return status;
}

enum status statements_prepare_rest(struct store *store, struct error *error)
{
    struct text sql = {0};
    enum status status = STATUS_OK;

    if (store->whole)
        return STATUS_OK;
    for (int i = 0; i < STATEMENT_COUNT && status == STATUS_OK; i++) {
        if (store->statements[i] == NULL)
            status = prepare_statement(store, (enum statement)i, &sql, error);
    }
    for (int kind = 0; kind < RECORD_KIND_COUNT && status == STATUS_OK; kind++)
        status = prepare_kind(store, (enum record_kind)kind, &sql, error);
    text_release(&sql);
    store->whole = status == STATUS_OK;
    return status;
}

void statements_finalize(struct store *store)
{
    store->whole = false;
    for (int i = 0; i < STATEMENT_COUNT; i++) {
        sqlite3_finalize(store->statements[i]);
        store->statements[i] = NULL;
    }
    for (int kind = 0; kind < RECORD_KIND_COUNT; kind++)
        for (int which = 0; which < ROW_STATEMENT_COUNT; which++) {
            sqlite3_finalize(store->rows[kind][which]);
            store->rows[kind][which] = NULL;
        }
}
