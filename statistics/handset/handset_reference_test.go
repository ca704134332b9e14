//go:build reference

package handset_test

import (
	"context"
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/handset"
)

// highsModel solves the same question as a mixed-integer programme with scipy's HiGHS: y_h hands in the set, x_ih item i
// with hand h, z one if two hands or more are in the set, u_h = y_h·z the changes.
const highsModel = `
import json, sys
import numpy as np
from scipy.optimize import milp, LinearConstraint, Bounds
from scipy.sparse import lil_matrix
out = []
for q in json.load(sys.stdin):
    gain, cost, change, most = np.array(q["gain"]), np.array(q["cost"]), np.array(q["change"]), q["most"]
    items, hands = gain.shape
    nx = items * hands
    n = nx + hands + hands + 1
    c = np.concatenate([-gain.ravel(), cost, change, [0]])
    rows = items + nx + 1 + hands + 1
    a, lo, hi, r = lil_matrix((rows, n)), [], [], 0
    for i in range(items):
        a[r, i * hands:(i + 1) * hands] = 1; lo.append(-np.inf); hi.append(1); r += 1
    for i in range(items):
        for h in range(hands):
            a[r, i * hands + h] = 1; a[r, nx + h] = -1; lo.append(-np.inf); hi.append(0); r += 1
    a[r, nx:nx + hands] = 1; lo.append(0); hi.append(most); r += 1
    for h in range(hands):
        a[r, nx + hands + h] = 1; a[r, nx + h] = -1; a[r, n - 1] = -1; lo.append(-1); hi.append(np.inf); r += 1
    a[r, nx:nx + hands] = 1; a[r, n - 1] = -hands; lo.append(-np.inf); hi.append(1); r += 1
    whole = np.concatenate([np.zeros(nx), np.ones(hands), np.zeros(hands), [1]])
    res = milp(c, constraints=LinearConstraint(a.tocsr(), lo, hi), integrality=whole, bounds=Bounds(0, 1), options={"mip_rel_gap": 0})
    out.append(-res.fun)
json.dump(out, sys.stdout)
`

func TestChooseAgainstHiGHS(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "from scipy.optimize import milp").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	type model struct {
		Gain   [][]float64 `json:"gain"`
		Cost   []float64   `json:"cost"`
		Change []float64   `json:"change"`
		Most   int         `json:"most"`
	}
	var models []model
	var ours []float64
	for k, size := range [][3]int{{30, 8, 3}, {40, 10, 10}, {25, 12, 2}, {60, 9, 5}} {
		q := handset.Invented(size[0], size[1], uint64(k))
		q.MaxHands = size[2]
		a, err := handset.Choose(context.Background(), q)
		if err != nil {
			t.Fatal(err)
		}
		ours = append(ours, a.Value-a.People)
		m := model{Most: size[2]}
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
		models = append(models, m)
	}
	asked, err := json.Marshal(models)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", highsModel)
	command.Stdin = strings.NewReader(string(asked))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want []float64
	if err := json.Unmarshal(answered, &want); err != nil {
		t.Fatal(err)
	}
	for i := range want {
		if math.Abs(ours[i]-want[i]) > 1e-5*(1+math.Abs(want[i])) {
			t.Errorf("catalogue %d: ours %.9g, HiGHS %.9g", i, ours[i], want[i])
		}
	}
}
