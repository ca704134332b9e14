package main

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"time"

	"holdfast/mechanics/trialsim"
	"holdfast/scenes"
)

// simulatedColumns are those of an import; see docs/formats.md.
var simulatedColumns = []string{
	"key", "hand", "item", "setting", "strategy", "qw", "qx", "qy", "qz", "tilt_deg", "azimuth_deg", "roll_deg", "closing",
	"offset_x_mm", "offset_y_mm", "offset_z_mm", "peak_force_N", "duration_s", "outcome", "void_reason", "item_size_mm", "item_mass_g", "note",
}

// Places among the columns.
const (
	columnTilt, columnForce, columnOutcome, columnVoid, columnNote = 9, 16, 18, 19, 22
)

// simulatedFile is a CSV file of trials that grows in their order. A row is written whole in one call, so that a process that
// is killed leaves whole rows and at most the beginning of one more, which the next run takes off.
type simulatedFile struct {
	f        *os.File
	run      string
	rows     int
	synced   time.Time
	outcomes map[trialsim.Outcome]int
	bands    [18]struct{ held, trials int } // by 10° of tilt
}

// openSimulated opens the file for adding the run's trials, after those that it holds already.
func openSimulated(name, run string, trials int) (*simulatedFile, error) {
	f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, fileError(name, err)
	}
	s := &simulatedFile{f: f, run: run, synced: time.Now(), outcomes: map[trialsim.Outcome]int{}}
	whole, err := s.look(name, trials)
	if err == nil {
		err = f.Truncate(whole)
	}
	if err == nil {
		_, err = f.Seek(whole, io.SeekStart)
	}
	if err == nil && whole == 0 {
		_, err = f.WriteString(strings.Join(simulatedColumns, ",") + "\n")
	}
	if err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return s, nil
}

// look counts the rows that the file holds and returns where the last whole one ends.
func (s *simulatedFile) look(name string, trials int) (whole int64, err error) {
	header := strings.Join(simulatedColumns, ",") + "\n"
	in := bufio.NewReader(s.f)
	first, err := in.ReadString('\n')
	switch {
	case err == io.EOF && strings.HasPrefix(header, first):
		return 0, nil
	case err != nil && err != io.EOF:
		return 0, err
	case first != header:
		return 0, inputError{fmt.Errorf("%s exists and holds no simulated trials; name another file for --out", name)}
	}
	whole = int64(len(first))
	for {
		line, err := in.ReadBytes('\n')
		if err == io.EOF {
			return whole, nil
		}
		if err != nil {
			return 0, err
		}
		fields, err := csv.NewReader(bytes.NewReader(line)).Read()
		if err != nil || len(fields) != len(simulatedColumns) {
			return 0, inputError{fmt.Errorf("%s, row %d can not be read; name another file for --out", name, s.rows+2)}
		}
		if want := s.key(s.rows); fields[0] != want {
			return 0, inputError{fmt.Errorf("%s, row %d: trial %q of another run (this one is %q): scene, seed, step, orientations or closing differ; name another file for --out", name, s.rows+2, fields[0], want)}
		}
		if s.rows >= trials {
			return 0, inputError{fmt.Errorf("%s holds more than %d trials of this run already; ask for more with --trials or name another file for --out", name, trials)}
		}
		tilt, _ := strconv.ParseFloat(fields[columnTilt], 64)
		s.count(trialsim.Outcome(fields[columnOutcome]), tilt)
		s.rows++
		whole += int64(len(line))
	}
}

func (s *simulatedFile) key(n int) string { return fmt.Sprintf("%s-%d", s.run, n+1) }

func (s *simulatedFile) count(o trialsim.Outcome, tilt float64) {
	s.outcomes[o]++
	if o == trialsim.Void {
		return
	}
	b := &s.bands[min(17, max(0, int(tilt/10)))]
	b.trials++
	if o == trialsim.Held {
		b.held++
	}
}

// add writes one more trial.
func (s *simulatedFile) add(scene *scenes.Scene, d *trialsim.Done) error {
	r := &d.Result
	q := r.Measured.Canonical()
	a := q.Approach()
	tilt := a.Tilt * 180 / math.Pi
	fields := []string{
		s.key(d.Number), scene.Hand.Name, scene.Item.Name, scene.Setting.Name, scene.Strategy.Kind,
		exact(q.W), exact(q.X), exact(q.Y), exact(q.Z), rounded(tilt, 1e-6), rounded(a.Azimuth*180/math.Pi, 1e-6), rounded(a.Roll*180/math.Pi, 1e-6),
		exact(d.Attempt.Closing), rounded(r.Offset[0]*1e3, 1e-3), rounded(r.Offset[1]*1e3, 1e-3), rounded(r.Offset[2]*1e3, 1e-3),
		"", "", string(r.Outcome), "", rounded(r.Size*1e3, 1e-3), rounded(r.Mass*1e3, 1e-3), r.Reason,
	}
	if r.Outcome == trialsim.Void {
		fields[columnVoid], fields[columnNote] = r.Reason, ""
	} else {
		fields[columnForce], fields[columnForce+1] = rounded(r.PeakForce, 1e-3), rounded(r.Seconds, 1e-3)
	}
	var line bytes.Buffer
	w := csv.NewWriter(&line)
	if err := w.Write(fields); err != nil {
		return err
	}
	w.Flush()
	if _, err := s.f.Write(line.Bytes()); err != nil {
		return err
	}
	s.rows++
	s.count(r.Outcome, tilt)
	if time.Since(s.synced) > time.Second {
		return s.sync()
	}
	return nil
}

// sync makes what was written safe against a loss of power.
func (s *simulatedFile) sync() error {
	s.synced = time.Now()
	return s.f.Sync()
}

func (s *simulatedFile) close() { _ = s.f.Close() }

func exact(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

func rounded(x, to float64) string {
	// Adding zero makes a negative zero positive.
	return strconv.FormatFloat(math.Round(x/to)*to+0, 'f', decimals(to), 64)
}

func decimals(to float64) int { return int(math.Round(-math.Log10(to))) }
