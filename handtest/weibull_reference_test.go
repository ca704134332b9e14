//go:build reference

package handtest

import (
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"

	"holdfast/numeric"
)

// scipyWeibull maximises the censored likelihood from scratch and finds the limits of the tenth quantile on its profile.
const scipyWeibull = `
import json, sys
import numpy as np
from scipy.optimize import minimize, minimize_scalar, brentq
from scipy.stats import chi2
out = []
for x, d in json.load(sys.stdin):
    x, d = np.array(x), np.array(d)
    ll = lambda lk, ls: np.sum(d * (lk - np.exp(lk) * ls + (np.exp(lk) - 1) * np.log(x))) - np.sum(np.exp(np.exp(lk) * (np.log(x) - ls)))
    r = minimize(lambda v: -ll(*v), [0.5, np.log(np.mean(x))], method="Nelder-Mead", options=dict(xatol=1e-11, fatol=1e-12, maxiter=20000, maxfev=20000))
    lk, ls = r.x
    lq = ls + np.log(-np.log(.9)) / np.exp(lk)
    def excess(u):
        m = minimize_scalar(lambda v: -ll(v, u - np.log(-np.log(.9)) / np.exp(v)), bounds=(lk - 3, lk + 3), method="bounded", options=dict(xatol=1e-11))
        return 2 * (m.fun - r.fun) - chi2.ppf(.9, 1)
    out.append([np.exp(lk), np.exp(ls), np.exp(lq), np.exp(brentq(excess, lq - 8, lq)), np.exp(brentq(excess, lq, lq + 4))])
json.dump(out, sys.stdout)
`

func TestWeibullAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	random := numeric.Stream(9, "Weibull against scipy")
	var asked [][2][]float64
	for i := range 20 {
		var x, d []float64
		for range 12 + i {
			v, end := 1000*math.Pow(random.ExpFloat64(), 1/(1+.2*float64(i))), 600+1000*random.Float64()
			x = append(x, math.Min(v, end))
			d = append(d, map[bool]float64{true: 1}[v < end])
		}
		asked = append(asked, [2][]float64{x, d})
	}
	question, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", scipyWeibull)
	command.Stdin = strings.NewReader(string(question))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers [][5]float64
	if err := json.Unmarshal(answered, &answers); err != nil || len(answers) != len(asked) {
		t.Fatalf("%d answers, %v", len(answers), err)
	}
	for i, q := range asked {
		failed := make([]bool, len(q[0]))
		for k, d := range q[1] {
			failed[k] = d == 1
		}
		w, err := FitWeibull(q[0], failed, .9)
		if err != nil {
			t.Fatal(err)
		}
		v, low, high := w.Quantile(.1)
		for k, got := range [5]float64{w.Shape, w.Scale, v, low, high} {
			if want := answers[i][k]; !(math.Abs(got/want-1) < 1e-5) {
				t.Errorf("record %d, answer %d: got %.10g, scipy says %.10g", i, k, got, want)
			}
		}
	}
}
