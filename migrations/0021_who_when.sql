-- Who takes part in which session, by the days it was ever set for: where reading
-- looks for somebody's sessions, whatever is known of them at an entry. day counts whole
-- days since 1970-01-01T00:00Z. A session that is moved within its day, or signed with
-- its real times, adds nothing.
ALTER TABLE session_person RENAME TO session_person_by_entry;
CREATE TABLE session_person (
    who     TEXT    NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    day     INTEGER NOT NULL,
    session TEXT    NOT NULL,
    PRIMARY KEY (who, day, session)
) STRICT, WITHOUT ROWID;
INSERT INTO session_person (who, day, session)
    SELECT DISTINCT who, start / 1440, session FROM session_person_by_entry;
DROP TABLE session_person_by_entry;

-- Which trainees were there in which session, by any revision of its attendance; when,
-- its body says. A roll called again or signed adds nothing for who was on it already.
DROP TABLE presence;
CREATE TABLE presence (
    who     TEXT NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    session TEXT NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
    PRIMARY KEY (who, session)
) STRICT, WITHOUT ROWID;
INSERT INTO presence (who, session)
    SELECT DISTINCT p.value ->> '$.who', a.id FROM attendance AS a CROSS JOIN json_each(a.body, '$.presences') AS p
    WHERE p.value ->> '$.part' = 'trainee' AND p.value ->> '$.mark' <> 'did-not-come';
