-- +goose Up

-- Second opinions on how trials ended. They change nothing but what is known of the agreement between judges.
CREATE TABLE judgement (
  id       INTEGER PRIMARY KEY,
  study    INTEGER NOT NULL REFERENCES study (num),
  key      TEXT NOT NULL,
  trial    INTEGER NOT NULL REFERENCES trial (id), -- the first entry of the trial's chain
  judge    TEXT NOT NULL,
  outcome  INTEGER NOT NULL REFERENCES outcome (num),
  note     TEXT,
  judged   INTEGER,
  recorded INTEGER
) STRICT;
CREATE UNIQUE INDEX judgement_key ON judgement (study, key);

-- +goose StatementBegin
CREATE TRIGGER judgement_is_not_changed BEFORE UPDATE ON judgement
BEGIN SELECT raise(ABORT, 'judgements are append-only: add a new one, the newest of a judge counts'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER judgement_is_not_deleted BEFORE DELETE ON judgement
BEGIN SELECT raise(ABORT, 'judgements are append-only: add a new one, the newest of a judge counts'); END;
-- +goose StatementEnd
