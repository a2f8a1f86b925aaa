-- Whose kit is still to be answered for: out with them, or come back not fit while no
-- item on record has its serial; as internal/arrival/slip.go says it. It is asked each
-- time somebody comes or goes, among the arrivals of all years.
ALTER TABLE arrival ADD COLUMN kit_open INTEGER NOT NULL DEFAULT 0 CHECK (kit_open IN (0, 1));
UPDATE arrival SET kit_open = 1
WHERE json_array_length(body, '$.issued') > 0
    OR EXISTS (SELECT 1 FROM json_each(body, '$.kit') AS slip
        WHERE json_extract(slip.value, '$.back.how') IS NULL OR json_extract(slip.value, '$.back.how') = 'not-given-back'
            OR json_extract(slip.value, '$.back.how') = 'not-fit' AND json_extract(slip.value, '$.item') IS NULL);
CREATE INDEX arrival_kit_open ON arrival (until_entry, id) WHERE kit_open = 1;
