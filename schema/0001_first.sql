-- SPDX-License-Identifier: GPL-3.0-or-later
-- The first rung: everything a practice records of slow arch expansion.
--
-- Columns are named like the fields of core/record.h, but for two rules:
--   * a length is kept in whole micrometres, and its column says so: right_mm -> right_um;
--   * a reference is named after the table it refers to: case -> casefile, chart -> patient.
-- Dates are text YYYY-MM-DD that exist (SQLite alone would take 30 February), instants are text
-- YYYY-MM-DDTHH:MM:SSZ in UTC, words are the words of the files, shares are thousandths.
-- NULL always means: not recorded.
--
-- Rows of the record tables are only ever inserted. A record is a chain of rows: version 1 has
-- record = id, each later version replaces exactly one row. A withdrawal row ends a chain.
-- Identities are random 16 bytes and no table has an INTEGER PRIMARY KEY: rows of two practices
-- can be read together, and a flipped type byte of a key can not pass unseen.
-- Words are compared one by one: for IN with three or more SQLite builds a table at each insert.
-- A constraint is named by the sentence that must hold; the program shows it when it does not.

-- The practice: one row, written when the store is made. Its identity stands in every row.
CREATE TABLE practice (
    -- Random identity of this practice; the ledger's chain begins with it.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- When the store was made.
    made_at TEXT NOT NULL CONSTRAINT "made_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', made_at, '+0 seconds') IS made_at),
    -- Always 1: there is one practice in a store.
    only INTEGER NOT NULL UNIQUE CONSTRAINT "a store has one practice" CHECK (only = 1)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER practice_is_never_changed BEFORE UPDATE ON practice
BEGIN
    SELECT RAISE(ABORT, 'practice: rows are never changed');
END;
CREATE TRIGGER practice_is_never_deleted BEFORE DELETE ON practice
BEGIN
    SELECT RAISE(ABORT, 'practice: rows are never deleted');
END;

-- The ledger: one row for each row written to a record table, request or withdrawal, chained.
CREATE TABLE ledger (
    -- 1, 2, 3, ... without a gap.
    sequence INTEGER NOT NULL CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- The table of the row.
    kind TEXT NOT NULL CONSTRAINT "kind is a table of the ledger"
        CHECK (kind = 'patient' OR kind = 'casefile' OR kind = 'trainer' OR kind = 'expander' OR
            kind = 'visit' OR kind = 'width' OR kind = 'wear_day' OR kind = 'wear_count' OR
            kind = 'contact' OR kind = 'booking' OR kind = 'protocol' OR kind = 'person' OR
            kind = 'judged' OR kind = 'request' OR kind = 'withdrawal'),
    -- The identity of the row.
    row BLOB NOT NULL CONSTRAINT "row has 16 bytes" CHECK (length(row) = 16),
    -- The instant of the row, never before that of the row above it.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- BLAKE2b-256 over the hash above, this place and every column of the row (src/store/ledger.c).
    hash BLOB NOT NULL CONSTRAINT "hash has 32 bytes" CHECK (length(hash) = 32),
    PRIMARY KEY (sequence)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER ledger_is_never_changed BEFORE UPDATE ON ledger
BEGIN
    SELECT RAISE(ABORT, 'ledger: rows are never changed');
END;
CREATE TRIGGER ledger_is_never_deleted BEFORE DELETE ON ledger
BEGIN
    SELECT RAISE(ABORT, 'ledger: rows are never deleted');
END;
CREATE TRIGGER ledger_has_no_gap BEFORE INSERT ON ledger
WHEN NEW.sequence <> coalesce((SELECT max(sequence) FROM ledger), 0) + 1
BEGIN
    SELECT RAISE(ABORT, 'ledger: the next row has the next sequence');
END;
CREATE TRIGGER ledger_never_runs_back BEFORE INSERT ON ledger
WHEN NEW.recorded_at < (SELECT recorded_at FROM ledger ORDER BY sequence DESC LIMIT 1)
BEGIN
    SELECT RAISE(ABORT, 'ledger: recorded_at never runs back');
END;

-- One row for each save. The same identity twice is one save.
CREATE TABLE request (
    -- Random, made by the seat before the save, so that a repeated save is known.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When the save began.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who saved; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The seat: login and terminal.
    seat TEXT CONSTRAINT "seat has 1 to 400 characters" CHECK (length(seat) BETWEEN 1 AND 400),
    -- What was done: visit, import, ...
    command TEXT NOT NULL CONSTRAINT "command has 1 to 40 characters"
        CHECK (length(command) BETWEEN 1 AND 40),
    -- An import: what was imported.
    label TEXT CONSTRAINT "label has 1 to 4000 characters" CHECK (length(label) BETWEEN 1 AND 4000),
    -- 1: its rows came from files and were never judged on entry.
    imported INTEGER NOT NULL CONSTRAINT "imported is 0 or 1" CHECK (imported IN (0, 1))
) STRICT;
CREATE TRIGGER request_is_never_changed BEFORE UPDATE ON request
BEGIN
    SELECT RAISE(ABORT, 'request: rows are never changed');
END;
CREATE TRIGGER request_is_never_deleted BEFORE DELETE ON request
BEGIN
    SELECT RAISE(ABORT, 'request: rows are never deleted');
END;

-- One row for each record that was withdrawn: it ends the record's chain.
CREATE TABLE withdrawal (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was withdrawn.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who withdrew it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- The table of the row withdrawn.
    kind TEXT NOT NULL CONSTRAINT "kind is a record table"
        CHECK (kind = 'patient' OR kind = 'casefile' OR kind = 'trainer' OR kind = 'expander' OR
            kind = 'visit' OR kind = 'width' OR kind = 'wear_day' OR kind = 'wear_count' OR
            kind = 'contact' OR kind = 'booking' OR kind = 'protocol' OR kind = 'person' OR
            kind = 'judged'),
    -- The newest row of the record; a row is withdrawn once.
    row BLOB NOT NULL UNIQUE CONSTRAINT "row has 16 bytes" CHECK (length(row) = 16),
    -- Why.
    reason TEXT NOT NULL CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000)
) STRICT;
CREATE TRIGGER withdrawal_is_never_changed BEFORE UPDATE ON withdrawal
BEGIN
    SELECT RAISE(ABORT, 'withdrawal: rows are never changed');
END;
CREATE TRIGGER withdrawal_is_never_deleted BEFORE DELETE ON withdrawal
BEGIN
    SELECT RAISE(ABORT, 'withdrawal: rows are never deleted');
END;

-- Who works here.
CREATE TABLE person (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES person (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES person (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- Login name of the account.
    login TEXT NOT NULL CONSTRAINT "login has 1 to 400 characters"
        CHECK (length(login) BETWEEN 1 AND 400),
    -- Name in words.
    name TEXT NOT NULL CONSTRAINT "name has 1 to 400 characters"
        CHECK (length(name) BETWEEN 1 AND 400),
    -- What the person may do.
    role TEXT NOT NULL CONSTRAINT "role is one of its words"
        CHECK (role = 'orthodontist' OR role = 'assistant' OR role = 'desk' OR role = 'reader'),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX person_replaces ON person (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX person_record ON person (record);
CREATE INDEX person_login ON person (login);
-- The rows that nothing replaced or withdrew.
CREATE VIEW person_current AS
SELECT * FROM person AS kept
WHERE NOT EXISTS (SELECT 1 FROM person AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER person_is_never_changed BEFORE UPDATE ON person
BEGIN
    SELECT RAISE(ABORT, 'person: rows are never changed');
END;
CREATE TRIGGER person_is_never_deleted BEFORE DELETE ON person
BEGIN
    SELECT RAISE(ABORT, 'person: rows are never deleted');
END;
CREATE TRIGGER person_replaces_the_newest BEFORE INSERT ON person
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM person_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'person: only the newest version of a record can be replaced');
END;
CREATE TRIGGER person_key_is_taken BEFORE INSERT ON person
WHEN EXISTS (
    SELECT 1 FROM person_current AS kept
    WHERE kept.login = NEW.login
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'person: another record has the same login');
END;

-- The settings the rules work by: the practice's own limits.
CREATE TABLE protocol (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES protocol (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES protocol (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- Name of the protocol; "practice" is the practice's own.
    name TEXT NOT NULL CONSTRAINT "name has 1 to 400 characters"
        CHECK (length(name) BETWEEN 1 AND 400),
    -- Largest first step of a side.
    first_step_max_um INTEGER NOT NULL CONSTRAINT "first_step_max_um lies in 1 to 20000"
        CHECK (first_step_max_um BETWEEN 1 AND 20000),
    -- Largest step of a side.
    step_max_um INTEGER NOT NULL CONSTRAINT "step_max_um lies in 1 to 20000"
        CHECK (step_max_um BETWEEN 1 AND 20000),
    -- Amounts are multiples of this.
    step_grain_um INTEGER NOT NULL CONSTRAINT "step_grain_um lies in 1 to 5000"
        CHECK (step_grain_um BETWEEN 1 AND 5000),
    -- Least days between two activations of a side.
    interval_min_days INTEGER NOT NULL CONSTRAINT "interval_min_days lies in 0 to 365"
        CHECK (interval_min_days BETWEEN 0 AND 365),
    -- Most days between two activations of a side.
    interval_max_days INTEGER NOT NULL CONSTRAINT "interval_max_days lies in 1 to 365"
        CHECK (interval_max_days BETWEEN 1 AND 365),
    -- After so many days a side starts again with a first step.
    restart_after_days INTEGER NOT NULL CONSTRAINT "restart_after_days lies in 1 to 1000"
        CHECK (restart_after_days BETWEEN 1 AND 1000),
    -- The window over which steps are summed.
    window_days INTEGER NOT NULL CONSTRAINT "window_days lies in 1 to 365"
        CHECK (window_days BETWEEN 1 AND 365),
    -- Most of a side within the window.
    window_max_um INTEGER NOT NULL CONSTRAINT "window_max_um lies in 1 to 100000"
        CHECK (window_max_um BETWEEN 1 AND 100000),
    -- Least minutes of a day that meets the minimum.
    wear_day_min_minutes INTEGER NOT NULL CONSTRAINT "wear_day_min_minutes lies in 0 to 1440"
        CHECK (wear_day_min_minutes BETWEEN 0 AND 1440),
    -- The night counts too.
    wear_night TEXT NOT NULL CONSTRAINT "wear_night is one of its words"
        CHECK (wear_night IN ('yes', 'no')),
    -- Adherence from here is full, in thousandths.
    wear_full INTEGER NOT NULL CONSTRAINT "wear_full lies in 1 to 1000"
        CHECK (wear_full BETWEEN 1 AND 1000),
    -- Adherence below is low, in thousandths.
    wear_low INTEGER NOT NULL CONSTRAINT "wear_low lies in 1 to 1000"
        CHECK (wear_low BETWEEN 1 AND 1000),
    -- A source is judged from this share of known days, in thousandths.
    wear_known_min INTEGER NOT NULL CONSTRAINT "wear_known_min lies in 0 to 1000"
        CHECK (wear_known_min BETWEEN 0 AND 1000),
    -- Below this share of known days the record is thin, in thousandths.
    wear_thin INTEGER NOT NULL CONSTRAINT "wear_thin lies in 0 to 1000"
        CHECK (wear_thin BETWEEN 0 AND 1000),
    -- Least days of a wear period.
    wear_period_min_days INTEGER NOT NULL CONSTRAINT "wear_period_min_days lies in 0 to 365"
        CHECK (wear_period_min_days BETWEEN 0 AND 365),
    -- Known days from which a better source can contradict.
    wear_differs_days INTEGER NOT NULL CONSTRAINT "wear_differs_days lies in 0 to 365"
        CHECK (wear_differs_days BETWEEN 0 AND 365),
    -- Factor of a reduced step, in thousandths.
    reduce_factor INTEGER NOT NULL CONSTRAINT "reduce_factor lies in 1 to 1000"
        CHECK (reduce_factor BETWEEN 1 AND 1000),
    -- Periods in a row that hold.
    wear_run_hold INTEGER NOT NULL CONSTRAINT "wear_run_hold lies in 0 to 1000"
        CHECK (wear_run_hold BETWEEN 0 AND 1000),
    -- Periods in a row that rest.
    wear_run_rest INTEGER NOT NULL CONSTRAINT "wear_run_rest lies in 0 to 1000"
        CHECK (wear_run_rest BETWEEN 0 AND 1000),
    -- Difference of the sides from which a caution stands.
    side_gap_um INTEGER NOT NULL CONSTRAINT "side_gap_um lies in 0 to 20000"
        CHECK (side_gap_um BETWEEN 0 AND 20000),
    -- Activations from which widths must follow.
    lag_total_um INTEGER NOT NULL CONSTRAINT "lag_total_um lies in 0 to 100000"
        CHECK (lag_total_um BETWEEN 0 AND 100000),
    -- Days from which widths must follow.
    lag_days INTEGER NOT NULL CONSTRAINT "lag_days lies in 0 to 1000"
        CHECK (lag_days BETWEEN 0 AND 1000),
    -- Share of the activations that widths must show, in thousandths.
    lag_share INTEGER NOT NULL CONSTRAINT "lag_share lies in 0 to 1000"
        CHECK (lag_share BETWEEN 0 AND 1000),
    -- Fastest widening.
    width_rate_max_um_per_week INTEGER NOT NULL
        CONSTRAINT "width_rate_max_um_per_week lies in 1 to 20000"
        CHECK (width_rate_max_um_per_week BETWEEN 1 AND 20000),
    -- A width older than this is stale.
    width_stale_days INTEGER NOT NULL CONSTRAINT "width_stale_days lies in 0 to 1000"
        CHECK (width_stale_days BETWEEN 0 AND 1000),
    -- A width older than this counts as missing.
    width_missing_days INTEGER NOT NULL CONSTRAINT "width_missing_days lies in 0 to 1000"
        CHECK (width_missing_days BETWEEN 0 AND 1000),
    -- Dahlberg error of a width.
    width_error_um INTEGER NOT NULL CONSTRAINT "width_error_um lies in 0 to 20000"
        CHECK (width_error_um BETWEEN 0 AND 20000),
    -- Days of retention.
    retention_days INTEGER NOT NULL CONSTRAINT "retention_days lies in 0 to 5000"
        CHECK (retention_days BETWEEN 0 AND 5000),
    -- Recheck after a hold for wear: from.
    recheck_wear_min_days INTEGER NOT NULL CONSTRAINT "recheck_wear_min_days lies in 0 to 365"
        CHECK (recheck_wear_min_days BETWEEN 0 AND 365),
    -- Recheck after a hold for wear: to.
    recheck_wear_max_days INTEGER NOT NULL CONSTRAINT "recheck_wear_max_days lies in 0 to 365"
        CHECK (recheck_wear_max_days BETWEEN 0 AND 365),
    -- Recheck after a fault: from.
    recheck_fault_min_days INTEGER NOT NULL CONSTRAINT "recheck_fault_min_days lies in 0 to 365"
        CHECK (recheck_fault_min_days BETWEEN 0 AND 365),
    -- Recheck after a fault: to.
    recheck_fault_max_days INTEGER NOT NULL CONSTRAINT "recheck_fault_max_days lies in 0 to 365"
        CHECK (recheck_fault_max_days BETWEEN 0 AND 365),
    -- Recheck after a rest: from.
    recheck_rest_min_days INTEGER NOT NULL CONSTRAINT "recheck_rest_min_days lies in 0 to 365"
        CHECK (recheck_rest_min_days BETWEEN 0 AND 365),
    -- Recheck after a rest: to.
    recheck_rest_max_days INTEGER NOT NULL CONSTRAINT "recheck_rest_max_days lies in 0 to 365"
        CHECK (recheck_rest_max_days BETWEEN 0 AND 365),
    -- Days that separators stay.
    separator_days INTEGER NOT NULL CONSTRAINT "separator_days lies in 0 to 365"
        CHECK (separator_days BETWEEN 0 AND 365),
    -- The lower arch follows the upper by so many days.
    lower_after_days INTEGER NOT NULL CONSTRAINT "lower_after_days lies in 0 to 1000"
        CHECK (lower_after_days BETWEEN 0 AND 1000),
    -- An amount above is refused as a slip.
    entry_cap_um INTEGER NOT NULL CONSTRAINT "entry_cap_um lies in 1 to 20000"
        CHECK (entry_cap_um BETWEEN 1 AND 20000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL)),
    CONSTRAINT "grain, first step, step and entry cap rise"
        CHECK (step_grain_um <= first_step_max_um AND first_step_max_um <= step_max_um
            AND step_max_um <= entry_cap_um),
    CONSTRAINT "interval_min, interval_max and restart_after rise"
        CHECK (interval_min_days <= interval_max_days AND interval_max_days < restart_after_days),
    CONSTRAINT "wear_low lies below wear_full" CHECK (wear_low < wear_full),
    CONSTRAINT "reduce_factor lies below 1" CHECK (reduce_factor < 1000)
) STRICT;
CREATE UNIQUE INDEX protocol_replaces ON protocol (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX protocol_record ON protocol (record);
CREATE INDEX protocol_name ON protocol (name);
-- The rows that nothing replaced or withdrew.
CREATE VIEW protocol_current AS
SELECT * FROM protocol AS kept
WHERE NOT EXISTS (SELECT 1 FROM protocol AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER protocol_is_never_changed BEFORE UPDATE ON protocol
BEGIN
    SELECT RAISE(ABORT, 'protocol: rows are never changed');
END;
CREATE TRIGGER protocol_is_never_deleted BEFORE DELETE ON protocol
BEGIN
    SELECT RAISE(ABORT, 'protocol: rows are never deleted');
END;
CREATE TRIGGER protocol_replaces_the_newest BEFORE INSERT ON protocol
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM protocol_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'protocol: only the newest version of a record can be replaced');
END;
CREATE TRIGGER protocol_key_is_taken BEFORE INSERT ON protocol
WHEN EXISTS (
    SELECT 1 FROM protocol_current AS kept
    WHERE kept.name = NEW.name
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'protocol: another record has the same name');
END;

-- Whom the practice treats.
CREATE TABLE patient (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES patient (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES patient (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- 16 random bytes for each personal field, in the order of the columns:
    -- family, given, born, guardian, phone, guardian2, phone2, alerts.
    salts BLOB NOT NULL
        CONSTRAINT "salts have 128 bytes" CHECK (length(salts) = 128),
    -- 32 bytes for each personal field: the hash of its salt, name and value. The ledger
    -- covers these and not the values, so that a lawful erasure leaves the chain whole.
    seals BLOB NOT NULL CONSTRAINT "seals have 256 bytes" CHECK (length(seals) = 256),
    -- Chart number.
    chart TEXT NOT NULL CONSTRAINT "chart has 1 to 400 characters"
        CHECK (length(chart) BETWEEN 1 AND 400),
    -- Family name.
    family TEXT NOT NULL CONSTRAINT "family has 1 to 400 characters"
        CHECK (length(family) BETWEEN 1 AND 400),
    -- Given name.
    given TEXT CONSTRAINT "given has 1 to 400 characters"
        CHECK (length(given) BETWEEN 1 AND 400),
    -- Date of birth.
    born TEXT CONSTRAINT "born is a date that exists"
        CHECK (date(born, '+0 days') IS born),
    -- Sex.
    sex TEXT CONSTRAINT "sex is one of its words"
        CHECK (sex = 'male' OR sex = 'female' OR sex = 'other' OR sex = 'unknown'),
    -- First guardian.
    guardian TEXT CONSTRAINT "guardian has 1 to 400 characters"
        CHECK (length(guardian) BETWEEN 1 AND 400),
    -- Telephone of the first guardian.
    phone TEXT CONSTRAINT "phone has 1 to 400 characters"
        CHECK (length(phone) BETWEEN 1 AND 400),
    -- Second guardian.
    guardian2 TEXT CONSTRAINT "guardian2 has 1 to 400 characters"
        CHECK (length(guardian2) BETWEEN 1 AND 400),
    -- Telephone of the second guardian.
    phone2 TEXT CONSTRAINT "phone2 has 1 to 400 characters"
        CHECK (length(phone2) BETWEEN 1 AND 400),
    -- Alerts: allergies, conditions.
    alerts TEXT CONSTRAINT "alerts has 1 to 4000 characters"
        CHECK (length(alerts) BETWEEN 1 AND 4000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX patient_replaces ON patient (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX patient_record ON patient (record);
CREATE INDEX patient_chart ON patient (chart);
-- The rows that nothing replaced or withdrew.
CREATE VIEW patient_current AS
SELECT * FROM patient AS kept
WHERE NOT EXISTS (SELECT 1 FROM patient AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER patient_is_never_changed BEFORE UPDATE ON patient
BEGIN
    SELECT RAISE(ABORT, 'patient: rows are never changed');
END;
CREATE TRIGGER patient_is_never_deleted BEFORE DELETE ON patient
BEGIN
    SELECT RAISE(ABORT, 'patient: rows are never deleted');
END;
CREATE TRIGGER patient_replaces_the_newest BEFORE INSERT ON patient
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM patient_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'patient: only the newest version of a record can be replaced');
END;
CREATE TRIGGER patient_key_is_taken BEFORE INSERT ON patient
WHEN EXISTS (
    SELECT 1 FROM patient_current AS kept
    WHERE kept.chart = NEW.chart
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'patient: another record has the same chart number');
END;

-- A case: one course of treatment of one patient.
CREATE TABLE casefile (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES casefile (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES casefile (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- Case number.
    "case" TEXT NOT NULL CONSTRAINT "case has 1 to 400 characters"
        CHECK (length("case") BETWEEN 1 AND 400),
    -- The record of the patient.
    patient BLOB NOT NULL REFERENCES patient (id),
    -- Opened on.
    opened TEXT NOT NULL CONSTRAINT "opened is a date that exists"
        CHECK (date(opened, '+0 days') IS opened),
    -- Consent given on.
    consent_on TEXT CONSTRAINT "consent_on is a date that exists"
        CHECK (date(consent_on, '+0 days') IS consent_on),
    -- The health questions were asked on.
    asked_on TEXT CONSTRAINT "asked_on is a date that exists"
        CHECK (date(asked_on, '+0 days') IS asked_on),
    -- Name of its protocol; NULL: the practice's.
    protocol TEXT CONSTRAINT "protocol has 1 to 400 characters"
        CHECK (length(protocol) BETWEEN 1 AND 400),
    -- Closed on.
    closed_on TEXT CONSTRAINT "closed_on is a date that exists"
        CHECK (date(closed_on, '+0 days') IS closed_on),
    -- Why closed.
    closed_reason TEXT CONSTRAINT "closed_reason is one of its words"
        CHECK (closed_reason = 'finished' OR closed_reason = 'transferred' OR
            closed_reason = 'discontinued'),
    -- The clinician in charge.
    clinician TEXT CONSTRAINT "clinician has 1 to 400 characters"
        CHECK (length(clinician) BETWEEN 1 AND 400),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX casefile_replaces ON casefile (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX casefile_record ON casefile (record);
CREATE INDEX casefile_case ON casefile ("case");
-- The rows that nothing replaced or withdrew.
CREATE VIEW casefile_current AS
SELECT * FROM casefile AS kept
WHERE NOT EXISTS (SELECT 1 FROM casefile AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER casefile_is_never_changed BEFORE UPDATE ON casefile
BEGIN
    SELECT RAISE(ABORT, 'casefile: rows are never changed');
END;
CREATE TRIGGER casefile_is_never_deleted BEFORE DELETE ON casefile
BEGIN
    SELECT RAISE(ABORT, 'casefile: rows are never deleted');
END;
CREATE TRIGGER casefile_replaces_the_newest BEFORE INSERT ON casefile
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM casefile_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'casefile: only the newest version of a record can be replaced');
END;
CREATE TRIGGER casefile_key_is_taken BEFORE INSERT ON casefile
WHEN EXISTS (
    SELECT 1 FROM casefile_current AS kept
    WHERE kept."case" = NEW."case"
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'casefile: another record has the same case number');
END;

-- A functional trainer issued.
CREATE TABLE trainer (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES trainer (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES trainer (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- Issued on.
    issued_on TEXT NOT NULL CONSTRAINT "issued_on is a date that exists"
        CHECK (date(issued_on, '+0 days') IS issued_on),
    -- Ended on.
    ended_on TEXT CONSTRAINT "ended_on is a date that exists"
        CHECK (date(ended_on, '+0 days') IS ended_on),
    -- Why it ended.
    ended_reason TEXT CONSTRAINT "ended_reason is one of its words"
        CHECK (ended_reason = 'lost' OR ended_reason = 'broken' OR ended_reason = 'outgrown' OR
            ended_reason = 'stopped'),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX trainer_replaces ON trainer (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX trainer_case ON trainer (casefile, issued_on);
-- The rows that nothing replaced or withdrew.
CREATE VIEW trainer_current AS
SELECT * FROM trainer AS kept
WHERE NOT EXISTS (SELECT 1 FROM trainer AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER trainer_is_never_changed BEFORE UPDATE ON trainer
BEGIN
    SELECT RAISE(ABORT, 'trainer: rows are never changed');
END;
CREATE TRIGGER trainer_is_never_deleted BEFORE DELETE ON trainer
BEGIN
    SELECT RAISE(ABORT, 'trainer: rows are never deleted');
END;
CREATE TRIGGER trainer_replaces_the_newest BEFORE INSERT ON trainer
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM trainer_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'trainer: only the newest version of a record can be replaced');
END;
CREATE TRIGGER trainer_key_is_taken BEFORE INSERT ON trainer
WHEN EXISTS (
    SELECT 1 FROM trainer_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.issued_on = NEW.issued_on
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'trainer: another record has the same case and issued_on');
END;

-- A light-wire expander of one arch, from the plan to the day it is out.
CREATE TABLE expander (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES expander (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES expander (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- The arch.
    arch TEXT NOT NULL CONSTRAINT "arch is one of its words"
        CHECK (arch IN ('upper', 'lower')),
    -- Separators placed on.
    separators_on TEXT CONSTRAINT "separators_on is a date that exists"
        CHECK (date(separators_on, '+0 days') IS separators_on),
    -- Bands seated on.
    banded_on TEXT CONSTRAINT "banded_on is a date that exists"
        CHECK (date(banded_on, '+0 days') IS banded_on),
    -- Fitted on.
    fitted_on TEXT CONSTRAINT "fitted_on is a date that exists"
        CHECK (date(fitted_on, '+0 days') IS fitted_on),
    -- Fit check: ends passive in the tubes.
    passive_ends TEXT CONSTRAINT "passive_ends is one of its words"
        CHECK (passive_ends IN ('yes', 'no')),
    -- Fit check: width equal to the tubes.
    width_equal TEXT CONSTRAINT "width_equal is one of its words"
        CHECK (width_equal IN ('yes', 'no')),
    -- Fit check: loops clear of tissue.
    loops_clear TEXT CONSTRAINT "loops_clear is one of its words"
        CHECK (loops_clear IN ('yes', 'no')),
    -- Fit check: tied in.
    tied TEXT CONSTRAINT "tied is one of its words"
        CHECK (tied IN ('yes', 'no')),
    -- Fit check: ends rounded.
    ends_rounded TEXT CONSTRAINT "ends_rounded is one of its words"
        CHECK (ends_rounded IN ('yes', 'no')),
    -- Thickness of the wire.
    wire_um INTEGER CONSTRAINT "wire_um lies in 100 to 5000"
        CHECK (wire_um BETWEEN 100 AND 5000),
    -- Width of the right loop.
    loop_right_um INTEGER CONSTRAINT "loop_right_um lies in 0 to 50000"
        CHECK (loop_right_um BETWEEN 0 AND 50000),
    -- Width of the left loop.
    loop_left_um INTEGER CONSTRAINT "loop_left_um lies in 0 to 50000"
        CHECK (loop_left_um BETWEEN 0 AND 50000),
    -- Sides in plan.
    sides TEXT CONSTRAINT "sides is one of its words"
        CHECK (sides = 'both' OR sides = 'right' OR sides = 'left'),
    -- Planned right minus left.
    plan_gap_um INTEGER CONSTRAINT "plan_gap_um lies in -20000 to 20000"
        CHECK (plan_gap_um BETWEEN -20000 AND 20000),
    -- Where widths are taken.
    site TEXT CONSTRAINT "site is one of its words"
        CHECK (site = 'intermolar' OR site = 'intercanine' OR site = 'interpremolar'),
    -- Between which points.
    landmark TEXT CONSTRAINT "landmark is one of its words"
        CHECK (landmark = 'cusp' OR landmark = 'fossa' OR landmark = 'gingival' OR
            landmark = 'facial' OR landmark = 'tube'),
    -- Between which teeth.
    teeth TEXT CONSTRAINT "teeth are two ISO 3950 teeth, right and left"
        CHECK (length(teeth) = 5 AND substr(teeth, 3, 1) = '-'
            AND (substr(teeth, 1, 2) GLOB '[14][1-8]' OR substr(teeth, 1, 2) GLOB '[58][1-5]')
            AND (substr(teeth, 4, 2) GLOB '[23][1-8]' OR substr(teeth, 4, 2) GLOB '[67][1-5]')),
    -- Width to reach.
    target_um INTEGER CONSTRAINT "target_um lies in 5000 to 100000"
        CHECK (target_um BETWEEN 5000 AND 100000),
    -- Left in passively since.
    passive_on TEXT CONSTRAINT "passive_on is a date that exists"
        CHECK (date(passive_on, '+0 days') IS passive_on),
    -- Out since.
    out_on TEXT CONSTRAINT "out_on is a date that exists"
        CHECK (date(out_on, '+0 days') IS out_on),
    -- Why out.
    out_reason TEXT CONSTRAINT "out_reason is one of its words"
        CHECK (out_reason = 'rest' OR out_reason = 'repair' OR out_reason = 'target' OR
            out_reason = 'other'),
    -- Size of the right band.
    band_right TEXT CONSTRAINT "band_right has 1 to 400 characters"
        CHECK (length(band_right) BETWEEN 1 AND 400),
    -- Size of the left band.
    band_left TEXT CONSTRAINT "band_left has 1 to 400 characters"
        CHECK (length(band_left) BETWEEN 1 AND 400),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX expander_replaces ON expander (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX expander_case ON expander (casefile, arch, fitted_on);
-- The rows that nothing replaced or withdrew.
CREATE VIEW expander_current AS
SELECT * FROM expander AS kept
WHERE NOT EXISTS (SELECT 1 FROM expander AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER expander_is_never_changed BEFORE UPDATE ON expander
BEGIN
    SELECT RAISE(ABORT, 'expander: rows are never changed');
END;
CREATE TRIGGER expander_is_never_deleted BEFORE DELETE ON expander
BEGIN
    SELECT RAISE(ABORT, 'expander: rows are never deleted');
END;
CREATE TRIGGER expander_replaces_the_newest BEFORE INSERT ON expander
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM expander_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'expander: only the newest version of a record can be replaced');
END;
CREATE TRIGGER expander_key_is_taken BEFORE INSERT ON expander
WHEN EXISTS (
    SELECT 1 FROM expander_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.arch = NEW.arch
      AND coalesce(kept.fitted_on, kept.banded_on) IS coalesce(NEW.fitted_on, NEW.banded_on)
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'expander: another record has the same case, arch and day of fit or bands');
END;

-- What happened at a visit, for one arch or for the case as a whole.
CREATE TABLE visit (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES visit (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES visit (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- 16 random bytes for each personal field, in the order of the columns:
    -- override_reason, note.
    salts BLOB NOT NULL
        CONSTRAINT "salts have 32 bytes" CHECK (length(salts) = 32),
    -- 32 bytes for each personal field: the hash of its salt, name and value. The ledger
    -- covers these and not the values, so that a lawful erasure leaves the chain whole.
    seals BLOB NOT NULL CONSTRAINT "seals have 64 bytes" CHECK (length(seals) = 64),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- Day of the visit.
    date TEXT NOT NULL CONSTRAINT "date is a date that exists"
        CHECK (date(date, '+0 days') IS date),
    -- What was done.
    kind TEXT NOT NULL CONSTRAINT "kind is one of its words"
        CHECK (kind = 'activation' OR kind = 'check' OR kind = 'repair' OR kind = 'relief' OR
            kind = 'removal' OR kind = 'stability' OR kind = 'missed'),
    -- The arch; NULL: the case as a whole.
    arch TEXT CONSTRAINT "arch is one of its words"
        CHECK (arch IN ('upper', 'lower')),
    -- Activation of the right side.
    right_um INTEGER CONSTRAINT "right_um lies in 0 to 20000"
        CHECK (right_um BETWEEN 0 AND 20000),
    -- Activation of the left side.
    left_um INTEGER CONSTRAINT "left_um lies in 0 to 20000"
        CHECK (left_um BETWEEN 0 AND 20000),
    -- Tissue.
    tissue TEXT CONSTRAINT "tissue is one of its words"
        CHECK (tissue = 'none' OR tissue = 'mild' OR tissue = 'wound'),
    -- Hardware: intact, or faults with their side.
    hardware TEXT CONSTRAINT "hardware is intact or a list of faults"
        CHECK (hardware = 'intact' OR (length(hardware) BETWEEN 9 AND 400
            AND hardware NOT GLOB '*[^a-z:;-]*' AND hardware GLOB '[bl]*-*')),
    -- All faults found were repaired.
    repaired TEXT CONSTRAINT "repaired is one of its words"
        CHECK (repaired IN ('yes', 'no')),
    -- Done by another practice.
    elsewhere TEXT CONSTRAINT "elsewhere is one of its words"
        CHECK (elsewhere IN ('yes', 'no')),
    -- Why more was given than permitted.
    override_reason TEXT CONSTRAINT "override_reason has 1 to 4000 characters"
        CHECK (length(override_reason) BETWEEN 1 AND 4000),
    -- Next visit wanted on.
    next_on TEXT CONSTRAINT "next_on is a date that exists"
        CHECK (date(next_on, '+0 days') IS next_on),
    -- Who did it.
    "by" TEXT CONSTRAINT "by has 1 to 400 characters"
        CHECK (length("by") BETWEEN 1 AND 400),
    -- Note.
    note TEXT CONSTRAINT "note has 1 to 4000 characters"
        CHECK (length(note) BETWEEN 1 AND 4000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX visit_replaces ON visit (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX visit_case ON visit (casefile, date);
-- The rows that nothing replaced or withdrew.
CREATE VIEW visit_current AS
SELECT * FROM visit AS kept
WHERE NOT EXISTS (SELECT 1 FROM visit AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER visit_is_never_changed BEFORE UPDATE ON visit
BEGIN
    SELECT RAISE(ABORT, 'visit: rows are never changed');
END;
CREATE TRIGGER visit_is_never_deleted BEFORE DELETE ON visit
BEGIN
    SELECT RAISE(ABORT, 'visit: rows are never deleted');
END;
CREATE TRIGGER visit_replaces_the_newest BEFORE INSERT ON visit
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM visit_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'visit: only the newest version of a record can be replaced');
END;
CREATE TRIGGER visit_key_is_taken BEFORE INSERT ON visit
WHEN EXISTS (
    SELECT 1 FROM visit_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.date = NEW.date
      AND kept.kind = NEW.kind
      AND kept.arch IS NEW.arch
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'visit: another record has the same case, date, arch and kind');
END;

-- A measured width of an arch.
CREATE TABLE width (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES width (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES width (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- Day of the measurement.
    date TEXT NOT NULL CONSTRAINT "date is a date that exists"
        CHECK (date(date, '+0 days') IS date),
    -- The arch.
    arch TEXT NOT NULL CONSTRAINT "arch is one of its words"
        CHECK (arch IN ('upper', 'lower')),
    -- Where.
    site TEXT NOT NULL CONSTRAINT "site is one of its words"
        CHECK (site = 'intermolar' OR site = 'intercanine' OR site = 'interpremolar'),
    -- Between which points.
    landmark TEXT NOT NULL CONSTRAINT "landmark is one of its words"
        CHECK (landmark = 'cusp' OR landmark = 'fossa' OR landmark = 'gingival' OR
            landmark = 'facial' OR landmark = 'tube'),
    -- Between which teeth.
    teeth TEXT NOT NULL CONSTRAINT "teeth are two ISO 3950 teeth, right and left"
        CHECK (length(teeth) = 5 AND substr(teeth, 3, 1) = '-'
            AND (substr(teeth, 1, 2) GLOB '[14][1-8]' OR substr(teeth, 1, 2) GLOB '[58][1-5]')
            AND (substr(teeth, 4, 2) GLOB '[23][1-8]' OR substr(teeth, 4, 2) GLOB '[67][1-5]')),
    -- How.
    method TEXT NOT NULL CONSTRAINT "method is one of its words"
        CHECK (method = 'mouth' OR method = 'cast' OR method = 'scan'),
    -- 1, 2, ... of the same day.
    repeat INTEGER NOT NULL CONSTRAINT "repeat lies in 1 to 1000"
        CHECK (repeat BETWEEN 1 AND 1000),
    -- The width.
    um INTEGER NOT NULL CONSTRAINT "um lies in 5000 to 100000"
        CHECK (um BETWEEN 5000 AND 100000),
    -- Who measured.
    "by" TEXT CONSTRAINT "by has 1 to 400 characters"
        CHECK (length("by") BETWEEN 1 AND 400),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX width_replaces ON width (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX width_case ON width (casefile, date);
-- The second measurements, from which the practice's own error is worked out.
CREATE INDEX width_repeat ON width (casefile, date) WHERE repeat = 2;
-- The rows that nothing replaced or withdrew.
CREATE VIEW width_current AS
SELECT * FROM width AS kept
WHERE NOT EXISTS (SELECT 1 FROM width AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER width_is_never_changed BEFORE UPDATE ON width
BEGIN
    SELECT RAISE(ABORT, 'width: rows are never changed');
END;
CREATE TRIGGER width_is_never_deleted BEFORE DELETE ON width
BEGIN
    SELECT RAISE(ABORT, 'width: rows are never deleted');
END;
CREATE TRIGGER width_replaces_the_newest BEFORE INSERT ON width
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM width_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'width: only the newest version of a record can be replaced');
END;
CREATE TRIGGER width_key_is_taken BEFORE INSERT ON width
WHEN EXISTS (
    SELECT 1 FROM width_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.date = NEW.date
      AND kept.arch = NEW.arch
      AND kept.site = NEW.site
      AND kept.landmark = NEW.landmark
      AND kept.teeth = NEW.teeth
      AND kept.method = NEW.method
      AND kept.repeat = NEW.repeat
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'width: another record has the same place, day, method and repeat');
END;

-- Wear of the trainer on one day.
CREATE TABLE wear_day (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES wear_day (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES wear_day (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- The day; its night begins on it.
    date TEXT NOT NULL CONSTRAINT "date is a date that exists"
        CHECK (date(date, '+0 days') IS date),
    -- Minutes worn by day.
    day_minutes INTEGER CONSTRAINT "day_minutes lies in 0 to 1440"
        CHECK (day_minutes BETWEEN 0 AND 1440),
    -- Worn in the night.
    night TEXT CONSTRAINT "night is one of its words"
        CHECK (night IN ('yes', 'no')),
    -- Where it is known from.
    source TEXT NOT NULL CONSTRAINT "source is one of its words"
        CHECK (source = 'sensor' OR source = 'diary' OR source = 'told'),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX wear_day_replaces ON wear_day (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX wear_day_case ON wear_day (casefile, date);
-- The rows that nothing replaced or withdrew.
CREATE VIEW wear_day_current AS
SELECT * FROM wear_day AS kept
WHERE NOT EXISTS (SELECT 1 FROM wear_day AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER wear_day_is_never_changed BEFORE UPDATE ON wear_day
BEGIN
    SELECT RAISE(ABORT, 'wear_day: rows are never changed');
END;
CREATE TRIGGER wear_day_is_never_deleted BEFORE DELETE ON wear_day
BEGIN
    SELECT RAISE(ABORT, 'wear_day: rows are never deleted');
END;
CREATE TRIGGER wear_day_replaces_the_newest BEFORE INSERT ON wear_day
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM wear_day_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'wear_day: only the newest version of a record can be replaced');
END;
CREATE TRIGGER wear_day_key_is_taken BEFORE INSERT ON wear_day
WHEN EXISTS (
    SELECT 1 FROM wear_day_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.date = NEW.date
      AND kept.source = NEW.source
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'wear_day: another record has the same case, date and source');
END;

-- Wear counted over several days.
CREATE TABLE wear_count (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES wear_count (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES wear_count (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- First day.
    "from" TEXT NOT NULL CONSTRAINT "from is a date that exists"
        CHECK (date("from", '+0 days') IS "from"),
    -- Last day.
    "to" TEXT NOT NULL CONSTRAINT "to is a date that exists"
        CHECK (date("to", '+0 days') IS "to"),
    -- Days that met the minimum.
    days_met INTEGER NOT NULL CONSTRAINT "days_met lies in 0 to 10000"
        CHECK (days_met BETWEEN 0 AND 10000),
    -- Days asked about.
    days_asked INTEGER NOT NULL CONSTRAINT "days_asked lies in 0 to 10000"
        CHECK (days_asked BETWEEN 0 AND 10000),
    -- Where it is known from.
    source TEXT NOT NULL CONSTRAINT "source is one of its words"
        CHECK (source = 'sensor' OR source = 'diary' OR source = 'told'),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL)),
    CONSTRAINT "from is not after to" CHECK ("from" <= "to"),
    CONSTRAINT "days_met is at most days_asked" CHECK (days_met <= days_asked)
) STRICT;
CREATE UNIQUE INDEX wear_count_replaces ON wear_count (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX wear_count_case ON wear_count (casefile, "from");
-- The rows that nothing replaced or withdrew.
CREATE VIEW wear_count_current AS
SELECT * FROM wear_count AS kept
WHERE NOT EXISTS (SELECT 1 FROM wear_count AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER wear_count_is_never_changed BEFORE UPDATE ON wear_count
BEGIN
    SELECT RAISE(ABORT, 'wear_count: rows are never changed');
END;
CREATE TRIGGER wear_count_is_never_deleted BEFORE DELETE ON wear_count
BEGIN
    SELECT RAISE(ABORT, 'wear_count: rows are never deleted');
END;
CREATE TRIGGER wear_count_replaces_the_newest BEFORE INSERT ON wear_count
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM wear_count_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'wear_count: only the newest version of a record can be replaced');
END;
CREATE TRIGGER wear_count_key_is_taken BEFORE INSERT ON wear_count
WHEN EXISTS (
    SELECT 1 FROM wear_count_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept."from" = NEW."from"
      AND kept."to" = NEW."to"
      AND kept.source = NEW.source
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'wear_count: another record has the same case, from, to and source');
END;

-- A call, letter or message to the family.
CREATE TABLE contact (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES contact (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES contact (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- 16 random bytes for each personal field, in the order of the columns:
    -- note.
    salts BLOB NOT NULL
        CONSTRAINT "salts have 16 bytes" CHECK (length(salts) = 16),
    -- 32 bytes for each personal field: the hash of its salt, name and value. The ledger
    -- covers these and not the values, so that a lawful erasure leaves the chain whole.
    seals BLOB NOT NULL CONSTRAINT "seals have 32 bytes" CHECK (length(seals) = 32),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- When.
    at TEXT NOT NULL CONSTRAINT "at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', at, '+0 seconds') IS at),
    -- How.
    channel TEXT NOT NULL CONSTRAINT "channel is one of its words"
        CHECK (channel = 'telephone' OR channel = 'letter' OR channel = 'message' OR
            channel = 'visit'),
    -- What came of it.
    outcome TEXT CONSTRAINT "outcome is one of its words"
        CHECK (outcome = 'reached' OR outcome = 'not-reached' OR outcome = 'left-word' OR
            outcome = 'refused'),
    -- Call again on.
    again_on TEXT CONSTRAINT "again_on is a date that exists"
        CHECK (date(again_on, '+0 days') IS again_on),
    -- Who called.
    "by" TEXT CONSTRAINT "by has 1 to 400 characters"
        CHECK (length("by") BETWEEN 1 AND 400),
    -- Note.
    note TEXT CONSTRAINT "note has 1 to 4000 characters"
        CHECK (length(note) BETWEEN 1 AND 4000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX contact_replaces ON contact (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX contact_case ON contact (casefile, at);
-- The rows that nothing replaced or withdrew.
CREATE VIEW contact_current AS
SELECT * FROM contact AS kept
WHERE NOT EXISTS (SELECT 1 FROM contact AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER contact_is_never_changed BEFORE UPDATE ON contact
BEGIN
    SELECT RAISE(ABORT, 'contact: rows are never changed');
END;
CREATE TRIGGER contact_is_never_deleted BEFORE DELETE ON contact
BEGIN
    SELECT RAISE(ABORT, 'contact: rows are never deleted');
END;
CREATE TRIGGER contact_replaces_the_newest BEFORE INSERT ON contact
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM contact_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'contact: only the newest version of a record can be replaced');
END;
CREATE TRIGGER contact_key_is_taken BEFORE INSERT ON contact
WHEN EXISTS (
    SELECT 1 FROM contact_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.at = NEW.at
      AND kept.channel = NEW.channel
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'contact: another record has the same case, instant and channel');
END;

-- A booked visit.
CREATE TABLE booking (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES booking (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES booking (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The record of the case.
    casefile BLOB NOT NULL REFERENCES casefile (id),
    -- Day.
    date TEXT NOT NULL CONSTRAINT "date is a date that exists"
        CHECK (date(date, '+0 days') IS date),
    -- Time of day.
    time TEXT NOT NULL CONSTRAINT "time is HH:MM"
        CHECK (time GLOB '[0-2][0-9]:[0-5][0-9]' AND time < '24:00'),
    -- For what.
    kind TEXT CONSTRAINT "kind is one of its words"
        CHECK (kind = 'assessment' OR kind = 'separators' OR kind = 'bands' OR kind = 'fit' OR
            kind = 'activation' OR kind = 'check' OR kind = 'repair' OR kind = 'relief' OR
            kind = 'removal' OR kind = 'stability'),
    -- What became of it.
    state TEXT NOT NULL CONSTRAINT "state is one of its words"
        CHECK (state = 'booked' OR state = 'kept' OR state = 'missed' OR state = 'cancelled'),
    -- Who cancelled it.
    cancelled_by TEXT CONSTRAINT "cancelled_by is one of its words"
        CHECK (cancelled_by IN ('family', 'practice')),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX booking_replaces ON booking (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX booking_case ON booking (casefile, date, time);
CREATE INDEX booking_day ON booking (date, time);
-- The next standing booking of a case is read from this index alone.
CREATE INDEX booking_standing ON booking (casefile, date, id) WHERE state = 'booked';
-- The rows that nothing replaced or withdrew.
CREATE VIEW booking_current AS
SELECT * FROM booking AS kept
WHERE NOT EXISTS (SELECT 1 FROM booking AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER booking_is_never_changed BEFORE UPDATE ON booking
BEGIN
    SELECT RAISE(ABORT, 'booking: rows are never changed');
END;
CREATE TRIGGER booking_is_never_deleted BEFORE DELETE ON booking
BEGIN
    SELECT RAISE(ABORT, 'booking: rows are never deleted');
END;
CREATE TRIGGER booking_replaces_the_newest BEFORE INSERT ON booking
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM booking_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'booking: only the newest version of a record can be replaced');
END;
CREATE TRIGGER booking_key_is_taken BEFORE INSERT ON booking
WHEN EXISTS (
    SELECT 1 FROM booking_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.date = NEW.date
      AND kept.time = NEW.time
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'booking: another record has the same case, date and time');
END;

-- The verdict a saved visit was given under.
CREATE TABLE judged (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES judged (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES judged (id),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL UNIQUE
        CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- When it was recorded, by the real clock, never running back.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- The practice that recorded it.
    practice BLOB NOT NULL REFERENCES practice (id),
    -- Who recorded it; NULL: nobody was signed in.
    person BLOB REFERENCES person (id),
    -- The save it came with.
    request BLOB NOT NULL REFERENCES request (id),
    -- Why a recorded value was changed.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The row of the visit.
    visit BLOB NOT NULL REFERENCES visit (id),
    -- 1 proceed, 2 reduce, 3 hold, 4 rest.
    verdict INTEGER NOT NULL CONSTRAINT "verdict lies in 1 to 4"
        CHECK (verdict BETWEEN 1 AND 4),
    -- Permitted on the right.
    permitted_right_um INTEGER NOT NULL CONSTRAINT "permitted_right_um lies in 0 to 20000"
        CHECK (permitted_right_um BETWEEN 0 AND 20000),
    -- Permitted on the left.
    permitted_left_um INTEGER NOT NULL CONSTRAINT "permitted_left_um lies in 0 to 20000"
        CHECK (permitted_left_um BETWEEN 0 AND 20000),
    -- Next visit: from.
    next_from TEXT CONSTRAINT "next_from is a date that exists"
        CHECK (date(next_from, '+0 days') IS next_from),
    -- Next visit: to.
    next_to TEXT CONSTRAINT "next_to is a date that exists"
        CHECK (date(next_to, '+0 days') IS next_to),
    -- The row of the protocol it was judged by.
    protocol BLOB NOT NULL REFERENCES protocol (id),
    -- Version of the rules.
    rules_version INTEGER NOT NULL CONSTRAINT "rules_version lies in 1 to 1000000"
        CHECK (rules_version BETWEEN 1 AND 1000000),
    -- Error of a width it was judged with.
    width_error_um INTEGER NOT NULL CONSTRAINT "width_error_um lies in 0 to 20000"
        CHECK (width_error_um BETWEEN 0 AND 20000),
    -- The findings.
    findings TEXT NOT NULL CONSTRAINT "findings are a JSON array of at most 100000 characters"
        CHECK (findings GLOB '[[]*]' AND length(findings) <= 100000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX judged_replaces ON judged (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX judged_visit ON judged (visit);
-- The rows that nothing replaced or withdrew.
CREATE VIEW judged_current AS
SELECT * FROM judged AS kept
WHERE NOT EXISTS (SELECT 1 FROM judged AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER judged_is_never_changed BEFORE UPDATE ON judged
BEGIN
    SELECT RAISE(ABORT, 'judged: rows are never changed');
END;
CREATE TRIGGER judged_is_never_deleted BEFORE DELETE ON judged
BEGIN
    SELECT RAISE(ABORT, 'judged: rows are never deleted');
END;
CREATE TRIGGER judged_replaces_the_newest BEFORE INSERT ON judged
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM judged_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'judged: only the newest version of a record can be replaced');
END;
CREATE TRIGGER judged_key_is_taken BEFORE INSERT ON judged
WHEN EXISTS (
    SELECT 1 FROM judged_current AS kept
    WHERE kept.visit = NEW.visit
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'judged: another record has the same visit');
END;

-- Derived state of each case (core/course.h): rewritten with each save, compared by verify, never
-- read by the rules. Outside the ledger.
CREATE TABLE case_state (
    -- The record of the case.
    casefile BLOB NOT NULL CONSTRAINT "casefile has 16 bytes" CHECK (length(casefile) = 16),
    -- Stage of the case on the day of newest.
    stage TEXT CONSTRAINT "stage is one of its words"
        CHECK (stage = 'assessed' OR stage = 'planned' OR stage = 'separators' OR
            stage = 'banded' OR stage = 'fitted' OR stage = 'active' OR stage = 'retention' OR
            stage = 'stability' OR stage = 'resting' OR stage = 'closed'),
    -- Stage of the upper arch.
    stage_upper TEXT CONSTRAINT "stage_upper is one of its words"
        CHECK (stage_upper = 'assessed' OR stage_upper = 'planned' OR stage_upper = 'separators'
            OR stage_upper = 'banded' OR stage_upper = 'fitted' OR stage_upper = 'active' OR
            stage_upper = 'retention' OR stage_upper = 'stability' OR stage_upper = 'resting' OR
            stage_upper = 'closed'),
    -- Stage of the lower arch.
    stage_lower TEXT CONSTRAINT "stage_lower is one of its words"
        CHECK (stage_lower = 'assessed' OR stage_lower = 'planned' OR stage_lower = 'separators'
            OR stage_lower = 'banded' OR stage_lower = 'fitted' OR stage_lower = 'active' OR
            stage_lower = 'retention' OR stage_lower = 'stability' OR stage_lower = 'resting' OR
            stage_lower = 'closed'),
    -- Day from which the upper arch kept as retention shows stability.
    stability_from_upper TEXT CONSTRAINT "stability_from_upper is a date that exists"
        CHECK (date(stability_from_upper, '+0 days') IS stability_from_upper),
    -- The same of the lower arch.
    stability_from_lower TEXT CONSTRAINT "stability_from_lower is a date that exists"
        CHECK (date(stability_from_lower, '+0 days') IS stability_from_lower),
    -- Date of the newest dated row, bookings apart.
    newest TEXT CONSTRAINT "newest is a date that exists"
        CHECK (date(newest, '+0 days') IS newest),
    -- Newest visit at which the patient was seen.
    last_seen TEXT CONSTRAINT "last_seen is a date that exists"
        CHECK (date(last_seen, '+0 days') IS last_seen),
    -- Next date: first day.
    due_from TEXT CONSTRAINT "due_from is a date that exists"
        CHECK (date(due_from, '+0 days') IS due_from),
    -- Next date: last day.
    due_to TEXT CONSTRAINT "due_to is a date that exists"
        CHECK (date(due_to, '+0 days') IS due_to),
    -- Safety: an expander in place unseen, from this day.
    unseen_from TEXT CONSTRAINT "unseen_from is a date that exists"
        CHECK (date(unseen_from, '+0 days') IS unseen_from),
    -- Safety: closed with an expander in place, from this day.
    closed_with_expander_from TEXT CONSTRAINT "closed_with_expander_from is a date that exists"
        CHECK (date(closed_with_expander_from, '+0 days') IS closed_with_expander_from),
    -- Safety: separators forgotten, from this day.
    separators_from TEXT CONSTRAINT "separators_from is a date that exists"
        CHECK (date(separators_from, '+0 days') IS separators_from),
    -- Safety: bands without a wire unseen, from this day.
    bands_from TEXT CONSTRAINT "bands_from is a date that exists"
        CHECK (date(bands_from, '+0 days') IS bands_from),
    -- Safety: a wound unhealed or a fault unrepaired, from this day.
    open_trouble_from TEXT CONSTRAINT "open_trouble_from is a date that exists"
        CHECK (date(open_trouble_from, '+0 days') IS open_trouble_from),
    -- Call again on.
    again_on TEXT CONSTRAINT "again_on is a date that exists"
        CHECK (date(again_on, '+0 days') IS again_on),
    -- Newest contact.
    last_contact TEXT CONSTRAINT "last_contact is a date that exists"
        CHECK (date(last_contact, '+0 days') IS last_contact),
    -- Newest verdict: 0 none, 1 proceed, 2 reduce, 3 hold, 4 rest.
    last_verdict INTEGER NOT NULL CONSTRAINT "last_verdict lies in 0 to 4"
        CHECK (last_verdict BETWEEN 0 AND 4),
    -- 1: the verdict was not stored with the visit.
    last_recomputed INTEGER NOT NULL CONSTRAINT "last_recomputed is 0 or 1"
        CHECK (last_recomputed IN (0, 1)),
    -- Case number, copied so that a list reads one table.
    number TEXT NOT NULL CONSTRAINT "number has 1 to 400 characters"
        CHECK (length(number) BETWEEN 1 AND 400),
    -- Family name, copied.
    family TEXT CONSTRAINT "family has 1 to 400 characters"
        CHECK (length(family) BETWEEN 1 AND 400),
    -- Given name, copied.
    given TEXT CONSTRAINT "given has 1 to 400 characters"
        CHECK (length(given) BETWEEN 1 AND 400),
    -- Telephone, copied.
    phone TEXT CONSTRAINT "phone has 1 to 400 characters"
        CHECK (length(phone) BETWEEN 1 AND 400),
    -- The clinician in charge, copied.
    clinician TEXT CONSTRAINT "clinician has 1 to 400 characters"
        CHECK (length(clinician) BETWEEN 1 AND 400),
    -- Number, chart, family and given name folded for search.
    search TEXT NOT NULL CONSTRAINT "search has at most 8000 characters"
        CHECK (length(search) <= 8000),
    PRIMARY KEY (casefile)
) STRICT, WITHOUT ROWID;
CREATE INDEX case_state_search ON case_state (search);

-- What a seat has typed and not yet saved. Seat state: outside the ledger.
CREATE TABLE draft (
    -- Login name of who typed.
    user TEXT NOT NULL CONSTRAINT "user has 1 to 400 characters"
        CHECK (length(user) BETWEEN 1 AND 400),
    -- The form: visit, ...
    form TEXT NOT NULL CONSTRAINT "form has 1 to 40 characters"
        CHECK (length(form) BETWEEN 1 AND 40),
    -- The record of the case; 16 zero bytes: none.
    casefile BLOB NOT NULL CONSTRAINT "casefile has 16 bytes" CHECK (length(casefile) = 16),
    -- When it was last typed in.
    saved_at TEXT NOT NULL CONSTRAINT "saved_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', saved_at, '+0 seconds') IS saved_at),
    -- Fields that hold something.
    filled INTEGER NOT NULL CONSTRAINT "filled is not negative" CHECK (filled >= 0),
    -- The request the save will carry.
    request BLOB NOT NULL CONSTRAINT "request has 16 bytes" CHECK (length(request) = 16),
    -- The form's own text.
    content TEXT NOT NULL CONSTRAINT "content has at most 100000 characters"
        CHECK (length(content) <= 100000),
    PRIMARY KEY (user, form, casefile)
) STRICT, WITHOUT ROWID;

-- Which seat has which case open. Seat state: outside the ledger.
CREATE TABLE presence (
    -- The seat: login, terminal and process.
    seat TEXT NOT NULL CONSTRAINT "seat has 1 to 400 characters"
        CHECK (length(seat) BETWEEN 1 AND 400),
    -- The record of the case it has open; NULL: none.
    casefile BLOB CONSTRAINT "casefile has 16 bytes" CHECK (length(casefile) = 16),
    -- When the seat last said so.
    seen_at TEXT NOT NULL CONSTRAINT "seen_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', seen_at, '+0 seconds') IS seen_at),
    PRIMARY KEY (seat)
) STRICT, WITHOUT ROWID;

-- Failed sign-ins of an account since its last good one. Seat state: outside the ledger.
CREATE TABLE sign_in_failure (
    -- Login name.
    login TEXT NOT NULL CONSTRAINT "login has 1 to 400 characters"
        CHECK (length(login) BETWEEN 1 AND 400),
    -- How many.
    failures INTEGER NOT NULL CONSTRAINT "failures are not negative" CHECK (failures >= 0),
    -- The newest.
    newest_at TEXT NOT NULL CONSTRAINT "newest_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', newest_at, '+0 seconds') IS newest_at),
    PRIMARY KEY (login)
) STRICT, WITHOUT ROWID;
