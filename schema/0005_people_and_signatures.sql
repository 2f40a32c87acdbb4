-- SPDX-License-Identifier: GPL-3.0-or-later
-- The fifth rung: who works here and how they prove it, what was asked of the program besides
-- saving, signatures, closed months, lawful erasures. The rows are like those of the first rung,
-- whose head says the rules.
--
-- ledger and withdrawal listed the tables they may speak of, and had to be made anew for each new
-- one. From here on any name of a table will do: verify knows which there are.

CREATE TABLE ledger_wider (
    -- 1, 2, 3, ... without a gap.
    sequence INTEGER NOT NULL CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    -- The table of the row.
    kind TEXT NOT NULL CONSTRAINT "kind is the name of a table"
        CHECK (length(kind) BETWEEN 1 AND 40 AND kind NOT GLOB '*[^a-z_]*'),
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
    kind TEXT NOT NULL CONSTRAINT "kind is the name of a table"
        CHECK (length(kind) BETWEEN 1 AND 40 AND kind NOT GLOB '*[^a-z_]*'),
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

ALTER TABLE person ADD COLUMN alone TEXT
    -- yes: as long as nobody else works here, nobody is asked who they are (a practice of one).
    CONSTRAINT "alone is one of its words" CHECK (alone IN ('yes', 'no'));

-- How a login proves who it is. Seat state: outside ledger and export, so that an old secret is
-- gone when a new one is set; each change has its access row.
CREATE TABLE secret (
    -- Login name.
    login TEXT NOT NULL CONSTRAINT "login has 1 to 400 characters"
        CHECK (length(login) BETWEEN 1 AND 400),
    -- The passphrase as libsodium's argon2id string, its cost in it; NULL: none.
    passphrase TEXT CONSTRAINT "passphrase is an argon2id string"
        CHECK (passphrase GLOB '$argon2id$*' AND length(passphrase) <= 128),
    -- The PIN, likewise; it only re-opens or signs in a running session.
    pin TEXT CONSTRAINT "pin is an argon2id string"
        CHECK (pin GLOB '$argon2id$*' AND length(pin) <= 128),
    -- When either was last set.
    set_at TEXT NOT NULL CONSTRAINT "set_at is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', set_at, '+0 seconds') IS set_at),
    -- The passphrase was given by somebody else, works once and until then; NULL: it is its own.
    once_until TEXT CONSTRAINT "once_until is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', once_until, '+0 seconds') IS once_until),
    -- Wrong PINs since the last right one.
    pin_failures INTEGER NOT NULL CONSTRAINT "pin_failures are not negative"
        CHECK (pin_failures >= 0),
    PRIMARY KEY (login)
) STRICT, WITHOUT ROWID;

-- What was asked of the program that writes no record of its own: signing in, failing to, being
-- refused, a copy of the data taken, a secret set.
CREATE TABLE access (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES access (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES access (id),
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
    -- Why a recorded value was changed; of an erasure: its ground.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- What happened.
    what TEXT NOT NULL CONSTRAINT "what is one of its words"
        CHECK (what = 'signed-in' OR what = 'sign-in-failed' OR what = 'shut-out' OR what =
            'refused' OR what = 'locked' OR what = 'reopened' OR what = 'secret-set' OR what =
            'secret-reset' OR what = 'exported' OR what = 'printed' OR what = 'erased'),
    -- Login name it is about; not always that of the seat.
    login TEXT CONSTRAINT "login has 1 to 400 characters"
        CHECK (length(login) BETWEEN 1 AND 400),
    -- The command.
    command TEXT CONSTRAINT "command has 1 to 40 characters"
        CHECK (length(command) BETWEEN 1 AND 40),
    -- Whose record: case or chart number; a month.
    subject TEXT CONSTRAINT "subject has 1 to 400 characters"
        CHECK (length(subject) BETWEEN 1 AND 400),
    -- In words, never a name of a patient.
    detail TEXT CONSTRAINT "detail has 1 to 4000 characters"
        CHECK (length(detail) BETWEEN 1 AND 4000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX access_replaces ON access (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX access_what ON access (what, sequence);
-- The rows that nothing replaced or withdrew.
CREATE VIEW access_current AS
SELECT * FROM access AS kept
WHERE NOT EXISTS (SELECT 1 FROM access AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER access_is_never_changed BEFORE UPDATE ON access
BEGIN
    SELECT RAISE(ABORT, 'access: rows are never changed');
END;
CREATE TRIGGER access_is_never_deleted BEFORE DELETE ON access
BEGIN
    SELECT RAISE(ABORT, 'access: rows are never deleted');
END;
CREATE TRIGGER access_replaces_the_newest BEFORE INSERT ON access
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM access_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'access: only the newest version of a record can be replaced');
END;

-- A signature under one row: who answers for it, when (recorded_at) and as what.
CREATE TABLE signature (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES signature (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES signature (id),
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
    -- Why a recorded value was changed; of an erasure: its ground.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The table of the row signed.
    kind TEXT NOT NULL CONSTRAINT "kind is one of its words"
        CHECK (kind = 'visit' OR kind = 'withdrawal' OR kind = 'month_close'),
    -- The row.
    row TEXT NOT NULL CONSTRAINT "row has 32 hexadecimal digits"
        CHECK (length(row) = 32 AND row NOT GLOB '*[^0-9a-f]*'),
    -- The hash of its ledger row: of its content, its place, and all before.
    row_hash TEXT NOT NULL CONSTRAINT "row_hash has 64 hexadecimal digits"
        CHECK (length(row_hash) = 64 AND row_hash NOT GLOB '*[^0-9a-f]*'),
    -- Name of the person in words, as printed.
    name TEXT NOT NULL CONSTRAINT "name has 1 to 400 characters"
        CHECK (length(name) BETWEEN 1 AND 400),
    -- As what it was signed.
    meaning TEXT NOT NULL CONSTRAINT "meaning is one of its words"
        CHECK (meaning = 'examined-and-decided' OR meaning = 'corrected' OR meaning = 'withdrawn'
            OR meaning = 'month-closed'),
    -- How it was proved at signing who signs; alone: a practice of one that chose not to be asked.
    proof TEXT NOT NULL CONSTRAINT "proof is one of its words"
        CHECK (proof = 'pin' OR proof = 'passphrase' OR proof = 'alone'),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX signature_replaces ON signature (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX signature_row ON signature (row);
-- The rows that nothing replaced or withdrew.
CREATE VIEW signature_current AS
SELECT * FROM signature AS kept
WHERE NOT EXISTS (SELECT 1 FROM signature AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER signature_is_never_changed BEFORE UPDATE ON signature
BEGIN
    SELECT RAISE(ABORT, 'signature: rows are never changed');
END;
CREATE TRIGGER signature_is_never_deleted BEFORE DELETE ON signature
BEGIN
    SELECT RAISE(ABORT, 'signature: rows are never deleted');
END;
CREATE TRIGGER signature_replaces_the_newest BEFORE INSERT ON signature
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM signature_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'signature: only the newest version of a record can be replaced');
END;
CREATE TRIGGER signature_key_is_taken BEFORE INSERT ON signature
WHEN EXISTS (
    SELECT 1 FROM signature_current AS kept
    WHERE kept.row = NEW.row
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'signature: this row is signed already');
END;

-- The account of a month as it was signed: drawn anew as of the ledger row it names, it is
-- the same.
CREATE TABLE month_close (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES month_close (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES month_close (id),
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
    -- Why a recorded value was changed; of an erasure: its ground.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The month, YYYY-MM.
    month TEXT NOT NULL CONSTRAINT "month is a month that exists"
        CHECK (date(month || '-01', '+0 days') IS month || '-01'),
    -- Last day of the month that was accounted for.
    through TEXT NOT NULL CONSTRAINT "through is a date that exists"
        CHECK (date(through, '+0 days') IS through),
    -- The newest ledger row it stands on.
    newest_row INTEGER NOT NULL CONSTRAINT "newest_row lies in 1 to 2147483647"
        CHECK (newest_row BETWEEN 1 AND 2147483647),
    -- The hash of that ledger row.
    hash TEXT NOT NULL CONSTRAINT "hash has 64 hexadecimal digits"
        CHECK (length(hash) = 64 AND hash NOT GLOB '*[^0-9a-f]*'),
    -- The figures, as CSV without names.
    sheet TEXT NOT NULL CONSTRAINT "sheet has 1 to 50000000 characters"
        CHECK (length(sheet) BETWEEN 1 AND 50000000),
    -- BLAKE2b-256 of sheet.
    digest TEXT NOT NULL CONSTRAINT "digest has 64 hexadecimal digits"
        CHECK (length(digest) = 64 AND digest NOT GLOB '*[^0-9a-f]*'),
    -- Version of the rules.
    rules_version INTEGER NOT NULL CONSTRAINT "rules_version lies in 1 to 1000000"
        CHECK (rules_version BETWEEN 1 AND 1000000),
    -- How many cases were accounted for.
    cases INTEGER NOT NULL CONSTRAINT "cases lies in 0 to 100000000"
        CHECK (cases BETWEEN 0 AND 100000000),
    -- Visits of the month that nobody had signed.
    unsigned_visits INTEGER NOT NULL CONSTRAINT "unsigned_visits lies in 0 to 100000000"
        CHECK (unsigned_visits BETWEEN 0 AND 100000000),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX month_close_replaces ON month_close (replaces) WHERE replaces IS NOT NULL;
-- The rows that nothing replaced or withdrew.
CREATE VIEW month_close_current AS
SELECT * FROM month_close AS kept
WHERE NOT EXISTS (SELECT 1 FROM month_close AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER month_close_is_never_changed BEFORE UPDATE ON month_close
BEGIN
    SELECT RAISE(ABORT, 'month_close: rows are never changed');
END;
CREATE TRIGGER month_close_is_never_deleted BEFORE DELETE ON month_close
BEGIN
    SELECT RAISE(ABORT, 'month_close: rows are never deleted');
END;
CREATE TRIGGER month_close_replaces_the_newest BEFORE INSERT ON month_close
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM month_close_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'month_close: only the newest version of a record can be replaced');
END;
CREATE TRIGGER month_close_key_is_taken BEFORE INSERT ON month_close
WHEN EXISTS (
    SELECT 1 FROM month_close_current AS kept
    WHERE kept.month = NEW.month
      AND kept.record <> NEW.record)
BEGIN
    SELECT RAISE(ABORT, 'month_close: this month is closed already');
END;

-- A lawful erasure: which personal fields of which row were blanked, with the ground as its reason.
CREATE TABLE erasure (
    -- Identity of this row: random.
    id BLOB NOT NULL PRIMARY KEY CONSTRAINT "id has 16 bytes" CHECK (length(id) = 16),
    -- The record: identity of its first version.
    record BLOB NOT NULL REFERENCES erasure (id),
    -- 1, 2, ... within the record.
    version INTEGER NOT NULL CONSTRAINT "version counts from 1" CHECK (version >= 1),
    -- The row that this version replaces; NULL in version 1.
    replaces BLOB REFERENCES erasure (id),
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
    -- Why a recorded value was changed; of an erasure: its ground.
    reason TEXT CONSTRAINT "reason has 1 to 4000 characters"
        CHECK (length(reason) BETWEEN 1 AND 4000),
    -- The table of the row.
    kind TEXT NOT NULL CONSTRAINT "kind is the name of a table"
        CHECK (length(kind) BETWEEN 1 AND 40 AND kind NOT GLOB '*[^a-z_]*'),
    -- The row.
    row TEXT NOT NULL CONSTRAINT "row has 32 hexadecimal digits"
        CHECK (length(row) = 32 AND row NOT GLOB '*[^0-9a-f]*'),
    -- The columns, separated by blanks.
    fields TEXT NOT NULL CONSTRAINT "fields has 1 to 400 characters"
        CHECK (length(fields) BETWEEN 1 AND 400),
    CONSTRAINT "a first version is its own record" CHECK ((version = 1) = (record = id)),
    CONSTRAINT "a later version replaces a row" CHECK ((version = 1) = (replaces IS NULL))
) STRICT;
CREATE UNIQUE INDEX erasure_replaces ON erasure (replaces) WHERE replaces IS NOT NULL;
CREATE INDEX erasure_row ON erasure (row);
-- The rows that nothing replaced or withdrew.
CREATE VIEW erasure_current AS
SELECT * FROM erasure AS kept
WHERE NOT EXISTS (SELECT 1 FROM erasure AS newer WHERE newer.replaces = kept.id)
  AND NOT EXISTS (SELECT 1 FROM withdrawal WHERE withdrawal.row = kept.id);
CREATE TRIGGER erasure_is_never_changed BEFORE UPDATE ON erasure
BEGIN
    SELECT RAISE(ABORT, 'erasure: rows are never changed');
END;
CREATE TRIGGER erasure_is_never_deleted BEFORE DELETE ON erasure
BEGIN
    SELECT RAISE(ABORT, 'erasure: rows are never deleted');
END;
CREATE TRIGGER erasure_replaces_the_newest BEFORE INSERT ON erasure
WHEN NEW.version <> 1 AND NOT EXISTS (
    SELECT 1 FROM erasure_current AS kept
    WHERE kept.id = NEW.replaces AND kept.record = NEW.record AND kept.version = NEW.version - 1)
BEGIN
    SELECT RAISE(ABORT, 'erasure: only the newest version of a record can be replaced');
END;
