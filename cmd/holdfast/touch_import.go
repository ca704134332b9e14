package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"holdfast/domain"
	"holdfast/tables"
	"holdfast/workflow"
)

type touchImportCommand struct {
	Lab    string `required:"" placeholder:"DIR" help:"Folder of the lab; no server may have it open."`
	Hand   string `required:"" placeholder:"ID" help:"The hand whose fingers were touched."`
	Clips  string `required:"" placeholder:"DIR" help:"Folder of WAV files, one touch each."`
	Labels string `required:"" placeholder:"LABELS.csv" help:"CSV file with the columns file, session and specimen, and, where they are known, zone, position_mm, object, pressure_kpa and snr_db: a row for each clip."`
	By     string `placeholder:"NAME" help:"Who labelled the clips."`

	Invented bool `help:"Mark the clips as invented: no finger was recorded."`

	DryRun bool `help:"Check everything and store nothing."`
	JSON   bool `name:"json" help:"Print the result as JSON."`
}

// touchImportReport is what touch import tells.
type touchImportReport struct {
	Rows     int  `json:"rows"`
	Stored   int  `json:"stored"`
	Repeated int  `json:"repeated"` // sounds that the hand's clips had already
	DryRun   bool `json:"dry_run"`
}

// What is read at once stays in memory until all of it is stored.
const (
	mostImportedClips = 20_000
	mostImportedBytes = 1 << 30
)

// Run checks all clips and labels, and keeps them.
func (c *touchImportCommand) Run(env *environment) error {
	l, err := readLabels(c.Labels)
	if err != nil {
		return badInput(err)
	}
	if len(l.file) > mostImportedClips {
		return badInput(fmt.Errorf("%s names %d clips, and at most %d are taken at once; share it out by several files", filepath.Base(c.Labels), len(l.file), mostImportedClips))
	}
	if _, err := os.Stat(filepath.Join(c.Lab, "lab.db")); errors.Is(err, fs.ErrNotExist) {
		return badInput(fmt.Errorf("there is no lab in %s; make one with: holdfast serve --lab %s", c.Lab, c.Lab))
	}
	store, err := openLab(c.Lab)
	if err != nil {
		return err
	}
	defer store.Close()
	lab := newWorkflow(store, labName(c.Lab))
	state, err := lab.TouchLab(env.ctx, domain.ID(c.Hand))
	if err != nil {
		return badInput(err)
	}
	list, err := c.sounds(env.ctx, lab, l)
	if err != nil {
		return badInput(err)
	}
	r := touchImportReport{Rows: len(list), DryRun: c.DryRun}
	known := map[string]bool{}
	for _, clip := range state.Clips {
		known[clip.Key] = true
	}
	for _, s := range list {
		if known[s.Key] {
			r.Repeated++
		}
	}
	r.Stored = r.Rows - r.Repeated
	if !c.DryRun {
		if _, _, err := lab.KeepTouchClips(env.ctx, list); err != nil {
			return badInput(err)
		}
	}
	if c.JSON {
		return json.NewEncoder(env.stdout).Encode(r)
	}
	verb := "Stored"
	if c.DryRun {
		verb = "Would store"
	}
	fmt.Fprintf(env.stdout, "%s %s from %s of %s for hand %s", verb, counted(r.Stored, "clip"), counted(r.Rows, "row"), filepath.Base(c.Labels), c.Hand)
	if r.Repeated > 0 {
		fmt.Fprintf(env.stdout, "; %s known already, and their labels stay as they are", are(r.Repeated))
	}
	fmt.Fprintln(env.stdout, ".")
	return nil
}

// sounds reads and checks every clip; what is wrong with them is told together, by row and column.
func (c *touchImportCommand) sounds(ctx context.Context, lab *workflow.Lab, l *labels) ([]workflow.TouchSound, error) {
	bad := &tables.Errors{File: filepath.Base(c.Labels)}
	list, row, size := make([]workflow.TouchSound, len(l.file)), map[string]int{}, 0
	for i := range l.file {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		fault := func(column, value, reason string) {
			bad.Add(tables.Fault{Row: i + 1, Line: l.line[i], Column: column, Value: value, Reason: reason})
		}
		wav, err := readWhole(filepath.Join(c.Clips, l.file[i]))
		if err != nil {
			fault("file", "", err.Error())
			continue
		}
		if size += len(wav); size > mostImportedBytes {
			return nil, fmt.Errorf("the clips of %s have more than %d MB; share it out by several files", filepath.Base(c.Labels), mostImportedBytes>>20)
		}
		sum := sha256.Sum256(wav)
		key := "sound-" + hex.EncodeToString(sum[:16])
		if was := row[key]; was > 0 {
			fault("file", l.file[i], fmt.Sprintf("holds the same sound as row %d; leave one of them out", was))
			continue
		}
		row[key] = i + 1
		list[i] = workflow.TouchSound{Name: filepath.Base(l.file[i]), WAV: wav, TouchClip: domain.TouchClip{
			Hand: domain.ID(c.Hand), Key: key, Session: l.session[i], Specimen: l.specimen[i], Invented: c.Invented, Label: domain.TouchLabel{Zone: l.zone[i], By: c.By},
		}}
		if at := l.positionMm[i]; !math.IsNaN(at) {
			list[i].Label.PositionMm = &at
		}
		if snr := l.snrDB[i]; !math.IsNaN(snr) {
			list[i].SNRDB = &snr
		}
		for _, v := range l.varied {
			if reason := setVaried(&list[i].TouchClip, v.Name, v.Level[i]); reason != "" {
				fault(v.Name, v.Level[i], reason)
			}
		}
		var told *domain.Error
		if err := lab.CheckTouchClip(&list[i]); errors.As(err, &told) {
			for _, f := range told.Fields {
				fault(columnOf(f.Field), f.Value, f.Reason)
			}
		} else if err != nil {
			return nil, err
		}
	}
	if bad.Count() > 0 {
		return nil, bad
	}
	return list, nil
}

// setVaried notes what else a row says of a clip; the day is the session's and is not kept twice.
func setVaried(clip *domain.TouchClip, column, text string) (reason string) {
	switch {
	case column == "object":
		clip.Object = text
	case column == "pressure_kpa" && text != "":
		kPa, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(kPa) {
			return "is no number of kilopascals"
		}
		clip.PressureKPa = &kPa
	}
	return ""
}

// columnOf names the column that a clip's field comes from.
func columnOf(field string) string {
	if field == "sound" {
		return "file"
	}
	return strings.ToLower(field)
}

// readWhole reads a file that can be a clip; a larger one is not read.
func readWhole(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, fileError(filepath.Base(path), errors.Unwrap(err))
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no file", filepath.Base(path))
	}
	if info.Size() > domain.MostTouchClip {
		return nil, fmt.Errorf("%s has more than %d bytes: cut the touch out", filepath.Base(path), domain.MostTouchClip)
	}
	wav, err := os.ReadFile(path)
	if err != nil {
		return nil, fileError(filepath.Base(path), errors.Unwrap(err))
	}
	return wav, nil
}
