package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"time"

	"holdfast/orient"
	"holdfast/statistics/additive"
)

// writeRows writes rows with their outcomes; new rows' outcomes are there too, and neither side reads them.
func writeRows(name string, rows []row) error {
	table := [][]string{{"qw", "qx", "qy", "qz", "closing", "offset_x_mm", "offset_y_mm", "strategy", "hand", "block", "held"}}
	text := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	for _, t := range rows {
		table = append(table, []string{text(t.r.W), text(t.r.X), text(t.r.Y), text(t.r.Z), text(t.closing), text(1000 * t.x), text(1000 * t.y), t.strategy, t.hand, t.block, strconv.Itoa(t.held)})
	}
	return writeTable(name, table)
}

func writeTable(name string, table [][]string) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	if err := csv.NewWriter(f).WriteAll(table); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

func readTable(name string) ([][]string, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	table, err := csv.NewReader(f).ReadAll()
	if err != nil || len(table) == 0 {
		return nil, fmt.Errorf("%s is not a table: %w", name, err)
	}
	return table[1:], nil
}

func readNumbers(fields []string) ([]float64, error) {
	numbers := make([]float64, len(fields))
	for i, s := range fields {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return nil, err
		}
		numbers[i] = v
	}
	return numbers, nil
}

// readPredictions reads mean and standard deviation of the log-odds.
func readPredictions(name string) ([][2]float64, error) {
	table, err := readTable(name)
	if err != nil {
		return nil, err
	}
	var list [][2]float64
	for _, fields := range table {
		v, err := readNumbers(fields[:2])
		if err != nil {
			return nil, err
		}
		list = append(list, [2]float64{v[0], v[1]})
	}
	return list, nil
}

func readData(name string, outcomes bool) (*additive.Data, error) {
	table, err := readTable(name)
	if err != nil {
		return nil, err
	}
	d := &additive.Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	for _, fields := range table {
		v, err := readNumbers(fields[:7])
		if err != nil {
			return nil, err
		}
		d.Orientations = append(d.Orientations, orient.Rotation{W: v[0], X: v[1], Y: v[2], Z: v[3]})
		d.Numbers[additive.Closing] = append(d.Numbers[additive.Closing], v[4])
		d.Numbers[additive.OffsetX] = append(d.Numbers[additive.OffsetX], v[5]/1000)
		d.Numbers[additive.OffsetY] = append(d.Numbers[additive.OffsetY], v[6]/1000)
		for i, factor := range []string{additive.Strategy, additive.Hand, additive.Block} {
			d.Levels[factor] = append(d.Levels[factor], fields[7+i])
		}
		if outcomes {
			held, err := readNumbers(fields[10:11])
			if err != nil {
				return nil, err
			}
			d.Held, d.Trials = append(d.Held, held[0]), append(d.Trials, 1)
		}
	}
	return d, nil
}

// fitFiles is ours as one process: read the trials, fit, read the new rows, predict, write.
func fitFiles(trialsName, newName, outName string) error {
	d, err := readData(trialsName, true)
	if err != nil {
		return err
	}
	terms, _ := additive.Varied(d, orient.Symmetry{})
	if len(terms) != 7 {
		return fmt.Errorf("%d terms vary in the trials, not 7", len(terms))
	}
	start := time.Now()
	m, err := additive.Fit(context.Background(), d, terms, additive.Options{})
	if err != nil {
		return err
	}
	seconds := time.Since(start).Seconds()
	q, err := readData(newName, false)
	if err != nil {
		return err
	}
	estimates, err := m.Predict(q)
	if err != nil {
		return err
	}
	fmt.Printf("%.2f s, %d columns", seconds, m.Summary().Columns)
	table := [][]string{{"mean", "sd"}}
	for _, e := range estimates {
		table = append(table, []string{strconv.FormatFloat(e.Mean, 'g', 10, 64), strconv.FormatFloat(e.SD, 'g', 10, 64)})
	}
	return writeTable(outName, table)
}
