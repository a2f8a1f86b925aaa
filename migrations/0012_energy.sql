-- The state of circuits, and who may be in charge of them; derived from the ledger.
CREATE TABLE isolation (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    state       TEXT    NOT NULL CHECK (state IN ('unknown', 'live', 'isolated', 'tested-dead', 'locks-off')),
    locked      INTEGER NOT NULL CHECK (locked = (state IN ('isolated', 'tested-dead'))), -- no lock holds any other state
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE TABLE authority (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    circuit     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    person      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    ended       INTEGER NOT NULL CHECK (ended IN (0, 1)), -- taken back
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;
CREATE INDEX authority_circuit ON authority (circuit, until_entry);
