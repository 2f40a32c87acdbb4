-- SPDX-License-Identifier: GPL-3.0-or-later
-- The seventh rung: since when a seat has a case open, and who sits there. Seat state, never written
-- before this rung; the comments stand inside the columns, so that they stay in the store.

ALTER TABLE presence ADD COLUMN since TEXT
    -- When the seat opened the case.
    CONSTRAINT "since is an instant"
        CHECK (strftime('%Y-%m-%dT%H:%M:%SZ', since, '+0 seconds') IS since);
ALTER TABLE presence ADD COLUMN person BLOB
    -- The record of who sits there; NULL: nobody of the practice is signed in.
    CONSTRAINT "person has 16 bytes" CHECK (length(person) = 16);
