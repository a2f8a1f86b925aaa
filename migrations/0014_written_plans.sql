-- Versions of rescue plans as their authors wrote them, before somebody else
-- approved them; derived from the ledger.
CREATE TABLE written_plan (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    plan        TEXT             REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED, -- NULL = a new one
    state       TEXT    NOT NULL CHECK (state IN ('written', 'sent', 'returned', 'approved', 'dropped')),
    author      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    decided_by  TEXT             REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED CHECK (decided_by <> author), -- never who wrote it
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day),
    CHECK (state NOT IN ('approved', 'returned') OR decided_by IS NOT NULL),
    CHECK (state <> 'approved' OR plan IS NOT NULL)
) STRICT;
CREATE INDEX written_plan_state ON written_plan (state, until_entry);
