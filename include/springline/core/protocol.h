/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The settings of domain.md 2, each with its default, unit, standing and source. One table: a
 * setting is one row. No published limit in mm per visit exists, and no published ratio of loop
 * activation to molar width; the limits are the practice's own.
 */
#ifndef SPRINGLINE_CORE_PROTOCOL_H
#define SPRINGLINE_CORE_PROTOCOL_H

#include "springline/base/error.h"
#include "springline/core/record.h"

enum standing { STANDING_PUBLISHED, STANDING_COMMON, STANDING_SETTING, STANDING_MEMORY };

enum unit {
    UNIT_NONE,
    UNIT_UM,
    UNIT_UM_PER_WEEK,
    UNIT_DAYS,
    UNIT_MINUTES,
    UNIT_PERMILLE,
    UNIT_VISITS,
    UNIT_ANSWER,
    UNIT_COUNT,
    UNIT_DATE
};

enum setting {
    SETTING_NONE, /* a rule that compares with no setting */
    SETTING_FIRST_STEP_MAX,
    SETTING_STEP_MAX,
    SETTING_STEP_GRAIN,
    SETTING_INTERVAL_MIN,
    SETTING_INTERVAL_MAX,
    SETTING_RESTART_AFTER,
    SETTING_WINDOW_DAYS,
    SETTING_WINDOW_MAX,
    SETTING_WEAR_DAY_MIN,
    SETTING_WEAR_NIGHT,
    SETTING_WEAR_FULL,
    SETTING_WEAR_LOW,
    SETTING_WEAR_KNOWN_MIN,
    SETTING_WEAR_THIN,
    SETTING_WEAR_PERIOD_MIN,
    SETTING_WEAR_DIFFERS,
    SETTING_REDUCE_FACTOR,
    SETTING_WEAR_RUN_HOLD,
    SETTING_WEAR_RUN_REST,
    SETTING_SIDE_GAP,
    SETTING_LAG_TOTAL,
    SETTING_LAG_DAYS,
    SETTING_LAG_SHARE,
    SETTING_WIDTH_RATE_MAX,
    SETTING_WIDTH_STALE,
    SETTING_WIDTH_MISSING,
    SETTING_WIDTH_ERROR,
    SETTING_RETENTION,
    SETTING_RECHECK_WEAR_MIN,
    SETTING_RECHECK_WEAR_MAX,
    SETTING_RECHECK_FAULT_MIN,
    SETTING_RECHECK_FAULT_MAX,
    SETTING_RECHECK_REST_MIN,
    SETTING_RECHECK_REST_MAX,
    SETTING_SEPARATOR_DAYS,
    SETTING_LOWER_AFTER,
    SETTING_ENTRY_CAP,
    SETTING_COUNT
};

struct setting_row {
    const char *name; /* as in domain.md: "first_step_max_mm" */
    size_t offset;    /* in struct protocol; the field is an int32_t (or an answer) */
    enum unit unit;
    int32_t value; /* default */
    enum standing standing;
    const char *source; /* where a published value comes from; else "" */
};

extern const struct setting_row protocol_settings[SETTING_COUNT];

/* "published", "common practice", "practice setting", "from memory". */
const char *standing_text(enum standing standing);

/* Fills every setting with its default and the name "practice"; the head is zeroed. */
void protocol_defaults(struct protocol *protocol);

/* The value of one setting. */
int32_t protocol_value(const struct protocol *protocol, enum setting setting);

/*
 * A protocol is refused (STATUS_INPUT, naming the settings) unless grain <= first_step <= step <=
 * entry_cap, interval_min <= interval_max < restart_after, 0 < wear_low < wear_full <= 1,
 * 0 < reduce_factor < 1, and every other setting lies in a range in which the rules are defined.
 */
enum status protocol_check(const struct protocol *protocol, struct error *error);

#endif
