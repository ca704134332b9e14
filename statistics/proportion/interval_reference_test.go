//go:build reference

package proportion

import (
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"

	"holdfast/numeric"
)

// scipyProportions answers all cases of one run: intervals by scipy.stats.beta and
// binomtest, tails by scipy.stats.binom.
const scipyProportions = `
import json, sys
from scipy.stats import beta, binom, binomtest
out = []
for x, n, level in json.load(sys.stdin):
    a = (1 - level) / 2
    row = {"jeffreys": [beta.ppf(a, x + .5, n - x + .5) if x else 0.0, beta.isf(a, x + .5, n - x + .5) if x < n else 1.0]}
    for name, method in (("clopper-pearson", "exact"), ("wilson", "wilson")):
        ci = binomtest(x, n).proportion_ci(level, method)
        row[name] = [ci.low, ci.high]
    p = (x + .3) / (n + 1)
    row["tails"] = [binom.cdf(x, n, p), binom.sf(x, n, p), binom.logpmf(x, n, p)]
    row["beta"] = [beta.ppf(a, x + .5, n - x + 1), beta.isf(a / 1000, x + 1, n - x + .5)]
    out.append(row)
json.dump(out, sys.stdout)
`

func TestAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	type question [3]float64 // successes, trials, level
	var questions []question
	random := numeric.Stream(5, "proportion against scipy")
	for i := range 600 {
		n := 1 + random.IntN(30)
		if i%3 == 0 {
			n = 1 + random.IntN(20000)
		}
		questions = append(questions, question{float64(random.IntN(n + 1)), float64(n), []float64{.8, .9, .95, .99, .999}[i%5]})
	}
	for _, n := range []float64{1, 2, 59, 5000} {
		questions = append(questions, question{0, n, .95}, question{n, n, .95})
	}
	asked, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", scipyProportions)
	command.Stdin = strings.NewReader(string(asked))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answers []map[string][]float64
	if err := json.Unmarshal(answered, &answers); err != nil {
		t.Fatal(err)
	}
	if len(answers) != len(questions) {
		t.Fatalf("%d answers to %d questions", len(answers), len(questions))
	}
	agree := func(what string, q question, got, want, tolerance float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tolerance*math.Max(1e-3, math.Abs(want))) {
			t.Errorf("%s of %v: %.15g, scipy %.15g", what, q, got, want)
		}
	}
	for i, q := range questions {
		x, n, level := int(q[0]), int(q[1]), q[2]
		for _, m := range []Method{ClopperPearson, Wilson, Jeffreys} {
			got, err := m.Interval(x, n, level)
			if err != nil {
				t.Fatal(err)
			}
			agree(string(m)+" low", q, got.Low, answers[i][string(m)][0], 1e-9)
			agree(string(m)+" high", q, got.High, answers[i][string(m)][1], 1e-9)
		}
		p := (q[0] + .3) / (q[1] + 1)
		agree("cdf", q, numeric.BinomialCDF(x, n, p), answers[i]["tails"][0], 1e-10)
		agree("survival", q, numeric.BinomialSurvival(x, n, p), answers[i]["tails"][1], 1e-10)
		agree("log pmf", q, numeric.BinomialLogPMF(x, n, p), answers[i]["tails"][2], 1e-9)
		a := (1 - level) / 2
		agree("beta quantile", q, numeric.BetaQuantile(q[0]+.5, q[1]-q[0]+1, a), answers[i]["beta"][0], 1e-9)
		agree("beta upper quantile", q, numeric.BetaUpperQuantile(q[0]+1, q[1]-q[0]+.5, a/1000), answers[i]["beta"][1], 1e-9)
	}
}
