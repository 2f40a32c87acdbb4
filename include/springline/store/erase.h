/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * Lawful erasure: personal values of one patient and their salts are blanked, on a connection that
 * can do nothing else, and the ledger says so. The ledger covers seals, not values, so that every
 * hash stays as it was.
 */
#ifndef SPRINGLINE_STORE_ERASE_H
#define SPRINGLINE_STORE_ERASE_H

#include "springline/store/store.h"

/*
 * Opens another connection to the file of store, the only one that may blank anything: beside what
 * a save of an erasure writes, its authoriser lets personal columns and their salts be updated, and
 * drafts be deleted. Everything of store.h works on it as far as that goes. store_close.
 * No save may be open on store.
 */
enum status store_open_erasing(const struct store *store, struct store **erasing,
                               struct error *error);

struct store_erased {
    int32_t rows[RECORD_KIND_COUNT]; /* that hold, or held, a personal value */
    int32_t values;                  /* in all of them */
    int32_t drafts;
};
/* What an erasure of this patient would blank; nothing is written. */
enum status store_count_erasable(struct store *store, const struct id *patient,
                                 struct store_erased *erased, struct error *error);
/*
 * Inside a save on a connection of store_open_erasing: of every row of the patient and the
 * patient's cases, whatever its version, withdrawn or not, each personal value becomes NULL and its
 * salt zero; the seals stay, so that no hash changes. Each row blanked has a row of erasure that
 * names the columns, with ground as its reason. Unsaved forms of the cases go. The states of the
 * cases are the caller's to rewrite. Values that were never recorded stay as they are.
 */
enum status store_erase_patient(struct store *erasing, const struct id *patient, const char *ground,
                                struct store_erased *erased, struct error *error);
/*
 * Writes the file anew (VACUUM, on a connection of its own): SQLite overwrites what it frees, yet
 * where it parts or joins pages copies of rows stay behind in the unused space of a page (measured:
 * tests/store/erase_test.c). Memory for one more copy of the store; other seats wait. Not inside a
 * save.
 */
enum status store_clean(struct store *store, struct error *error);

#endif
