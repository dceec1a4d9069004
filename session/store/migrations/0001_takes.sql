-- Times are microseconds; started counts from 1970 in UTC.
CREATE TABLE takes (
  name       TEXT PRIMARY KEY, -- of the file in the takes folder
  started    INTEGER NOT NULL,
  length     INTEGER NOT NULL,
  played     INTEGER NOT NULL,
  notes      INTEGER NOT NULL,
  fingers    TEXT NOT NULL,
  likely     REAL NOT NULL,
  at_least   INTEGER NOT NULL,
  widest_mm  REAL NOT NULL,
  wide       INTEGER NOT NULL,
  low        REAL NOT NULL,
  high       REAL NOT NULL,
  looks      TEXT NOT NULL,
  generation INTEGER NOT NULL  -- of the rebuild that computed it
) STRICT, WITHOUT ROWID;

CREATE INDEX takes_by_start ON takes (started);

CREATE TABLE systems (
  take         TEXT NOT NULL REFERENCES takes (name) ON DELETE CASCADE,
  system       TEXT NOT NULL,
  fewest       INTEGER NOT NULL,
  as_you_go    INTEGER NOT NULL,
  travel       INTEGER NOT NULL,
  least_travel INTEGER NOT NULL,
  widest_mm    REAL NOT NULL,
  PRIMARY KEY (take, system)
) STRICT, WITHOUT ROWID;

CREATE TABLE regions (
  take     TEXT NOT NULL REFERENCES takes (name) ON DELETE CASCADE,
  position INTEGER NOT NULL,
  notes    INTEGER NOT NULL,
  four     INTEGER NOT NULL,
  three    INTEGER NOT NULL,
  PRIMARY KEY (take, position)
) STRICT, WITHOUT ROWID;

-- From the logbook. A label outlives its take, which may come back from the
-- trash: no foreign key.
CREATE TABLE labels (
  take    TEXT PRIMARY KEY,
  name    TEXT NOT NULL,
  student TEXT NOT NULL,
  note    TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX labels_by_student ON labels (student);

-- How far the other tables are built. One row.
CREATE TABLE progress (
  id         INTEGER PRIMARY KEY CHECK (id = 1),
  generation INTEGER NOT NULL, -- of the last complete rebuild
  rebuilding INTEGER NOT NULL, -- generation of an unfinished rebuild, or 0
  method     TEXT NOT NULL,    -- of the unfinished rebuild
  logbook    INTEGER NOT NULL  -- bytes of the logbook that are in the tables
) STRICT;

INSERT INTO progress VALUES (1, 1, 0, '', 0);
