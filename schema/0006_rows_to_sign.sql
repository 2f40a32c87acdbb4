-- SPDX-License-Identifier: GPL-3.0-or-later
-- The sixth rung: which rows wait for a signature. Derived state, like case_state: kept by triggers
-- in the transaction of every save, so that a list of thousands of visits need not be searched for
-- the few that are left; rebuilt and compared by verify.

-- From which row on visits are signed here.
CREATE TABLE signing (
    -- Always 1: there is one such place.
    only INTEGER NOT NULL CONSTRAINT "signing began once" CHECK (only = 1),
    -- Newest ledger row when this rung was climbed: what was recorded up to it could not be signed
    -- then, and nobody is asked for it now.
    since INTEGER NOT NULL CONSTRAINT "since is not negative" CHECK (since >= 0),
    PRIMARY KEY (only)
) STRICT, WITHOUT ROWID;
INSERT INTO signing (only, since) SELECT 1, coalesce(max(sequence), 0) FROM ledger;
CREATE TRIGGER signing_is_never_changed BEFORE UPDATE ON signing
BEGIN
    SELECT RAISE(ABORT, 'signing: rows are never changed');
END;
CREATE TRIGGER signing_is_never_deleted BEFORE DELETE ON signing
BEGIN
    SELECT RAISE(ABORT, 'signing: rows are never deleted');
END;

-- The rows of visits that want a signature of their own, current or not: each version recorded
-- here; not what came with an import, and not that somebody did not come, unless it takes the
-- place of a visit.
CREATE VIEW visit_to_sign AS
SELECT kept.id AS visit, lower(hex(kept.id)) AS row, kept.sequence, kept.date
FROM visit AS kept CROSS JOIN request AS save ON save.id = kept.request
WHERE save.imported = 0
  AND (kept.kind <> 'missed' OR EXISTS (
      SELECT 1 FROM visit AS before WHERE before.id = kept.replaces AND before.kind <> 'missed'));

-- The same of withdrawals of visits, imported ones too; not where an import was taken back whole.
CREATE VIEW withdrawal_to_sign AS
SELECT gone.row AS visit, lower(hex(gone.id)) AS row, gone.sequence, kept.date
FROM withdrawal AS gone CROSS JOIN visit AS kept ON kept.id = gone.row
CROSS JOIN request AS save ON save.id = gone.request
WHERE gone.kind = 'visit' AND save.command <> 'undo-import'
  AND (kept.kind <> 'missed' OR EXISTS (
      SELECT 1 FROM visit AS before WHERE before.id = kept.replaces AND before.kind <> 'missed'));

-- The current rows of both sorts that nobody has signed. Derived state: outside the ledger.
CREATE TABLE unsigned_row (
    -- The row, as signatures name it.
    row TEXT NOT NULL CONSTRAINT "row has 32 hexadecimal digits"
        CHECK (length(row) = 32 AND row NOT GLOB '*[^0-9a-f]*'),
    -- Its table.
    kind TEXT NOT NULL CONSTRAINT "kind is one of its words"
        CHECK (kind = 'visit' OR kind = 'withdrawal'),
    -- The row of the visit: itself, or the one withdrawn.
    visit BLOB NOT NULL CONSTRAINT "visit has 16 bytes" CHECK (length(visit) = 16),
    -- Its place in the ledger.
    sequence INTEGER NOT NULL CONSTRAINT "sequence counts from 1" CHECK (sequence >= 1),
    PRIMARY KEY (row)
) STRICT, WITHOUT ROWID;
CREATE TRIGGER visit_waits_for_a_signature AFTER INSERT ON visit
BEGIN
    DELETE FROM unsigned_row WHERE row = lower(hex(NEW.replaces));
    INSERT INTO unsigned_row (row, kind, visit, sequence)
    SELECT row, 'visit', visit, sequence FROM visit_to_sign WHERE visit = NEW.id;
END;
CREATE TRIGGER withdrawal_waits_for_a_signature AFTER INSERT ON withdrawal WHEN NEW.kind = 'visit'
BEGIN
    DELETE FROM unsigned_row WHERE row = lower(hex(NEW.row));
    INSERT INTO unsigned_row (row, kind, visit, sequence)
    SELECT row, 'withdrawal', visit, sequence FROM withdrawal_to_sign WHERE visit = NEW.row;
END;
CREATE TRIGGER signature_ends_the_wait AFTER INSERT ON signature
BEGIN
    DELETE FROM unsigned_row WHERE row = NEW.row;
END;

-- The visits of a month.
CREATE INDEX visit_date ON visit (date);
