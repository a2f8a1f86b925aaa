-- Readings of before that may have been storms: the decoded reference now holds them,
-- as it does each new one. A correction counts too, as it may make one or undo it. The
-- wind is taken for 10 m above the ground and is at least 12 m/s, as in
-- internal/weather/storm.go.
INSERT OR IGNORE INTO reference_entry (entry, kind, id)
SELECT DISTINCT entry, 'storm', id FROM reading
WHERE rev > 1 OR json_extract(body, '$.kind') = 'measured'
    AND ceil(max(coalesce(json_extract(body, '$.gust'), 0), coalesce(json_extract(body, '$.mean'), 0))
        * CASE WHEN coalesce(json_extract(body, '$.height'), 100) < 100 THEN pow(100.0 / max(json_extract(body, '$.height'), 10), 0.2) ELSE 1 END
        - 1e-9) >= 120;
