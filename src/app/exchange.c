/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "springline/app/exchange.h"

#include <string.h>

#include "exchange_private.h"

/* What a row refers to is read before it. */
const int exchange_order[] = {
    RECORD_PATIENT,     RECORD_CASEFILE,     RECORD_TRAINER,    RECORD_EXPANDER, RECORD_VISIT,
    RECORD_WIDTH,       RECORD_WEAR_DAY,     RECORD_WEAR_COUNT, RECORD_CONTACT,  RECORD_BOOKING,
    RECORD_TOOTH_WIDTH, RECORD_ARCH_SEGMENT, RECORD_ARCH_DEPTH, RECORD_PLAN,     -1,
};

static bool in_header(const char *const *header, size_t count, const char *name)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(header[i], name) == 0)
            return true;
    return false;
}

const char *exchange_missing_key(enum record_kind kind, const char *const *header, size_t count)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++) {
        const struct field *field = &table->fields[i];
        /* The key of a plan, case and arch, stands in half of the kinds: its day tells it. */
        unsigned telling = kind == RECORD_PLAN ? FIELD_REQUIRED : FIELD_KEY;

        if ((field->flags & telling) == 0 || in_header(header, count, field->name))
            continue;
        /* An expander that was never fitted is known by the day it was banded. */
        if (kind == RECORD_EXPANDER && strcmp(field->name, "fitted_on") == 0 &&
            in_header(header, count, "banded_on"))
            continue;
        return field->name;
    }
    return NULL;
}

/* How many columns of the header kind knows. */
static size_t columns_known(enum record_kind kind, const char *const *header, size_t count)
{
    size_t known = 0;

    for (size_t i = 0; i < count; i++)
        known += exchange_field(kind, header[i]) >= 0;
    return known;
}

/* The kind that knows most columns of the header, of those with a whole key or of all; *most: how
 * many. RECORD_KIND_COUNT: none, or several. */
static enum record_kind closest_kind(const char *const *header, size_t count, bool whole,
                                     size_t *most)
{
    enum record_kind closest = RECORD_KIND_COUNT;
    bool tied = false;

    *most = 0;
    for (const int *kind = exchange_order; *kind >= 0; kind++) {
        size_t known = columns_known((enum record_kind) * kind, header, count);

        if (known == 0 || known < *most ||
            (whole && exchange_missing_key((enum record_kind) * kind, header, count) != NULL))
            continue;
        tied = known == *most;
        *most = known;
        closest = (enum record_kind) * kind;
    }
    return tied ? RECORD_KIND_COUNT : closest;
}

/* The column "case" alone is the key of cases, and every other kind has it: a kind stands only if
 * no other knows more of the header, be its own key incomplete. */
enum record_kind exchange_kind(const char *const *header, size_t count)
{
    size_t known, most;
    enum record_kind kind = closest_kind(header, count, true, &known);

    (void)closest_kind(header, count, false, &most);
    return known < most ? RECORD_KIND_COUNT : kind;
}

enum record_kind exchange_closest_kind(const char *const *header, size_t count)
{
    size_t most;

    return closest_kind(header, count, false, &most);
}

enum record_kind exchange_kind_named(const char *name)
{
    for (const int *kind = exchange_order; *kind >= 0; kind++)
        if (strcmp(record_tables[*kind].csv, name) == 0)
            return (enum record_kind) * kind;
    return RECORD_KIND_COUNT;
}

int exchange_field(enum record_kind kind, const char *name)
{
    const struct record_table *table = &record_tables[kind];

    for (size_t i = 0; i < table->field_count; i++)
        if ((table->fields[i].flags & FIELD_NOT_IN_CSV) == 0 &&
            strcmp(table->fields[i].name, name) == 0)
            return (int)i;
    return -1;
}

/* The first characters that a spreadsheet program takes for the beginning of a formula (CWE-1236),
 * and the guard itself, so that exactly one is taken off again. */
static bool needs_guard(char first)
{
    return first != '\0' && strchr("=+-@\t\r'", first) != NULL;
}

void exchange_guard(struct text *out, const char *cell)
{
    if (needs_guard(cell[0]))
        text_add_byte(out, '\'');
    text_add(out, cell);
}

const char *exchange_unguard(const char *cell)
{
    return cell[0] == '\'' ? cell + 1 : cell;
}
