//go:build reference

package agreement_test

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/agreement"
)

// statsmodelsKappa answers all tables of one run with statsmodels: Cohen's κ with its standard error, and Fleiss's κ.
const statsmodelsKappa = `
import json, sys
import numpy as np
from statsmodels.stats.inter_rater import cohens_kappa, fleiss_kappa
asked = json.load(sys.stdin)
cohen = []
for table in asked["cohen"]:
    k = cohens_kappa(np.array(table))
    cohen.append([k.kappa, k.std_kappa])
json.dump({"cohen": cohen, "fleiss": [fleiss_kappa(np.array(t)) for t in asked["fleiss"]]}, sys.stdout)
`

func TestKappasAgainstStatsmodels(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import statsmodels").CombinedOutput(); err != nil {
		t.Skipf("needs statsmodels from Debian (apt-get install python3-statsmodels): %v %s", err, out)
	}
	random := numeric.Stream(22, "agreement against statsmodels")
	var asked struct {
		Cohen  []agreement.Table `json:"cohen"`
		Fleiss [][][]int         `json:"fleiss"`
	}
	for range 40 {
		k := 2 + random.IntN(4)
		table := make(agreement.Table, k)
		for i := range table {
			table[i] = make([]float64, k)
			for j := range table[i] {
				table[i][j] = float64(random.IntN(20))
			}
			table[i][i] += 5
		}
		asked.Cohen = append(asked.Cohen, table)
		counts := make([][]int, 12)
		for u := range counts {
			counts[u] = make([]int, k)
			for range 6 {
				counts[u][random.IntN(1+random.IntN(k))]++
			}
		}
		asked.Fleiss = append(asked.Fleiss, counts)
	}
	question, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", statsmodelsKappa)
	command.Stdin = strings.NewReader(string(question))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want struct {
		Cohen  [][2]float64
		Fleiss []float64
	}
	if err := json.Unmarshal(answered, &want); err != nil {
		t.Fatal(err)
	}
	for i, table := range asked.Cohen {
		r := cohen(t, table)
		near(t, fmt.Sprint(table, " κ"), r.Kappa, want.Cohen[i][0], 1e-12)
		near(t, fmt.Sprint(table, " SE"), r.SE, want.Cohen[i][1], 1e-12)
		f, err := agreement.Fleiss(asked.Fleiss[i])
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint(asked.Fleiss[i], " κ"), f, want.Fleiss[i], 1e-12)
	}
}
