/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The one storage interface: open, begin, read, append, commit, verify, snapshot. All SQL lives
 * behind it; a second engine can stand behind it later without touching app, ui or core.
 *
 * One SQLite file, rollback journal (journal_mode=TRUNCATE, synchronous=EXTRA): releases before
 * 3.51.3 can lose committed rows in WAL mode unnoticed, so a file in WAL mode is refused.
 *
 * Rows are only ever inserted. A record is a chain of rows: version 1 has record == id; each later
 * version names the row it replaces. A withdrawal row ends a chain. The current rows are those not
 * replaced and not withdrawn; as_of (a ledger sequence) gives those current at a past moment.
 * Only seat state (drafts) and derived state (case_state) are updated in place.
 *
 * Texts returned live in the arena given, or, in a visitor, until it returns.
 */
#ifndef SPRINGLINE_STORE_STORE_H
#define SPRINGLINE_STORE_STORE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "springline/base/arena.h"
#include "springline/base/error.h"
#include "springline/base/text.h"
#include "springline/core/history.h"
#include "springline/core/record.h"

struct store;

/* Instant and random source, injected so that tests can be repeated. */
struct store_source {
    instant (*now)(void *context);
    void (*random)(void *context, void *bytes, size_t count); /* libsodium's in the program */
    void *context;
};

#define STORE_NOW INT64_MAX /* as_of: the newest state */

#define STORE_PRACTICE_PROTOCOL "practice" /* name of the protocol of cases without their own */

/* Told while a save or a read waits for another seat's save, from 100 ms on. */
typedef void (*store_waiting)(void *context, int32_t waited_ms);

/* Creates a new store at path (mode 0600, climbing the whole ladder). STATUS_INPUT when anything
 * exists at path; STATUS_UNUSABLE when the folder can not be written or is on a network. */
enum status store_create(const char *path, const struct store_source *source, struct store **store,
                         struct error *error);

/*
 * Opens an existing store. Before SQLite touches the file its header is read: STATUS_UNUSABLE, one
 * sentence, file untouched, when it is missing, not a store (application id), newer than this
 * program (user_version), in WAL mode (the sentence holds the command that mends it), empty, on a
 * network file system, another user's (but for root), or not readable and writable by this user.
 * Every setting is read back and an untaken one refuses. An older version climbs the ladder, one
 * rung per transaction.
 */
enum status store_open(const char *path, const struct store_source *source, struct store **store,
                       struct error *error);

/*
 * store_open in two steps, for a first screen between them. After store_open_first the store is
 * open with every setting, and store_each_state, store_read_state, store_each_booking,
 * store_each_person, store_each_draft, store_read_case, store_head, store_newest_save,
 * store_states_missing and store_data_version work; every other call fails.
 */
enum status store_open_first(const char *path, const struct store_source *source,
                             struct store **store, struct error *error);
/*
 * The second step: prepares and checks all other statements; must come before the first key is
 * taken. Results as of store_open. A store that is whole already has nothing to do: STATUS_OK.
 */
enum status store_open_rest(struct store *store, struct error *error);

/*
 * Can only this user reach the store at path? STATUS_OK: yes, or nothing is there. STATUS_UNUSABLE:
 * one sentence, what is open to whom and the command that closes it: the file can be read or
 * written by others, or its folder can be written by others, who could then put another in its
 * place. shared: people reach it through this user's account and must not reach it otherwise, so
 * the folder must be closed to reading too, file and folder must be this user's, and no folder
 * above may be one in which others can put another in its place.
 */
enum status store_check_private(const char *path, bool shared, struct error *error);

/* Closes; NULL is allowed. An open transaction is rolled back. */
void store_close(struct store *store);

/* The practice's site id. */
struct id store_site(const struct store *store);
/* A fresh random id. */
struct id store_new_id(struct store *store);
/* The current instant of the store: the clock, never before the newest row's. */
instant store_instant(struct store *store);
/* Whom to tell of a wait; NULL (at first): nobody. The callback may draw and must not touch the
 * store. */
void store_on_waiting(struct store *store, store_waiting waiting, void *context);

/* While hurried nothing waits for another seat: what would have waited answers STATUS_BUSY at once.
 * For what may just as well be done later. */
void store_hurry(struct store *store, bool hurried);

/* ---- writing: begin, append ..., commit ---- */

struct store_request {
    struct id id;        /* unique per save: the same id twice is one save */
    const char *command; /* "visit", "import" ... */
    struct id person;    /* none: not signed in (rows carry none) */
    const char *seat;    /* login@tty or similar; may be empty */
    const char *label;   /* import: what was imported; else empty */
    bool imported;
};

/* BEGIN IMMEDIATE and the request row. STATUS_ALREADY (nothing open) when this id was committed
 * before; STATUS_BUSY after 5 s of waiting. */
enum status store_begin(struct store *store, const struct store_request *request,
                        struct error *error);

/*
 * Inserts one row of kind and its ledger row. record points to the struct of that kind. With
 * head.version 0 a new record is made (head.id: kept if set, else random). Else the row becomes
 * version + 1 of head.record and replaces head.id; STATUS_CONFLICT when that row is not the
 * current one any more. head is filled with what was written. Nothing is checked of the treatment
 * here but what the schema's CHECKs refuse (STATUS_INPUT).
 */
enum status store_append(struct store *store, enum record_kind kind, void *record,
                         struct error *error);

/* Withdraws the current row of a record; reason is required. STATUS_NOT_FOUND, STATUS_CONFLICT. */
enum status store_withdraw(struct store *store, enum record_kind kind, const struct id *row,
                           const char *reason, struct error *error);

/* Writes the derived state of one case (insert or update), its search text included. */
enum status store_put_state(struct store *store, const struct case_state *state,
                            struct error *error);
/* Is the stored search text of the state's case what its names and numbers give? */
enum status store_state_is_found(struct store *store, const struct case_state *state, bool *found,
                                 struct error *error);
/* Removes the derived state of a case that was withdrawn; harmless when there is none. */
enum status store_drop_state(struct store *store, const struct id *casefile, struct error *error);

/*
 * Commits. When SQLite reports an error the transaction may or may not be saved: the store turns
 * read-only, closes, reopens, looks the request id up and answers STATUS_OK if it is there.
 */
enum status store_commit(struct store *store, struct error *error);
/* Ends the transaction without saving anything. Harmless when none is open. */
void store_rollback(struct store *store);

/* ---- reading ---- */

/*
 * Everything recorded of one case, current at as_of, into arena; history->protocol is the case's
 * own (by name) or the practice's current one. STATUS_NOT_FOUND: no such case at as_of.
 */
enum status store_read_case(struct store *store, const struct id *casefile, int64_t as_of,
                            struct arena *arena, struct history *history, struct error *error);

/*
 * What was measured and planned of one case, current at as_of, into arena. A read of its own: the
 * rules, the lists and the month read every history and none of this. A case without any (or none
 * such) gives four empty arrays.
 */
enum status store_read_assessment(struct store *store, const struct id *casefile, int64_t as_of,
                                  struct arena *arena, struct assessment *assessment,
                                  struct error *error);

/* The record id of the case with exactly this number. STATUS_NOT_FOUND without a sentence. */
enum status store_find_case(struct store *store, const char *number, int64_t as_of,
                            struct id *casefile, struct error *error);
/* The record id of the patient with exactly this chart number. */
enum status store_find_patient(struct store *store, const char *chart, int64_t as_of,
                               struct id *patient, struct error *error);
/* The current protocol of that name, into arena. NULL or "": the practice's. */
enum status store_read_protocol(struct store *store, const char *name, int64_t as_of,
                                struct arena *arena, struct protocol *protocol,
                                struct error *error);

/*
 * The current row of kind with the same key (interchange.md: the FIELD_KEY fields) as *probe,
 * copied over *found with texts in arena. STATUS_NOT_FOUND (no sentence) when there is none.
 */
enum status store_find_same_key(struct store *store, enum record_kind kind, const void *probe,
                                struct arena *arena, void *found, struct error *error);

/*
 * The current pairs of a first and a second measurement (repeat 1 and 2 of one case, date, arch,
 * site, landmark, teeth and method): how many, and the sums of their differences (second less
 * first) and of the squares, apart for each landmark.
 */
enum status store_repeat_pairs(struct store *store, struct repeat_sums by_landmark[LANDMARK_COUNT],
                               struct error *error);

/* A visitor returns STATUS_OK to go on; anything else ends the reading and is returned. */
typedef enum status (*store_row_visitor)(void *context, const void *record, struct error *error);
/* Every current row of kind in key order (case number first). */
enum status store_each_row(struct store *store, enum record_kind kind, int64_t as_of,
                           store_row_visitor visitor, void *context, struct error *error);

/* Every current person, oldest record first: of the head only the record, of the rest every field.
 * May be called after store_open_first, and inside a save. */
enum status store_each_person(struct store *store, store_row_visitor visitor, void *context,
                              struct error *error);

/* Another record than this that has or once had the login: the newest name of it that had, in
 * arena. STATUS_NOT_FOUND without a sentence: a login that was never anybody else's. */
enum status store_login_owner(struct store *store, const char *login, const struct id *record,
                              struct arena *arena, const char **name, struct error *error);
/* The same of the people written in the open save: the first whose login is or was another's. */
enum status store_login_taken(struct store *store, struct arena *arena, const char **login,
                              const char **name, struct error *error);

typedef enum status (*store_case_visitor)(void *context, const struct history *history,
                                          struct error *error);
/* Every case, by case number, with its whole history. One read transaction: never wait inside. */
enum status store_each_case(struct store *store, int64_t as_of, store_case_visitor visitor,
                            void *context, struct error *error);

/*
 * What was measured in every case that has both expanders and widths, in one pass over either
 * table: of the history expanders and widths are filled, without their texts; casefile, patient and
 * protocol are NULL, everything else is empty. The case is the rows' casefile; cases come in no
 * order that means anything. One read transaction: never wait inside.
 */
enum status store_each_measured(struct store *store, int64_t as_of, store_case_visitor visitor,
                                void *context, struct error *error);

typedef enum status (*store_state_visitor)(void *context, const struct case_state *state,
                                           day booked, struct error *error);
/* Every case_state with the case's next standing booking on or after on. */
enum status store_each_state(struct store *store, day on, store_state_visitor visitor,
                             void *context, struct error *error);
/* Are there cases, and no state of any: a rung emptied them? May be called after store_open_first.
 */
enum status store_states_missing(struct store *store, bool *missing, struct error *error);
/* The state of one case, into arena. STATUS_NOT_FOUND without a sentence: none. May be called after
 * store_open_first. */
enum status store_read_state(struct store *store, const struct id *casefile, struct arena *arena,
                             struct case_state *state, struct error *error);
/* The states whose search text (folded number, chart, family, given) holds folded; at most most. */
enum status store_search(struct store *store, const char *folded, day on, int32_t most,
                         store_state_visitor visitor, void *context, struct error *error);

typedef enum status (*store_booking_visitor)(void *context, const struct booking *booking,
                                             const struct case_state *state, struct error *error);
/* The bookings of one day, by time, whatever their state. */
enum status store_each_booking(struct store *store, day on, store_booking_visitor visitor,
                               void *context, struct error *error);

/* ---- the story of a record ---- */

/* A save, as its request row has it; texts in the arena. */
struct store_save_told {
    struct id id;
    int64_t sequence; /* of the request row; an import's batch */
    instant at;
    struct id person; /* none: not signed in */
    const char *command, *seat, *label;
    bool imported;
    int64_t rows, withdrawn; /* record rows it wrote, settings apart, and how many of these are
                                withdrawn; filled by store_each_import only */
};
/* The save with this id. STATUS_NOT_FOUND. */
enum status store_read_save(struct store *store, const struct id *id, struct arena *arena,
                            struct store_save_told *told, struct error *error);

struct store_withdrawn {
    instant at;
    struct id person, request;
    const char *reason;
};
/* A version of a record; withdrawn: how the chain ended, with its newest version only, else NULL.
 */
typedef enum status (*store_version_visitor)(void *context, const void *record,
                                             const struct store_withdrawn *withdrawn,
                                             struct error *error);
/* Every version of a record, newest first, withdrawn or not. STATUS_NOT_FOUND: none. */
enum status store_each_version(struct store *store, enum record_kind kind, const struct id *record,
                               store_version_visitor visitor, void *context, struct error *error);
/* Every version of every record of kind that belongs to a case and is withdrawn: the newest version
 * of each, with its withdrawal. Kinds without a case: nothing. */
enum status store_each_withdrawn(struct store *store, enum record_kind kind,
                                 const struct id *casefile, store_version_visitor visitor,
                                 void *context, struct error *error);
/* One row by its id, current or not, into record (of the kind's size), texts in arena.
 * STATUS_NOT_FOUND without a sentence. */
enum status store_read_row(struct store *store, enum record_kind kind, const struct id *row,
                           struct arena *arena, void *record, struct error *error);
/* The current row of a record, likewise. STATUS_NOT_FOUND: none, or withdrawn. */
enum status store_read_current(struct store *store, enum record_kind kind, const struct id *record,
                               struct arena *arena, void *found, struct error *error);

typedef enum status (*store_save_visitor)(void *context, const struct store_save_told *told,
                                          struct error *error);
/* Every import, oldest first, with its row counts. */
enum status store_each_import(struct store *store, store_save_visitor visitor, void *context,
                              struct error *error);
typedef enum status (*store_place_visitor)(void *context, enum record_kind kind,
                                           const struct id *row, struct error *error);
/* Every record row a save wrote that is still current, newest first. */
enum status store_each_row_of_save(struct store *store, const struct id *request,
                                   store_place_visitor visitor, void *context, struct error *error);
/*
 * The first row (by ledger sequence) of a later save that stands on a row of this one: replaces it
 * in a record that is not withdrawn, or is current and belongs to its patient, case or visit. A
 * protocol is left aside: settings that an import brought about are not taken back with it.
 * STATUS_NOT_FOUND without a sentence: none does.
 */
enum status store_find_dependent(struct store *store, const struct id *request,
                                 enum record_kind *kind, struct id *row, int64_t *sequence,
                                 struct error *error);
/* The newest save with this command: its instant; STATUS_NOT_FOUND without a sentence: none. May be
 * called after store_open_first. */
enum status store_newest_save(struct store *store, const char *command, instant *at,
                              struct error *error);
/* The greatest case number, and chart number, that end in 1 to 15 digits, current or not, by the
 * number these make ("C-0051"); "" when there is none. In arena. */
enum status store_greatest_numbers(struct store *store, struct arena *arena,
                                   const char **case_number, const char **chart,
                                   struct error *error);

/* ---- copies ---- */

struct store_copy {
    instant at;   /* when it was begun */
    int64_t rows; /* ledger rows, counted in the copy */
    uint8_t head[32];
    int64_t sequence; /* of the newest ledger row in the copy, whose hash is head */
};
/*
 * Writes a whole copy to path by VACUUM INTO: one snapshot, for which others can read all the time
 * and save before and after. A new file of mode 0600, fsynced with its folder, opened again to be
 * read only, checked (store_verify: integrity, foreign keys, the whole ledger) and compared with
 * the ledger as it stood when it began. It is called path.part until then. Beside it path.manifest
 * says when, which head, how many rows (text, a word and its value on each line).
 * STATUS_INPUT: something exists at path, path.part or path.manifest. STATUS_UNUSABLE: it can not
 * be written, or the store is not sound. On any failure no file of it is left. A file system that
 * can not be asked never to overwrite is asked first whether something is there.
 */
enum status store_backup(struct store *store, const char *path, struct store_copy *copy,
                         struct error *error);

/* A number that changes whenever another seat commits (PRAGMA data_version; busy: the old one). */
int64_t store_data_version(struct store *store);
/* The newest ledger sequence (0: none) and its hash. */
enum status store_head(struct store *store, int64_t *sequence, uint8_t hash[32],
                       struct error *error);
/* The hash of one row of the ledger: with it the chain up to there can be held against a printed
 * sheet. STATUS_NOT_FOUND: there is no such row. */
enum status store_hash_at(struct store *store, int64_t sequence, uint8_t hash[32],
                          struct error *error);
/* The newest ledger sequence recorded at or before at; STATUS_NO with a sentence before the first
 * row. */
enum status store_sequence_at(struct store *store, instant at, int64_t *sequence,
                              struct error *error);

/* ---- closed months ---- */

/* The closed months, oldest month first, or the one of this name (YYYY-MM; NULL: all), each as a
 * struct month_close whose sheet, which can be long, is left out (""). */
enum status store_each_month(struct store *store, const char *month, store_row_visitor visitor,
                             void *context, struct error *error);
/* Is there a case that the account of the month which ends on last would hold: opened and with a
 * trainer by then, not closed? For a reminder; the account itself is core/audit.h. */
enum status store_month_has_cases(struct store *store, day last, bool *has, struct error *error);

/* ---- drafts: one per seat user, case and form ---- */

struct draft {
    const char *user, *form; /* login name; "visit" */
    struct id casefile;
    instant saved_at;
    int32_t filled;      /* fields that hold something: a fuller draft is never replaced by an
                            emptier one of another session */
    struct id request;   /* the request id the save will carry */
    const char *content; /* the form's own text */
};
/* Writes or replaces in one short transaction of its own. STATUS_CONFLICT: a fuller draft with
 * another request id stands and was kept. */
enum status store_put_draft(struct store *store, const struct draft *draft, struct error *error);
/* Removes it, if it is there, whatever session left it. */
enum status store_drop_draft(struct store *store, const char *user, const char *form,
                             const struct id *casefile, struct error *error);
/* Removes it if it carries this request, whose save is done: one that the same user left at another
 * seat stays. Inside store_begin ... store_commit it goes with the save. */
enum status store_end_draft(struct store *store, const char *user, const char *form,
                            const struct id *casefile, const struct id *request,
                            struct error *error);
typedef enum status (*store_draft_visitor)(void *context, const struct draft *draft,
                                           struct error *error);
/* Every draft of user, newest first. */
enum status store_each_draft(struct store *store, const char *user, store_draft_visitor visitor,
                             void *context, struct error *error);

/* The oldest draft of a case, whoever left it, texts in arena. STATUS_NOT_FOUND without a sentence:
 * there is none. */
enum status store_find_draft(struct store *store, const struct id *casefile, struct arena *arena,
                             struct draft *draft, struct error *error);

/* ---- presence: which seat has which case open ---- */

struct presence {
    const char *seat;   /* login@terminal */
    struct id casefile; /* what it has open */
    struct id person;   /* who sits there; none: not signed in */
    instant since;      /* when it was opened there; INSTANT_NONE: not known */
    instant seen_at;    /* when the seat last said so: one that was killed says nothing more */
};
/*
 * Says what the seat has open, in the place of what it said before; one short transaction, outside
 * the ledger.
 */
enum status store_put_presence(struct store *store, const struct presence *presence,
                               struct error *error);
/* The seat has nothing open; with it go the rows that were last seen before an instant. */
enum status store_drop_presence(struct store *store, const char *seat, instant before,
                                struct error *error);
typedef enum status (*store_presence_visitor)(void *context, const struct presence *presence,
                                              struct error *error);
/* Every seat that has the case open, this one and those long gone among them, by since. */
enum status store_each_presence(struct store *store, const struct id *casefile,
                                store_presence_visitor visitor, void *context, struct error *error);

/* ---- verify ---- */

/* Rows of one kind that a case ever had, whether they stand or not, in no order that means
 * anything; ended[i]: the ledger row that replaced or withdrew row i, INT64_MAX: none did. */
struct store_ever {
    const void *rows; /* structs of the kind */
    const int64_t *ended;
    size_t count;
};
/* Kinds: the versions of the case itself, trainer to wear_count, judged. All into arena. */
enum status store_read_ever(struct store *store, enum record_kind kind, const struct id *casefile,
                            struct arena *arena, struct store_ever *ever, struct error *error);

/* number: of the case's first version; stands: not withdrawn. */
typedef enum status (*store_ever_visitor)(void *context, const struct id *casefile,
                                          const char *number, bool stands, struct error *error);
/* Every case there ever was, each in a read transaction of its own: a save waits for one visit at
 * most. A case that comes in meanwhile may be passed over. */
enum status store_each_case_ever(struct store *store, store_ever_visitor visitor, void *context,
                                 struct error *error);
/* How many derived states there are, and how many cases stand, at one moment. */
enum status store_count_states(struct store *store, int64_t *states, int64_t *cases,
                               struct error *error);

struct verify_report {
    int64_t rows;         /* ledger rows walked */
    int64_t bad_sequence; /* first ledger row that does not match; 0: all match */
    int64_t verdicts;     /* ledger rows of verdicts stored with visits */
    struct text findings; /* one line per finding; release with text_release */
    uint8_t head[32];
};
/*
 * Walks the ledger from the first row: every row is hashed again with its type tags and its place
 * and compared; rows outside the ledger, every reference of every row (also those that are no
 * foreign keys), SQLite's own integrity and personal commitments are checked; a blank is
 * accepted only where a row of erasure names it, and what one names must be blank. In slices,
 * between which saves are let in; the longest, SQLite's look at the whole file, takes about a
 * second for each gigabyte. STATUS_OK: sound. STATUS_DAMAGED: the report names what was found, the
 * first row first. Derived state and stored verdicts are compared by app (app_verify).
 */
enum status store_verify(struct store *store, struct verify_report *report, struct error *error);

#endif
