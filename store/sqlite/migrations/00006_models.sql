-- Simulations fitted to bench trials, the newest of each condition of a study; body is the fit as JSON, without what the
-- columns hold.

-- +goose Up

CREATE TABLE model_fit (
  id       TEXT PRIMARY KEY,   -- made of study and condition
  revision INTEGER NOT NULL,
  created  INTEGER NOT NULL,
  updated  INTEGER NOT NULL,
  body     TEXT NOT NULL
) STRICT;
