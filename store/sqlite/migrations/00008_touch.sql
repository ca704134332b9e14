-- Sounds of hands being touched, what is said of them and what was learnt. body is the entry as JSON, without what the columns
-- hold. The newest label of a clip counts.

-- +goose Up

CREATE TABLE touch_clip (
  id        INTEGER PRIMARY KEY,
  hand      TEXT NOT NULL REFERENCES hand (id),
  key       TEXT NOT NULL,
  recording TEXT NOT NULL REFERENCES recording (sha256),
  body      TEXT NOT NULL
) STRICT;
CREATE UNIQUE INDEX touch_clip_key ON touch_clip (hand, key);

CREATE TABLE touch_label (
  id   INTEGER PRIMARY KEY,
  clip INTEGER NOT NULL REFERENCES touch_clip (id),
  body TEXT NOT NULL
) STRICT;
CREATE INDEX touch_label_clip ON touch_label (clip);

CREATE TABLE touch_model (
  id        INTEGER PRIMARY KEY,
  hand      TEXT NOT NULL REFERENCES hand (id),
  recording TEXT NOT NULL REFERENCES recording (sha256),
  body      TEXT NOT NULL
) STRICT;
CREATE INDEX touch_model_hand ON touch_model (hand);

-- +goose StatementBegin
CREATE TRIGGER touch_clip_is_not_edited BEFORE UPDATE ON touch_clip
BEGIN SELECT raise(ABORT, 'a clip is never edited: add a label'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER touch_clip_is_not_deleted BEFORE DELETE ON touch_clip
BEGIN SELECT raise(ABORT, 'a clip is never deleted: label it as left out'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER touch_label_is_not_edited BEFORE UPDATE ON touch_label
BEGIN SELECT raise(ABORT, 'labels are append-only: add a new one, the newest counts'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER touch_label_is_not_deleted BEFORE DELETE ON touch_label
BEGIN SELECT raise(ABORT, 'labels are append-only: add a new one, the newest counts'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER touch_model_is_not_edited BEFORE UPDATE ON touch_model
BEGIN SELECT raise(ABORT, 'a model is never edited: train another'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER touch_model_is_not_deleted BEFORE DELETE ON touch_model
BEGIN SELECT raise(ABORT, 'a model is never deleted: train another'); END;
-- +goose StatementEnd
