/* SPDX-License-Identifier: GPL-3.0-or-later */
/*
 * The words of each list and the fields of each kind of record, spelled and ordered as in the files
 * that other programs read. A column is added here and in a schema rung, nowhere else.
 */
#include "springline/core/record.h"

#define COUNT(array) (sizeof(array) / sizeof(array)[0])

/* The list of words words_NAME, in the order of its enum; entry 0 is "not recorded". */
#define WORDS(list, title, ...)                                                                    \
    static const char *const list##_texts[] = {"", __VA_ARGS__};                                   \
    const struct words words_##list = {title, list##_texts, COUNT(list##_texts)}

WORDS(answer, "answer", "yes", "no");
WORDS(sex, "sex", "male", "female", "other", "unknown");
WORDS(arch, "arch", "upper", "lower");
WORDS(side, "side", "right", "left");
WORDS(sides, "sides in plan", "both", "right", "left");
WORDS(site, "site", "intermolar", "intercanine", "interpremolar");
WORDS(landmark, "landmark", "cusp", "fossa", "gingival", "facial", "tube");
WORDS(method, "method", "mouth", "cast", "scan");
WORDS(source, "source", "sensor", "diary", "told");
WORDS(tissue, "tissue", "none", "mild", "wound");
WORDS(visit_kind, "kind of visit", "activation", "check", "repair", "relief", "removal",
      "stability", "missed");
WORDS(booking_kind, "kind of booking", "assessment", "separators", "bands", "fit", "activation",
      "check", "repair", "relief", "removal", "stability");
WORDS(booking_state, "state of a booking", "booked", "kept", "missed", "cancelled");
WORDS(canceller, "who cancelled", "family", "practice");
WORDS(trainer_end, "why a trainer ended", "lost", "broken", "outgrown", "stopped");
WORDS(out_reason, "why an expander is out", "rest", "repair", "target", "other");
WORDS(closed_reason, "why a case was closed", "finished", "transferred", "discontinued");
WORDS(channel, "channel", "telephone", "letter", "message", "visit");
WORDS(outcome, "outcome", "reached", "not-reached", "left-word", "refused");
WORDS(equation, "equation", "tanaka-johnston", "india-male", "india-female", "spain-male",
      "spain-female", "north-china-male", "north-china-female", "none");
WORDS(role, "role", "orthodontist", "assistant", "desk", "reader");
WORDS(access_what, "what happened", "signed-in", "sign-in-failed", "shut-out", "refused", "locked",
      "reopened", "secret-set", "secret-reset", "exported", "printed", "erased");
WORDS(meaning, "meaning of a signature", "examined-and-decided", "corrected", "withdrawn",
      "month-closed");
WORDS(proof, "proof of a signature", "pin", "passphrase", "alone");
WORDS(fault, "hardware fault", "loose-band", "broken-wire", "bent-wire", "lost-ligature",
      "lost-bracket");
WORDS(stage, "stage", "assessed", "planned", "separators", "banded", "fitted", "active",
      "retention", "stability", "resting", "closed");
WORDS(safety, "safety item", "expander-unseen", "closed-with-expander", "separators-left-in",
      "bands-without-wire", "wound-or-fault");

const char patient_erased[] = "(erased)";

enum {
    NEEDED = FIELD_REQUIRED,
    KEY = FIELD_KEY | FIELD_REQUIRED,
    PERSONAL = FIELD_PERSONAL,
    STORE_ONLY = FIELD_NOT_IN_CSV,
    SECRET_NOTE = FIELD_PERSONAL | FIELD_NOTE
};

/* One field of struct KIND; WORD: of the list words_LIST. */
#define FIELD(kind, name, member, type, flags)                                                     \
    {                                                                                              \
        name, offsetof(struct kind, member), type, flags, NULL, RECORD_KIND_COUNT                  \
    }
#define WORD(kind, name, member, list, flags)                                                      \
    {                                                                                              \
        name, offsetof(struct kind, member), FIELD_WORD, flags, &words_##list, RECORD_KIND_COUNT   \
    }

static const struct field patient_fields[] = {
    FIELD(patient, "chart", chart, FIELD_TEXT, KEY),
    FIELD(patient, "family", family, FIELD_TEXT, NEEDED | PERSONAL),
    FIELD(patient, "given", given, FIELD_TEXT, PERSONAL),
    FIELD(patient, "born", born, FIELD_DAY, PERSONAL),
    WORD(patient, "sex", sex, sex, 0),
    FIELD(patient, "guardian", guardian, FIELD_TEXT, PERSONAL),
    FIELD(patient, "phone", phone, FIELD_TEXT, PERSONAL),
    FIELD(patient, "guardian2", guardian2, FIELD_TEXT, PERSONAL),
    FIELD(patient, "phone2", phone2, FIELD_TEXT, PERSONAL),
    FIELD(patient, "alerts", alerts, FIELD_TEXT, SECRET_NOTE),
};

static const struct field casefile_fields[] = {
    FIELD(casefile, "case", number, FIELD_TEXT, KEY),
    {"chart", offsetof(struct casefile, patient), FIELD_ID, NEEDED, NULL, RECORD_PATIENT},
    FIELD(casefile, "opened", opened, FIELD_DAY, NEEDED),
    FIELD(casefile, "consent_on", consent_on, FIELD_DAY, 0),
    FIELD(casefile, "asked_on", asked_on, FIELD_DAY, 0),
    FIELD(casefile, "protocol", protocol, FIELD_TEXT, 0),
    FIELD(casefile, "closed_on", closed_on, FIELD_DAY, 0),
    WORD(casefile, "closed_reason", closed_reason, closed_reason, 0),
    FIELD(casefile, "clinician", clinician, FIELD_TEXT, 0),
    WORD(casefile, "nickel", nickel, answer, STORE_ONLY),
    WORD(casefile, "latex", latex, answer, STORE_ONLY),
    WORD(casefile, "medical", medical, answer, STORE_ONLY),
    WORD(casefile, "seizure", seizure, answer, STORE_ONLY),
    WORD(casefile, "anchor", anchor, answer, STORE_ONLY),
};

static const struct field trainer_fields[] = {
    {"case", offsetof(struct trainer, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(trainer, "issued_on", issued_on, FIELD_DAY, KEY),
    FIELD(trainer, "ended_on", ended_on, FIELD_DAY, 0),
    WORD(trainer, "ended_reason", ended_reason, trainer_end, 0),
};

/* The key is case, arch and fitted_on, or banded_on while fitted_on is empty. */
static const struct field expander_fields[] = {
    {"case", offsetof(struct expander, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    WORD(expander, "arch", arch, arch, KEY),
    FIELD(expander, "separators_on", separators_on, FIELD_DAY, 0),
    FIELD(expander, "banded_on", banded_on, FIELD_DAY, 0),
    FIELD(expander, "fitted_on", fitted_on, FIELD_DAY, FIELD_KEY),
    WORD(expander, "passive_ends", passive_ends, answer, 0),
    WORD(expander, "width_equal", width_equal, answer, 0),
    WORD(expander, "loops_clear", loops_clear, answer, 0),
    WORD(expander, "tied", tied, answer, 0),
    WORD(expander, "ends_rounded", ends_rounded, answer, 0),
    FIELD(expander, "wire_mm", wire, FIELD_UM, 0),
    FIELD(expander, "loop_right_mm", loop_right, FIELD_UM, 0),
    FIELD(expander, "loop_left_mm", loop_left, FIELD_UM, 0),
    WORD(expander, "sides", sides, sides, 0),
    FIELD(expander, "plan_gap_mm", plan_gap, FIELD_UM, 0),
    WORD(expander, "site", site, site, 0),
    WORD(expander, "landmark", landmark, landmark, 0),
    FIELD(expander, "teeth", teeth, FIELD_TEETH, 0),
    FIELD(expander, "target_mm", target, FIELD_UM, 0),
    FIELD(expander, "passive_on", passive_on, FIELD_DAY, 0),
    FIELD(expander, "out_on", out_on, FIELD_DAY, 0),
    WORD(expander, "out_reason", out_reason, out_reason, 0),
    FIELD(expander, "band_right", band_right, FIELD_TEXT, STORE_ONLY),
    FIELD(expander, "band_left", band_left, FIELD_TEXT, STORE_ONLY),
};

/* The arch is part of the key, and empty for a visit of the case as a whole. */
static const struct field visit_fields[] = {
    {"case", offsetof(struct visit, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(visit, "date", date, FIELD_DAY, KEY),
    WORD(visit, "kind", kind, visit_kind, KEY),
    WORD(visit, "arch", arch, arch, FIELD_KEY),
    FIELD(visit, "right_mm", right, FIELD_UM, 0),
    FIELD(visit, "left_mm", left, FIELD_UM, 0),
    WORD(visit, "tissue", tissue, tissue, 0),
    FIELD(visit, "hardware", hardware, FIELD_HARDWARE, 0),
    WORD(visit, "repaired", repaired, answer, 0),
    WORD(visit, "elsewhere", elsewhere, answer, 0),
    FIELD(visit, "override_reason", override_reason, FIELD_TEXT, SECRET_NOTE),
    FIELD(visit, "next_on", next_on, FIELD_DAY, 0),
    FIELD(visit, "by", by, FIELD_TEXT, 0),
    FIELD(visit, "note", note, FIELD_TEXT, SECRET_NOTE),
};

static const struct field width_fields[] = {
    {"case", offsetof(struct width, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(width, "date", date, FIELD_DAY, KEY),
    WORD(width, "arch", arch, arch, KEY),
    WORD(width, "site", site, site, KEY),
    WORD(width, "landmark", landmark, landmark, KEY),
    FIELD(width, "teeth", teeth, FIELD_TEETH, KEY),
    WORD(width, "method", method, method, KEY),
    FIELD(width, "repeat", repeat, FIELD_INT, KEY),
    FIELD(width, "mm", value, FIELD_UM, NEEDED),
    FIELD(width, "by", by, FIELD_TEXT, 0),
};

static const struct field wear_day_fields[] = {
    {"case", offsetof(struct wear_day, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(wear_day, "date", date, FIELD_DAY, KEY),
    FIELD(wear_day, "day_minutes", day_minutes, FIELD_INT, 0),
    WORD(wear_day, "night", night, answer, 0),
    WORD(wear_day, "source", source, source, KEY),
};

static const struct field wear_count_fields[] = {
    {"case", offsetof(struct wear_count, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(wear_count, "from", from, FIELD_DAY, KEY),
    FIELD(wear_count, "to", to, FIELD_DAY, KEY),
    FIELD(wear_count, "days_met", days_met, FIELD_INT, NEEDED),
    FIELD(wear_count, "days_asked", days_asked, FIELD_INT, NEEDED),
    WORD(wear_count, "source", source, source, KEY),
};

static const struct field contact_fields[] = {
    {"case", offsetof(struct contact, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(contact, "at", at, FIELD_INSTANT, KEY),
    WORD(contact, "channel", channel, channel, KEY),
    WORD(contact, "outcome", outcome, outcome, 0),
    FIELD(contact, "again_on", again_on, FIELD_DAY, 0),
    FIELD(contact, "by", by, FIELD_TEXT, 0),
    FIELD(contact, "note", note, FIELD_TEXT, SECRET_NOTE),
    WORD(contact, "cleared", cleared, answer, STORE_ONLY),
    FIELD(contact, "cleared_by", cleared_by, FIELD_TEXT, STORE_ONLY),
};

static const struct field booking_fields[] = {
    {"case", offsetof(struct booking, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(booking, "date", date, FIELD_DAY, KEY),
    FIELD(booking, "time", time_min, FIELD_CLOCK, KEY),
    WORD(booking, "kind", kind, booking_kind, 0),
    WORD(booking, "state", state, booking_state, NEEDED),
    WORD(booking, "cancelled_by", cancelled_by, canceller, 0),
};

static const struct field tooth_width_fields[] = {
    {"case", offsetof(struct tooth_width, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(tooth_width, "date", date, FIELD_DAY, KEY),
    FIELD(tooth_width, "tooth", tooth, FIELD_INT, KEY),
    WORD(tooth_width, "method", method, method, KEY),
    FIELD(tooth_width, "repeat", repeat, FIELD_INT, KEY),
    FIELD(tooth_width, "mm", value, FIELD_UM, NEEDED),
    FIELD(tooth_width, "by", by, FIELD_TEXT, 0),
};

/* Each segment may be empty, not all four. */
static const struct field arch_segment_fields[] = {
    {"case", offsetof(struct arch_segment, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(arch_segment, "date", date, FIELD_DAY, KEY),
    WORD(arch_segment, "arch", arch, arch, KEY),
    WORD(arch_segment, "method", method, method, KEY),
    FIELD(arch_segment, "repeat", repeat, FIELD_INT, KEY),
    FIELD(arch_segment, "back_right_mm", back_right, FIELD_UM, 0),
    FIELD(arch_segment, "front_right_mm", front_right, FIELD_UM, 0),
    FIELD(arch_segment, "front_left_mm", front_left, FIELD_UM, 0),
    FIELD(arch_segment, "back_left_mm", back_left, FIELD_UM, 0),
    FIELD(arch_segment, "by", by, FIELD_TEXT, 0),
};

static const struct field arch_depth_fields[] = {
    {"case", offsetof(struct arch_depth, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    FIELD(arch_depth, "date", date, FIELD_DAY, KEY),
    WORD(arch_depth, "arch", arch, arch, KEY),
    FIELD(arch_depth, "teeth", teeth, FIELD_TEETH, KEY),
    WORD(arch_depth, "method", method, method, KEY),
    FIELD(arch_depth, "repeat", repeat, FIELD_INT, KEY),
    FIELD(arch_depth, "mm", value, FIELD_UM, NEEDED),
    FIELD(arch_depth, "by", by, FIELD_TEXT, 0),
};

static const struct field plan_fields[] = {
    {"case", offsetof(struct plan, casefile), FIELD_ID, KEY, NULL, RECORD_CASEFILE},
    WORD(plan, "arch", arch, arch, KEY),
    FIELD(plan, "made_on", made_on, FIELD_DAY, NEEDED),
    WORD(plan, "equation", equation, equation, 0),
    FIELD(plan, "balance_mm", balance, FIELD_UM, 0),
    WORD(plan, "site", site, site, 0),
    WORD(plan, "landmark", landmark, landmark, 0),
    FIELD(plan, "teeth", teeth, FIELD_TEETH, 0),
    FIELD(plan, "start_width_mm", start_width, FIELD_UM, 0),
    FIELD(plan, "depth_mm", depth, FIELD_UM, 0),
    FIELD(plan, "target_mm", target, FIELD_UM, 0),
    FIELD(plan, "activations_least", activations_least, FIELD_INT, 0),
    FIELD(plan, "activations_most", activations_most, FIELD_INT, 0),
    FIELD(plan, "weeks_least", weeks_least, FIELD_INT, 0),
    FIELD(plan, "weeks_most", weeks_most, FIELD_INT, 0),
    FIELD(plan, "visits_least", visits_least, FIELD_INT, 0),
    FIELD(plan, "visits_most", visits_most, FIELD_INT, 0),
    FIELD(plan, "separators_on", separators_on, FIELD_DAY, 0),
    FIELD(plan, "bands_on", bands_on, FIELD_DAY, 0),
    FIELD(plan, "fit_on", fit_on, FIELD_DAY, 0),
    FIELD(plan, "active_from", active_from, FIELD_DAY, 0),
    FIELD(plan, "active_to_earliest", active_to_earliest, FIELD_DAY, 0),
    FIELD(plan, "active_to_latest", active_to_latest, FIELD_DAY, 0),
    FIELD(plan, "retention_to_earliest", retention_to_earliest, FIELD_DAY, 0),
    FIELD(plan, "retention_to_latest", retention_to_latest, FIELD_DAY, 0),
    FIELD(plan, "by", by, FIELD_TEXT, 0),
    FIELD(plan, "note", note, FIELD_TEXT, SECRET_NOTE),
};

/* A protocol with an empty setting is none: unknown limits permit nothing. */
static const struct field protocol_fields[] = {
    FIELD(protocol, "name", name, FIELD_TEXT, KEY),
    FIELD(protocol, "first_step_max_mm", first_step_max, FIELD_UM, NEEDED),
    FIELD(protocol, "step_max_mm", step_max, FIELD_UM, NEEDED),
    FIELD(protocol, "step_grain_mm", step_grain, FIELD_UM, NEEDED),
    FIELD(protocol, "interval_min_days", interval_min_days, FIELD_INT, NEEDED),
    FIELD(protocol, "interval_max_days", interval_max_days, FIELD_INT, NEEDED),
    FIELD(protocol, "restart_after_days", restart_after_days, FIELD_INT, NEEDED),
    FIELD(protocol, "window_days", window_days, FIELD_INT, NEEDED),
    FIELD(protocol, "window_max_mm", window_max, FIELD_UM, NEEDED),
    FIELD(protocol, "wear_day_min_minutes", wear_day_min_minutes, FIELD_INT, NEEDED),
    WORD(protocol, "wear_night", wear_night, answer, NEEDED),
    FIELD(protocol, "wear_full", wear_full_permille, FIELD_INT, NEEDED),
    FIELD(protocol, "wear_low", wear_low_permille, FIELD_INT, NEEDED),
    FIELD(protocol, "wear_known_min", wear_known_min_permille, FIELD_INT, NEEDED),
    FIELD(protocol, "wear_thin", wear_thin_permille, FIELD_INT, NEEDED),
    FIELD(protocol, "wear_period_min_days", wear_period_min_days, FIELD_INT, NEEDED),
    FIELD(protocol, "wear_differs_days", wear_differs_days, FIELD_INT, NEEDED),
    FIELD(protocol, "reduce_factor", reduce_permille, FIELD_INT, NEEDED),
    FIELD(protocol, "wear_run_hold", wear_run_hold, FIELD_INT, NEEDED),
    FIELD(protocol, "wear_run_rest", wear_run_rest, FIELD_INT, NEEDED),
    FIELD(protocol, "side_gap_mm", side_gap, FIELD_UM, NEEDED),
    FIELD(protocol, "lag_total_mm", lag_total, FIELD_UM, NEEDED),
    FIELD(protocol, "lag_days", lag_days, FIELD_INT, NEEDED),
    FIELD(protocol, "lag_share", lag_share_permille, FIELD_INT, NEEDED),
    FIELD(protocol, "width_rate_max_mm_per_week", width_rate_max_per_week, FIELD_UM, NEEDED),
    FIELD(protocol, "width_stale_days", width_stale_days, FIELD_INT, NEEDED),
    FIELD(protocol, "width_missing_days", width_missing_days, FIELD_INT, NEEDED),
    FIELD(protocol, "width_error_mm", width_error, FIELD_UM, NEEDED),
    FIELD(protocol, "retention_days", retention_days, FIELD_INT, NEEDED),
    FIELD(protocol, "recheck_wear_min_days", recheck_wear_min_days, FIELD_INT, NEEDED),
    FIELD(protocol, "recheck_wear_max_days", recheck_wear_max_days, FIELD_INT, NEEDED),
    FIELD(protocol, "recheck_fault_min_days", recheck_fault_min_days, FIELD_INT, NEEDED),
    FIELD(protocol, "recheck_fault_max_days", recheck_fault_max_days, FIELD_INT, NEEDED),
    FIELD(protocol, "recheck_rest_min_days", recheck_rest_min_days, FIELD_INT, NEEDED),
    FIELD(protocol, "recheck_rest_max_days", recheck_rest_max_days, FIELD_INT, NEEDED),
    FIELD(protocol, "separator_days", separator_days, FIELD_INT, NEEDED),
    FIELD(protocol, "lower_after_days", lower_after_days, FIELD_INT, NEEDED),
    FIELD(protocol, "entry_cap_mm", entry_cap, FIELD_UM, NEEDED),
};

static const struct field person_fields[] = {
    FIELD(person, "login", login, FIELD_TEXT, KEY),
    FIELD(person, "name", name, FIELD_TEXT, NEEDED),
    WORD(person, "role", role, role, NEEDED),
    WORD(person, "alone", alone, answer, 0),
};

static const struct field judged_fields[] = {
    {"visit", offsetof(struct judged, visit), FIELD_ID, KEY, NULL, RECORD_VISIT},
    FIELD(judged, "verdict", verdict, FIELD_INT, NEEDED),
    FIELD(judged, "permitted_right_mm", permitted_right, FIELD_UM, NEEDED),
    FIELD(judged, "permitted_left_mm", permitted_left, FIELD_UM, NEEDED),
    FIELD(judged, "next_from", next_from, FIELD_DAY, 0),
    FIELD(judged, "next_to", next_to, FIELD_DAY, 0),
    {"protocol", offsetof(struct judged, protocol), FIELD_ID, NEEDED, NULL, RECORD_PROTOCOL},
    FIELD(judged, "rules_version", rules_version, FIELD_INT, NEEDED),
    FIELD(judged, "width_error_mm", width_error, FIELD_UM, NEEDED),
    FIELD(judged, "findings", findings, FIELD_TEXT, NEEDED | FIELD_NOTE),
};

static const struct field access_fields[] = {
    WORD(access, "what", what, access_what, NEEDED),
    FIELD(access, "login", login, FIELD_TEXT, 0),
    FIELD(access, "command", command, FIELD_TEXT, 0),
    FIELD(access, "subject", subject, FIELD_TEXT, 0),
    FIELD(access, "detail", detail, FIELD_TEXT, FIELD_NOTE),
};

static const struct field signature_fields[] = {
    FIELD(signature, "kind", kind, FIELD_TEXT, NEEDED),
    FIELD(signature, "row", row, FIELD_TEXT, KEY),
    FIELD(signature, "row_hash", row_hash, FIELD_TEXT, NEEDED),
    FIELD(signature, "name", name, FIELD_TEXT, NEEDED),
    WORD(signature, "meaning", meaning, meaning, NEEDED),
    WORD(signature, "proof", proof, proof, NEEDED),
};

static const struct field month_close_fields[] = {
    FIELD(month_close, "month", month, FIELD_TEXT, KEY),
    FIELD(month_close, "through", through, FIELD_DAY, NEEDED),
    FIELD(month_close, "newest_row", newest_row, FIELD_INT, NEEDED),
    FIELD(month_close, "hash", hash, FIELD_TEXT, NEEDED),
    FIELD(month_close, "sheet", sheet, FIELD_TEXT, NEEDED | FIELD_NOTE),
    FIELD(month_close, "digest", digest, FIELD_TEXT, NEEDED),
    FIELD(month_close, "rules_version", rules_version, FIELD_INT, NEEDED),
    FIELD(month_close, "cases", cases, FIELD_INT, NEEDED),
    FIELD(month_close, "unsigned_visits", unsigned_visits, FIELD_INT, NEEDED),
};

static const struct field erasure_fields[] = {
    FIELD(erasure, "kind", kind, FIELD_TEXT, NEEDED),
    FIELD(erasure, "row", row, FIELD_TEXT, NEEDED),
    FIELD(erasure, "fields", fields, FIELD_TEXT, NEEDED),
};

const struct record_table record_tables[RECORD_KIND_COUNT] = {
    [RECORD_PATIENT] = {"patient", "patients", sizeof(struct patient), patient_fields,
                        COUNT(patient_fields), true},
    [RECORD_CASEFILE] = {"casefile", "cases", sizeof(struct casefile), casefile_fields,
                         COUNT(casefile_fields), true},
    [RECORD_TRAINER] = {"trainer", "trainers", sizeof(struct trainer), trainer_fields,
                        COUNT(trainer_fields), true},
    [RECORD_EXPANDER] = {"expander", "expanders", sizeof(struct expander), expander_fields,
                         COUNT(expander_fields), true},
    [RECORD_VISIT] = {"visit", "visits", sizeof(struct visit), visit_fields, COUNT(visit_fields),
                      false},
    [RECORD_WIDTH] = {"width", "widths", sizeof(struct width), width_fields, COUNT(width_fields),
                      false},
    [RECORD_WEAR_DAY] = {"wear_day", "wear_days", sizeof(struct wear_day), wear_day_fields,
                         COUNT(wear_day_fields), false},
    [RECORD_WEAR_COUNT] = {"wear_count", "wear_counts", sizeof(struct wear_count),
                           wear_count_fields, COUNT(wear_count_fields), false},
    [RECORD_CONTACT] = {"contact", "contacts", sizeof(struct contact), contact_fields,
                        COUNT(contact_fields), false},
    [RECORD_BOOKING] = {"booking", "bookings", sizeof(struct booking), booking_fields,
                        COUNT(booking_fields), true},
    [RECORD_TOOTH_WIDTH] = {"tooth_width", "tooth_widths", sizeof(struct tooth_width),
                            tooth_width_fields, COUNT(tooth_width_fields), false},
    [RECORD_ARCH_SEGMENT] = {"arch_segment", "arch_segments", sizeof(struct arch_segment),
                             arch_segment_fields, COUNT(arch_segment_fields), false},
    [RECORD_ARCH_DEPTH] = {"arch_depth", "arch_depths", sizeof(struct arch_depth),
                           arch_depth_fields, COUNT(arch_depth_fields), false},
    [RECORD_PLAN] = {"plan", "plans", sizeof(struct plan), plan_fields, COUNT(plan_fields), true},
    [RECORD_PROTOCOL] = {"protocol", NULL, sizeof(struct protocol), protocol_fields,
                         COUNT(protocol_fields), true},
    [RECORD_PERSON] = {"person", NULL, sizeof(struct person), person_fields, COUNT(person_fields),
                       true},
    [RECORD_JUDGED] = {"judged", NULL, sizeof(struct judged), judged_fields, COUNT(judged_fields),
                       false},
    [RECORD_ACCESS] = {"access", NULL, sizeof(struct access), access_fields, COUNT(access_fields),
                       false},
    [RECORD_SIGNATURE] = {"signature", NULL, sizeof(struct signature), signature_fields,
                          COUNT(signature_fields), false},
    [RECORD_MONTH_CLOSE] = {"month_close", NULL, sizeof(struct month_close), month_close_fields,
                            COUNT(month_close_fields), false},
    [RECORD_ERASURE] = {"erasure", NULL, sizeof(struct erasure), erasure_fields,
                        COUNT(erasure_fields), false},
};
