-- Private and operational tables: not derived from the ledger, not rebuilt.

-- What commitments in the ledger stand for. Erasing a person deletes their rows.
CREATE TABLE private_value (
    commitment TEXT PRIMARY KEY CHECK (length(commitment) = 64),
    subject    TEXT NOT NULL, -- id of the record it belongs to
    field      TEXT NOT NULL,
    salt       BLOB NOT NULL CHECK (length(salt) = 32),
    value      TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX private_value_subject ON private_value (subject);

-- The present name of each person, folded for search and order; '' = erased.
CREATE TABLE person_name (
    person TEXT PRIMARY KEY,
    folded TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX person_name_folded ON person_name (folded, person);

-- Every write that was asked for, by the key its form carried.
CREATE TABLE command (
    key            TEXT    PRIMARY KEY CHECK (key <> ''),
    content_sha256 BLOB    NOT NULL CHECK (length(content_sha256) = 32),
    outcome        TEXT    NOT NULL,
    entries        INTEGER NOT NULL, -- the ledger's size after it
    recorded_at    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- How an account signs in.
CREATE TABLE account_secret (
    account       TEXT PRIMARY KEY REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    email         TEXT NOT NULL UNIQUE CHECK (email <> '' AND email = lower(email)),
    password_hash TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- The one-time code of the first start, hashed; at most one row.
CREATE TABLE setup_code (
    one    INTEGER PRIMARY KEY CHECK (one = 1),
    sha256 BLOB    NOT NULL CHECK (length(sha256) = 32)
) STRICT;
