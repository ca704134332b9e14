-- Bench records of hands. body is the record as JSON, without what the columns hold; making it void fills the last columns once.

-- +goose Up

CREATE TABLE bench_record (
  id        INTEGER PRIMARY KEY,
  hand      TEXT NOT NULL REFERENCES hand (id),
  key       TEXT NOT NULL,
  recorded  INTEGER NOT NULL,
  body      TEXT NOT NULL,
  voided    INTEGER,
  voided_by TEXT,
  reason    TEXT
) STRICT;
CREATE UNIQUE INDEX bench_record_key ON bench_record (hand, key);

-- +goose StatementBegin
CREATE TRIGGER bench_record_is_not_edited BEFORE UPDATE OF id, hand, key, recorded, body ON bench_record
BEGIN SELECT raise(ABORT, 'a bench record is never edited: make it void and add another'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER bench_record_is_voided_once BEFORE UPDATE OF voided, voided_by, reason ON bench_record WHEN old.voided IS NOT NULL
BEGIN SELECT raise(ABORT, 'this bench record is void already'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER bench_record_is_not_deleted BEFORE DELETE ON bench_record
BEGIN SELECT raise(ABORT, 'a bench record is never deleted: make it void'); END;
-- +goose StatementEnd
