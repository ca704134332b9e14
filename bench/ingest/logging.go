package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// logTrials logs trials one by one through HTTP, each in turn with a bare commit, so that both sides meet the same
// moments of the disk.
func logTrials(w io.Writer, s settings) (met bool, err error) {
	dir := filepath.Join(s.folder, "log")
	if err := makeLab(dir); err != nil {
		return false, err
	}
	b, err := openBare(filepath.Join(s.folder, "bare-log.db"))
	if err != nil {
		return false, err
	}
	defer b.db.Close()
	server, address, err := serve(s.program, dir)
	if err != nil {
		return false, err
	}
	defer func() {
		err = errors.Join(err, server.Process.Signal(syscall.SIGTERM), server.Wait())
	}()

	list := drawRows(s.trials)
	ours, theirs := make([]time.Duration, 0, len(list)), make([]time.Duration, 0, len(list))
	const warmUp = 50 // trials until connections are open and statements are in memory
	for i := range list {
		took, err := post(address, fmt.Sprintf("bench-%d", i), &list[i])
		if err != nil {
			return false, err
		}
		bareTook, err := b.commit(&list[i])
		if err != nil {
			return false, err
		}
		if i >= warmUp {
			ours, theirs = append(ours, took), append(theirs, bareTook)
		}
	}
	if len(ours) == 0 {
		return false, fmt.Errorf("-trials must be more than %d", warmUp)
	}
	ratio := float64(median(ours)) / float64(median(theirs))
	met = ratio <= barTrial
	fmt.Fprintf(w, "one trial, %d in turn\tmedian\t99 %%\ttimes bare\tbar\t\n", len(ours))
	fmt.Fprintf(w, "bare SQLite commit\t%.3f ms\t%.2f ms\t1\t\t\n", ms(median(theirs)), ms(quantile(theirs, 0.99)))
	fmt.Fprintf(w, "POST …/trials over loopback\t%.3f ms\t%.2f ms\t%.2f\tat most %g\t%s\n", ms(median(ours)), ms(quantile(ours, 0.99)), ratio, barTrial, verdict(met))
	return met, nil
}

func ms(d time.Duration) float64 { return d.Seconds() * 1e3 }

// serve starts the program on a free port.
func serve(program, dir string) (*exec.Cmd, string, error) {
	server := exec.Command(program, "serve", "--lab", dir, "--listen", "127.0.0.1:0")
	var trouble bytes.Buffer
	server.Stderr = &trouble
	out, err := server.StdoutPipe()
	if err != nil {
		return nil, "", err
	}
	if err := server.Start(); err != nil {
		return nil, "", err
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if _, address, ok := strings.Cut(lines.Text(), " at http://"); ok {
			go io.Copy(io.Discard, out)
			return server, "http://" + address, nil
		}
	}
	return nil, "", fmt.Errorf("the server did not start: %w\n%s", server.Wait(), trouble.String())
}

// post logs one trial and tells how long the answer took.
func post(address, key string, t *row) (time.Duration, error) {
	body, err := json.Marshal(map[string]any{"key": key, "outcome": t.outcome, "strategy": t.strategy, "closing": 0.75, "block": t.block,
		"orientation": map[string]float64{"qw": t.q.W, "qx": t.q.X, "qy": t.q.Y, "qz": t.q.Z},
		"offset_x_mm": t.offset[0], "offset_y_mm": t.offset[1], "peak_force_N": t.force, "duration_s": t.duration, "operator": "ada"})
	if err != nil {
		return 0, err
	}
	start := time.Now()
	res, err := http.Post(address+"/api/v1/studies/"+study+"/trials", "application/json", bytes.NewReader(body))
	if err != nil {
		return 0, err
	}
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	took := time.Since(start)
	if err == nil && res.StatusCode != http.StatusCreated {
		err = fmt.Errorf("logging a trial: %s: %s", res.Status, answer)
	}
	return took, err
}
