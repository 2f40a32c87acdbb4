/* SPDX-License-Identifier: GPL-3.0-or-later */
/* After all files: every case that got a row is read back whole and checked, once. */
#include "import_private.h"

/* A row of a case was found bad: its file and line are known by its place in the ledger. */
static void report_row(void *context, const struct case_finding *finding)
{
    struct import *import = context;
    struct import_place *place = import_place_of(import, finding->head->sequence);

    if (place == NULL)
        return;
    if (!place->bad) {
        import->totals.bad++;
        import->totals.added--;
    }
    place->bad = true;
    import->reporter(import->context, import->files[place->file], place->line, finding->column,
                     finding->sentence);
}

enum status import_check(struct import *import, struct error *error)
{
    enum status status = STATUS_OK;

    for (size_t i = 0; i < import->touched_count && status == STATUS_OK; i++) {
        const struct import_party *party = import->touched[i];
        struct history history;

        if (party->refused || party->doubtful)
            continue;
        arena_clear(&import->row_arena);
        status = store_read_case(import->app->store, &party->id, STORE_NOW, &import->row_arena,
                                 &history, error);
        if (status == STATUS_OK)
            import_check_case(&history, import->first_sequence, report_row, import);
    }
    return status;
}
