/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Lawful erasure of one patient (GDPR 17, from memory): names, birth date, guardians, telephones,
 * alerts and notes go, whatever the version; what was measured, given and decided stays, under the
 * chart and case numbers alone, and the ledger stays whole.
 *
 * A child that may have something in the mouth must be reachable: nobody is erased while a case is
 * open, anything is still in place, a safety item stands or is set aside, or a booking stands.
 */
#ifndef SPRINGLINE_APP_ERASE_H
#define SPRINGLINE_APP_ERASE_H

#include "springline/app/app.h"

/* Was the patient erased, here or in the practice whose export was read? */
bool erase_done(const struct patient *patient);
/* STATUS_INPUT, with what to do, where the patient of the case was erased: nothing more is recorded
 * of a child nobody can name. */
enum status erase_refuse_entry(const struct history *history, struct error *error);

/*
 * The records that carry this chart number, and are erased or copied together: the current patient,
 * and withdrawn ones of the same family name and birth date (an import that was taken back and read
 * again leaves such). Without a current one all withdrawn ones, if they are alike.
 */
enum { ERASE_RECORDS_MAX = 32 };
struct erase_subject {
    char chart[4 * TEXT_CELL_CHARACTERS + 1]; /* as recorded */
    struct id patients[ERASE_RECORDS_MAX];    /* the current one first */
    size_t count;
    bool current;   /* the first is */
    bool erased;    /* every one was erased before */
    int32_t unlike; /* withdrawn ones of another name or birth date: left alone */
};
/* STATUS_NOT_FOUND: nobody has this chart number. */
enum status erase_find(struct app *app, const char *chart, struct erase_subject *subject,
                       struct error *error);

/*
 * Appends to out who would be erased, what would be blanked, and what can not be: texts that the
 * ledger's hashes cover as they are, with those named in which a name of the family stands. Nothing
 * is written. STATUS_INPUT: the sentence says what must be done first. STATUS_REFUSED, STATUS_
 * NOT_FOUND.
 */
enum status erase_look(struct app *app, const char *chart, struct text *out, struct error *error);

/*
 * Erases in one save of its own, and logs it; then the file is written anew, so that no copy is
 * left in its unused space. ground: the written request or the law, in words, kept for ever and
 * without a name of the family. Everything is asked again inside the save. Lines without a name are
 * appended to out. Given once more for somebody who is erased already, it only writes the file
 * anew. STATUS_INPUT, STATUS_REFUSED, STATUS_NOT_FOUND; STATUS_BUSY and STATUS_UNUSABLE with the
 * word that the erasure stands when only the last step failed.
 */
enum status erase_patient(struct app *app, const char *chart, const char *ground, struct text *out,
                          struct error *error);

#endif
