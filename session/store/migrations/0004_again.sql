-- The hand is followed otherwise since: what was computed before is computed again
-- (see 0003_declared.sql).
UPDATE takes SET generation = 0;
