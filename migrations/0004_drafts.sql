-- Drafts of plans, the days without work at height, and who was told.

-- Derived, as the tables of 0002.
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

-- Operational, not derived from the ledger, not rebuilt.

-- A draft: a problem built from the records at an entry, and the best plan found
-- for it. Files are the planner's own, compressed with gzip; hashes are of what
-- was compressed.
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

-- How cost and bound went while a draft was made, thinned out for a chart.
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

-- Who was told of the changes of a draft.
CREATE TABLE told (
    draft   TEXT    NOT NULL REFERENCES draft (id),
    person  TEXT    NOT NULL,
    told_at INTEGER NOT NULL,
    told_by TEXT    NOT NULL,
    PRIMARY KEY (draft, person)
) STRICT, WITHOUT ROWID;
