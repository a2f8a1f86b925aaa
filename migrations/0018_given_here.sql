-- Which certificates the scheme is to be told of: those given here for a programme,
-- found without reading the body of each.
CREATE INDEX certificate_given_here ON certificate (until_entry, since_entry, from_day, until_day, state, id)
    WHERE covers = 'programme' AND coalesce(body ->> '$.trainee', '') <> '';
