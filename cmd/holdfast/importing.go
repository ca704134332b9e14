package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"holdfast/api"
	"holdfast/tables"
)

type importCommand struct {
	Lab     string `required:"" placeholder:"DIR" help:"Folder of the lab; no server may have it open."`
	Study   string `required:"" placeholder:"NAME" help:"ID or name of the study that the trials belong to."`
	Columns string `placeholder:"MAP.yaml" help:"Tells how the file's columns are called; see docs/formats.md."`
	DryRun  bool   `help:"Check everything and store nothing."`
	JSON    bool   `name:"json" help:"Print the result as JSON."`
	File    string `arg:"" help:"CSV or Parquet file."`
}

// Run imports the file.
func (c *importCommand) Run(env *environment) error {
	src, closeFile, err := openTable(c.File)
	if err != nil {
		return err
	}
	defer closeFile()
	columns, err := readColumns(c.Columns)
	if err != nil {
		return err
	}
	if _, err := os.Stat(filepath.Join(c.Lab, "lab.db")); errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("there is no lab in %s; make one with: holdfast serve --lab %s", c.Lab, c.Lab)
	}
	store, err := openLab(c.Lab)
	if err != nil {
		return err
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	study, err := lab.StudyByName(env.ctx, c.Study)
	if err != nil {
		return err
	}
	r, err := api.ImportTable(env.ctx, lab, study.ID, src, columns, c.DryRun)
	if err != nil {
		return err
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	verb := "Stored"
	if c.DryRun {
		verb = "Would store"
	}
	fmt.Fprintf(env.stdout, "%s %s from %s of %s in study %s", verb, counted(r.Stored, "trial"), counted(r.Rows, "row"), filepath.Base(c.File), study.ID)
	if r.Repeated > 0 {
		fmt.Fprintf(env.stdout, "; %s known already and not doubled", are(r.Repeated))
	}
	fmt.Fprintln(env.stdout, ".")
	if len(r.Ignored) > 0 {
		fmt.Fprintf(env.stderr, "Columns not used: %s\n", strings.Join(r.Ignored, ", "))
	}
	return nil
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func are(n int) string {
	if n == 1 {
		return "1 was"
	}
	return fmt.Sprintf("%d were", n)
}

// openTable opens a file that tables can read from.
func openTable(path string) (tables.Source, func() error, error) {
	f, err := os.Open(path)
	if err != nil {
		return tables.Source{}, nil, fileError(path, err)
	}
	info, err := f.Stat()
	if err == nil && !info.Mode().IsRegular() {
		err = fmt.Errorf("%s is no file; name a CSV or Parquet file", path)
	}
	if err != nil {
		return tables.Source{}, nil, errors.Join(err, f.Close())
	}
	return tables.Source{Name: filepath.Base(path), Data: f, Size: info.Size()}, f.Close, nil
}

// readColumns reads a column map; none is named by an empty path.
func readColumns(path string) (*tables.ColumnMap, error) {
	if path == "" {
		return nil, nil
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	return tables.ParseColumnMap(filepath.Base(path), text)
}

// fileError says in a sentence why a file that the user named can not be opened or written.
func fileError(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file or folder; check the path", path)
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s: access is denied; ask for the right to it, or name another path", path)
	default:
		return fmt.Errorf("%s: %w", path, err)
	}
}
