-- +goose Up

-- Signed proof runs. body is the run as it was signed; giving it up fills the other columns once.
CREATE TABLE proof (
  id          TEXT PRIMARY KEY,
  study       INTEGER NOT NULL REFERENCES study (num),
  signed      INTEGER NOT NULL,
  body        TEXT NOT NULL,
  given_up    INTEGER,
  given_up_by TEXT,
  reason      TEXT
) STRICT;
CREATE INDEX proof_study ON proof (study, signed);

-- +goose StatementBegin
CREATE TRIGGER proof_is_not_edited BEFORE UPDATE OF id, study, signed, body ON proof
BEGIN SELECT raise(ABORT, 'a signed proof run is never edited: give it up and sign another'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER proof_is_given_up_once BEFORE UPDATE OF given_up, given_up_by, reason ON proof WHEN old.given_up IS NOT NULL
BEGIN SELECT raise(ABORT, 'this proof run is given up already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER proof_is_not_deleted BEFORE DELETE ON proof
BEGIN SELECT raise(ABORT, 'a signed proof run is never deleted: give it up'); END;
-- +goose StatementEnd

-- The proof run that a trial belongs to; NULL: none.
ALTER TABLE trial ADD COLUMN proof TEXT REFERENCES proof (id);

DROP VIEW entry;
CREATE VIEW entry AS
SELECT t.id, s.id AS study, t.key, t.corrects, coalesce(t.first, t.id) AS root,
  EXISTS (SELECT 1 FROM trial c WHERE c.corrects = t.id) AS replaced,
  t.ord AS run, t.block, c.hand, c.item, c.setting, c.strategy, t.qw, t.qx, t.qy, t.qz, t.mw, t.mx, t.my, t.mz, t.closing,
  coalesce(t.offset_x, 0) AS offset_x_m, coalesce(t.offset_y, 0) AS offset_y_m, coalesce(t.offset_z, 0) AS offset_z_m,
  t.peak_force AS peak_force_n, t.duration AS duration_s, o.name AS outcome, t.void_reason, coalesce(t.reference, 0) AS reference,
  t.operator, t.note, t.started AS started_ns, t.recorded AS recorded_ns, t.proof
FROM trial t JOIN study s ON s.num = t.study JOIN condition c ON c.num = t.condition JOIN outcome o ON o.num = t.outcome;
