-- SPDX-License-Identifier: GPL-3.0-or-later
-- The second rung: the answers to the health questions, and safety items set aside by a clinician.
-- NULL in every row of before: not recorded, and left out of the row's hash. The comments stand
-- inside the columns, so that they stay in the store.

ALTER TABLE casefile ADD COLUMN nickel TEXT
    -- Nickel allergy, as answered on asked_on.
    CONSTRAINT "nickel is one of its words" CHECK (nickel IN ('yes', 'no'));
ALTER TABLE casefile ADD COLUMN latex TEXT
    -- Latex allergy (separators, ligatures), as answered on asked_on.
    CONSTRAINT "latex is one of its words" CHECK (latex IN ('yes', 'no'));
ALTER TABLE casefile ADD COLUMN medical TEXT
    -- Bleeding or heart condition that needs medical advice before bands are seated.
    CONSTRAINT "medical is one of its words" CHECK (medical IN ('yes', 'no'));
ALTER TABLE casefile ADD COLUMN seizure TEXT
    -- Asthma or epilepsy, with a removable appliance.
    CONSTRAINT "seizure is one of its words" CHECK (seizure IN ('yes', 'no'));
ALTER TABLE casefile ADD COLUMN anchor TEXT
    -- Braces or loose teeth at the anchor molars.
    CONSTRAINT "anchor is one of its words" CHECK (anchor IN ('yes', 'no'));
ALTER TABLE contact ADD COLUMN cleared TEXT
    -- yes: a clinician set the standing safety items aside until again_on, for the reason in note.
    CONSTRAINT "cleared is one of its words" CHECK (cleared IN ('yes', 'no'));
ALTER TABLE contact ADD COLUMN cleared_by TEXT
    -- Which clinician.
    CONSTRAINT "cleared_by has 1 to 400 characters" CHECK (length(cleared_by) BETWEEN 1 AND 400);
