package main

import (
	"fmt"

	"holdfast/store/sqlite"
)

type backupCommand struct {
	Lab string `required:"" placeholder:"DIR" help:"Folder of the lab; a server may have it open."`
	To  string `required:"" placeholder:"FILE" help:"File to write, such as lab-2026-03-14.tar; it must not exist yet."`
}

// Run writes a backup of a lab, as it is at one moment, to one file.
func (c *backupCommand) Run(env *environment) error {
	lab, err := sqlite.OpenReadOnly(c.Lab, sqlite.Options{Clock: systemClock{}})
	if err != nil {
		return err
	}
	defer lab.Close()
	m, err := lab.Backup(env.ctx, c.To)
	if err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "Backed up the database and %d recordings (%.1f MB) to %s\n", len(m.Files)-1, megabytes(m), c.To)
	for _, f := range m.Missing {
		fmt.Fprintf(env.stdout, "Not in the backup: %s: %s\n", f.Path, f.Fault)
	}
	if n := len(m.Missing); n > 0 {
		return fmt.Errorf("the backup is written, but %d recordings could not be read; look at them with holdfast check --lab %s", n, c.Lab)
	}
	return nil
}

type restoreCommand struct {
	From string `required:"" placeholder:"FILE" help:"File that holdfast backup wrote."`
	Lab  string `required:"" placeholder:"DIR" help:"Folder for the restored lab; it must be new or empty."`
}

// Run unpacks a backup into a new lab, wholly or not at all.
func (c *restoreCommand) Run(env *environment) error {
	m, err := sqlite.Restore(env.ctx, c.From, c.Lab)
	if err != nil {
		return err
	}
	fmt.Fprintf(env.stdout, "Restored the database and %d recordings (%.1f MB), as they were on %s, to %s\n",
		len(m.Files)-1, megabytes(m), m.Made.Local().Format("2006-01-02 15:04"), c.Lab)
	for _, f := range m.Missing {
		fmt.Fprintf(env.stdout, "Already missing when the backup was made: %s: %s\n", f.Path, f.Fault)
	}
	return nil
}

func megabytes(m sqlite.Manifest) float64 {
	bytes := int64(0)
	for _, f := range m.Files {
		bytes += f.Size
	}
	return float64(bytes) / 1e6
}
