/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * What is kept of a practice: one plain struct per kind of record, and one const table per kind
 * that names its fields. Store, import, export and history all walk these tables, so a column is
 * added in one place (and in a schema rung). Nothing here can do anything.
 *
 * In every enum 0 means "not recorded"; unknown is never good.
 * Text fields point into the arena the record was read into; NULL and "" both mean not recorded.
 */
#ifndef SPRINGLINE_CORE_RECORD_H
#define SPRINGLINE_CORE_RECORD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "springline/base/date.h"
#include "springline/base/id.h"
#include "springline/base/millimetre.h"
#include "springline/base/word.h"

enum answer { ANSWER_NONE, ANSWER_YES, ANSWER_NO };
enum sex {
    SEX_NONE,
    SEX_MALE,
    SEX_FEMALE,
    SEX_OTHER,
    SEX_UNKNOWN
}; /* ISO-free: the four words of interchange */
enum arch { ARCH_NONE, ARCH_UPPER, ARCH_LOWER };
enum side { SIDE_NONE, SIDE_RIGHT, SIDE_LEFT };
enum sides { SIDES_NONE, SIDES_BOTH, SIDES_RIGHT, SIDES_LEFT };
enum site { SITE_NONE, SITE_INTERMOLAR, SITE_INTERCANINE, SITE_INTERPREMOLAR };
enum landmark {
    LANDMARK_NONE,
    LANDMARK_CUSP,
    LANDMARK_FOSSA,
    LANDMARK_GINGIVAL,
    LANDMARK_FACIAL,
    LANDMARK_TUBE
};
enum method { METHOD_NONE, METHOD_MOUTH, METHOD_CAST, METHOD_SCAN };
enum source { SOURCE_NONE, SOURCE_SENSOR, SOURCE_DIARY, SOURCE_TOLD }; /* best first */
enum tissue {
    TISSUE_NONE,
    TISSUE_SOUND,
    TISSUE_MILD,
    TISSUE_WOUND
}; /* spelled "", none, mild, wound */
enum visit_kind {
    VISIT_NONE,
    VISIT_ACTIVATION,
    VISIT_CHECK,
    VISIT_REPAIR,
    VISIT_RELIEF,
    VISIT_REMOVAL,
    VISIT_STABILITY,
    VISIT_MISSED
};
enum booking_kind {
    BOOKING_NONE,
    BOOKING_ASSESSMENT,
    BOOKING_SEPARATORS,
    BOOKING_BANDS,
    BOOKING_FIT,
    BOOKING_ACTIVATION,
    BOOKING_CHECK,
    BOOKING_REPAIR,
    BOOKING_RELIEF,
    BOOKING_REMOVAL,
    BOOKING_STABILITY
};
enum booking_state {
    BOOKED_NONE,
    BOOKED_STANDING,
    BOOKED_KEPT,
    BOOKED_MISSED,
    BOOKED_CANCELLED
}; /* booked kept missed cancelled */
enum canceller { CANCELLER_NONE, CANCELLER_FAMILY, CANCELLER_PRACTICE };
enum trainer_end {
    TRAINER_END_NONE,
    TRAINER_LOST,
    TRAINER_BROKEN,
    TRAINER_OUTGROWN,
    TRAINER_STOPPED
};
enum out_reason { OUT_NONE, OUT_REST, OUT_REPAIR, OUT_TARGET, OUT_OTHER };
enum closed_reason { CLOSED_NONE, CLOSED_FINISHED, CLOSED_TRANSFERRED, CLOSED_DISCONTINUED };
enum channel { CHANNEL_NONE, CHANNEL_TELEPHONE, CHANNEL_LETTER, CHANNEL_MESSAGE, CHANNEL_VISIT };
enum outcome {
    OUTCOME_NONE,
    OUTCOME_REACHED,
    OUTCOME_NOT_REACHED,
    OUTCOME_LEFT_WORD,
    OUTCOME_REFUSED
};
/* By which equation canine and premolars were predicted from the lower incisors; the numbers and
 * sources stand where it is computed. EQUATION_UNUSED, spelled "none": nothing was predicted. */
enum equation {
    EQUATION_NONE,
    EQUATION_TANAKA_JOHNSTON,
    EQUATION_INDIA_MALE,
    EQUATION_INDIA_FEMALE,
    EQUATION_SPAIN_MALE,
    EQUATION_SPAIN_FEMALE,
    EQUATION_NORTH_CHINA_MALE,
    EQUATION_NORTH_CHINA_FEMALE,
    EQUATION_UNUSED
};
enum role { ROLE_NONE, ROLE_ORTHODONTIST, ROLE_ASSISTANT, ROLE_DESK, ROLE_READER, ROLE_COUNT };
enum access_what {
    ACCESS_NONE,
    ACCESS_SIGNED_IN,
    ACCESS_SIGN_IN_FAILED,
    ACCESS_SHUT_OUT,
    ACCESS_REFUSED,
    ACCESS_LOCKED,
    ACCESS_REOPENED,
    ACCESS_SECRET_SET,
    ACCESS_SECRET_RESET,
    ACCESS_EXPORTED,
    ACCESS_PRINTED,
    ACCESS_ERASED
};
/* As what a row was signed (21 CFR 11.50(a)(3): the meaning of the signature). */
enum meaning {
    MEANING_NONE,
    MEANING_EXAMINED_AND_DECIDED,
    MEANING_CORRECTED,
    MEANING_WITHDRAWN,
    MEANING_MONTH_CLOSED
};
/* How it was proved at signing who signs. PROOF_ALONE: a practice of one that chose not to be
 * asked. */
enum proof { PROOF_NONE, PROOF_PIN, PROOF_PASSPHRASE, PROOF_ALONE };

extern const struct words words_answer, words_sex, words_arch, words_side, words_sides, words_site,
    words_landmark, words_method, words_source, words_tissue, words_visit_kind, words_booking_kind,
    words_booking_state, words_canceller, words_trainer_end, words_out_reason, words_closed_reason,
    words_channel, words_outcome, words_role, words_fault, words_equation, words_access_what,
    words_meaning, words_proof;

/*
 * Hardware of a visit as one number: 0 not recorded; HARDWARE_INTACT; or one bit per fault and
 * side. Spelled "intact" or "loose-band:right;broken-wire" (interchange.md), faults in this order,
 * for each fault: without side, right, left.
 */
enum fault {
    FAULT_NONE,
    FAULT_LOOSE_BAND,
    FAULT_BROKEN_WIRE,
    FAULT_BENT_WIRE,
    FAULT_LOST_LIGATURE,
    FAULT_LOST_BRACKET
};
enum { FAULT_COUNT = 5, HARDWARE_NOT_RECORDED = 0, HARDWARE_INTACT = 1 };
/* The bit of a fault on a side (SIDE_NONE: side not known). */
static inline uint32_t hardware_bit(enum fault fault, enum side side)
{
    return UINT32_C(2) << (((unsigned)fault - 1U) * 3U + (unsigned)side);
}
/* Any fault recorded? */
static inline bool hardware_faulty(uint32_t hardware)
{
    return (hardware & ~UINT32_C(1)) != 0;
}

/* Two teeth by ISO 3950, right one first: 16-26 is first 16, last 26. Zero: not recorded. */
struct teeth {
    uint8_t right, left;
};

/* What every row carries. */
struct row_head {
    struct id id;        /* this row */
    struct id record;    /* the record: the id of its first version */
    int32_t version;     /* 1, 2, ...; 0 in a record not yet saved */
    int64_t sequence;    /* its place in the ledger */
    instant recorded_at; /* the real clock, never running back */
    struct id person;    /* who recorded it */
    struct id request;   /* the save it came with; for an import: the batch */
    bool imported;       /* came with an import: never judged on entry */
    const char *reason;  /* why a recorded value was changed; empty in version 1 */
};

struct patient {
    struct row_head head;
    const char *chart, *family, *given;
    day born;
    enum sex sex;
    const char *guardian, *phone, *guardian2, *phone2, *alerts;
};

/* "(erased)": what reading gives as the family name of a patient who was erased; nobody else is
 * without one. */
extern const char patient_erased[];

struct casefile {
    struct row_head head;
    const char *number; /* "C-0001" */
    struct id patient;
    day opened, consent_on, asked_on;
    const char *protocol; /* name; empty: the practice's current one */
    day closed_on;
    enum closed_reason closed_reason;
    const char *clinician;
    /* The health questions of domain.md 7 as they were answered on asked_on; store only. What was
     * answered with yes stands in the patient's alerts as well. */
    enum answer nickel;  /* nickel allergy */
    enum answer latex;   /* latex allergy: separators, ligatures */
    enum answer medical; /* bleeding or heart condition: medical advice before bands are seated */
    enum answer seizure; /* asthma or epilepsy, with a removable appliance */
    enum answer anchor;  /* braces or loose teeth at the anchor molars */
};

struct trainer {
    struct row_head head;
    struct id casefile;
    day issued_on, ended_on;
    enum trainer_end ended_reason;
};

struct expander {
    struct row_head head;
    struct id casefile;
    enum arch arch;
    day separators_on, banded_on, fitted_on;
    enum answer passive_ends, width_equal, loops_clear, tied,
        ends_rounded; /* the five fit checks */
    um wire, loop_right, loop_left;
    enum sides sides; /* in plan */
    um plan_gap;      /* planned right - left; UM_NONE counts as 0 */
    enum site site;
    enum landmark landmark;
    struct teeth teeth;
    um target;
    day passive_on, out_on;
    enum out_reason out_reason;
    const char *band_right, *band_left; /* band sizes; store only */
};

struct visit {
    struct row_head head;
    struct id casefile;
    day date;
    enum visit_kind kind;
    enum arch arch; /* none: a visit of the case as a whole (missed, check, stability) */
    um right, left;
    enum tissue tissue;
    uint32_t hardware;
    enum answer repaired, elsewhere;
    const char *override_reason;
    day next_on;
    const char *by, *note;
};

struct width {
    struct row_head head;
    struct id casefile;
    day date;
    enum arch arch;
    enum site site;
    enum landmark landmark;
    struct teeth teeth;
    enum method method;
    int32_t repeat; /* 1, 2, ... */
    um value;
    const char *by;
};

/* Repeat pairs of widths, second reading less first of the same case, day, arch, site, landmark,
 * teeth and method: never a difference between two landmarks. */
struct repeat_sums {
    int64_t pairs, sum_um, sum_squares_um2;
};
enum { LANDMARK_COUNT = LANDMARK_TUBE + 1 };

struct wear_day {
    struct row_head head;
    struct id casefile;
    day date;
    int32_t day_minutes; /* -1: not recorded */
    enum answer night;
    enum source source;
};

struct wear_count {
    struct row_head head;
    struct id casefile;
    day from, to; /* both included */
    int32_t days_met, days_asked;
    enum source source;
};

struct contact {
    struct row_head head;
    struct id casefile;
    instant at;
    enum channel channel;
    enum outcome outcome;
    day again_on;
    const char *by, *note;
    /* yes: with this contact a clinician set the standing safety items aside until again_on, for
     * the reason in note (domain.md 7; core/course.h). Store only: a practice that comes back from
     * CSV sees its safety items again. */
    enum answer cleared;
    const char *cleared_by; /* the clinician */
};

struct booking {
    struct row_head head;
    struct id casefile;
    day date;
    int32_t time_min; /* minutes since midnight */
    enum booking_kind kind;
    enum booking_state state;
    enum canceller cancelled_by;
};

/* The width of one tooth, mesial to distal. */
struct tooth_width {
    struct row_head head;
    struct id casefile;
    day date;
    int32_t tooth; /* ISO 3950, core/tooth.h: the code carries arch and side */
    enum method method;
    int32_t repeat; /* 1, 2, ... */
    um value;
    const char *by;
};

/* The room along an arch, from mesial of one first permanent molar to mesial of the other, in four
 * straight segments, which meet at mesial of the canines and at the contact of the central
 * incisors: two lateral, two anterior (space analysis as taught; course notes, no paper).
 * A segment that was not measured is UM_NONE; at least one is there. */
struct arch_segment {
    struct row_head head;
    struct id casefile;
    day date;
    enum arch arch;
    enum method method;
    int32_t repeat;
    um back_right, front_right, front_left, back_left;
    const char *by;
};

/* The depth of an arch: from the line between teeth to the contact of the central incisors. */
struct arch_depth {
    struct row_head head;
    struct id casefile;
    day date;
    enum arch arch;
    struct teeth teeth; /* the line */
    enum method method;
    int32_t repeat;
    um value;
    const char *by;
};

/* The plan for one arch of a case, one at a time, in versions. Each number as it was computed on
 * made_on; nothing in it permits anything. */
struct plan {
    struct row_head head;
    struct id casefile;
    enum arch arch;
    day made_on;
    enum equation equation;
    um balance; /* space available - required: below 0 room is short */
    enum site site;
    enum landmark landmark;
    struct teeth teeth;
    um start_width, depth, target;
    int32_t activations_least, activations_most;
    int32_t weeks_least, weeks_most; /* of activation */
    int32_t visits_least, visits_most;
    day separators_on, bands_on, fit_on;
    day active_from, active_to_earliest, active_to_latest;
    day retention_to_earliest, retention_to_latest;
    const char *by, *note;
};

/* Settings of domain.md 2, one struct, versioned; defaults and standing: core/protocol.h. */
struct protocol {
    struct row_head head;
    const char *name;
    um first_step_max, step_max, step_grain;
    int32_t interval_min_days, interval_max_days, restart_after_days;
    int32_t window_days;
    um window_max;
    int32_t wear_day_min_minutes;
    enum answer wear_night; /* the night counts too */
    int32_t wear_full_permille, wear_low_permille, wear_known_min_permille, wear_thin_permille;
    int32_t wear_period_min_days, wear_differs_days;
    int32_t reduce_permille;
    int32_t wear_run_hold, wear_run_rest; /* visits */
    um side_gap;
    um lag_total;
    int32_t lag_days, lag_share_permille;
    um width_rate_max_per_week;
    int32_t width_stale_days, width_missing_days;
    um width_error;
    int32_t retention_days;
    int32_t recheck_wear_min_days, recheck_wear_max_days;
    int32_t recheck_fault_min_days, recheck_fault_max_days;
    int32_t recheck_rest_min_days, recheck_rest_max_days;
    int32_t separator_days, lower_after_days;
    um entry_cap;
};

struct person {
    struct row_head head;
    const char *login, *name;
    enum role role;
    enum answer alone; /* yes: while nobody else works here nobody is asked who they are */
};

/* What was asked of the program that writes no record of its own. */
struct access {
    struct row_head head;
    enum access_what what;
    const char *login;   /* whom it is about; not always that of the seat */
    const char *command; /* its name */
    const char *subject; /* case or chart number, or a month */
    const char *detail;  /* never a name of a patient */
};

/* A signature under one row. recorded_at and person of its head: when, and who. */
struct signature {
    struct row_head head;
    const char *kind;     /* table of the row */
    const char *row;      /* its id in hexadecimal */
    const char *row_hash; /* of its ledger row: its content, its place, all before; hexadecimal */
    const char *name;     /* of the person, as printed */
    enum meaning meaning;
    enum proof proof;
};

/* The account of a month as it was signed. */
struct month_close {
    struct row_head head;
    const char *month;  /* YYYY-MM */
    day through;        /* last day accounted for */
    int32_t newest_row; /* newest ledger row it stands on */
    const char *hash;   /* of that ledger row, hexadecimal */
    const char *sheet;  /* the figures, CSV without names */
    const char *digest; /* BLAKE2b-256 of sheet, hexadecimal */
    int32_t rules_version;
    int32_t cases, unsigned_visits;
};

/* A lawful erasure: personal fields of one row were blanked. head.reason: the ground. */
struct erasure {
    struct row_head head;
    const char *kind;   /* table of the row */
    const char *row;    /* its id in hexadecimal */
    const char *fields; /* columns, separated by blanks */
};

/* The verdict a saved visit was given under; written with the visit, never for imported ones. */
struct judged {
    struct row_head head;
    struct id visit; /* the visit row (head.id of its version) */
    int32_t verdict; /* enum verdict of core/rules.h */
    um permitted_right, permitted_left;
    day next_from, next_to;
    struct id protocol; /* the protocol row */
    int32_t rules_version;
    um width_error;
    const char *findings; /* JSON array: rule, effect, side, limit, values */
};

enum stage { /* most advanced last; an arch shows the first that fits of domain.md 8 */
             STAGE_NONE,
             STAGE_ASSESSED,
             STAGE_PLANNED,
             STAGE_SEPARATORS,
             STAGE_BANDED,
             STAGE_FITTED,
             STAGE_ACTIVE,
             STAGE_RETENTION,
             STAGE_STABILITY,
             STAGE_RESTING,
             STAGE_CLOSED
};
enum safety { /* the safety items of domain.md 7 */
              SAFETY_NONE,
              SAFETY_UNSEEN,
              SAFETY_CLOSED_WITH_EXPANDER,
              SAFETY_SEPARATORS,
              SAFETY_BANDS,
              SAFETY_OPEN_TROUBLE,
              SAFETY_COUNT
};
extern const struct words words_stage, words_safety;

/*
 * Derived state of one case: a cache of core/course.h over the current rows, rewritten in the same
 * transaction as each save, rebuilt and compared by verify, never read by the rules. Everything in
 * it holds for any day on or after newest; what depends on the day is kept as the day it begins.
 */
struct case_state {
    struct id casefile;
    enum stage stage; /* of the case, on the day of newest */
    enum stage stage_upper, stage_lower;
    day stability_from_upper;      /* day from which an arch kept as retention shows stability: */
    day stability_from_lower;      /* use course_stage_on(); DAY_NONE: time alone changes nothing */
    day newest;                    /* date of the newest dated row, bookings apart */
    day last_seen;                 /* newest visit at which the patient was seen */
    day due_from, due_to;          /* next date; DAY_NONE: none */
    day safety_from[SAFETY_COUNT]; /* day from which the item stands; DAY_NONE: never */
    day again_on;                  /* call again on, from the newest contact */
    day last_contact;
    int32_t last_verdict;                        /* enum verdict; 0 none */
    bool last_recomputed;                        /* last_verdict was not stored with the visit */
    const char *number, *family, *given, *phone; /* copied, so that a list reads one table */
    const char *clinician;
};

enum record_kind {
    RECORD_PATIENT,
    RECORD_CASEFILE,
    RECORD_TRAINER,
    RECORD_EXPANDER,
    RECORD_VISIT,
    RECORD_WIDTH,
    RECORD_WEAR_DAY,
    RECORD_WEAR_COUNT,
    RECORD_CONTACT,
    RECORD_BOOKING,
    RECORD_TOOTH_WIDTH, /* this and the next three: the assessment, core/history.h */
    RECORD_ARCH_SEGMENT,
    RECORD_ARCH_DEPTH,
    RECORD_PLAN,
    RECORD_PROTOCOL,
    RECORD_PERSON,
    RECORD_JUDGED,
    RECORD_ACCESS, /* this and the next three are never changed or withdrawn */
    RECORD_SIGNATURE,
    RECORD_MONTH_CLOSE,
    RECORD_ERASURE,
    RECORD_KIND_COUNT
};

enum field_type {
    FIELD_TEXT,     /* const char *            SQL TEXT     NULL when empty */
    FIELD_DAY,      /* day                     SQL TEXT     YYYY-MM-DD */
    FIELD_INSTANT,  /* instant                 SQL TEXT     YYYY-MM-DDTHH:MM:SSZ */
    FIELD_CLOCK,    /* int32_t minutes         SQL TEXT     HH:MM; negative: none */
    FIELD_UM,       /* um                      SQL INTEGER  micrometres */
    FIELD_INT,      /* int32_t                 SQL INTEGER  negative: none */
    FIELD_WORD,     /* int (an enum)           SQL TEXT     by words */
    FIELD_HARDWARE, /* uint32_t                SQL TEXT     as above */
    FIELD_TEETH,    /* struct teeth            SQL TEXT     16-26 */
    FIELD_ID        /* struct id               SQL BLOB     reference */
};

enum field_flag {
    FIELD_KEY = 1,        /* part of the key of interchange.md */
    FIELD_REQUIRED = 2,   /* may not be empty */
    FIELD_PERSONAL = 4,   /* enters the ledger as a salted commitment (erasable) */
    FIELD_NOT_IN_CSV = 8, /* store only */
    FIELD_NOTE = 16       /* free text: the long limit */
};

struct field {
    const char *name; /* column in the store and, unless flagged, in CSV */
    size_t offset;    /* in the struct */
    enum field_type type;
    unsigned flags;
    const struct words *words; /* FIELD_WORD */
    enum record_kind refers;   /* FIELD_ID */
};

struct record_table {
    const char *table; /* SQL table: "visit" */
    const char *csv;   /* CSV kind and file stem: "visits"; NULL: not exchanged */
    size_t size;       /* of the struct; row_head first */
    const struct field *fields;
    size_t field_count;
    bool course; /* a record with a course (versions), else an event (corrections) */
};

/* One entry per enum record_kind. */
extern const struct record_table record_tables[RECORD_KIND_COUNT];

/*
 * In CSV a FIELD_ID column carries the other record's key instead: column "case" for casefile
 * (case number), "chart" for patient. field.name is then the CSV name; the SQL column is the
 * table name of what it refers to.
 */

#endif
