package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"holdfast/api"
	"holdfast/domain"
	"holdfast/store/sqlite"
	"holdfast/tables"
)

type importCommand struct {
	Lab     string `required:"" placeholder:"DIR" help:"Folder of the lab; a server may have it open."`
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
	r, study, err := c.store(env, src, columns)
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
	fmt.Fprintf(env.stdout, "%s %s from %s of %s in study %s", verb, counted(r.Stored, "trial"), counted(r.Rows, "row"), filepath.Base(c.File), study)
	if r.Repeated > 0 {
		fmt.Fprintf(env.stdout, "; %s known already and not doubled", are(r.Repeated))
	}
	fmt.Fprintln(env.stdout, ".")
	if len(r.Ignored) > 0 {
		fmt.Fprintf(env.stderr, "Columns not used: %s\n", strings.Join(r.Ignored, ", "))
	}
	return nil
}

// store stores the file's rows, or with DryRun only checks them. A lab that is being served takes them through its address.
func (c *importCommand) store(env *environment, src tables.Source, columns *tables.ColumnMap) (r api.ImportResult, study domain.ID, err error) {
	open := openLab
	if c.DryRun {
		open = readLab
	}
	store, err := open(c.Lab)
	address := ""
	if domain.KindOf(err) == domain.KindRefused {
		if address = sqlite.ServedAt(c.Lab); address != "" {
			store, err = readLab(c.Lab)
		}
	}
	if err != nil {
		return r, "", err
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	found, err := lab.StudyByName(env.ctx, c.Study)
	if err != nil {
		return r, "", err
	}
	r, err = api.ImportTable(env.ctx, lab, found.ID, src, columns, c.DryRun || address != "")
	if err != nil || address == "" {
		return r, found.ID, err
	}
	if columns != nil {
		return r, "", fmt.Errorf("the lab is being served at %s, which takes a file only with the usual names of columns; stop the server, or rename the file's columns", address)
	}
	r, err = sendTable(env.ctx, address, found.ID, src)
	return r, found.ID, err
}

// sendTable hands the file to the server that has the lab open.
func sendTable(ctx context.Context, address string, study domain.ID, src tables.Source) (r api.ImportResult, err error) {
	target := address + "/api/v1/studies/" + url.PathEscape(string(study)) + "/import?name=" + url.QueryEscape(src.Name)
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, target, io.NewSectionReader(src.Data, 0, src.Size))
	if err != nil {
		return r, err
	}
	req.ContentLength = src.Size
	req.Header.Set("Content-Type", "application/octet-stream")
	answer, err := http.DefaultClient.Do(req)
	if err != nil {
		return r, fmt.Errorf("the server at %s has the lab open, but does not answer: %w", address, err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		problem := struct{ Detail string }{answer.Status}
		_ = json.NewDecoder(answer.Body).Decode(&problem) // what is no problem document leaves the status
		return r, serverRefused{problem.Detail}
	}
	return r, json.NewDecoder(answer.Body).Decode(&r)
}

func readLab(dir string) (*sqlite.Lab, error) {
	return sqlite.OpenReadOnly(dir, sqlite.Options{Clock: systemClock{}})
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
