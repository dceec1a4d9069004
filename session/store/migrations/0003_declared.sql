-- The systems in force one after another, where they changed: "four,three".
ALTER TABLE takes ADD COLUMN declared TEXT NOT NULL DEFAULT '';

-- The takes that are there were computed without: generation 0 is none, and
-- Reconcile names them to be computed again.
UPDATE takes SET generation = 0;
