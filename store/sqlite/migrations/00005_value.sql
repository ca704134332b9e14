-- What items, hands and the line bring and cost; body is the noun as JSON, without what the columns hold. Amounts are in
-- the currency that the line's body names, times in seconds unless a field says hours.

-- +goose Up

CREATE TABLE item_economics (
  id       TEXT PRIMARY KEY,   -- the item's
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;

CREATE TABLE hand_economics (
  id       TEXT PRIMARY KEY,   -- the hand's
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;

CREATE TABLE line_economics (
  id       TEXT PRIMARY KEY CHECK (id = 'line'),
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;
