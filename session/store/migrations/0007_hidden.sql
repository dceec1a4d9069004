-- The hand is inferred otherwise since, and a pickup is cleaned otherwise: what was
-- computed before is computed again (see 0003_declared.sql).
UPDATE takes SET generation = 0;
