//go:build reference

package calibrate

import (
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"

	"holdfast/numeric"
)

const scipyCurves = `
import json, sys
import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.stats import t
out = []
for x, y, at, degree in json.load(sys.stdin):
    x, y = np.array(x), np.array(y)
    b, cov = np.polyfit(x, y, degree, cov=True)
    v = np.vander([at], degree + 1)[0]
    s2 = np.sum((y - np.polyval(b, x))**2) / (len(x) - degree - 1)
    half = t.ppf(.95, len(x) - degree - 1) * np.sqrt(s2 + v @ cov @ v)
    out.append([float(PchipInterpolator(x, y)(at)), float(v @ b), float(v @ b - half), float(v @ b + half)])
json.dump(out, sys.stdout)
`

// Curves through points and polynomials with their prediction limits, beside scipy and numpy.
func TestCurvesAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	random := numeric.Stream(2, "curves against scipy")
	type question struct {
		x, y   []float64
		at     float64
		degree int
	}
	var asked []question
	var sent [][4]any
	for i := range 100 {
		q := question{degree: 1 + i%3}
		for k := range 8 + i%9 {
			q.x, q.y = append(q.x, float64(k)+.8*random.Float64()), append(q.y, random.NormFloat64())
		}
		last := q.x[len(q.x)-1]
		q.at = q.x[0] + (last-q.x[0])*random.Float64()
		asked, sent = append(asked, q), append(sent, [4]any{q.x, q.y, q.at, q.degree})
	}
	text, err := json.Marshal(sent)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", scipyCurves)
	command.Stdin = strings.NewReader(string(text))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers [][4]float64
	if err := json.Unmarshal(answered, &answers); err != nil || len(answers) != len(asked) {
		t.Fatalf("%d answers, %v", len(answers), err)
	}
	for i, q := range asked {
		m, err := NewMonotone(q.x, q.y)
		if err != nil {
			t.Fatal(err)
		}
		p, err := FitPolynomial(q.x, q.y, nil, q.degree)
		if err != nil {
			t.Fatal(err)
		}
		b := p.Predict(q.at, 0, .9)
		for k, got := range [4]float64{m.At(q.at), b.Value, b.Low, b.High} {
			if math.Abs(got-answers[i][k]) > 1e-9 {
				t.Errorf("case %d, answer %d: got %.12g, reference %.12g", i, k, got, answers[i][k])
			}
		}
	}
}
