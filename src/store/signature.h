/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The SQL that signature.c and verify_signature.c share. Private. */
#ifndef SPRINGLINE_STORE_SIGNATURE_PRIVATE_H
#define SPRINGLINE_STORE_SIGNATURE_PRIVATE_H

#define NOT_SIGNED                                                                                 \
    "NOT EXISTS (SELECT 1 FROM signature AS sign WHERE sign.row = want.row "                       \
    "AND sign.sequence <= :as_of)"
#define VISIT_STANDS                                                                               \
    "NOT EXISTS (SELECT 1 FROM visit AS newer WHERE newer.replaces = want.visit "                  \
    "AND newer.sequence <= :as_of) AND NOT EXISTS (SELECT 1 FROM withdrawal AS gone "              \
    "WHERE gone.row = want.visit AND gone.sequence <= :as_of)"
#define AFTER_SINCE "want.sequence > (SELECT since FROM signing) AND want.sequence <= :as_of"

/* What waited for a signature at :as_of, worked out from the rows: the columns of unsigned_row. */
#define UNSIGNED_AS_OF                                                                             \
    "SELECT want.row AS row, 'visit' AS kind, want.visit AS visit, want.sequence AS sequence "     \
    "FROM visit_to_sign AS want WHERE " AFTER_SINCE " AND " VISIT_STANDS " AND " NOT_SIGNED        \
    " UNION ALL SELECT want.row, 'withdrawal', want.visit, want.sequence "                         \
    "FROM withdrawal_to_sign AS want WHERE " AFTER_SINCE " AND " NOT_SIGNED

#endif
