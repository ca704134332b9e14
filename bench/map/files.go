package main

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"strconv"

	"holdfast/orient"
)

// prediction is a row of p,p_low,p_high.
type prediction struct{ p, low, high float64 }

func writeTrials(name string, trials []trial) error {
	return writeRows(name, "qw,qx,qy,qz,outcome", func(w *bufio.Writer) {
		for _, t := range trials {
			outcome := "dropped"
			if t.held {
				outcome = "held"
			}
			fmt.Fprintf(w, "%.9f,%.9f,%.9f,%.9f,%s\n", t.r.W, t.r.X, t.r.Y, t.r.Z, outcome)
		}
	})
}

func writeGrid(name string, rs []orient.Rotation) error {
	return writeRows(name, "qw,qx,qy,qz", func(w *bufio.Writer) {
		for _, r := range rs {
			fmt.Fprintf(w, "%.9f,%.9f,%.9f,%.9f\n", r.W, r.X, r.Y, r.Z)
		}
	})
}

func writeRows(name, header string, rows func(*bufio.Writer)) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, header)
	rows(w)
	if err := w.Flush(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// readColumns calls row with the named columns of each line.
func readColumns(name string, columns []string, row func([]string) error) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	r := csv.NewReader(bufio.NewReaderSize(f, 1<<16))
	r.ReuseRecord = true
	header, err := r.Read()
	if err != nil {
		return err
	}
	at := make([]int, len(columns))
	for i, c := range columns {
		at[i] = -1
		for j, h := range header {
			if h == c {
				at[i] = j
			}
		}
		if at[i] < 0 {
			return fmt.Errorf("%s has no column %s", name, c)
		}
	}
	picked := make([]string, len(columns))
	for {
		record, err := r.Read()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		for i, j := range at {
			picked[i] = record[j]
		}
		if err := row(picked); err != nil {
			return err
		}
	}
}

func readPredictions(name string) ([]prediction, error) {
	var rows []prediction
	err := readColumns(name, []string{"p", "p_low", "p_high"}, func(cells []string) error {
		v, err := numbers(cells)
		if err != nil {
			return err
		}
		rows = append(rows, prediction{v[0], v[1], v[2]})
		return nil
	})
	return rows, err
}

func readRotations(name string, extra string, row func(orient.Rotation, string)) error {
	columns := []string{"qw", "qx", "qy", "qz"}
	if extra != "" {
		columns = append(columns, extra)
	}
	return readColumns(name, columns, func(cells []string) error {
		v, err := numbers(cells[:4])
		if err != nil {
			return err
		}
		r, _ := orient.Rotation{W: v[0], X: v[1], Y: v[2], Z: v[3]}.Normalized()
		last := ""
		if extra != "" {
			last = cells[4]
		}
		row(r, last)
		return nil
	})
}

func numbers(cells []string) (v [4]float64, err error) {
	for i, c := range cells {
		if v[i], err = strconv.ParseFloat(c, 64); err != nil {
			return v, err
		}
	}
	return v, nil
}
