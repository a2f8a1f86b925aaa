-- Who is here is asked on every page of the yard: of those who did not sign out, the
-- rows that stand. Each stay leaves one behind from before they signed out.
DROP INDEX stay_went;
CREATE INDEX stay_went ON stay (went, until_entry);
