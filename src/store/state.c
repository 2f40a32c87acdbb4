/* SPDX-License-Identifier: GPL-3.0-or-later */
/* case_state: its columns, the statements about it, and how a row of it is written and read. */
#include "state.h"

#include <string.h>

#define STATE_FIELD(name, member, type, words)                                                     \
    {                                                                                              \
        name, offsetof(struct case_state, member), type, 0, words, RECORD_KIND_COUNT               \
    }

static const struct field state_fields[] = {
    {"case", offsetof(struct case_state, casefile), FIELD_ID, 0, NULL, RECORD_CASEFILE},
    STATE_FIELD("stage", stage, FIELD_WORD, &words_stage),
    STATE_FIELD("stage_upper", stage_upper, FIELD_WORD, &words_stage),
    STATE_FIELD("stage_lower", stage_lower, FIELD_WORD, &words_stage),
    STATE_FIELD("stability_from_upper", stability_from_upper, FIELD_DAY, NULL),
    STATE_FIELD("stability_from_lower", stability_from_lower, FIELD_DAY, NULL),
    STATE_FIELD("newest", newest, FIELD_DAY, NULL),
    STATE_FIELD("last_seen", last_seen, FIELD_DAY, NULL),
    STATE_FIELD("due_from", due_from, FIELD_DAY, NULL),
    STATE_FIELD("due_to", due_to, FIELD_DAY, NULL),
    STATE_FIELD("unseen_from", safety_from[SAFETY_UNSEEN], FIELD_DAY, NULL),
    STATE_FIELD("closed_with_expander_from", safety_from[SAFETY_CLOSED_WITH_EXPANDER], FIELD_DAY,
                NULL),
    STATE_FIELD("separators_from", safety_from[SAFETY_SEPARATORS], FIELD_DAY, NULL),
    STATE_FIELD("bands_from", safety_from[SAFETY_BANDS], FIELD_DAY, NULL),
    STATE_FIELD("open_trouble_from", safety_from[SAFETY_OPEN_TROUBLE], FIELD_DAY, NULL),
    STATE_FIELD("again_on", again_on, FIELD_DAY, NULL),
    STATE_FIELD("last_contact", last_contact, FIELD_DAY, NULL),
    STATE_FIELD("last_verdict", last_verdict, FIELD_INT, NULL),
    STATE_FIELD("number", number, FIELD_TEXT, NULL),
    STATE_FIELD("family", family, FIELD_TEXT, NULL),
    STATE_FIELD("given", given, FIELD_TEXT, NULL),
    STATE_FIELD("phone", phone, FIELD_TEXT, NULL),
    STATE_FIELD("clinician", clinician, FIELD_TEXT, NULL),
};

enum { STATE_FIELD_COUNT = sizeof state_fields / sizeof state_fields[0] };

_Static_assert(STATE_COLUMN_COUNT == STATE_FIELD_COUNT + 1,
               "state_read takes the fields and a flag");

/* Appends the column of field i; those after the fields are last_recomputed and search. */
static void add_column(struct text *sql, size_t i)
{
    if (i < STATE_FIELD_COUNT)
        column_name(sql, &state_fields[i]);
    else
        text_add(sql, i == STATE_FIELD_COUNT ? "last_recomputed" : "search");
}

static void add_put(struct text *sql)
{
    const size_t count = STATE_FIELD_COUNT + 2;

    text_add(sql, "INSERT INTO case_state (");
    for (size_t i = 0; i < count; i++) {
        text_add(sql, i == 0 ? "" : ", ");
        add_column(sql, i);
    }
    text_add(sql, ") VALUES (");
    for (size_t i = 0; i < count; i++) {
        text_add(sql, i == 0 ? ":" : ", :");
        add_column(sql, i);
    }
    text_add(sql, ") ON CONFLICT (casefile) DO UPDATE SET ");
    for (size_t i = 1; i < count; i++) {
        text_add(sql, i == 1 ? "" : ", ");
        add_column(sql, i);
        text_add(sql, " = excluded.");
        add_column(sql, i);
    }
}

/* The columns as state_read takes them. */
static void add_state(struct text *sql)
{
    for (size_t i = 0; i <= STATE_FIELD_COUNT; i++) {
        text_add(sql, i == 0 ? "state." : ", state.");
        add_column(sql, i);
    }
}

/* The first standing booking of the case on or after :on, out of one index. */
static const char next_booking[] =
    ", (SELECT min(book.date) FROM booking_current AS book WHERE book.casefile = state.casefile "
    "AND book.date >= :on AND book.state = 'booked')";

void state_sql(struct text *sql, const struct shape *shapes, enum statement which)
{
    if (which == STATEMENT_STATE_PUT) {
        add_put(sql);
    } else if (which == STATEMENT_BOOKINGS) {
        row_sql_select(sql, &shapes[RECORD_BOOKING]);
        text_add(sql, ", ");
        add_state(sql);
        text_add(sql, " FROM booking_current AS kept LEFT JOIN case_state AS state "
                      "ON state.casefile = kept.casefile WHERE kept.date = :on "
                      "ORDER BY kept.time, state.number");
    } else if (which == STATEMENT_STATE) {
        text_add(sql, "SELECT ");
        add_state(sql);
        text_add(sql, " FROM case_state AS state WHERE state.casefile = :casefile");
    } else if (which == STATEMENT_STATES || which == STATEMENT_SEARCH) {
        text_add(sql, "SELECT ");
        add_state(sql);
        text_add(sql, next_booking);
        text_add(sql, " FROM ");
        if (which == STATEMENT_SEARCH)
            text_add(sql, "(SELECT casefile AS found, search AS words FROM case_state "
                          "WHERE instr(search, :folded) > 0 "
                          "OR instr(replace(replace(search, '-', ''), char(39), ''), :bare) > 0 "
                          "OR (substr(search, 1, length(:letters)) = :letters "
                          "AND ltrim(substr(search, length(:letters) + 1, instr(search, ' ') - "
                          "length(:letters) - 1), '-0') = :digits) "
                          "ORDER BY search LIMIT :most) "
                          "CROSS JOIN case_state AS state ON state.casefile = found "
                          "ORDER BY words");
        else
            text_add(sql, "case_state AS state NOT INDEXED");
    }
}

/* The chart number of the case's patient, copied into chart. */
static enum status chart_of_case(struct store *store, const struct id *casefile, struct text *chart,
                                 struct error *error)
{
    struct query query = query_start(store, store->statements[STATEMENT_CHART_OF_CASE]);

    query_id(&query, ":casefile", casefile);
    while (query_row(&query))
        text_add(chart, (const char *)sqlite3_column_text(query.stmt, 0));
    return query_end(&query, error);
}

/* What is searched in: number, chart, family and given name, folded. */
static enum status search_text(struct store *store, const struct case_state *state,
                               struct text *search, struct error *error)
{
    struct text words = {0};
    enum status status;

    text_addf(&words, "%s ", state->number != NULL ? state->number : "");
    status = chart_of_case(store, &state->casefile, &words, error);
    text_addf(&words, " %s %s", state->family != NULL ? state->family : "",
              state->given != NULL ? state->given : "");
    text_add_folded(search, text_string(&words));
    if (status == STATUS_OK && (words.failed || search->failed))
        status = error_no_memory(error);
    text_release(&words);
    return status;
}

static enum status bind_fields(struct store *store, struct query *query,
                               const struct case_state *state, struct error *error)
{
    for (size_t i = 0; i < STATE_FIELD_COUNT && query->code == SQLITE_OK; i++) {
        struct cell cell;
        enum status status = cell_of_field(&state_fields[i], state, &store->scratch, &cell, error);

        if (status != STATUS_OK)
            return status;
        query->code = cell_bind(query->stmt, (int)i + 1, &cell);
    }
    return STATUS_OK;
}

enum status store_put_state(struct store *store, const struct case_state *state,
                            struct error *error)
{
    struct text search = {0};
    struct query query;
    enum status status = save_check(store, error);

    if (status != STATUS_OK)
        return status;
    arena_clear(&store->scratch);
    status = search_text(store, state, &search, error);
    if (status == STATUS_OK) {
        query = query_start(store, store->statements[STATEMENT_STATE_PUT]);
        status = bind_fields(store, &query, state, error);
        query_integer(&query, ":last_recomputed", state->last_recomputed ? 1 : 0);
        query_text(&query, ":search", text_string(&search));
        if (status == STATUS_OK)
            status = write_end(store, &query, "case_state", error);
    }
    text_release(&search);
    return status;
}

enum status store_state_is_found(struct store *store, const struct case_state *state, bool *found,
                                 struct error *error)
{
    struct text search = {0};
    enum status status = search_text(store, state, &search, error);

    *found = false;
    if (status == STATUS_OK) {
        struct query query = query_start(store, store->statements[STATEMENT_STATE_WORDS]);
        query_id(&query, ":casefile", &state->casefile);
        while (query_row(&query)) {
            const char *words = (const char *)sqlite3_column_text(query.stmt, 0);
            *found = words != NULL && strcmp(words, text_string(&search)) == 0;
        }
        status = query_end(&query, error);
    }
    text_release(&search);
    return status;
}

enum status store_drop_state(struct store *store, const struct id *casefile, struct error *error)
{
    struct query query;
    enum status status = save_check(store, error);

    if (status != STATUS_OK)
        return status;
    query = query_start(store, store->statements[STATEMENT_STATE_DROP]);
    query_id(&query, ":casefile", casefile);
    return write_end(store, &query, "case_state", error);
}

enum status state_read(sqlite3_stmt *stmt, int first, struct arena *arena, struct case_state *state,
                       struct error *error)
{
    enum status status;

    memset(state, 0, sizeof *state);
    state->safety_from[SAFETY_NONE] = DAY_NONE;
    status = fields_read(stmt, first, state_fields, STATE_FIELD_COUNT, "case_state", arena, state,
                         error);
    state->last_recomputed = sqlite3_column_int(stmt, first + STATE_FIELD_COUNT) != 0;
    return status;
}
