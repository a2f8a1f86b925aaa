-- Derived tables: what pages read. Each row is one revision of one record as
-- it stood for a span of knowledge and a span of days:
--   entry        index of the ledger entry that body comes from
--   since_entry  first entry at which the row stood
--   until_entry  first entry at which it no longer stood; 2^63 - 1 = stands
--   from_day     first day it counts for
--   until_day    first day it no longer counts for; 'open' = no end (and above
--                every day as text)
-- All of them can be derived again from the ledger: rungbook rebuild compares.
-- Moments are minutes since 1970-01-01T00:00Z, days are ISO 8601 text.

-- Every record there is, by the id it first appeared under. Kinds that describe
-- another record (staff, attendance, results) share its id and have no row.
CREATE TABLE record (
    id    TEXT    PRIMARY KEY CHECK (id <> ''),
    kind  TEXT    NOT NULL,
    entry INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- Slowly changing kinds, read as a whole and kept decoded.
CREATE TABLE reference (
    kind        TEXT    NOT NULL CHECK (kind IN ('yard', 'rule-book', 'rig', 'station', 'zone', 'circuit', 'kit', 'shut',
                        'inspection', 'rescue-plan', 'drill', 'outcome', 'exercise', 'programme', 'employer', 'staff',
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

-- Entries after which the decoded reference is no longer current, each with the
-- record to read again.
CREATE TABLE reference_entry (
    entry INTEGER NOT NULL,
    kind  TEXT    NOT NULL,
    id    TEXT    NOT NULL,
    PRIMARY KEY (entry, kind, id)
) STRICT, WITHOUT ROWID;

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
CREATE INDEX trainee_person ON trainee (person, until_entry);
CREATE INDEX trainee_intake ON trainee (intake, until_entry);

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

-- A session lasts at most 24 hours, so that those that overlap a span are found
-- by their start.
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
CREATE INDEX session_start ON session (start);
CREATE INDEX session_standing_state ON session (state, start) WHERE until_entry = 9223372036854775807;

-- Who takes part in the session of an entry. who is a trainee or a person.
CREATE TABLE session_person (
    entry   INTEGER NOT NULL,
    session TEXT    NOT NULL,
    who     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    part    TEXT    NOT NULL CHECK (part IN ('trainee', 'instructor', 'rescuer', 'other')),
    start   INTEGER NOT NULL,
    finish  INTEGER NOT NULL,
    PRIMARY KEY (who, start, entry, part)
) STRICT, WITHOUT ROWID;

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

-- Who was present in the attendance of an entry. start and finish are 0 for one
-- who did not come.
CREATE TABLE presence (
    entry   INTEGER NOT NULL,
    place   INTEGER NOT NULL, -- in the list as signed
    session TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    who     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    part    TEXT    NOT NULL CHECK (part IN ('trainee', 'instructor', 'rescuer', 'other')),
    mark    TEXT    NOT NULL CHECK (mark IN ('present', 'late', 'left', 'did-not-come')),
    start   INTEGER NOT NULL,
    finish  INTEGER NOT NULL CHECK (finish > start OR mark = 'did-not-come' AND start = 0 AND finish = 0),
    PRIMARY KEY (who, entry, place)
) STRICT, WITHOUT ROWID;

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

-- A trainee completed an exercise: follows from a session, its attendance and
-- its results, and is derived anew when one of the three changes.
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
CREATE INDEX certificate_person ON certificate (person, until_entry);
CREATE INDEX certificate_number ON certificate (number);
CREATE INDEX certificate_last_valid ON certificate (last_valid, number, id);
