//go:build reference

package acceptance_test

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/acceptance"
)

// scipyPlans answers all questions of one run: the chance to pass of a fixed plan by scipy.stats.binom, under a beta prior
// by betabinom, and what passing proves by summing posteriors.
const scipyPlans = `
import json, sys
from scipy.stats import binom, betabinom, beta
out = []
for n, c, p, a, b, target in json.load(sys.stdin):
    passed = betabinom.cdf(c, n, b, a)
    good = sum(betabinom.pmf(d, n, b, a) * beta.sf(target, a + n - d, b + d) for d in range(c + 1))
    out.append([binom.cdf(c, n, p), passed, good / passed])
json.dump(out, sys.stdout)
`

func TestFixedPlansAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	random := numeric.Stream(21, "acceptance against scipy")
	var questions [][6]float64
	for range 80 {
		n := 1 + random.IntN(300)
		c := random.IntN(min(n, 12))
		questions = append(questions, [6]float64{float64(n), float64(c), 0.2 * random.Float64(), 0.5 + 30*random.Float64(), 0.5 + 4*random.Float64(), 0.8 + 0.19*random.Float64()})
	}
	asked, err := json.Marshal(questions)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", scipyPlans)
	command.Stdin = strings.NewReader(string(asked))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][3]float64
	if err := json.Unmarshal(answered, &want); err != nil {
		t.Fatal(err)
	}
	for i, q := range questions {
		p := must[acceptance.Plan](t)(acceptance.Fixed(int(q[0]), int(q[1]), i%2 == 0))
		a := p.Assure(acceptance.Beta{Successes: q[3], Failures: q[4]}, q[5])
		near(t, fmt.Sprint(q, " Pa"), p.At(q[2]).Accept, want[i][0], 1e-10)
		near(t, fmt.Sprint(q, " chance to pass"), a.Pass, want[i][1], 1e-9)
		near(t, fmt.Sprint(q, " good, given a pass"), a.GoodGiven, want[i][2], 1e-8)
	}
}
