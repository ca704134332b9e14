package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"
)

// run is one whole process: start to exit.
type run struct {
	Seconds    float64 // wall clock
	CPUSeconds float64 // user and system, all threads
	PeakMB     float64 // largest resident set
	Cached     bool    `json:"-"` // taken from an earlier run of the bench
	Output     string  // what it printed
}

// measure runs a command to its end.
func measure(name string, args ...string) (run, error) {
	cmd := exec.Command(name, args...)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	start := time.Now()
	err := cmd.Run()
	r := run{Seconds: time.Since(start).Seconds(), Output: out.String()}
	if err != nil {
		return r, fmt.Errorf("%s %s: %w\n%s", name, strings.Join(args, " "), err, out.String())
	}
	if usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		r.PeakMB = float64(usage.Maxrss) / 1024
	}
	r.CPUSeconds = (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
	return r, nil
}

// reference runs reference.R, or takes its result from the cache when the script, the data and the settings are the
// same and force is not set. It returns the file of predictions.
func reference(script, cache string, force bool, method, trials, grid string, settings ...string) (run, string, error) {
	key, err := digest(append([]string{method}, settings...), script, trials, grid)
	if err != nil {
		return run{}, "", err
	}
	base := filepath.Join(cache, key)
	var known run
	if data, err := os.ReadFile(base + ".json"); err == nil && !force {
		if json.Unmarshal(data, &known) == nil {
			if _, err := os.Stat(base + ".csv"); err == nil {
				known.Cached = true
				return known, base + ".csv", nil
			}
		}
	}
	args := append([]string{script, method, trials, grid, base + ".csv"}, settings...)
	r, err := measure("Rscript", args...)
	if err != nil {
		return r, "", err
	}
	data, err := json.Marshal(r)
	if err != nil {
		return r, "", err
	}
	return r, base + ".csv", os.WriteFile(base+".json", data, 0o644)
}

func digest(words []string, files ...string) (string, error) {
	h := sha256.New()
	for _, w := range words {
		fmt.Fprintf(h, "%s\n", w)
	}
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			return "", err
		}
		_, err = io.Copy(h, f)
		f.Close()
		if err != nil {
			return "", err
		}
	}
	return hex.EncodeToString(h.Sum(nil))[:24], nil
}
