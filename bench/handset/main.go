// Command handset measures how long the exact choice of hands for a large catalogue takes, beside a general-purpose solver
// of mixed-integer programmes (scipy's HiGHS) on the same catalogue in the same run.
//
// The bar: 200 items and 20 hands in less than 5 seconds, whatever the number of hands allowed.
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strings"
	"time"

	"holdfast/numeric"
	"holdfast/statistics/handset"
)

const (
	items, hands = 200, 20
	barSeconds   = 5.0
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "bench/handset:", err)
		os.Exit(1)
	}
}

func run() error {
	missed := 0
	fmt.Printf("%-16s %10s %12s %12s %14s %10s %10s\n", "most hands", "choose s", "evaluated", "left out", "which trials s", "HiGHS s", "apart")
	for _, most := range []int{1, 3, 6, 10, 20} {
		q := handset.Invented(items, hands, 1)
		q.MaxHands = most
		start := time.Now()
		a, err := handset.Choose(context.Background(), q)
		if err != nil {
			return err
		}
		choose := time.Since(start).Seconds()
		start = time.Now()
		if _, err := handset.WhichTrials(context.Background(), q, a, 20); err != nil {
			return err
		}
		which := time.Since(start).Seconds()
		if choose > barSeconds || which > barSeconds {
			missed++
		}
		solver, apart := highs(q, a)
		fmt.Printf("%-16d %10.3f %12d %12d %14.3f %10s %10s\n", most, choose, a.Evaluated, a.LeftOut, which, solver, apart)
	}
	if missed > 0 {
		return fmt.Errorf("%d rows took more than %g s", missed, barSeconds)
	}
	return nil
}

// highs solves the same question by a mixed-integer programme; both answers are dashes where scipy is missing.
func highs(q handset.Question, a *handset.Answer) (seconds, apart string) {
	type model struct {
		Gain   [][]float64 `json:"gain"`
		Cost   []float64   `json:"cost"`
		Change []float64   `json:"change"`
		Most   int         `json:"most"`
	}
	m := model{Most: q.MaxHands}
	for _, h := range q.Hands {
		m.Cost, m.Change = append(m.Cost, h.Cost), append(m.Change, h.Change)
	}
	for i, it := range q.Items {
		row := make([]float64, len(q.Hands))
		for h, p := range q.Pairs[i] {
			s, f := float64(p.Held+1), float64(p.Trials-p.Held+1)
			if p.Trials > 0 && numeric.BetaSurvival(s, f, it.Target) >= q.Confidence {
				row[h] = math.Max(0, p.Intercept+p.Slope*s/(s+f)-it.Person)
			}
		}
		m.Gain = append(m.Gain, row)
	}
	asked, err := json.Marshal(m)
	if err != nil {
		return "-", "-"
	}
	command := exec.Command("/usr/bin/python3", "-c", solver)
	command.Stdin = strings.NewReader(string(asked))
	answered, err := command.Output()
	if err != nil {
		return "-", "-"
	}
	var told [2]float64
	if err := json.Unmarshal(answered, &told); err != nil {
		return "-", "-"
	}
	return fmt.Sprintf("%.2f", told[0]), fmt.Sprintf("%.1e", a.Value-a.People-told[1])
}

// solver states the question with y_h hands in the set, x_ih item i with hand h, z one from two hands on, u_h the changes.
const solver = `
import json, sys, time
import numpy as np
from scipy.optimize import milp, LinearConstraint, Bounds
from scipy.sparse import coo_matrix
q = json.load(sys.stdin)
gain, cost, change, most = np.array(q["gain"]), np.array(q["cost"]), np.array(q["change"]), q["most"]
items, hands = gain.shape
nx = items * hands
n = nx + 2 * hands + 1
rows, cols, vals, lo, hi = [], [], [], [], []
def row(entries, low, high):
    for c, v in entries:
        rows.append(len(lo)); cols.append(c); vals.append(v)
    lo.append(low); hi.append(high)
start = time.process_time()
for i in range(items):
    row([(i * hands + h, 1) for h in range(hands)], -np.inf, 1)
    for h in range(hands):
        if gain[i, h] > 0:
            row([(i * hands + h, 1), (nx + h, -1)], -np.inf, 0)
row([(nx + h, 1) for h in range(hands)], 0, most)
for h in range(hands):
    row([(nx + hands + h, 1), (nx + h, -1), (n - 1, -1)], -1, np.inf)
row([(nx + h, 1) for h in range(hands)] + [(n - 1, -hands)], -np.inf, 1)
a = coo_matrix((vals, (rows, cols)), shape=(len(lo), n)).tocsr()
whole = np.concatenate([np.zeros(nx), np.ones(hands), np.zeros(hands), [1]])
c = np.concatenate([-gain.ravel(), cost, change, [0]])
res = milp(c, constraints=LinearConstraint(a, lo, hi), integrality=whole, bounds=Bounds(0, 1), options={"mip_rel_gap": 0})
json.dump([time.process_time() - start, -res.fun], sys.stdout)
`
