-- Complaints and appeals; derived from the ledger. What was written stands apart from
-- it, as all private texts do.
CREATE TABLE complaint (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    received    TEXT    NOT NULL CHECK (received GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    filer       TEXT,    -- NULL = nobody on record here
    waits       INTEGER NOT NULL CHECK (waits IN (0, 1)), -- for a decision
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;
CREATE INDEX complaint_waits ON complaint (waits, until_entry);
CREATE INDEX complaint_filer ON complaint (filer, until_entry) WHERE filer IS NOT NULL;
