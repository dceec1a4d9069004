-- All three from the logbook. at is in microseconds from 1970 in UTC; day
-- counts days from 1 January 1970 in the player's calendar; take names the
-- recording, or is empty.
CREATE TABLE attempts (
  at         INTEGER PRIMARY KEY,
  day        INTEGER NOT NULL,
  cell       TEXT NOT NULL,
  system     TEXT NOT NULL,
  position   INTEGER NOT NULL,
  passed     INTEGER NOT NULL,
  asked      INTEGER NOT NULL,
  heard      INTEGER NOT NULL,
  in_order   INTEGER NOT NULL,
  one_window REAL NOT NULL,
  evenness   REAL,
  connection REAL,
  discomfort INTEGER NOT NULL,
  take       TEXT NOT NULL
) STRICT;

CREATE TABLE rounds (
  at       INTEGER PRIMARY KEY,
  day      INTEGER NOT NULL,
  kind     TEXT NOT NULL,
  system   TEXT NOT NULL,
  settings TEXT NOT NULL,
  points   INTEGER NOT NULL,
  of       INTEGER NOT NULL,
  notes    INTEGER NOT NULL,
  shifts   INTEGER NOT NULL,
  enough   INTEGER NOT NULL,
  take     TEXT NOT NULL
) STRICT;

CREATE TABLE reaches (
  at       INTEGER PRIMARY KEY,
  day      INTEGER NOT NULL,
  mm       REAL NOT NULL,
  position INTEGER NOT NULL,
  system   TEXT NOT NULL,
  at_least INTEGER NOT NULL,
  scale_mm REAL NOT NULL,
  take     TEXT NOT NULL
) STRICT;
