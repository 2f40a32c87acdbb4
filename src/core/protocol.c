/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The settings: one row each, with the range in which the rules are defined. */
#include "springline/core/protocol.h"

#include <string.h>

/*
 * Ranges are there so that every rule keeps its meaning (a period of at least a day, a run that can
 * be reached) and no sum can overflow; they are no advice.
 */
struct setting_range {
    int32_t least, most;
};

#define FIELD(member) offsetof(struct protocol, member)

#define ARCH_WIDTH_ERROR                                                                           \
    "Dahlberg error of arch widths 0.22-0.31 mm, 25 casts measured twice 2 weeks apart, digital "  \
    "calliper (a study of Pont's index; original not identified)"
#define RETENTION_REVIEW                                                                           \
    "systematic review, Dental Press J Orthod 2017;22(2): 6 months of retention appears enough"

const struct setting_row protocol_settings[SETTING_COUNT] = {
    [SETTING_NONE] = {"", 0, UNIT_NONE, 0, STANDING_SETTING, ""},
    [SETTING_FIRST_STEP_MAX] = {"first_step_max_mm", FIELD(first_step_max), UNIT_UM, 1000,
                                STANDING_COMMON, ""},
    [SETTING_STEP_MAX] = {"step_max_mm", FIELD(step_max), UNIT_UM, 2000, STANDING_COMMON, ""},
    [SETTING_STEP_GRAIN] = {"step_grain_mm", FIELD(step_grain), UNIT_UM, 250, STANDING_SETTING, ""},
    [SETTING_INTERVAL_MIN] = {"interval_min_days", FIELD(interval_min_days), UNIT_DAYS, 21,
                              STANDING_COMMON, ""},
    [SETTING_INTERVAL_MAX] = {"interval_max_days", FIELD(interval_max_days), UNIT_DAYS, 28,
                              STANDING_COMMON, ""},
    [SETTING_RESTART_AFTER] = {"restart_after_days", FIELD(restart_after_days), UNIT_DAYS, 56,
                               STANDING_SETTING, ""},
    [SETTING_WINDOW_DAYS] = {"window_days", FIELD(window_days), UNIT_DAYS, 42, STANDING_SETTING,
                             ""},
    [SETTING_WINDOW_MAX] = {"window_max_mm", FIELD(window_max), UNIT_UM, 4000, STANDING_SETTING,
                            ""},
    [SETTING_WEAR_DAY_MIN] = {"wear_day_min_minutes", FIELD(wear_day_min_minutes), UNIT_MINUTES, 60,
                              STANDING_COMMON, ""},
    [SETTING_WEAR_NIGHT] = {"wear_night", FIELD(wear_night), UNIT_ANSWER, ANSWER_YES,
                            STANDING_COMMON, ""},
    [SETTING_WEAR_FULL] = {"wear_full", FIELD(wear_full_permille), UNIT_PERMILLE, 800,
                           STANDING_SETTING, ""},
    [SETTING_WEAR_LOW] = {"wear_low", FIELD(wear_low_permille), UNIT_PERMILLE, 500,
                          STANDING_SETTING, ""},
    [SETTING_WEAR_KNOWN_MIN] = {"wear_known_min", FIELD(wear_known_min_permille), UNIT_PERMILLE,
                                500, STANDING_SETTING, ""},
    [SETTING_WEAR_THIN] = {"wear_thin", FIELD(wear_thin_permille), UNIT_PERMILLE, 800,
                           STANDING_SETTING, ""},
    [SETTING_WEAR_PERIOD_MIN] = {"wear_period_min_days", FIELD(wear_period_min_days), UNIT_DAYS, 14,
                                 STANDING_SETTING, ""},
    [SETTING_WEAR_DIFFERS] = {"wear_differs_days", FIELD(wear_differs_days), UNIT_DAYS, 7,
                              STANDING_SETTING, ""},
    [SETTING_REDUCE_FACTOR] = {"reduce_factor", FIELD(reduce_permille), UNIT_PERMILLE, 500,
                               STANDING_SETTING, ""},
    [SETTING_WEAR_RUN_HOLD] = {"wear_run_hold", FIELD(wear_run_hold), UNIT_VISITS, 2,
                               STANDING_SETTING, ""},
    [SETTING_WEAR_RUN_REST] = {"wear_run_rest", FIELD(wear_run_rest), UNIT_VISITS, 3,
                               STANDING_SETTING, ""},
    [SETTING_SIDE_GAP] = {"side_gap_mm", FIELD(side_gap), UNIT_UM, 1000, STANDING_SETTING, ""},
    [SETTING_LAG_TOTAL] = {"lag_total_mm", FIELD(lag_total), UNIT_UM, 4000, STANDING_SETTING, ""},
    [SETTING_LAG_DAYS] = {"lag_days", FIELD(lag_days), UNIT_DAYS, 56, STANDING_SETTING, ""},
    [SETTING_LAG_SHARE] = {"lag_share", FIELD(lag_share_permille), UNIT_PERMILLE, 250,
                           STANDING_SETTING, ""},
    [SETTING_WIDTH_RATE_MAX] = {"width_rate_max_mm_per_week", FIELD(width_rate_max_per_week),
                                UNIT_UM_PER_WEEK, 1000, STANDING_SETTING, ""},
    [SETTING_WIDTH_STALE] = {"width_stale_days", FIELD(width_stale_days), UNIT_DAYS, 42,
                             STANDING_SETTING, ""},
    [SETTING_WIDTH_MISSING] = {"width_missing_days", FIELD(width_missing_days), UNIT_DAYS, 84,
                               STANDING_SETTING, ""},
    [SETTING_WIDTH_ERROR] = {"width_error_mm", FIELD(width_error), UNIT_UM, 300, STANDING_PUBLISHED,
                             ARCH_WIDTH_ERROR},
    [SETTING_RETENTION] = {"retention_days", FIELD(retention_days), UNIT_DAYS, 180,
                           STANDING_PUBLISHED, RETENTION_REVIEW},
    [SETTING_RECHECK_WEAR_MIN] = {"recheck_wear_min_days", FIELD(recheck_wear_min_days), UNIT_DAYS,
                                  14, STANDING_SETTING, ""},
    [SETTING_RECHECK_WEAR_MAX] = {"recheck_wear_max_days", FIELD(recheck_wear_max_days), UNIT_DAYS,
                                  21, STANDING_SETTING, ""},
    [SETTING_RECHECK_FAULT_MIN] = {"recheck_fault_min_days", FIELD(recheck_fault_min_days),
                                   UNIT_DAYS, 1, STANDING_SETTING, ""},
    [SETTING_RECHECK_FAULT_MAX] = {"recheck_fault_max_days", FIELD(recheck_fault_max_days),
                                   UNIT_DAYS, 7, STANDING_SETTING, ""},
    [SETTING_RECHECK_REST_MIN] = {"recheck_rest_min_days", FIELD(recheck_rest_min_days), UNIT_DAYS,
                                  28, STANDING_SETTING, ""},
    [SETTING_RECHECK_REST_MAX] = {"recheck_rest_max_days", FIELD(recheck_rest_max_days), UNIT_DAYS,
                                  35, STANDING_SETTING, ""},
    [SETTING_SEPARATOR_DAYS] = {"separator_days", FIELD(separator_days), UNIT_DAYS, 7,
                                STANDING_COMMON, ""},
    [SETTING_LOWER_AFTER] = {"lower_after_days", FIELD(lower_after_days), UNIT_DAYS, 90,
                             STANDING_COMMON, ""},
    [SETTING_ENTRY_CAP] = {"entry_cap_mm", FIELD(entry_cap), UNIT_UM, 5000, STANDING_SETTING, ""},
};

enum { MOST_DAYS = 3650, MOST_UM = 50000, MOST_VISITS = 60 };

static const struct setting_range ranges[SETTING_COUNT] = {
    [SETTING_FIRST_STEP_MAX] = {10, MOST_UM},
    [SETTING_STEP_MAX] = {10, MOST_UM},
    [SETTING_STEP_GRAIN] = {10, MOST_UM}, /* lengths are kept in hundredths of a millimetre */
    [SETTING_INTERVAL_MIN] = {1, MOST_DAYS},
    [SETTING_INTERVAL_MAX] = {1, MOST_DAYS},
    [SETTING_RESTART_AFTER] = {1, MOST_DAYS},
    [SETTING_WINDOW_DAYS] = {1, MOST_DAYS},
    [SETTING_WINDOW_MAX] = {10, MOST_UM},
    [SETTING_WEAR_DAY_MIN] = {1, 1440},
    [SETTING_WEAR_NIGHT] = {ANSWER_YES, ANSWER_NO},
    [SETTING_WEAR_FULL] = {1, 1000},
    [SETTING_WEAR_LOW] = {1, 1000},
    [SETTING_WEAR_KNOWN_MIN] = {1, 1000},
    [SETTING_WEAR_THIN] = {0, 1000},
    [SETTING_WEAR_PERIOD_MIN] = {1, MOST_DAYS},
    [SETTING_WEAR_DIFFERS] = {1, MOST_DAYS},
    [SETTING_REDUCE_FACTOR] = {1, 999},
    [SETTING_WEAR_RUN_HOLD] = {1, MOST_VISITS},
    [SETTING_WEAR_RUN_REST] = {1, MOST_VISITS},
    [SETTING_SIDE_GAP] = {0, MOST_UM},
    [SETTING_LAG_TOTAL] = {0, MOST_UM},
    [SETTING_LAG_DAYS] = {0, MOST_DAYS},
    [SETTING_LAG_SHARE] = {0, 10000}, /* width may be asked to exceed the loop: no ratio is known */
    [SETTING_WIDTH_RATE_MAX] = {0, MOST_UM},
    [SETTING_WIDTH_STALE] = {1, MOST_DAYS},
    [SETTING_WIDTH_MISSING] = {1, MOST_DAYS},
    [SETTING_WIDTH_ERROR] = {0, MOST_UM},
    [SETTING_RETENTION] = {0, MOST_DAYS},
    [SETTING_RECHECK_WEAR_MIN] = {1, MOST_DAYS},
    [SETTING_RECHECK_WEAR_MAX] = {1, MOST_DAYS},
    [SETTING_RECHECK_FAULT_MIN] = {1, MOST_DAYS},
    [SETTING_RECHECK_FAULT_MAX] = {1, MOST_DAYS},
    [SETTING_RECHECK_REST_MIN] = {1, MOST_DAYS},
    [SETTING_RECHECK_REST_MAX] = {1, MOST_DAYS},
    [SETTING_SEPARATOR_DAYS] = {0, MOST_DAYS},
    [SETTING_LOWER_AFTER] = {0, MOST_DAYS},
    [SETTING_ENTRY_CAP] = {10, MOST_UM},
};

/* What must stand between two settings. */
struct setting_order {
    enum setting lower, upper;
    bool strict;
};

static const struct setting_order orders[] = {
    {SETTING_STEP_GRAIN, SETTING_FIRST_STEP_MAX, false},
    {SETTING_FIRST_STEP_MAX, SETTING_STEP_MAX, false},
    {SETTING_STEP_MAX, SETTING_ENTRY_CAP, false},
    {SETTING_STEP_GRAIN, SETTING_WINDOW_MAX, false}, /* else no window would ever free */
    {SETTING_INTERVAL_MIN, SETTING_INTERVAL_MAX, false},
    {SETTING_INTERVAL_MAX, SETTING_RESTART_AFTER, true},
    {SETTING_WEAR_LOW, SETTING_WEAR_FULL, true},
    {SETTING_RECHECK_WEAR_MIN, SETTING_RECHECK_WEAR_MAX, false},
    {SETTING_RECHECK_FAULT_MIN, SETTING_RECHECK_FAULT_MAX, false},
    {SETTING_RECHECK_REST_MIN, SETTING_RECHECK_REST_MAX, false},
};

static const char *const standing_texts[] = {
    [STANDING_PUBLISHED] = "published",
    [STANDING_COMMON] = "common practice",
    [STANDING_SETTING] = "practice setting",
    [STANDING_MEMORY] = "from memory",
};

const char *standing_text(enum standing standing)
{
    size_t index = (size_t)standing;

    return index < sizeof standing_texts / sizeof standing_texts[0] ? standing_texts[index] : "";
}

void protocol_defaults(struct protocol *protocol)
{
    *protocol = (struct protocol){.name = "practice"};
    for (int i = SETTING_NONE + 1; i < SETTING_COUNT; i++) {
        const struct setting_row *row = &protocol_settings[i];
        memcpy((char *)protocol + row->offset, &row->value, sizeof row->value);
    }
}

int32_t protocol_value(const struct protocol *protocol, enum setting setting)
{
    int32_t value = 0;

    if (setting > SETTING_NONE && setting < SETTING_COUNT)
        memcpy(&value, (const char *)protocol + protocol_settings[setting].offset, sizeof value);
    return value;
}

/* A setting in the unit its name carries: 1.25, 0.80, 28. */
static void value_to_text(enum unit unit, int32_t value, char buffer[16])
{
    size_t length = 15;
    bool fraction = unit == UNIT_UM || unit == UNIT_UM_PER_WEEK || unit == UNIT_PERMILLE;
    uint32_t rest = value < 0 ? 0U - (uint32_t)value : (uint32_t)value;
    int digits = 0;

    buffer[length] = '\0';
    do {
        buffer[--length] = (char)('0' + rest % 10);
        rest /= 10;
        if (++digits == 3 && fraction)
            buffer[--length] = '.';
    } while (rest > 0 || (fraction && digits < 4));
    if (value < 0)
        buffer[--length] = '-';
    memmove(buffer, buffer + length, 16 - length);
}

static enum status out_of_range(enum setting setting, int32_t value, struct error *error)
{
    const struct setting_row *row = &protocol_settings[setting];
    char given[16], least[16], most[16];

    if (row->unit == UNIT_ANSWER)
        return error_set(error, STATUS_INPUT, row->name, "%s must be yes or no.", row->name);
    value_to_text(row->unit, value, given);
    value_to_text(row->unit, ranges[setting].least, least);
    value_to_text(row->unit, ranges[setting].most, most);
    return error_set(error, STATUS_INPUT, row->name,
                     "%s is %s; it must lie between %s and %s. Correct it, then save again.",
                     row->name, given, least, most);
}

static enum status out_of_order(const struct protocol *protocol, const struct setting_order *order,
                                struct error *error)
{
    const struct setting_row *lower = &protocol_settings[order->lower];
    const struct setting_row *upper = &protocol_settings[order->upper];
    char low[16], high[16];

    value_to_text(lower->unit, protocol_value(protocol, order->lower), low);
    value_to_text(upper->unit, protocol_value(protocol, order->upper), high);
    return error_set(error, STATUS_INPUT, lower->name,
                     "%s is %s and %s is %s: the first must be %s the second. Correct one of them, "
                     "then save again.",
                     lower->name, low, upper->name, high, order->strict ? "below" : "at most");
}

enum status protocol_check(const struct protocol *protocol, struct error *error)
{
    for (int i = SETTING_NONE + 1; i < SETTING_COUNT; i++) {
        enum setting setting = (enum setting)i;
        int32_t value = protocol_value(protocol, setting);
        if (value < ranges[i].least || value > ranges[i].most)
            return out_of_range(setting, value, error);
    }
    for (size_t i = 0; i < sizeof orders / sizeof orders[0]; i++) {
        int32_t lower = protocol_value(protocol, orders[i].lower);
        int32_t upper = protocol_value(protocol, orders[i].upper);
        if (lower > upper || (lower == upper && orders[i].strict))
            return out_of_order(protocol, &orders[i], error);
    }
    return STATUS_OK;
}
