CREATE TABLE acceptance (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    session     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX acceptance_session ON acceptance (session, until_entry);

CREATE TABLE account_link (
    account TEXT    PRIMARY KEY REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    sha256  BLOB    NOT NULL UNIQUE CHECK (length(sha256) = 32),
    ends    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE account_secret (
    account       TEXT PRIMARY KEY REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    email         TEXT NOT NULL UNIQUE CHECK (email <> '' AND email = lower(email)),
    password_hash TEXT NOT NULL
, round INTEGER NOT NULL DEFAULT 0, last_sign_in INTEGER NOT NULL DEFAULT 0) STRICT, WITHOUT ROWID;

CREATE TABLE arrival (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    at          INTEGER NOT NULL, -- 0 = they did not come
    body        TEXT    NOT NULL, kit_open INTEGER NOT NULL DEFAULT 0 CHECK (kit_open IN (0, 1)),
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX arrival_at ON arrival (at);

CREATE INDEX arrival_kit_open ON arrival (until_entry, id) WHERE kit_open = 1;

CREATE TABLE attendance (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
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

CREATE TABLE away (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    person      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    start       INTEGER NOT NULL,
    finish      INTEGER NOT NULL CHECK (finish > start),
    ended       INTEGER NOT NULL CHECK (ended IN (0, 1)),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX away_person ON away (person, finish);

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

CREATE TABLE certificate (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    number      INTEGER NOT NULL CHECK (number >= 0),
    person      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    covers      TEXT    NOT NULL CHECK (covers IN ('programme', 'teaches', 'rescue', 'first-aid', 'medical', 'taken-over')),
    programme   TEXT    REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    state       TEXT    NOT NULL CHECK (state IN ('valid', 'suspended', 'withdrawn', 'void', 'replaced')),
    first_valid TEXT    NOT NULL,
    last_valid  TEXT    NOT NULL, -- 'open' = no end stated
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX certificate_given_here ON certificate (until_entry, since_entry, from_day, until_day, state, id)
    WHERE covers = 'programme' AND coalesce(body ->> '$.trainee', '') <> '';

CREATE INDEX certificate_last_valid ON certificate (last_valid, number, id);

CREATE INDEX certificate_number ON certificate (number);

CREATE INDEX certificate_person ON certificate (person, until_entry);

CREATE TABLE check_list (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE TABLE checkpoint (
    size INTEGER PRIMARY KEY CHECK (size >= 1),
    root BLOB    NOT NULL CHECK (length(root) = 32),
    note TEXT    NOT NULL
) STRICT;

CREATE TRIGGER checkpoint_kept_delete BEFORE DELETE ON checkpoint
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;

CREATE TRIGGER checkpoint_kept_update BEFORE UPDATE ON checkpoint
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;

CREATE TRIGGER checkpoint_next BEFORE INSERT ON checkpoint
WHEN NEW.size <= (SELECT max(size) FROM checkpoint)
  OR NEW.size IS NOT (SELECT max(idx) + 1 FROM entry)
BEGIN SELECT raise(ABORT, 'a checkpoint is signed once, for the whole ledger'); END;

CREATE TABLE command (
    key            TEXT    PRIMARY KEY CHECK (key <> ''),
    content_sha256 BLOB    NOT NULL CHECK (length(content_sha256) = 32),
    outcome        TEXT    NOT NULL,
    entries        INTEGER NOT NULL, -- the ledger's size after it
    recorded_at    INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

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

CREATE INDEX complaint_filer ON complaint (filer, until_entry) WHERE filer IS NOT NULL;

CREATE INDEX complaint_waits ON complaint (waits, until_entry);

CREATE TABLE completion (
    session     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    trainee     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    exercise    TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    finish      INTEGER NOT NULL,
    since_entry INTEGER NOT NULL,
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL,
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    PRIMARY KEY (trainee, session, since_entry, from_day)
) STRICT, WITHOUT ROWID;

CREATE INDEX completion_session ON completion (session, until_entry);

CREATE TABLE draft (
    id             TEXT    PRIMARY KEY CHECK (id <> ''),
    form_key       TEXT    NOT NULL UNIQUE CHECK (form_key <> ''),
    kind           TEXT    NOT NULL CHECK (kind IN ('intake', 'mend')),
    state          TEXT    NOT NULL CHECK (state IN ('queued', 'searching', 'done', 'stopped', 'accepted', 'discarded')),
    why            TEXT    NOT NULL CHECK (why IN ('', 'by-a-person', 'restart', 'failed')),
    repeats        TEXT    REFERENCES draft (id), -- the draft that it makes again
    made_at        INTEGER NOT NULL,
    made_by        TEXT    NOT NULL,
    entry          INTEGER NOT NULL, -- the records are those of this entry
    from_day       TEXT    NOT NULL,
    until_day      TEXT    NOT NULL CHECK (until_day >= from_day), -- counted
    wish           TEXT    NOT NULL, -- what was asked for, as JSON
    seconds        INTEGER NOT NULL CHECK (seconds >= 0), -- 0 = by effort
    effort         INTEGER NOT NULL, -- rounds asked for; -1 = by seconds
    seed           INTEGER NOT NULL,
    version        TEXT    NOT NULL, -- of the program
    problem_sha256 TEXT    NOT NULL CHECK (length(problem_sha256) = 64),
    from_sha256    TEXT    NOT NULL CHECK (length(from_sha256) IN (0, 64)),
    problem        BLOB    NOT NULL,
    from_plan      BLOB, -- the sessions to mend; NULL = none
    plan           BLOB, -- the best so far; NULL = none yet
    rounds         INTEGER NOT NULL, -- that the plan took
    steps          INTEGER NOT NULL,
    cost           INTEGER NOT NULL,
    bound          INTEGER NOT NULL,
    unplaced       INTEGER NOT NULL,
    ended_at       INTEGER NOT NULL, -- when it was accepted, discarded or its search ended; 0 = not yet
    ended_by       TEXT    NOT NULL  -- who accepted, discarded or stopped it; '' = nobody
) STRICT;

CREATE INDEX draft_made ON draft (made_at, id);

CREATE TABLE draft_progress (
    draft    TEXT    NOT NULL REFERENCES draft (id),
    place    INTEGER NOT NULL,
    tenths   INTEGER NOT NULL, -- of a second since the search began
    steps    INTEGER NOT NULL,
    cost     INTEGER NOT NULL,
    bound    INTEGER NOT NULL,
    unplaced INTEGER NOT NULL,
    PRIMARY KEY (draft, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE duty (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    person      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    activity    TEXT    NOT NULL CHECK (activity IN ('drill', 'inspection', 'maintenance', 'elsewhere', 'office')),
    start       INTEGER NOT NULL,
    finish      INTEGER NOT NULL CHECK (finish > start),
    ended       INTEGER NOT NULL CHECK (ended IN (0, 1)),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX duty_person ON duty (person, finish);

CREATE TABLE entry (
    idx         INTEGER PRIMARY KEY CHECK (idx >= 0),
    kind        TEXT    NOT NULL,
    id          TEXT    NOT NULL,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    recorded_at INTEGER NOT NULL, -- minutes since 1970-01-01T00:00Z, as in bytes
    bytes       BLOB    NOT NULL CHECK (length(bytes) BETWEEN 1 AND 65535),
    UNIQUE (kind, id, rev)
) STRICT;

CREATE TRIGGER entry_kept_delete BEFORE DELETE ON entry
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;

CREATE TRIGGER entry_kept_update BEFORE UPDATE ON entry
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;

CREATE TRIGGER entry_next BEFORE INSERT ON entry
WHEN NEW.idx IS NOT (SELECT coalesce(max(idx) + 1, 0) FROM entry)
BEGIN SELECT raise(ABORT, 'the ledger takes only the next entry'); END;

CREATE TRIGGER entry_time BEFORE INSERT ON entry
WHEN NEW.recorded_at < (SELECT recorded_at FROM entry ORDER BY idx DESC LIMIT 1)
BEGIN SELECT raise(ABORT, 'the ledger is never written backwards in time'); END;

CREATE TABLE incident (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    at          INTEGER NOT NULL,
    waits       INTEGER NOT NULL CHECK (waits IN (0, 1)), -- it stops something, or somebody must still act
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX incident_waits ON incident (waits, until_entry);

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

CREATE TABLE migration (
    version INTEGER PRIMARY KEY CHECK (version >= 1),
    name    TEXT NOT NULL,
    sha256  TEXT NOT NULL CHECK (length(sha256) = 64)
) STRICT;

CREATE TABLE no_height (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    person      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    first_day   TEXT    NOT NULL,
    last_day    TEXT    NOT NULL CHECK (last_day >= first_day),
    ended       INTEGER NOT NULL CHECK (ended IN (0, 1)),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX no_height_person ON no_height (person, last_day);

CREATE TABLE own_code (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE TABLE person (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    employer    TEXT    REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    name        TEXT    NOT NULL, -- commitment
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX person_employer ON person (employer, until_entry);

CREATE TABLE person_name (
    person TEXT PRIMARY KEY,
    folded TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX person_name_folded ON person_name (folded, person);

CREATE TABLE preparation (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE TABLE presence (
    who     TEXT NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    session TEXT NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    PRIMARY KEY (who, session)
) STRICT, WITHOUT ROWID;

CREATE TABLE private_value (
    commitment TEXT PRIMARY KEY CHECK (length(commitment) = 64),
    subject    TEXT NOT NULL, -- id of the record it belongs to
    field      TEXT NOT NULL,
    salt       BLOB NOT NULL CHECK (length(salt) = 32),
    value      TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX private_value_subject ON private_value (subject);

CREATE TABLE reading (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    at          INTEGER NOT NULL, -- when it was read
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX reading_at ON reading (at);

CREATE TABLE record (
    id    TEXT    PRIMARY KEY CHECK (id <> ''),
    kind  TEXT    NOT NULL,
    entry INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE reference (
    kind        TEXT    NOT NULL CHECK (kind IN ('yard', 'rule-book', 'rig', 'station', 'zone', 'circuit', 'kit', 'item', 'quarantine',
                        'shut', 'inspection', 'rescue-plan', 'drill', 'evidence', 'outcome', 'exercise', 'programme', 'employer', 'staff',
                        'intake', 'appointment', 'account')),
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    body        TEXT    NOT NULL,
    PRIMARY KEY (kind, id, since_entry, from_day)
) STRICT;

CREATE TABLE reference_entry (
    entry INTEGER NOT NULL,
    kind  TEXT    NOT NULL,
    id    TEXT    NOT NULL,
    PRIMARY KEY (entry, kind, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE reported (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE TABLE results (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    signed_by   TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE TABLE session (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    state       TEXT    NOT NULL CHECK (state IN ('pencilled', 'booked', 'under-way', 'signed-off', 'cut-short', 'stood-down')),
    exercise    TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    station     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    start       INTEGER NOT NULL,
    finish      INTEGER NOT NULL CHECK (finish > start AND finish <= start + 1440),
    trial       INTEGER NOT NULL CHECK (trial IN (0, 1)),
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX session_standing_state ON session (state, start) WHERE until_entry = 9223372036854775807;

CREATE INDEX session_start ON session (start);

CREATE TABLE session_person (
    who     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    day     INTEGER NOT NULL,
    session TEXT    NOT NULL,
    PRIMARY KEY (who, day, session)
) STRICT, WITHOUT ROWID;

CREATE TABLE setup_code (
    one    INTEGER PRIMARY KEY CHECK (one = 1),
    sha256 BLOB    NOT NULL CHECK (length(sha256) = 32)
) STRICT;

CREATE TABLE stay (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    person      TEXT,
    came        INTEGER NOT NULL,
    went        INTEGER NOT NULL, -- 0 = they are here
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX stay_came ON stay (came);

CREATE INDEX stay_went ON stay (went, until_entry);

CREATE TABLE tlog_hash (
    idx  INTEGER PRIMARY KEY CHECK (idx >= 0),
    hash BLOB    NOT NULL CHECK (length(hash) = 32)
) STRICT;

CREATE TRIGGER tlog_hash_kept_delete BEFORE DELETE ON tlog_hash
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;

CREATE TRIGGER tlog_hash_kept_update BEFORE UPDATE ON tlog_hash
BEGIN SELECT raise(ABORT, 'the ledger is never changed'); END;

CREATE TRIGGER tlog_hash_next BEFORE INSERT ON tlog_hash
WHEN NEW.idx IS NOT (SELECT coalesce(max(idx) + 1, 0) FROM tlog_hash)
BEGIN SELECT raise(ABORT, 'the ledger takes only the next hash'); END;

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

CREATE TABLE told (
    draft   TEXT    NOT NULL REFERENCES draft (id),
    person  TEXT    NOT NULL,
    told_at INTEGER NOT NULL,
    told_by TEXT    NOT NULL,
    PRIMARY KEY (draft, person)
) STRICT, WITHOUT ROWID;

CREATE TABLE trainee (
    id          TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    rev         INTEGER NOT NULL CHECK (rev >= 1),
    entry       INTEGER NOT NULL,
    since_entry INTEGER NOT NULL CHECK (since_entry >= entry),
    until_entry INTEGER NOT NULL CHECK (until_entry > since_entry),
    from_day    TEXT    NOT NULL CHECK (from_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
    until_day   TEXT    NOT NULL CHECK (until_day > from_day),
    person      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    intake      TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    body        TEXT    NOT NULL,
    PRIMARY KEY (id, since_entry, from_day)
) STRICT;

CREATE INDEX trainee_intake ON trainee (intake, until_entry);

CREATE INDEX trainee_person ON trainee (person, until_entry);

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

