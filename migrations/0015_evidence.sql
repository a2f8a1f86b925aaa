-- Evidence of a rig's conversion dossier is read whole with the rest of the yard. Its
-- files lie beside the database, each under the SHA-256 of its bytes.
ALTER TABLE reference RENAME TO reference_before_evidence;
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
INSERT INTO reference (kind, id, rev, entry, since_entry, until_entry, from_day, until_day, body)
    SELECT kind, id, rev, entry, since_entry, until_entry, from_day, until_day, body FROM reference_before_evidence;
DROP TABLE reference_before_evidence;
