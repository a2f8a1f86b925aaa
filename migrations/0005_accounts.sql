-- How accounts are reached and used: operational, not in the ledger, which holds
-- an entry of each act and never a secret.

-- Sign-ins of an earlier round are over; signing out everywhere begins a new one.
ALTER TABLE account_secret ADD COLUMN round INTEGER NOT NULL DEFAULT 0;
ALTER TABLE account_secret ADD COLUMN last_sign_in INTEGER NOT NULL DEFAULT 0; -- minutes since 1970-01-01T00:00Z, 0 = never

-- The one link that an account may set its password with; hashed.
CREATE TABLE account_link (
    account TEXT    PRIMARY KEY REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    sha256  BLOB    NOT NULL UNIQUE CHECK (length(sha256) = 32),
    ends    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- What a program shows instead of a password; hashed.
CREATE TABLE token (
    id        TEXT    PRIMARY KEY,
    sha256    BLOB    NOT NULL UNIQUE CHECK (length(sha256) = 32),
    account   TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    name      TEXT    NOT NULL, -- typed by its owner
    scope     TEXT    NOT NULL CHECK (scope IN ('read', 'book')),
    made_at   INTEGER NOT NULL,
    last_day  TEXT    NOT NULL,           -- last local day on which it is taken
    ended_at  INTEGER NOT NULL DEFAULT 0, -- 0 = not revoked
    last_used INTEGER NOT NULL DEFAULT 0  -- to the hour
) STRICT, WITHOUT ROWID;
CREATE INDEX token_account ON token (account, made_at);
