package main

import (
	"bufio"
	"context"
	"fmt"
	"strconv"
	"time"

	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// fitFiles is the whole work of a map in one process: read trials, fit, read the grid, predict, write. It is what the
// bench measures unless it is given the program itself.
func fitFiles(trialsName, gridName, outName string, fold int) error {
	var obs []successmap.Observation
	err := readRotations(trialsName, "outcome", func(r orient.Rotation, outcome string) {
		o := successmap.Observation{R: r, Trials: 1}
		if outcome == "held" {
			o.Held = 1
		}
		obs = append(obs, o)
	})
	if err != nil {
		return err
	}
	start := time.Now()
	m, err := successmap.Fit(context.Background(), obs, successmap.Options{Symmetry: orient.Symmetry{HandFold: fold}})
	if err != nil {
		return err
	}
	fitSeconds := time.Since(start).Seconds()
	var rs []orient.Rotation
	if err := readRotations(gridName, "", func(r orient.Rotation, _ string) { rs = append(rs, r) }); err != nil {
		return err
	}
	start = time.Now()
	estimates := make([]successmap.Estimate, len(rs))
	m.Predict(estimates, rs)
	s := m.Summary()
	fmt.Printf("fit %.3f s, predict %.3f s, degree %d, %d functions, length %.3f rad, anisotropy %.2f, amplitude %.2f\n",
		fitSeconds, time.Since(start).Seconds(), s.Degree, s.BasisSize, s.LengthScale, s.Anisotropy, s.Amplitude)
	return writeRows(outName, "p,p_low,p_high", func(w *bufio.Writer) {
		line := make([]byte, 0, 64)
		for _, e := range estimates {
			line = strconv.AppendFloat(line[:0], e.P, 'g', 6, 64)
			line = append(line, ',')
			line = strconv.AppendFloat(line, e.Low, 'g', 6, 64)
			line = append(line, ',')
			line = strconv.AppendFloat(line, e.High, 'g', 6, 64)
			w.Write(append(line, '\n'))
		}
	})
}
