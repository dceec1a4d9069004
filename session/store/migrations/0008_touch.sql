-- The hand is inferred otherwise since, and a slide is measured from the note on its
-- own string: what was computed before is computed again (see 0003_declared.sql).
UPDATE takes SET generation = 0;
