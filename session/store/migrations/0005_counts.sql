-- The time played, shifts that are likely or sure, the hand that cannot see ahead
-- and the notes of a region are counted otherwise since: what was computed before is computed again (see
-- 0003_declared.sql).
UPDATE takes SET generation = 0;
