/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A row of the month: its cells, and what it is told as. */
#include <inttypes.h>
#include <math.h>
#include <string.h>

#include "audit_private.h"
#include "springline/app/lists_find.h"

enum { WORD_SIZE = 256 }; /* of a search */

/* ---- one row ---- */

bool audit_view_unsure(const struct listed_audit *listed)
{
    return listed->row.group == AUDIT_BELOW &&
           listed->row.high95 * 1000.0 >= listed->wear_full_permille;
}

static void add_group(const struct listed_audit *listed, struct text *out)
{
    const struct audit_row *row = &listed->row;

    text_add(out, row->group == AUDIT_NOT_SEEN ? "not seen"
                                               : word_text(&words_audit_group, (int)row->group));
    text_add(out, row->low ? " LOW" : "");
    text_add(out, audit_view_unsure(listed) || row->stricter ? " " : "");
    text_add(out, audit_view_unsure(listed) ? "?" : "");
    text_add(out, row->stricter ? "*" : "");
}

static bool begins(const char *name, const char *word)
{
    return strncmp(name, word, strlen(word)) == 0;
}

/* Does a word of the group begin with it? So "low" does not find every "below". */
static bool begins_group(const struct listed_audit *listed, const char *word)
{
    struct text group = {0}, folded = {0};
    bool found = false;

    add_group(listed, &group);
    text_add_folded(&folded, text_string(&group));
    for (const char *at = text_string(&folded); *at != '\0' && !found;) {
        found = begins(at, word);
        at += strcspn(at, " ");
        at += strspn(at, " ");
    }
    text_release(&group);
    text_release(&folded);
    return found;
}

/* Is it the name of something that was counted in the row, or stands? */
static bool begins_count(const struct listed_audit *listed, const char *word)
{
    const struct audit_row *row = &listed->row;
    const struct {
        const char *name;
        bool stands;
    } counts[] = {{"overrides", row->overrides > 0},   {"holds", row->holds > 0},
                  {"rests", row->rests > 0},           {"missed", row->missed > 0},
                  {"reductions", row->reductions > 0}, {"safety", listed->safety != 0}};
    bool found = false;

    for (size_t i = 0; i < sizeof counts / sizeof counts[0] && !found; i++)
        found = counts[i].stands && begins(counts[i].name, word);
    return found;
}

bool audit_view_matches(const struct listed_audit *listed, const char *folded)
{
    const char *const texts[] = {listed->number,
                                 listed->family,
                                 listed->given,
                                 listed->clinician,
                                 word_text(&words_source, (int)listed->row.source),
                                 listed->row.drifting ? "drifting down" : ""};
    char word[WORD_SIZE];

    while (lists_next_word(&folded, word, sizeof word)) {
        if (!begins_group(listed, word) && !begins_count(listed, word) &&
            !lists_found(texts, sizeof texts / sizeof texts[0], word))
            return false;
    }
    return true;
}

static int whole(double share)
{
    return (int)lround(share * 100.0);
}

static void add_interval(const struct audit_row *row, struct text *out)
{
    if (row->days_known > 0)
        text_addf(out, "%d-%d %%", whole(row->low95), whole(row->high95));
}

static void add_share(int32_t met, int32_t known, struct text *out)
{
    if (known > 0)
        text_addf(out, "%d %%", (int)((int64_t)met * 100 / known));
}

/* What a cell counts; false: it is no count. */
static bool find_count(const struct audit_row *row, enum audit_cell cell, int32_t *count)
{
    switch ((int)cell) {
    case AUDIT_CELL_OVERRIDES:
        *count = row->overrides;
        return true;
    case AUDIT_CELL_MISSED:
        *count = row->missed;
        return true;
    case AUDIT_CELL_HOLDS:
        *count = row->holds;
        return true;
    case AUDIT_CELL_RUN:
        *count = row->short_run;
        return true;
    case AUDIT_CELL_VISITS:
        *count = row->visits;
        return true;
    case AUDIT_CELL_REDUCTIONS:
        *count = row->reductions;
        return true;
    case AUDIT_CELL_RESTS:
        *count = row->rests;
        return true;
    default:
        return false;
    }
}

static void add_wear_cell(const struct audit_row *row, enum audit_cell cell, struct text *out)
{
    switch ((int)cell) {
    case AUDIT_CELL_MET:
        if (row->days_known > 0)
            text_addf(out, "%" PRId32 "/%" PRId32, row->days_met, row->days_known);
        break;
    case AUDIT_CELL_SHARE:
        add_share(row->days_met, row->days_known, out);
        break;
    case AUDIT_CELL_INTERVAL:
        add_interval(row, out);
        break;
    case AUDIT_CELL_CHANGE:
        if (row->has_change)
            text_addf(out, "%+d pt", whole(row->change));
        break;
    case AUDIT_CELL_SOURCE:
    default:
        text_add(out, word_text(&words_source, (int)row->source));
        break;
    }
}

void audit_view_cell(const struct listed_audit *listed, enum audit_cell cell, struct text *out)
{
    int32_t count;

    if (find_count(&listed->row, cell, &count)) {
        text_addf(out, "%" PRId32, count);
        return;
    }
    switch ((int)cell) {
    case AUDIT_CELL_CASE:
        text_add(out, listed->number);
        break;
    case AUDIT_CELL_NAME:
        text_addf(out, "%s, %s", listed->family, listed->given);
        break;
    case AUDIT_CELL_GROUP:
        add_group(listed, out);
        break;
    case AUDIT_CELL_CLINICIAN:
        text_add(out, listed->clinician);
        break;
    default:
        add_wear_cell(&listed->row, cell, out);
        break;
    }
}

/* ---- in sentences ---- */

void audit_add_permille(struct text *out, int32_t permille)
{
    text_addf(out, "%" PRId32, permille / 10);
    if (permille % 10 != 0)
        text_addf(out, ".%" PRId32, permille % 10);
    text_add(out, " %");
}

const char *audit_source(enum source source)
{
    return source == SOURCE_TOLD ? "told, runs high" : word_text(&words_source, (int)source);
}

void audit_add_days(struct text *out, enum source source, int32_t met, int32_t known)
{
    text_addf(out, "%" PRId32 " of %" PRId32 " known %s met (%s)", met, known,
              known == 1 ? "day" : "days", audit_source(source));
    if (known > 0) {
        text_add(out, ", ");
        add_share(met, known, out);
    }
}

static void add_judged(const struct listed_audit *listed, struct text *out)
{
    const struct audit_row *row = &listed->row;
    bool below = row->group == AUDIT_BELOW;

    text_add(out, below ? "Below the minimum of " : "Meets the minimum of ");
    audit_add_permille(out, listed->wear_full_permille);
    text_add(out, ": ");
    audit_add_days(out, row->source, row->days_met, row->days_known);
    if (row->low) {
        text_add(out, ", LOW: under ");
        audit_add_permille(out, listed->wear_low_permille);
    }
    text_add(out, "; 95 % interval ");
    add_interval(row, out);
    if (audit_view_unsure(listed))
        text_add(out, ", which still reaches the minimum: unsure");
    else if (!below && row->low95 * 1000.0 < listed->wear_full_permille)
        text_add(out, ", which reaches below it");
    text_add(out, ".");
}

static void add_unknown(const struct listed_audit *listed, struct text *out)
{
    const struct audit_row *row = &listed->row;

    if (row->days_asked == 0) {
        text_add(out, "Unknown: no day with a trainer lies between the month's visits.");
        return;
    }
    text_add(out, "Unknown: no source knows ");
    audit_add_permille(out, listed->wear_known_min_permille);
    text_addf(out, " of the %" PRId32 " days before the month's visits.", row->days_asked);
}

void audit_view_why(const struct listed_audit *listed, struct text *out)
{
    switch (listed->row.group) {
    case AUDIT_NOT_SEEN:
        text_add(out, "Not seen in the month: no visit closed a period, nothing is judged.");
        break;
    case AUDIT_BELOW:
    case AUDIT_MEETING:
        add_judged(listed, out);
        break;
    case AUDIT_UNKNOWN:
    case AUDIT_NONE:
    default:
        add_unknown(listed, out);
        break;
    }
    if (listed->row.stricter)
        text_add(out, " * A period was judged lower than its days alone would give, because its "
                      "records overlap or are half filled; the figures here are sums of days and "
                      "can read milder.");
}

void audit_add_change(struct text *out, const struct audit_row *row)
{
    int points = whole(row->change);

    text_addf(out, "%+d %s against the month before", points,
              points == 1 || points == -1 ? "point" : "points");
}

static void add_count(struct text *out, const char *name, int32_t count)
{
    if (count > 0)
        text_addf(out, ", %s %" PRId32, name, count);
}

void audit_add_counts(struct text *out, const struct audit_row *row)
{
    text_addf(out, "visits %" PRId32, row->visits);
    add_count(out, "holds", row->holds);
    add_count(out, "reductions", row->reductions);
    add_count(out, "rests", row->rests);
    add_count(out, "overrides", row->overrides);
    add_count(out, "missed", row->missed);
    add_count(out, "short run", row->short_run);
    if ((row->group == AUDIT_BELOW || row->group == AUDIT_MEETING) &&
        row->days_known < row->days_asked)
        text_addf(out, ", unknown %d %% of the days", whole(row->unknown_share));
    if (row->has_change) {
        text_add(out, ", ");
        audit_add_change(out, row);
    }
    text_add(out, row->drifting ? ", DRIFTING DOWN" : "");
}

/* "SAFETY today: unseen, wound-or-fault. " Whatever the month says of wear, this comes first. */
static void add_safety(const struct listed_audit *listed, struct text *out)
{
    const char *before = "SAFETY today: ";

    for (int item = SAFETY_NONE + 1; item < SAFETY_COUNT; item++) {
        if ((listed->safety & (1U << item)) == 0)
            continue;
        text_addf(out, "%s%s", before, lists_safety_word((enum safety)item, false));
        before = ", ";
    }
    text_add(out, listed->safety == 0 ? "" : ". ");
}

void audit_view_tell(const struct listed_audit *listed, struct text *out)
{
    text_addf(out, "%s %s, %s", listed->number, listed->family, listed->given);
    if (listed->clinician[0] != '\0')
        text_addf(out, " (%s)", listed->clinician);
    text_add(out, ": ");
    add_safety(listed, out);
    audit_add_counts(out, &listed->row);
    text_add(out, ".");
    if (audit_view_unsure(listed))
        text_add(out, " ? The 95 % interval still reaches the minimum.");
    if (listed->row.stricter)
        text_add(out, " * A period was judged lower than its days alone would give.");
    if (listed->row.source == SOURCE_TOLD)
        text_add(out, " Told runs high.");
}
