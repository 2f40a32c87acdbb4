/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is said of closed months, and of one that is not. */
#include <inttypes.h>

#include "month_private.h"
#include "springline/app/sign.h"

static void add_name(struct text *out, const struct month_closed *closed)
{
    text_add_shown(out, closed->signature.name);
}

void month_add_closed(struct text *out, const struct month_closed *closed)
{
    char date[DAY_TEXT_SIZE];

    text_addf(out, "closed %s by ", day_to_text(instant_day(closed->close.head.recorded_at), date));
    add_name(out, closed);
}

/* How it was proved who signs (words_proof are the codes of files). */
static const char *proof_told(enum proof proof)
{
    static const char *const told[] = {[PROOF_NONE] = "",
                                       [PROOF_PIN] = "by PIN",
                                       [PROOF_PASSPHRASE] = "by passphrase",
                                       [PROOF_ALONE] =
                                           "a practice of one, which chose not to be asked"};

    return proof <= PROOF_ALONE ? told[proof] : "";
}

void month_add_signed(struct text *out, const struct month_closed *closed)
{
    const struct month_close *close = &closed->close;
    char at[INSTANT_TEXT_SIZE];

    if (id_is_none(&closed->signature.head.id)) {
        text_addf(out, "Closed %s, and nobody's signature stands under it: run springline verify.",
                  instant_to_text(close->head.recorded_at, at));
        return;
    }
    text_add(out, "Signed by ");
    add_name(out, closed);
    text_addf(out, ", %s, as: %s (%s). ", instant_to_text(close->head.recorded_at, at),
              sign_meaning(closed->signature.meaning), proof_told(closed->signature.proof));
    text_addf(out, "Drawn as of row %" PRId32 " of the ledger. ", close->newest_row);
    if (close->unsigned_visits == 0)
        text_add(out, "No visit of the month waited for a signature.");
    else
        text_addf(out, "Visits of the month that waited for a signature: %" PRId32 ".",
                  close->unsigned_visits);
}

void month_add_truth(struct text *out, const struct month_closed *closed, enum month_truth truth)
{
    const struct month_close *close = &closed->close;

    if (truth == MONTH_OTHER_RULES)
        text_addf(out,
                  "NOT WHAT WAS SIGNED: %s was closed under version %" PRId32
                  " of the rules, this program has version %d, and by that some figures come out "
                  "otherwise. What was signed: springline audit --month %s --sheet.",
                  close->month, close->rules_version, (int)RULES_VERSION, close->month);
    else if (truth == MONTH_OTHER)
        text_addf(out,
                  "NOT WHAT WAS SIGNED: drawn as of its close %s does not come out as it was "
                  "signed, though the rules are the same: the store or this program is not as it "
                  "was. Run springline verify. What was signed: springline audit --month %s "
                  "--sheet.",
                  close->month, close->month);
}

/* ---- a month that is not closed ---- */

/* Monday to Friday. */
static day first_working_day(day from)
{
    enum { SUNDAY = 0, SATURDAY = 6 };

    while (day_weekday(from) == SUNDAY || day_weekday(from) == SATURDAY)
        from++;
    return from;
}

static void add_month(struct text *out, day month)
{
    static const char *const names[] = {"January",   "February", "March",    "April",
                                        "May",       "June",     "July",     "August",
                                        "September", "October",  "November", "December"};
    int year = 0, number = 1;

    day_civil(month, &year, &number, NULL);
    text_addf(out, "%s %d", names[number - 1], year);
}

enum status month_chase(struct app *app, struct text *out, struct error *error)
{
    day this_month = day_month_start(app->today, 0), month = day_month_start(app->today, -1);
    struct arena arena = {0};
    struct month_closed closed;
    bool has = false;

    if (app->role != ROLE_ORTHODONTIST || month == DAY_NONE ||
        app->today < first_working_day(this_month))
        return STATUS_OK;
    enum status status = month_find(app, month, &arena, &closed, error);
    arena_release(&arena);
    if (status != STATUS_NOT_FOUND)
        return status;
    status = store_month_has_cases(app->store, this_month - 1, &has, error);
    if (status == STATUS_OK && has) {
        add_month(out, month);
        text_add(out, " is not closed");
    }
    return status == STATUS_OK && out->failed ? error_no_memory(error) : status;
}
