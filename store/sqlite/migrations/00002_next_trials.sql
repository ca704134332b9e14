-- +goose Up

-- Runs that were added to a plan say why; those that the plan's seed drew say nothing.
ALTER TABLE run ADD COLUMN why TEXT NOT NULL DEFAULT '';
