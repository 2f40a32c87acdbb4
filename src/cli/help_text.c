/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "help_text.h"

#include <stdbool.h>
#include <string.h>

static const char *const details[COMMAND_COUNT] = {
    [COMMAND_RECALL] =
        "group: safety (a child may come to harm: leads the list), overdue (past the last day of "
        "the window), due (inside it), booked, resting, retention.\n"
        "due_on: the first day of the window, or the day the safety item arose. late (days_late): "
        "days since the window's last day, or since the item arose.\n"
        "safety: expander-unseen (in place, nobody has looked for too long), "
        "closed-with-expander (the case is closed, the expander was never taken out), "
        "separators-left-in, bands-without-wire, wound-or-fault (not healed, not repaired).\n"
        "last_verdict: of the last visit; recomputed: worked out now, for an imported visit.\n"
        "--within DAYS: windows that open so soon count as due. --on DATE: the list of that day; "
        "bookings are as they stand now.\n"
        "As text the columns fit the terminal (or COLUMNS); csv and json are always complete. "
        "Exit 1: nobody is on the list.",
    [COMMAND_AUDIT] =
        "Every case not closed at the month's end that has had a trainer, judged on the wear "
        "periods that a visit closed within the month; the days since are told apart.\n"
        "group: below (less than the minimum; low: less than the low limit; unsure: the interval "
        "still reaches the minimum), unknown, not-seen, meeting.\n"
        "met: days met of days known. 95 % (low95, high95): Wilson interval. source: sensor, "
        "diary, or told, which runs high. unknown_share: days nothing is known of.\n"
        "visits, holds, reductions, rests, overrides (more given than permitted), missed "
        "(bookings), short_run (periods in a row short, low or unknown), change (against the month "
        "before).\n"
        "A closed month is drawn as of its close, the same whatever was corrected since; as text "
        "what changed stands below. --now: today's figures. --changes: only what differs, one row "
        "a "
        "figure (case empty: the month as a whole). --sheet: the signed sheet, byte for byte. A "
        "month is closed on screen.\n"
        "--as-of: as the records stood at a moment (YYYY-MM-DDTHH:MM:SSZ) or ledger row (@SEQ).\n"
        "--paper: case by case in pages of 66 lines of 80 columns, form feeds between them, with "
        "the safety items, the reasons and what followed where more was given than permitted, who "
        "signed, and the hash of a row of the ledger. Exit 1: no case is audited, or nothing "
        "differs; a closed month that does not come out as it was signed.",
    [COMMAND_ADVISE] =
        "Verdict: proceed, reduce (less than the usual step), hold (nothing today), rest (the "
        "expander comes out for a while). Below it each rule that fired: rest, hold, limit or "
        "caution, and where its number comes from.\n"
        "It counts what is recorded before the day asked for, widths up to and including it.\n"
        "--right, --left: may so much be given? permitted, needs-reason (a recorded one), or "
        "refused.\n"
        "--tissue, --hardware, --repaired: what was found today; not stated, it is assumed sound. "
        "FAULTS: intact, or loose-band, broken-wire, bent-wire, lost-ligature, lost-bracket with ; "
        "between them, each with :right or :left if known.\n"
        "Exit 0 whatever the verdict.",
    [COMMAND_CHART] =
        "Who, expanders with their fit checks, visits with amounts and verdicts, widths, wear by "
        "period, a picture of each arch, contacts, the next date.\n"
        "--svg FILE: the pictures alone, as a drawing for a browser or a printer, in the place of "
        "an older one. Of each arch its widths with error bars and target (of the expander's "
        "landmark alone), what was given in all on each side, and wear by period with its source, "
        "on one axis of dates. The case stands there by its number, nobody by name.",
    [COMMAND_PLAN] =
        "room: available by the arch segments, required by the teeth (measured, or predicted by "
        "the equation of the saved plan, else tanaka-johnston), balance: below 0 room is short.\n"
        "width: how much wider, by four arch curves at this depth and by published ratios. target: "
        "of the saved plan or the expander; never taken from an index.\n"
        "course, phases: activations, weeks, visits and days still to come, by the case's protocol "
        "and the quartiles of what 10 or more other cases responded at the same measure (of the "
        "arch, else of both arches); with fewer the least at full transfer, no upper end. saved: "
        "what the saved plan said, and what happened.\n"
        "csv and json: a row for each thing said: value, or least and most (empty: no upper end), "
        "days, and the sentence. Nothing is recorded.",
    [COMMAND_IMPORT] =
        "The kind of a file is known from its header row; a folder is read in the right order.\n"
        "A refused row is told with its line and column. Then nothing is kept: mend the file "
        "itself and import it whole again; FILE.rejects.csv shows only the refused rows.\n"
        "A row that is recorded already is passed over; one with the same key and other values is "
        "refused.\n"
        "--dry-run: say what would be taken and refused, keep nothing, write no rejects (but to "
        "--rejects FILE).\n"
        "What was kept is a batch with a number, as @17; undo-import takes it back.",
    [COMMAND_UNDO_IMPORT] =
        "BATCH: the number that import printed, as @17. A number there is none of lists them all.\n"
        "Every row of the import that still stands is withdrawn, in one save; what was withdrawn "
        "stays in the store, and the same file may be imported again.\n"
        "Refused, naming the first, where something recorded later stands on a row of it: a visit "
        "of its case, a correction, another import. Nothing is withdrawn then.\n"
        "Verdicts of other visits that rested on its rows are named; what was stored with them "
        "stays.",
    [COMMAND_ERASE] =
        "PATIENT: a chart number. Shown first: whom it is, what would be blanked, and what can not "
        "be; then the chart number is asked for again. --confirm PATIENT: for scripts, unasked.\n"
        "--ground TEXT: the written request and its day, or the law, in words and without a name: "
        "it stands in the ledger for good.\n"
        "Blanked: names, birth date, guardians, telephones, alerts, notes and reasons of "
        "overrides, "
        "of every version. Kept: what was measured, found, given and decided. The ledger stays "
        "whole; verify accepts a blank only where an erasure names it.\n"
        "Refused while a case is open, something is in the mouth by the record, a safety item "
        "stands or is set aside, or a booking stands: a child nobody can name can not be called "
        "back.\n"
        "Reasons of changes, names of imports, chart and case numbers can not be erased: how many "
        "there are is told, and in which a name stands. Backups made before hold everything still. "
        "The whole file is written anew; others wait.",
    [COMMAND_BACKUP] =
        "FILE must not exist. It is a whole store of one moment, for this user alone, and is "
        "opened "
        "with --store FILE. Others may look meanwhile; a save waits until the copy is written.\n"
        "It is read again from its first ledger row to its last before it gets its name; until "
        "then it is FILE.part. Of a store that is not sound no backup is made.\n"
        "FILE.manifest holds the head of the ledger: kept elsewhere, it shows later whether rows "
        "were cut off or written anew (verify --manifest).\n"
        "Keep copies on another disk. The first screen says when the newest is 7 days old.",
    [COMMAND_EXPORT] =
        "KIND: patients, cases, trainers, expanders, visits, widths, wear_days, wear_counts, "
        "contacts, bookings, tooth_widths, arch_segments, arch_depths, plans.\n"
        "The current rows in key order; --out FOLDER writes KIND.csv there, in the place of an "
        "older one. Of an erased patient the family name is (erased), the rest empty.\n"
        "--patient PATIENT: everything kept of one, by chart number, into a FOLDER that must not "
        "exist: every version of every row with who, when and why, verdicts with their sentences, "
        "signatures, the log, unsaved forms, each with its place in the ledger; record.txt is to "
        "be read. For the family, or another practice.\n"
        "That records were written out is logged before they are.",
    [COMMAND_VERIFY] =
        "Every row of the ledger is hashed again and every reference followed; every derived state "
        "and every verdict stored with a visit is worked out again; every signature is held "
        "against "
        "the row it stands under and the people of then; every closed month is drawn again and "
        "compared with what was signed. What rules of another version give "
        "otherwise is told and is no damage. Others may work meanwhile.\n"
        "--against ROW:HASH: is it still the ledger whose head was printed with the month, by "
        "verify or by backup? Blanks do not matter; the first 16 digits will do. --manifest FILE: "
        "the same with the manifest of a backup.\n"
        "Alone it can not see that the ledger's end was cut off, or all of it hashed anew. "
        "Exit 1: something does not match.",
    [COMMAND_UNSIGNED] =
        "to_sign: visit, correction or withdrawal; by: who recorded it; days: since then.\n"
        "What came with an import is not signed, nor that somebody did not come; what was recorded "
        "before the store could hold signatures is not listed. Exit 1: nothing waits.",
    [COMMAND_LOG] =
        "Newest first: signed in, failed to, shut out, refused, locked, opened again, secrets set "
        "or reset, data taken out. Days are UTC. An orthodontist and a reader may read it; what "
        "was written into records stands in their histories.\n"
        "detail of a secret ends in the hash of what is stored; verify compares it.",
};

const char *help_details(enum command command)
{
    return details[command] == NULL ? "" : details[command];
}

const char *help_needs(enum command command)
{
    switch (command) {
    case COMMAND_ADVISE:
    case COMMAND_CHART:
    case COMMAND_PLAN:
        return "a case number such as C-0001";
    case COMMAND_IMPORT:
        return "a CSV file or a folder of them";
    case COMMAND_UNDO_IMPORT:
        return "the batch that import printed, such as @17";
    case COMMAND_ERASE:
        return "the chart number of a patient";
    case COMMAND_BACKUP:
        return "the file to write";
    case COMMAND_EXPORT:
        return "a kind of record such as visits, or all";
    default:
        return "a word";
    }
}

/* Is one word the other with a single letter added, taken out or changed, or two neighbours
 * swapped? */
static bool one_slip(const char *a, const char *b)
{
    size_t a_length = strlen(a), b_length = strlen(b), same = 0;

    while (a[same] != '\0' && a[same] == b[same])
        same++;
    const char *a_rest = a + same, *b_rest = b + same;
    if (a_length == b_length) {
        if (a_length == same)
            return false;
        if (strcmp(a_rest + 1, b_rest + 1) == 0)
            return true;
        return a_rest[0] == b_rest[1] && a_rest[1] == b_rest[0] && a_rest[1] != '\0' &&
               strcmp(a_rest + 2, b_rest + 2) == 0;
    }
    if (a_length == b_length + 1)
        return strcmp(a_rest + 1, b_rest) == 0;
    return a_length + 1 == b_length && strcmp(a_rest, b_rest + 1) == 0;
}

enum status help_no_command(const char *name, struct error *error)
{
    const char *near = NULL;

    for (int i = 1; i < COMMAND_COUNT && near == NULL; i++)
        if ((command_table[i].places & PLACE_SHELL) != 0 && one_slip(name, command_table[i].name))
            near = command_table[i].name;
    if (near != NULL)
        return error_set(error, STATUS_USAGE, NULL,
                         "There is no sub-command \"%.60s\"; the nearest is %s.", name, near);
    return error_set(error, STATUS_USAGE, NULL,
                     "There is no sub-command \"%.60s\"; see springline help.", name);
}
