/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What import and export share behind springline/app/exchange.h: cells to fields and back, what may
 * stand in one record, and what may stand in one case. */
#ifndef SPRINGLINE_APP_EXCHANGE_PRIVATE_H
#define SPRINGLINE_APP_EXCHANGE_PRIVATE_H

#include "springline/app/exchange.h"
#include "springline/base/arena.h"
#include "springline/base/text.h"
#include "springline/core/history.h"

/* Space for the struct of any kind. */
union any_record {
    struct row_head head;
    struct patient patient;
    struct casefile casefile;
    struct trainer trainer;
    struct expander expander;
    struct visit visit;
    struct width width;
    struct wear_day wear_day;
    struct wear_count wear_count;
    struct contact contact;
    struct booking booking;
    struct tooth_width tooth_width;
    struct arch_segment arch_segment;
    struct arch_depth arch_depth;
    struct plan plan;
    struct protocol protocol;
    struct person person;
};

enum { EXCHANGE_FIELDS_MAX = 32 };

/* ---- cells and fields ---- */

/* Every field of kind as "not recorded". */
void exchange_blank(enum record_kind kind, union any_record *record);

/* The field of kind that CSV calls name; -1: none. */
int exchange_field(enum record_kind kind, const char *name);

/* The first key column of kind that the header lacks; NULL: none is. */
const char *exchange_missing_key(enum record_kind kind, const char *const *header, size_t count);

/* The kind that knows most of the columns, its key there or not, for a sentence that helps;
 * RECORD_KIND_COUNT: none or several. */
enum record_kind exchange_closest_kind(const char *const *header, size_t count);

/* Writes size bytes of value into the field. */
void exchange_set(const struct field *field, union any_record *record, const void *value,
                  size_t size);
/* The value of a text field, "" when not recorded. */
const char *exchange_text(const struct field *field, const union any_record *record);
/* The value of a field that is kept in 32 bits. */
int32_t exchange_int(const struct field *field, const union any_record *record);

/* Are the values of one field the same? NULL and "" are. */
bool exchange_same(const struct field *field, const union any_record *a, const union any_record *b);

/*
 * Reads one cell into its field of record. Text points into cell. References (FIELD_ID) are not
 * read here, nor teeth checked against the arch; an empty cell leaves the field not recorded,
 * and a required one is STATUS_INPUT. The sentence says what is wrong and what to write.
 */
enum status exchange_read_cell(const struct field *field, const char *cell,
                               union any_record *record, struct error *error);

/* Blanks at either end of a key would make two of one number: STATUS_INPUT. */
enum status import_check_key_text(const char *column, const char *text, struct error *error);

/* Appends one field as a cell: two decimals, ISO dates, guarded text. Not for FIELD_ID. */
void exchange_add_cell(struct text *out, const struct field *field, const union any_record *record);

/* ---- one record ---- */

/*
 * What can be judged from one row alone: dates in order and not after today, ranges in which a
 * number is no slip, what must stand together. STATUS_INPUT with the column in error->where.
 */
enum status import_check_record(enum record_kind kind, const union any_record *record, day today,
                                struct error *error);

/* Its parts. A length within its range; later not before earlier; teeth that exist, of the arch;
 * repeat counted from 1. What is not recorded is always good. */
enum status import_check_length(const char *column, um value, um least, um most,
                                struct error *error);
enum status import_check_order(const char *column, day later, const char *earlier_column,
                               day earlier, struct error *error);
enum status import_check_teeth(struct teeth teeth, enum arch arch, struct error *error);
enum status import_check_repeat(int32_t repeat, struct error *error);
/* Of what an assessment measures and plans (import_assessment.c). */
enum status import_check_tooth_width(const struct tooth_width *row, struct error *error);
enum status import_check_arch_segment(const struct arch_segment *row, struct error *error);
enum status import_check_arch_depth(const struct arch_depth *row, struct error *error);
enum status import_check_plan(const struct plan *row, struct error *error);

/* Ranges in which a length is no slip: the program's own settings. */
enum {
    WIDTH_LEAST_UM = 5000, /* of an arch; around published widths of children, import_record.c */
    WIDTH_MOST_UM = 100000,
    TOOTH_LEAST_UM = 1000, /* of a tooth; no tooth is below 1 or above 15 mm wide */
    TOOTH_MOST_UM = 15000,
    TOOTH_USUAL_LEAST_UM = 3500, /* outside these two it is asked about once */
    TOOTH_USUAL_MOST_UM = 12500,
    SEGMENT_LEAST_UM = 4000, /* of one of the four straight segments of an arch */
    SEGMENT_MOST_UM = 45000,
    DEPTH_LEAST_UM = 5000, /* of an arch: published means at the molars 28.10 and 31.59 mm */
    DEPTH_MOST_UM = 60000,
    BALANCE_MOST_UM = 50000 /* of room, either way */
};

/* May the field hold a day to come (a booking, the next visit, when to call again, a plan)? */
bool import_may_lie_ahead(enum record_kind kind, const struct field *field);

/* ---- one case ---- */

/* What the rows of a case can contradict. */
enum case_fault {
    CASE_BEFORE_BORN,
    CASE_TRAINERS_OVERLAP,
    CASE_PLACE_TAKEN,    /* two expanders in one arch */
    CASE_BEFORE_OPENED,  /* a visit before the case was opened */
    CASE_BEFORE_FIT,     /* a visit before the fit of its arch's expander */
    CASE_AFTER_OUT,      /* a visit after it was taken out */
    CASE_NEVER_FITTED,   /* a visit in an arch whose expander has no day of fit */
    CASE_AMOUNT_MISSING, /* no amount on a side in plan */
};

/* A finding about one row of a case. The sentence is for whoever imports files; it lives as long as
 * the call. */
struct case_finding {
    enum case_fault fault;
    const struct row_head *head;
    const char *column;
    const char *sentence;
};
typedef void (*case_reporter)(void *context, const struct case_finding *finding);

/*
 * What can be judged only when everything of a case is there: overlapping trainers, two expanders
 * in one arch at once, activations without an expander in place, visits before the case was
 * opened. first is the ledger sequence of the import's first row: of two rows in conflict the one
 * of the import is named (the later dated if both are), and what is wrong among older rows alone
 * is not this import's matter.
 */
void import_check_case(const struct history *history, int64_t first, case_reporter reporter,
                       void *context);

/* ---- numbers to ids, ids to numbers ---- */

/* What is known of one case or patient during an import. */
struct import_party {
    const char *number;
    struct id id;
    bool refused;  /* its own row was bad: what refers to it can not be judged */
    bool doubtful; /* a row of it was bad: what needs the whole case can not be judged */
    bool touched;  /* it got a row in this import */
    bool erased;   /* the patient was erased before it: nothing more is recorded */
};

struct import_index {
    struct import_party **slots;
    size_t count, capacity;
};

/* The party with this number; NULL: not there. */
struct import_party *import_index_find(const struct import_index *index, const char *number);
/* A new party with a copy of number, all in arena; NULL: no memory. It must not be there yet. */
struct import_party *import_index_add(struct import_index *index, struct arena *arena,
                                      const char *number);

#endif
