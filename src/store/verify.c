/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "cell.h"
enum status store_verify(struct store *store, struct verify_report *report, struct error *error)
{
    (void)report;
    return error_set(error, STATUS_UNUSABLE, store->path, "verify is being written.");
}
