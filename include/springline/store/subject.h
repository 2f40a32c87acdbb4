/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Everything kept of one patient: what a copy for the family and an erasure look at. */
#ifndef SPRINGLINE_STORE_SUBJECT_H
#define SPRINGLINE_STORE_SUBJECT_H

#include "springline/store/store.h"

/* A row about a patient, of any version, current or not. */
struct store_subject_row {
    enum record_kind kind;
    const void *record; /* of the kind's struct */
    bool replaced;      /* a later version stands */
    uint8_t hash[32];   /* of its ledger row, whose place the head names */
    bool ended;         /* withdrawn, then: */
    struct store_withdrawn withdrawn;
    int64_t withdrawn_sequence;
    uint8_t withdrawn_hash[32];
};
typedef enum status (*store_subject_visitor)(void *context, const struct store_subject_row *row,
                                             struct error *error);
/*
 * Every row of kind about the patient with this record id, in the order of the ledger: the patient,
 * the cases whose newest version is the patient's, all that belongs to these, the verdicts of their
 * visits; of the log what names the chart or a case, the signatures and erasures of any of these
 * rows. Other kinds: nothing. The visitor may read on, and write.
 */
enum status store_each_subject_row(struct store *store, enum record_kind kind,
                                   const struct id *patient, store_subject_visitor visitor,
                                   void *context, struct error *error);
/* The newest version of every patient, current or withdrawn, whose chart number this is. An import
 * that was taken back and read again leaves several. */
enum status store_each_of_chart(struct store *store, const char *chart,
                                store_subject_visitor visitor, void *context, struct error *error);
/* Every unsaved form of the patient's cases, whoever left it. The visitor may not read on. */
enum status store_each_subject_draft(struct store *store, const struct id *patient,
                                     store_draft_visitor visitor, void *context,
                                     struct error *error);

/* Every unsaved form that belongs to no case, likewise. */
enum status store_each_loose_draft(struct store *store, store_draft_visitor visitor, void *context,
                                   struct error *error);

/* A text of the patient's rows that the ledger's hashes cover as it is, and that no erasure can
 * take away: why something was changed or withdrawn, what an import was called, who did it. */
struct store_plain_text {
    const char *table, *column;
    int64_t sequence; /* of the row in the ledger */
    const char *text;
};
typedef enum status (*store_plain_visitor)(void *context, const struct store_plain_text *text,
                                           struct error *error);
/* Every such text, those of the log apart, which are the program's own. */
enum status store_each_plain_text(struct store *store, const struct id *patient,
                                  store_plain_visitor visitor, void *context, struct error *error);

#endif
