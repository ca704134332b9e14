package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"holdfast/domain"
)

// keep stores the file as a bench record of the lab's hand. Its key is a digest of what it is and holds, so that the same file kept
// twice is one record.
func (c *handtestCommand) keep(env *environment) error {
	if c.Hand == "" || c.Operator == "" {
		return errors.New("--lab needs --hand and --operator: whose record it is, and who measured")
	}
	table, err := os.ReadFile(c.File)
	if err != nil {
		return fileError(c.File, err)
	}
	r := domain.BenchRecord{
		Hand: domain.ID(c.Hand), Test: c.Kind, Variant: c.Variant, Specimen: c.Specimen, Operator: c.Operator, Table: string(table), Unit: c.Unit,
		Ramp: c.Ramp, Terms: c.Terms, Limit: c.Limit, Note: c.Note,
	}
	if c.Day != "" {
		if r.Day, err = time.Parse(time.DateOnly, c.Day); err != nil {
			return fmt.Errorf("--day %q: give it as 2026-03-14", c.Day)
		}
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%q %q %q %q %q", c.Kind, c.Variant, c.Specimen, c.Day, table))
	r.Key = "file-" + hex.EncodeToString(sum[:16])
	if _, err := os.Stat(filepath.Join(c.Lab, "lab.db")); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no lab in %s; make one with: holdfast serve --lab %s", c.Lab, c.Lab)
	}
	store, err := openLab(c.Lab)
	if err != nil {
		return err
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	if c.DryRun {
		if _, err := lab.CheckBench(env.ctx, r); err != nil {
			return err
		}
		fmt.Fprintf(env.stderr, "%s can be kept as a record of %s; nothing was stored.\n", filepath.Base(c.File), c.Hand)
		return nil
	}
	e, known, err := lab.KeepBench(env.ctx, r)
	if err != nil {
		return err
	}
	word := "is kept as"
	if known {
		word = "was known already as"
	}
	fmt.Fprintf(env.stderr, "%s %s bench record %d of %s.\n", filepath.Base(c.File), word, e.ID, c.Hand)
	return nil
}
