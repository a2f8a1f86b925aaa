-- What was brought in from files, one row a file; derived from the ledger.
CREATE TABLE batch (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    list        TEXT    NOT NULL CHECK (list IN ('people', 'certificates', 'qualifications', 'sessions', 'inspections', 'intakes')),
    file        TEXT    NOT NULL, -- SHA-256 of its bytes, in hex
    back        INTEGER NOT NULL CHECK (back IN (0, 1)),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;
CREATE INDEX batch_file ON batch (file);
