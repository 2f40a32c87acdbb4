-- SPDX-License-Identifier: GPL-3.0-or-later
-- The fourth rung: what an assessment measures (tooth widths, arch segments, arch depths) and the
-- plan made from it. The rows are like those of the first rung, whose head says the rules.
--
-- ledger and withdrawal name the tables they may speak of, and SQLite changes no CHECK of a table
-- that stands: both are made anew, with every row as it was. No row's hash covers a CHECK.
--
-- With this rung the program reckons the next date of a case in another way. The states are derived:
-- emptied here, they are worked out anew when the store is next opened (app_renew_states). Every
-- rung that comes with such a change does the same.

DELETE FROM case_state;

CREATE TABLE ledger_wider (
    -- 1, 2, 3, ... without a gap.
    sequence INTEGER NOT NULL CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- The table of the row.
    kind TEXT NOT NULL CONSTRAINT "kind is a table of the ledger"
        CHECK (kind = 'patient' OR kind = 'casefile' OR kind = 'trainer' OR kind = 'expander' OR
            kind = 'visit' OR kind = 'width' OR kind = 'wear_day' OR kind = 'wear_count' OR
            kind = 'contact' OR kind = 'booking' OR kind = 'protocol' OR kind = 'person' OR
            kind = 'judged' OR kind = 'tooth_width' OR kind = 'arch_segment' OR
            kind = 'arch_depth' OR kind = 'plan' OR kind = 'request' OR kind = 'withdrawal'),
    -- The identity of the row.
    row BLOB NOT NULL CONSTRAINT "row has 16 bytes" CHECK (length(row) = 16),
    -- The instant of the row, never before that of the row above it.
    recorded_at TEXT NOT NULL CONSTRAINT "recorded_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', recorded_at, '+0 seconds') IS recorded_at),
    -- BLAKE2b-256 over the hash above, this place and every column of the row (src/store/ledger.c).
    hash BLOB NOT NULL CONSTRAINT "hash has 32 bytes" CHECK (length(hash) = 32),
    PRIMARY KEY (sequence)
) STRICT, WITHOUT ROWID;
INSERT INTO ledger_wider (sequence, kind, row, recorded_at, hash)
SELECT sequence, kind, row, recorded_at, hash FROM ledger ORDER BY sequence;
DROP TABLE ledger;
ALTER TABLE ledger_wider RENAME TO ledger;
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

-- The views of the current rows name withdrawal, so that it can not be renamed: its rows are set
-- aside and brought back.
CREATE TABLE withdrawal_aside AS SELECT * FROM withdrawal;
DROP TABLE withdrawal;
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
            kind = 'judged' OR kind = 'tooth_width' OR kind = 'arch_segment' OR
            kind = 'arch_depth' OR kind = 'plan'),
    -- The newest row of the record; a row is withdrawn once.
    row BLOB NOT NULL UNIQUE CONSTRAINT "row has 16 bytes" CHECK (length(row) = 16),
    -- Why.
    reason TEXT NOT NULL CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000)
) STRICT;
INSERT INTO withdrawal (id, sequence, recorded_at, practice, person, request, kind, row, reason)
SELECT id, sequence, recorded_at, practice, person, request, kind, row, reason
FROM withdrawal_aside ORDER BY sequence;
DROP TABLE withdrawal_aside;
CREATE TRIGGER withdrawal_is_never_changed BEFORE UPDATE ON withdrawal
BEGIN
    SELECT RAISE(ABORT, 'withdrawal: rows are never changed');
END;
CREATE TRIGGER withdrawal_is_never_deleted BEFORE DELETE ON withdrawal
BEGIN
    SELECT RAISE(ABORT, 'withdrawal: rows are never deleted');
END;

-- A measured width of one tooth, mesial to distal.
CREATE TABLE tooth_width (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES tooth_width (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES tooth_width (id),
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
    -- The tooth: one of the 52 codes of ISO 3950.
    tooth INTEGER NOT NULL CONSTRAINT "tooth is one of ISO 3950"
        CHECK ((tooth / 10 BETWEEN 1 AND 4 AND tooth % 10 BETWEEN 1 AND 8) OR
            (tooth / 10 BETWEEN 5 AND 8 AND tooth % 10 BETWEEN 1 AND 5)),
    -- How.
    method TEXT NOT NULL CONSTRAINT "method is one of its words"
        CHECK (method = 'mouth' OR method = 'cast' OR method = 'scan'),
    -- 1, 2, ... of the same day.
    repeat INTEGER NOT NULL CONSTRAINT "repeat lies in 1 to 1000"
        CHECK (repeat BETWEEN 1 AND 1000),
    -- The width.
    um INTEGER NOT NULL CONSTRAINT "um lies in 1 to 30000"
        CHECK (um BETWEEN 1 AND 30000),
    -- Who measured.
    "by" TEXT CONSTRAINT "by has 1 to 400 characters"
        CHECK (length("by") BETWEEN 1 AND 400),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX tooth_width_replaces ON tooth_width (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX tooth_width_case ON tooth_width (casefile, date);
-- The rows that nothing replaced or withdrew.
CREATE VIEW tooth_width_current AS
SELECT * FROM tooth_width AS kept
WHERE NOT EXISTS (SELECT 1 FROM tooth_width AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER tooth_width_is_never_changed BEFORE UPDATE ON tooth_width
BEGIN
    SELECT RAISE(ABORT, 'tooth_width: rows are never changed');
END;
CREATE TRIGGER tooth_width_is_never_deleted BEFORE DELETE ON tooth_width
BEGIN
    SELECT RAISE(ABORT, 'tooth_width: rows are never deleted');
END;
CREATE TRIGGER tooth_width_replaces_the_newest BEFORE INSERT ON tooth_width
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM tooth_width_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'tooth_width: only the newest version of a record can be replaced');
END;
CREATE TRIGGER tooth_width_key_is_taken BEFORE INSERT ON tooth_width
WHEN EXISTS (
    SELECT 1 FROM tooth_width_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.date = NEW.date
      AND kept.tooth = NEW.tooth
      AND kept.method = NEW.method
      AND kept.repeat = NEW.repeat
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'tooth_width: another record has the same day, tooth, method and repeat');
END;

-- The room along an arch, in four straight segments from mesial of one first permanent molar to
-- mesial of the other.
CREATE TABLE arch_segment (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES arch_segment (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES arch_segment (id),
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
    -- How.
    method TEXT NOT NULL CONSTRAINT "method is one of its words"
        CHECK (method = 'mouth' OR method = 'cast' OR method = 'scan'),
    -- 1, 2, ... of the same day.
    repeat INTEGER NOT NULL CONSTRAINT "repeat lies in 1 to 1000"
        CHECK (repeat BETWEEN 1 AND 1000),
    -- Right, from mesial of the first permanent molar to mesial of the canine.
    back_right_um INTEGER CONSTRAINT "back_right_um lies in 1 to 100000"
        CHECK (back_right_um BETWEEN 1 AND 100000),
    -- Right, from there to the contact of the central incisors.
    front_right_um INTEGER CONSTRAINT "front_right_um lies in 1 to 100000"
        CHECK (front_right_um BETWEEN 1 AND 100000),
    -- Left, from that contact to mesial of the canine.
    front_left_um INTEGER CONSTRAINT "front_left_um lies in 1 to 100000"
        CHECK (front_left_um BETWEEN 1 AND 100000),
    -- Left, from there to mesial of the first permanent molar.
    back_left_um INTEGER CONSTRAINT "back_left_um lies in 1 to 100000"
        CHECK (back_left_um BETWEEN 1 AND 100000),
    -- Who measured.
    "by" TEXT CONSTRAINT "by has 1 to 400 characters"
        CHECK (length("by") BETWEEN 1 AND 400),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL)),
    CONSTRAINT "a segment is measured"
        CHECK (coalesce(back_right_um, front_right_um, front_left_um, back_left_um) IS NOT NULL)
) STRICT;
CREATE UNIQUE INDEX arch_segment_replaces ON arch_segment (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX arch_segment_case ON arch_segment (casefile, date);
-- The rows that nothing replaced or withdrew.
CREATE VIEW arch_segment_current AS
SELECT * FROM arch_segment AS kept
WHERE NOT EXISTS (SELECT 1 FROM arch_segment AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER arch_segment_is_never_changed BEFORE UPDATE ON arch_segment
BEGIN
    SELECT RAISE(ABORT, 'arch_segment: rows are never changed');
END;
CREATE TRIGGER arch_segment_is_never_deleted BEFORE DELETE ON arch_segment
BEGIN
    SELECT RAISE(ABORT, 'arch_segment: rows are never deleted');
END;
CREATE TRIGGER arch_segment_replaces_the_newest BEFORE INSERT ON arch_segment
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM arch_segment_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'arch_segment: only the newest version of a record can be replaced');
END;
CREATE TRIGGER arch_segment_key_is_taken BEFORE INSERT ON arch_segment
WHEN EXISTS (
    SELECT 1 FROM arch_segment_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.date = NEW.date
      AND kept.arch = NEW.arch
      AND kept.method = NEW.method
      AND kept.repeat = NEW.repeat
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'arch_segment: another record has the same day, arch, method and repeat');
END;

-- A measured depth of an arch: from the line between two teeth to the contact of the central
-- incisors.
CREATE TABLE arch_depth (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES arch_depth (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES arch_depth (id),
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
    -- Between which teeth the line is.
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
    -- The depth.
    um INTEGER NOT NULL CONSTRAINT "um lies in 1 to 100000"
        CHECK (um BETWEEN 1 AND 100000),
    -- Who measured.
    "by" TEXT CONSTRAINT "by has 1 to 400 characters"
        CHECK (length("by") BETWEEN 1 AND 400),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX arch_depth_replaces ON arch_depth (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX arch_depth_case ON arch_depth (casefile, date);
-- The rows that nothing replaced or withdrew.
CREATE VIEW arch_depth_current AS
SELECT * FROM arch_depth AS kept
WHERE NOT EXISTS (SELECT 1 FROM arch_depth AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER arch_depth_is_never_changed BEFORE UPDATE ON arch_depth
BEGIN
    SELECT RAISE(ABORT, 'arch_depth: rows are never changed');
END;
CREATE TRIGGER arch_depth_is_never_deleted BEFORE DELETE ON arch_depth
BEGIN
    SELECT RAISE(ABORT, 'arch_depth: rows are never deleted');
END;
CREATE TRIGGER arch_depth_replaces_the_newest BEFORE INSERT ON arch_depth
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM arch_depth_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'arch_depth: only the newest version of a record can be replaced');
END;
CREATE TRIGGER arch_depth_key_is_taken BEFORE INSERT ON arch_depth
WHEN EXISTS (
    SELECT 1 FROM arch_depth_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.date = NEW.date
      AND kept.arch = NEW.arch
      AND kept.teeth = NEW.teeth
      AND kept.method = NEW.method
      AND kept.repeat = NEW.repeat
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'arch_depth: another record has the same day, teeth, method and repeat');
END;

-- The plan for one arch of a case.
CREATE TABLE plan (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES plan (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES plan (id),
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
    -- The arch.
    arch TEXT NOT NULL CONSTRAINT "arch is one of its words"
        CHECK (arch IN ('upper', 'lower')),
    -- Made on.
    made_on TEXT NOT NULL CONSTRAINT "made_on is a date that exists"
        CHECK (date(made_on, '+0 days') IS made_on),
    -- By which equation canine and premolars were predicted; none: by none.
    equation TEXT CONSTRAINT "equation is one of its words"
        CHECK (equation = 'tanaka-johnston' OR equation = 'india-male' OR
            equation = 'india-female' OR equation = 'spain-male' OR
            equation = 'spain-female' OR equation = 'north-china-male' OR
            equation = 'north-china-female' OR equation = 'none'),
    -- Space available minus space required: below 0 room is short.
    balance_um INTEGER CONSTRAINT "balance_um lies in -100000 to 100000"
        CHECK (balance_um BETWEEN -100000 AND 100000),
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
    -- The width the plan starts from.
    start_width_um INTEGER CONSTRAINT "start_width_um lies in 5000 to 100000"
        CHECK (start_width_um BETWEEN 5000 AND 100000),
    -- The depth of the arch it was made with.
    depth_um INTEGER CONSTRAINT "depth_um lies in 1 to 100000"
        CHECK (depth_um BETWEEN 1 AND 100000),
    -- The width to reach.
    target_um INTEGER CONSTRAINT "target_um lies in 5000 to 100000"
        CHECK (target_um BETWEEN 5000 AND 100000),
    -- Activations, at least.
    activations_least INTEGER CONSTRAINT "activations_least lies in 0 to 10000"
        CHECK (activations_least BETWEEN 0 AND 10000),
    -- Activations, at most.
    activations_most INTEGER CONSTRAINT "activations_most lies in 0 to 10000"
        CHECK (activations_most BETWEEN 0 AND 10000),
    -- Weeks of activation, at least.
    weeks_least INTEGER CONSTRAINT "weeks_least lies in 0 to 10000"
        CHECK (weeks_least BETWEEN 0 AND 10000),
    -- Weeks of activation, at most.
    weeks_most INTEGER CONSTRAINT "weeks_most lies in 0 to 10000"
        CHECK (weeks_most BETWEEN 0 AND 10000),
    -- Visits, at least.
    visits_least INTEGER CONSTRAINT "visits_least lies in 0 to 10000"
        CHECK (visits_least BETWEEN 0 AND 10000),
    -- Visits, at most.
    visits_most INTEGER CONSTRAINT "visits_most lies in 0 to 10000"
        CHECK (visits_most BETWEEN 0 AND 10000),
    -- Separators placed on.
    separators_on TEXT CONSTRAINT "separators_on is a date that exists"
        CHECK (date(separators_on, '+0 days') IS separators_on),
    -- Bands seated on.
    bands_on TEXT CONSTRAINT "bands_on is a date that exists"
        CHECK (date(bands_on, '+0 days') IS bands_on),
    -- Fitted on.
    fit_on TEXT CONSTRAINT "fit_on is a date that exists"
        CHECK (date(fit_on, '+0 days') IS fit_on),
    -- Activation: from.
    active_from TEXT CONSTRAINT "active_from is a date that exists"
        CHECK (date(active_from, '+0 days') IS active_from),
    -- Activation: to, at the earliest.
    active_to_earliest TEXT CONSTRAINT "active_to_earliest is a date that exists"
        CHECK (date(active_to_earliest, '+0 days') IS active_to_earliest),
    -- Activation: to, at the latest.
    active_to_latest TEXT CONSTRAINT "active_to_latest is a date that exists"
        CHECK (date(active_to_latest, '+0 days') IS active_to_latest),
    -- Retention: to, at the earliest.
    retention_to_earliest TEXT CONSTRAINT "retention_to_earliest is a date that exists"
        CHECK (date(retention_to_earliest, '+0 days') IS retention_to_earliest),
    -- Retention: to, at the latest.
    retention_to_latest TEXT CONSTRAINT "retention_to_latest is a date that exists"
        CHECK (date(retention_to_latest, '+0 days') IS retention_to_latest),
    -- Who made it.
    "by" TEXT CONSTRAINT "by has 1 to 400 characters"
        CHECK (length("by") BETWEEN 1 AND 400),
    -- Note.
    note TEXT CONSTRAINT "note has 1 to 4000 characters"
        CHECK (length(note) BETWEEN 1 AND 4000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL)),
    CONSTRAINT "least is at most most"
        CHECK (activations_least <= activations_most AND weeks_least <= weeks_most
            AND visits_least <= visits_most)
) STRICT;
CREATE UNIQUE INDEX plan_replaces ON plan (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX plan_case ON plan (casefile, arch);
-- The rows that nothing replaced or withdrew.
CREATE VIEW plan_current AS
SELECT * FROM plan AS kept
WHERE NOT EXISTS (SELECT 1 FROM plan AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER plan_is_never_changed BEFORE UPDATE ON plan
BEGIN
    SELECT RAISE(ABORT, 'plan: rows are never changed');
END;
CREATE TRIGGER plan_is_never_deleted BEFORE DELETE ON plan
BEGIN
    SELECT RAISE(ABORT, 'plan: rows are never deleted');
END;
CREATE TRIGGER plan_replaces_the_newest BEFORE INSERT ON plan
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM plan_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'plan: only the newest version of a record can be replaced');
END;
CREATE TRIGGER plan_key_is_taken BEFORE INSERT ON plan
WHEN EXISTS (
    SELECT 1 FROM plan_current AS kept
    WHERE kept.casefile = NEW.casefile
      AND kept.arch = NEW.arch
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'plan: another record has the same case and arch');
END;
