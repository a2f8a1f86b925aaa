-- Items of kits and quarantines are read with the other slowly changing kinds.
ALTER TABLE reference RENAME TO reference_before_items;
CREATE TABLE reference (
    kind        TEXT    NOT NULL CHECK (kind IN ('yard', 'rule-book', 'rig', 'station', 'zone', 'circuit', 'kit', 'item', 'quarantine',
                        'shut', 'inspection', 'rescue-plan', 'drill', 'outcome', 'exercise', 'programme', 'employer', 'staff',
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
INSERT INTO reference (kind, id, rev, entry, since_entry, until_entry, from_day, until_day, body)
    SELECT kind, id, rev, entry, since_entry, until_entry, from_day, until_day, body FROM reference_before_items;
DROP TABLE reference_before_items;
