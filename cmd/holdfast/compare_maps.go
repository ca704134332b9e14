package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"path/filepath"

	"holdfast/orient"
	"holdfast/statistics/compare"
	"holdfast/statistics/successmap"
	"holdfast/tables"
)

type mapsReport struct {
	Orientations int     `json:"orientations"`
	BlurDeg      float64 `json:"blur_deg"`
	ClearA       float64 `json:"share_a_clearly_better"`
	ClearB       float64 `json:"share_b_clearly_better"`
	SureA        float64 `json:"share_a_better_over_all"`
	SureB        float64 `json:"share_b_better_over_all"`
}

// What maps are compared with: enough trials that a map says something, and joint draws.
const (
	fewestMapped = 20
	compareDraws = 400
	mostCompared = 2000
)

func (c *compareCommand) maps(env *environment, r *compareReport, a, b []attempt) error {
	m := mapCommand{Degree: "auto", HandSymmetry: c.HandSymmetry, ItemSymmetry: c.ItemSymmetry, BlurDeg: c.BlurDeg}
	options, err := m.options()
	if err != nil {
		return err
	}
	if len(a) < fewestMapped || len(b) < fewestMapped {
		r.Warnings = append(r.Warnings, fmt.Sprintf("The maps are not compared: that needs %d trials of each.", fewestMapped))
		if c.Out != "" {
			return badInput(fmt.Errorf("%s can not be written: maps need %d trials of each file", c.Out, fewestMapped))
		}
		return nil
	}
	columns, err := readColumns(c.Columns)
	if err != nil {
		return badInput(err)
	}
	grid, err := c.grid(a, b, options.Symmetry, columns)
	if err != nil {
		return badInput(err)
	}
	var draws [2][][]float64
	for i, list := range [][]attempt{a, b} {
		fit, err := successmap.Fit(env.ctx, observed(list), options)
		if err != nil {
			return err
		}
		// Each map has draws of its own: a shared seed would make the two move together.
		if c.BlurDeg > 0 {
			var blurred *successmap.Blurred
			if blurred, err = fit.Blur(c.BlurDeg * math.Pi / 180); err == nil {
				draws[i], err = blurred.Draws(compareDraws, c.Seed+uint64(i), grid)
			}
		} else {
			draws[i], err = fit.Draws(compareDraws, c.Seed+uint64(i), grid)
		}
		if err != nil {
			return err
		}
	}
	over, err := compare.OverOrientations(draws[0], draws[1], c.Level)
	if err != nil {
		return err
	}
	r.Maps = &mapsReport{len(grid), c.BlurDeg, over.ClearA, over.ClearB, over.SureA, over.SureB}
	if c.Out == "" {
		return nil
	}
	return writeFile(c.Out, func(w io.Writer) error { return writeMaps(w, grid, draws, over) })
}

func observed(list []attempt) []successmap.Observation {
	obs := make([]successmap.Observation, len(list))
	for i, x := range list {
		obs[i] = successmap.Observation{R: x.rotation, Trials: 1}
		if x.held {
			obs[i].Held = 1
		}
	}
	return obs
}

// grid is what the maps are compared at: the file's orientations, or the distinct ones of both lists of trials.
func (c *compareCommand) grid(a, b []attempt, symmetry orient.Symmetry, columns *tables.ColumnMap) ([]orient.Rotation, error) {
	if c.At != "" {
		src, closeFile, err := openTable(c.At)
		if err != nil {
			return nil, err
		}
		defer closeFile()
		grid, err := tables.ReadGrid(src, columns)
		if err == nil && len(grid) == 0 {
			err = fmt.Errorf("%s holds no orientation", filepath.Base(c.At))
		}
		return grid, err
	}
	points := make([]orient.Rotation, 0, len(a)+len(b))
	for _, list := range [][]attempt{a, b} {
		for _, x := range list {
			points = append(points, x.rotation)
		}
	}
	distinct, _ := symmetry.Distinct(points)
	if len(distinct) > mostCompared {
		// Every so many of them: the order of trials was randomised, so this is an even sample.
		step := float64(len(distinct)) / mostCompared
		some := make([]orient.Rotation, mostCompared)
		for i := range some {
			some[i] = distinct[int(float64(i)*step)]
		}
		distinct = some
	}
	return distinct, nil
}

func writeMaps(w io.Writer, grid []orient.Rotation, draws [2][][]float64, over *compare.Maps) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"qw", "qx", "qy", "qz", "p_a", "p_b", "difference", "difference_low", "difference_high", "chance_a_is_better", "clear", "clear_over_all"})
	for i, s := range over.Spots {
		var mean [2]float64
		for k := range draws {
			for d := range draws[k] {
				mean[k] += draws[k][d][i] / float64(len(draws[k]))
			}
		}
		q := grid[i].Canonical()
		_ = out.Write([]string{number(q.W), number(q.X), number(q.Y), number(q.Z), number(mean[0]), number(mean[1]), number(s.Difference), number(s.Low), number(s.High),
			number(s.Better), fmt.Sprint(s.Clear), fmt.Sprint(s.Sure)})
	}
	out.Flush()
	return out.Error()
}
