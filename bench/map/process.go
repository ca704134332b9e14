package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"holdfast/bench/measure"
)

// run is one whole process.
type run struct {
	measure.Usage
	Cached bool `json:"-"` // taken from an earlier run of the bench
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
	used, err := measure.Process("Rscript", args...)
	r := run{Usage: used}
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
