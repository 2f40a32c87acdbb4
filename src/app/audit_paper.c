/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the printed month says, block by block; audit_page.c lays it out. */
#include <inttypes.h>

#include "audit_page.h"
#include "audit_private.h"

enum { HASH_BYTES = 32 };

static const char indent[] = "    ";

static const char legend[] =
    "A group goes by the exact share of the days known, however near the minimum it lies; the "
    "share shown is cut, never rounded up. Unsure: the 95 % interval (Wilson) still reaches the "
    "minimum. Told runs high: self-report exceeds sensors by 3.8 to 5.0 h a day (published). A "
    "change is in percentage points, between months judged on the same source. Short run: periods "
    "in a row that are short, low or unknown. A count that is not named is 0. Recomputed: no "
    "verdict was stored with the visit, "
    "this one is by the rules as of its day. Overrides: more given than permitted.";

static void wrap(struct page_sheet *sheet, const char *lead, struct text *line)
{
    text_add_wrapped(&sheet->text, lead, text_string(line), sheet->columns);
    sheet->failed = sheet->failed || line->failed;
    text_clear(line);
}

/* ---- the front ---- */

static void add_front(struct page_sheet *sheet, const struct audit_list *list, day month, day today)
{
    const struct protocol *protocol = &list->protocol;
    day last = day_month_start(month, 1) - 1;
    char from[DAY_TEXT_SIZE], to[DAY_TEXT_SIZE];
    struct text line = {0};

    text_addf(&line, "%s to %s%s. Cases not closed at its end that have had a trainer. ",
              day_to_text(month, from), day_to_text(last < today ? last : today, to),
              last < today ? "" : " (the month is still running)");
    text_addf(&line, "A day is met with %" PRId32 " minutes by day%s. The practice's minimum is ",
              protocol->wear_day_min_minutes,
              protocol->wear_night == ANSWER_YES ? " and the night worn" : "");
    audit_add_permille(&line, protocol->wear_full_permille);
    text_add(&line, " of the days known, low is under ");
    audit_add_permille(&line, protocol->wear_low_permille);
    text_add(&line, "; a case with a protocol of its own is judged by that.");
    wrap(sheet, "", &line);
    page_end_block(sheet);
    text_release(&line);
}

static enum status add_glance(struct page_sheet *sheet, const struct audit_list *list, day month,
                              struct error *error)
{
    struct arena arena = {0};
    struct lines lines = {0};
    enum status status = audit_view_glance(list, month, &arena, &lines, error);

    for (size_t i = 0; i < lines.count; i++)
        text_add_wrapped(&sheet->text, "", lines.line[i], sheet->columns);
    page_end_block(sheet);
    arena_release(&arena);
    return status;
}

/* ---- the cases ---- */

static void add_rest(struct text *line, const struct audit_row *row)
{
    if (row->untrained_days > 0)
        text_addf(line, "Without a trainer: %" PRId32 " %s. ", row->untrained_days,
                  row->untrained_days == 1 ? "day" : "days");
    if (row->open_known > 0)
        text_addf(line,
                  "Since the last visit, not counted: %" PRId32 " of %" PRId32
                  " known days met, of %" PRId32 " days.",
                  row->open_met, row->open_known, row->open_days);
    else if (row->open_days > 0)
        text_addf(line, "Since the last visit nothing is known of %" PRId32 " %s.", row->open_days,
                  row->open_days == 1 ? "day" : "days");
}

static void add_case(struct page_sheet *sheet, const struct listed_audit *listed)
{
    struct text line = {0};

    text_addf(&line, "%s  %s, %s", listed->number, listed->family, listed->given);
    if (listed->clinician[0] != '\0')
        text_addf(&line, " (%s)", listed->clinician);
    wrap(sheet, "", &line);
    audit_view_why(listed, &line);
    wrap(sheet, indent, &line);
    text_add(&line, "In the month: ");
    audit_add_counts(&line, &listed->row);
    text_add(&line, ". ");
    add_rest(&line, &listed->row);
    wrap(sheet, indent, &line);
    page_end_block(sheet);
    text_release(&line);
}

static size_t count_group(const struct audit_list *list, enum audit_group group)
{
    size_t count = 0;

    for (size_t i = 0; i < list->count; i++)
        count += list->rows[i].row.group == group;
    return count;
}

/* The heading stands in the block of its first case, never alone at the end of a page. */
static void add_group(struct page_sheet *sheet, const struct audit_list *list,
                      enum audit_group group)
{
    static const char *const names[] = {[AUDIT_NONE] = "",
                                        [AUDIT_BELOW] = "BELOW THE MINIMUM",
                                        [AUDIT_UNKNOWN] = "UNKNOWN",
                                        [AUDIT_NOT_SEEN] = "NOT SEEN",
                                        [AUDIT_MEETING] = "MEETING THE MINIMUM"};

    text_addf(&sheet->text, "%s: %zu\n", names[group], count_group(list, group));
    for (size_t i = 0; i < list->count; i++) {
        if (list->rows[i].row.group == group)
            add_case(sheet, &list->rows[i]);
    }
    page_end_block(sheet);
}

/* ---- more given than permitted ---- */

struct override_place {
    day date;
    enum arch arch;
};

static void add_override(struct page_sheet *sheet, const struct listed_audit *listed,
                         const struct history *history, struct override_place place, day today)
{
    struct audit_arch on;
    char date[DAY_TEXT_SIZE];
    struct text line = {0};

    if (!audit_arch_on(history, place.arch, place.date, &on) || !on.above)
        return;
    text_addf(&line, "%s  %s, %s: %s ", listed->number, listed->family, listed->given,
              day_to_text(place.date, date));
    audit_add_given(&line, place.arch, &on);
    text_add(&line, ".");
    wrap(sheet, "", &line);
    text_addf(&line, "Reason: %s", on.reason[0] == '\0' ? "no reason recorded" : on.reason);
    if (on.row->by == NULL || on.row->by[0] == '\0')
        text_add(&line, "; not recorded by whom");
    else {
        text_add(&line, "; given by ");
        text_add_shown(&line, on.row->by);
    }
    wrap(sheet, indent, &line);
    audit_add_followed(&line, history, place.arch, place.date, today);
    wrap(sheet, indent, &line);
    page_end_block(sheet);
    text_release(&line);
}

static void add_of_case(struct page_sheet *sheet, const struct listed_audit *listed,
                        const struct history *history, day month, day today)
{
    day end = day_month_start(month, 1) - 1;

    for (day date = month; date <= end && date <= today; date++) {
        for (int arch = ARCH_UPPER; arch <= ARCH_LOWER; arch++)
            add_override(sheet, listed, history, (struct override_place){date, (enum arch)arch},
                         today);
    }
}

static enum status add_overrides(struct page_sheet *sheet, struct app *app,
                                 const struct audit_list *list, day month, int64_t as_of,
                                 struct error *error)
{
    struct arena arena = {0};
    enum status status = STATUS_OK;

    text_addf(&sheet->text, "MORE GIVEN THAN PERMITTED: %" PRId32 "\n", list->totals.overrides);
    for (size_t i = 0; i < list->count && status == STATUS_OK; i++) {
        struct history history;

        if (list->rows[i].row.overrides == 0)
            continue;
        arena_clear(&arena);
        status =
            store_read_case(app->store, &list->rows[i].casefile, as_of, &arena, &history, error);
        if (status == STATUS_OK)
            add_of_case(sheet, &list->rows[i], &history, month, app->today);
    }
    page_end_block(sheet);
    arena_release(&arena);
    return status;
}

/* ---- the end ---- */

static void add_legend(struct page_sheet *sheet)
{
    struct text line = {0};

    text_add(&line, legend);
    wrap(sheet, "", &line);
    page_end_block(sheet);
    text_release(&line);
}

/* The head's texts; buffers of the caller. */
struct head_texts {
    struct text left, below, aside;
};

static void fill_head(struct head_texts *head, const struct app *app, day month, int64_t sequence)
{
    struct id site = store_site(app->store);
    char text[MONTH_TEXT_SIZE], date[DAY_TEXT_SIZE], store[ID_TEXT_SIZE];

    text_addf(&head->left, "Month's audit %s", month_to_text(month, text));
    text_addf(&head->below, "springline, store %.8s", id_to_text(&site, store));
    text_addf(&head->aside, "drawn %s, ledger row %" PRId64, day_to_text(app->today, date),
              sequence);
}

static enum status add_body(struct page_sheet *sheet, struct app *app,
                            const struct audit_list *list, day month, int64_t as_of, bool live,
                            struct error *error)
{
    day end = day_month_start(month, 1) - 1, last = end < app->today ? end : app->today;

    if (list->closed != NULL) /* it had ended, whatever day is today */
        last = end;
    add_front(sheet, list, month, last < end ? last : end + 1);
    enum status status = audit_paper_standing(sheet, app, list, month, as_of, error);
    if (status == STATUS_OK)
        status = add_glance(sheet, list, month, error);
    if (status == STATUS_OK)
        status = audit_paper_safety(sheet, app, last, as_of, live, error);
    for (int group = AUDIT_BELOW; group <= AUDIT_MEETING; group++)
        add_group(sheet, list, (enum audit_group)group);
    if (status == STATUS_OK)
        status = add_overrides(sheet, app, list, month, as_of, error);
    add_legend(sheet);
    if (status == STATUS_OK)
        status = audit_paper_anchor(sheet, app, list, month, as_of, error);
    audit_paper_signature(sheet, list);
    return status;
}

enum status audit_view_paper(struct app *app, const struct audit_list *list, day month,
                             int64_t as_of, int rows, int columns, struct text *out,
                             struct error *error)
{
    struct head_texts head = {0};
    struct page_sheet sheet;
    uint8_t hash[HASH_BYTES];
    int64_t newest = 0;
    enum status status = store_head(app->store, &newest, hash, error);

    if (status != STATUS_OK)
        return status;
    int64_t sequence = as_of == STORE_NOW ? newest : as_of;
    page_begin(&sheet, rows, columns);
    fill_head(&head, app, month, sequence);
    sheet.left = text_string(&head.left);
    sheet.below = text_string(&head.below);
    sheet.aside = text_string(&head.aside);
    sheet.foot = app_caution;
    status = add_body(&sheet, app, list, month, sequence,
                      sequence == newest && list->closed == NULL, error);
    if (!page_end(&sheet, out) && status == STATUS_OK)
        status = error_no_memory(error);
    text_release(&head.left);
    text_release(&head.below);
    text_release(&head.aside);
    return status;
}
