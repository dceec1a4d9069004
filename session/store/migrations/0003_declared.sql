-- The systems in force one after another, where they changed: "four,three". Empty
-- too in takes that were computed without; history --rebuild finds it.
ALTER TABLE takes ADD COLUMN declared TEXT NOT NULL DEFAULT '';
