/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the rules do with each setting, in a line (core/rules.h, core/wear.h, core/course.h). */
#include "springline/app/lists_settings.h"

static const char *const words[SETTING_COUNT] = {
    [SETTING_NONE] = "",
    [SETTING_FIRST_STEP_MAX] =
        "The most a side is given first after a fit, a long gap, a repair or a relief.",
    [SETTING_STEP_MAX] = "The most a side is given at one visit otherwise.",
    [SETTING_STEP_GRAIN] = "Permitted amounts are rounded down to a multiple of it.",
    [SETTING_INTERVAL_MIN] = "A side activated fewer days ago than this is held.",
    [SETTING_INTERVAL_MAX] =
        "After more days than this a visit is noted as late; the next visit is due within it.",
    [SETTING_RESTART_AFTER] =
        "After more days than this a side starts again small; an expander in place and unseen for "
        "longer is a safety item.",
    [SETTING_WINDOW_DAYS] = "The days over which what a side was given is summed up.",
    [SETTING_WINDOW_MAX] = "The most a side is given within those days (window_days).",
    [SETTING_WEAR_DAY_MIN] = "A day of wear is met with at least so many minutes by day.",
    [SETTING_WEAR_NIGHT] = "Yes: a day of wear is met only if the night was worn too.",
    [SETTING_WEAR_FULL] =
        "Wear is full from this share of the known days on; below it the step is reduced, and the "
        "month says below.",
    [SETTING_WEAR_LOW] = "Below this share of the known days wear is low: hold.",
    [SETTING_WEAR_KNOWN_MIN] =
        "A source judges a period if it knows this share of its days; no source does: unknown, the "
        "step is reduced.",
    [SETTING_WEAR_THIN] = "Below this share of days known a caution says that wear rests on few.",
    [SETTING_WEAR_PERIOD_MIN] = "A period of wear runs from a visit at least so many days back.",
    [SETTING_WEAR_DIFFERS] =
        "A better source that knows at least so many days and is a class lower reduces the step.",
    [SETTING_REDUCE_FACTOR] = "A reduced step is this share of the step that would be the most.",
    [SETTING_WEAR_RUN_HOLD] = "So many periods in a row that are short, low or unknown: hold.",
    [SETTING_WEAR_RUN_REST] =
        "Wear low now, and so many periods in a row short or low: rest, the expander out.",
    [SETTING_SIDE_GAP] =
        "A caution when the sums of right and left differ from the plan by more than this.",
    [SETTING_LAG_TOTAL] =
        "From this sum of right and left on the gain in width is compared with what was given.",
    [SETTING_LAG_DAYS] = "Days since the first activation before that comparison is made.",
    [SETTING_LAG_SHARE] = "A gain in width below this share of what was given: hold.",
    [SETTING_WIDTH_RATE_MAX] = "Width that grows faster than this, error allowed for: hold.",
    [SETTING_WIDTH_STALE] = "A newest width older than this is noted.",
    [SETTING_WIDTH_MISSING] = "No width for longer than this reduces the step: measure.",
    [SETTING_WIDTH_ERROR] =
        "Of one measurement; a change of width below 2.77 times it is within error.",
    [SETTING_RETENTION] = "How long retention lasts; then the stability checks come due.",
    [SETTING_RECHECK_WEAR_MIN] = "After a hold for wear the next visit is due from here on.",
    [SETTING_RECHECK_WEAR_MAX] = "After a hold for wear the next visit is due by then.",
    [SETTING_RECHECK_FAULT_MIN] = "After any other hold the next visit is due from here on.",
    [SETTING_RECHECK_FAULT_MAX] = "After any other hold the next visit is due by then.",
    [SETTING_RECHECK_REST_MIN] =
        "After a rest, or at the target, the next visit is due from here on.",
    [SETTING_RECHECK_REST_MAX] = "After a rest, or at the target, the next visit is due by then.",
    [SETTING_SEPARATOR_DAYS] =
        "Bands follow separators after so many days; 7 more without bands: a safety item.",
    [SETTING_LOWER_AFTER] = "A lower expander fitted sooner after the upper is noted.",
    [SETTING_ENTRY_CAP] = "An amount above it is refused as a slip of the pen, override or not.",
};

const char *lists_setting_does(enum setting setting)
{
    return setting > SETTING_NONE && setting < SETTING_COUNT ? words[setting] : "";
}
