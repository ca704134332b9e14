//go:build reference

package value

import (
	"encoding/json"
	"os/exec"
	"strings"
	"testing"

	"holdfast/domain"
)

// scipyChain solves the same retry chain as a linear system, and averages the item effect by adaptive quadrature.
const scipyChain = `
import json, sys, numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import expit
a = json.load(sys.stdin)
sigma = np.sqrt(a["rho"] / (1 - a["rho"]) * np.pi ** 2 / 3)
over = lambda f: quad(lambda z: np.exp(-z * z / 2) / np.sqrt(2 * np.pi) * f(z), -10, 10, epsabs=1e-12, limit=400)[0]
mu = [brentq(lambda m: over(lambda z: expit(m + sigma * z)) - p, -60, 60, xtol=1e-13) for p in a["held"]]
def solve(z, end):
    n = len(a["ways"])
    q, r = np.zeros((n, n)), np.zeros((n, 4))
    for k, w in enumerate(a["ways"]):
        p = expit(mu[w] + sigma * z + k * np.log(a["factor"]))
        s = a["lost"][w]
        again = (1 - p) * (s[0] + s[1] + s[2] + s[6])
        r[k] = [p, (1 - p) * s[4], (1 - p) * s[5], (1 - p) * s[3]]
        if k + 1 < n: q[k, k + 1] = again
        else: r[k, 3] += again
    return np.linalg.solve(np.eye(n) - q, r)[0, end]
json.dump([over(lambda z: solve(z, e)) for e in range(4)], sys.stdout)
`

func TestChainAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	ways := []Attempts{
		{Held: 0.85, Lost: lost(map[domain.Outcome]float64{domain.OutcomeDamaged: .2, domain.OutcomePushed: .2, domain.OutcomeStopped: .05})},
		{Held: 0.6, Lost: lost(map[domain.Outcome]float64{domain.OutcomeDamaged: .1, domain.OutcomeSlipped: .4})},
	}
	p := Policy{Ways: []int{0, 1, 0, 1}, End: LeaveIt, Again: DefaultAgain(), Shared: 0.45, Factor: 0.8}
	asked, err := json.Marshal(map[string]any{"rho": p.Shared, "factor": p.Factor, "ways": p.Ways,
		"held": []float64{ways[0].Held, ways[1].Held}, "lost": []Shares{ways[0].Lost, ways[1].Lost}})
	if err != nil {
		t.Fatal(err)
	}
	run := exec.Command(python, "-c", scipyChain)
	run.Stdin = strings.NewReader(string(asked))
	out, err := run.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [4]float64
	if err := json.Unmarshal(out, &want); err != nil {
		t.Fatal(err)
	}
	e := Chain(ways, p, Money{})
	for i, got := range []float64{e.Held, e.Damaged, e.Person, e.Left} {
		close(t, "end", got, want[i], 1e-9)
	}
}
