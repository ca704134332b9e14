-- A lab's tables. Times are nanoseconds since 1970-01-01 UTC, lengths metres, forces newtons, durations seconds,
-- orientations unit quaternions (w, x, y, z) in the setting frame. NULL means: not known, or not given.

-- +goose Up

-- Catalogue: body is the noun as JSON, without what the columns hold.
CREATE TABLE hand (
  id       TEXT PRIMARY KEY,
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;

CREATE TABLE item (
  id       TEXT PRIMARY KEY,
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;

CREATE TABLE setting (
  id       TEXT PRIMARY KEY,
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;

CREATE TABLE study (
  num      INTEGER PRIMARY KEY,
  id       TEXT NOT NULL UNIQUE,
  state    TEXT NOT NULL,
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;

-- What was tried with what, spelled once: runs and trials refer to it by number.
CREATE TABLE condition (
  num      INTEGER PRIMARY KEY,
  hand     TEXT NOT NULL,
  item     TEXT NOT NULL,
  setting  TEXT NOT NULL,
  strategy TEXT NOT NULL,
  UNIQUE (hand, item, setting, strategy)
) STRICT;

-- The plan of a study.
CREATE TABLE run (
  study      INTEGER NOT NULL REFERENCES study (num),
  ord        INTEGER NOT NULL CHECK (ord > 0),
  block      INTEGER NOT NULL,
  whole_plot INTEGER NOT NULL,
  condition  INTEGER NOT NULL REFERENCES condition (num),
  cell       INTEGER NOT NULL,
  qw REAL NOT NULL, qx REAL NOT NULL, qy REAL NOT NULL, qz REAL NOT NULL,
  closing    REAL NOT NULL,
  offset_x REAL NOT NULL, offset_y REAL NOT NULL, offset_z REAL NOT NULL,
  replicate  INTEGER NOT NULL,
  reference  INTEGER NOT NULL,
  PRIMARY KEY (study, ord)
) STRICT, WITHOUT ROWID;

-- The names of the outcome numbers, for people who read the file with other tools.
CREATE TABLE outcome (num INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE) STRICT;
INSERT INTO outcome (num, name) VALUES (1, 'held'), (2, 'dropped'), (3, 'slipped'), (4, 'missed'), (5, 'pushed'),
  (6, 'damaged'), (7, 'stopped'), (8, 'failed'), (9, 'void');

-- The trial record. Entries are added, never changed: the triggers below hold whoever writes to that.
CREATE TABLE trial (
  id          INTEGER PRIMARY KEY,
  study       INTEGER NOT NULL REFERENCES study (num),
  key         TEXT NOT NULL,    -- the client's idempotency key
  corrects    INTEGER,          -- the entry that this one replaces; NULL: a first entry
  first       INTEGER,          -- the first entry of the chain; NULL: this is it
  ord         INTEGER,          -- the planned run; NULL: not planned
  block       INTEGER,
  condition   INTEGER NOT NULL,
  qw REAL NOT NULL, qx REAL NOT NULL, qy REAL NOT NULL, qz REAL NOT NULL,  -- as asked
  mw REAL, mx REAL, my REAL, mz REAL,                                      -- as measured
  closing     REAL NOT NULL,
  offset_x REAL, offset_y REAL, offset_z REAL,                             -- NULL: all three are zero
  peak_force  REAL,
  duration    REAL,
  outcome     INTEGER NOT NULL CHECK (outcome BETWEEN 1 AND 9),
  void_reason TEXT,
  reference   INTEGER,          -- 1: a block's reference trial
  operator    TEXT,
  note        TEXT,
  started     INTEGER,
  recorded    INTEGER,
  FOREIGN KEY (study, ord) REFERENCES run (study, ord)
) STRICT;
CREATE UNIQUE INDEX trial_key ON trial (study, key);
CREATE UNIQUE INDEX trial_correction ON trial (corrects) WHERE corrects IS NOT NULL; -- an entry is corrected once: chains do not fork
CREATE INDEX trial_run ON trial (study, ord) WHERE ord IS NOT NULL;

-- +goose StatementBegin
CREATE TRIGGER trial_is_not_changed BEFORE UPDATE ON trial
BEGIN SELECT raise(ABORT, 'the trial record is append-only: add a correction instead'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER trial_is_not_deleted BEFORE DELETE ON trial
BEGIN SELECT raise(ABORT, 'the trial record is append-only: add a void correction instead'); END;
-- +goose StatementEnd

-- Stored files, by what they hold.
CREATE TABLE recording (
  sha256 TEXT PRIMARY KEY,
  name   TEXT NOT NULL,
  type   TEXT NOT NULL,
  size   INTEGER NOT NULL,
  stored INTEGER NOT NULL
) STRICT;

CREATE TABLE trial_recording (
  study  INTEGER NOT NULL,
  trial  INTEGER NOT NULL REFERENCES trial (id),
  pos    INTEGER NOT NULL,
  sha256 TEXT NOT NULL REFERENCES recording (sha256),
  name   TEXT NOT NULL,
  type   TEXT NOT NULL,
  PRIMARY KEY (study, trial, pos)
) STRICT, WITHOUT ROWID;

-- +goose StatementBegin
CREATE TRIGGER trial_recording_is_not_changed BEFORE UPDATE ON trial_recording
BEGIN SELECT raise(ABORT, 'the trial record is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER trial_recording_is_not_deleted BEFORE DELETE ON trial_recording
BEGIN SELECT raise(ABORT, 'the trial record is append-only'); END;
-- +goose StatementEnd

-- Later looks at items. They change how a trial counts, never the trial.
CREATE TABLE inspection (
  id        INTEGER PRIMARY KEY,
  study     INTEGER NOT NULL REFERENCES study (num),
  key       TEXT NOT NULL,
  trial     INTEGER NOT NULL REFERENCES trial (id), -- the first entry of the trial's chain
  finding   INTEGER NOT NULL CHECK (finding IN (1, 2)), -- 1: sound, 2: damaged
  inspector TEXT,
  note      TEXT,
  seen      INTEGER,
  recorded  INTEGER
) STRICT;
CREATE UNIQUE INDEX inspection_key ON inspection (study, key);
CREATE INDEX inspection_trial ON inspection (study, trial, id, finding);

-- +goose StatementBegin
CREATE TRIGGER inspection_is_not_changed BEFORE UPDATE ON inspection
BEGIN SELECT raise(ABORT, 'inspections are append-only: add a new one, the newest counts'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER inspection_is_not_deleted BEFORE DELETE ON inspection
BEGIN SELECT raise(ABORT, 'inspections are append-only: add a new one, the newest counts'); END;
-- +goose StatementEnd

-- Which rig holds which planned run until when. A lease also ends when a first entry beyond "beyond" names the run, so
-- that logging a trial need not write here.
CREATE TABLE lease (
  study  INTEGER NOT NULL REFERENCES study (num),
  holder TEXT NOT NULL,
  ord    INTEGER NOT NULL,
  until  INTEGER NOT NULL,
  beyond INTEGER NOT NULL,
  PRIMARY KEY (study, holder)
) STRICT, WITHOUT ROWID;

-- Released pick cards. body is the card as it was released; withdrawing fills the other columns once.
CREATE TABLE card (
  id           TEXT PRIMARY KEY,
  study        TEXT NOT NULL REFERENCES study (id),
  released     INTEGER NOT NULL,
  body         TEXT NOT NULL,
  withdrawn    INTEGER,
  withdrawn_by TEXT,
  reason       TEXT
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER card_is_not_edited BEFORE UPDATE OF id, study, released, body ON card
BEGIN SELECT raise(ABORT, 'a released card is never edited: withdraw it and release another'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER card_is_withdrawn_once BEFORE UPDATE OF withdrawn, withdrawn_by, reason ON card WHEN old.withdrawn IS NOT NULL
BEGIN SELECT raise(ABORT, 'this card is withdrawn already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER card_is_not_deleted BEFORE DELETE ON card
BEGIN SELECT raise(ABORT, 'a released card is never deleted: withdraw it'); END;
-- +goose StatementEnd

-- The record spelled out, for people who read the file with other tools.
CREATE VIEW entry AS
SELECT t.id, s.id AS study, t.key, t.corrects, coalesce(t.first, t.id) AS root,
  EXISTS (SELECT 1 FROM trial c WHERE c.corrects = t.id) AS replaced,
  t.ord AS run, t.block, c.hand, c.item, c.setting, c.strategy, t.qw, t.qx, t.qy, t.qz, t.mw, t.mx, t.my, t.mz, t.closing,
  coalesce(t.offset_x, 0) AS offset_x_m, coalesce(t.offset_y, 0) AS offset_y_m, coalesce(t.offset_z, 0) AS offset_z_m,
  t.peak_force AS peak_force_n, t.duration AS duration_s, o.name AS outcome, t.void_reason, coalesce(t.reference, 0) AS reference,
  t.operator, t.note, t.started AS started_ns, t.recorded AS recorded_ns
FROM trial t JOIN study s ON s.num = t.study JOIN condition c ON c.num = t.condition JOIN outcome o ON o.num = t.outcome;
