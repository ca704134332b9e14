//go:build reference

package design

import (
	"encoding/json"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"holdfast/numeric"
)

// scipyDesign answers all cases of one run: the exact power of Fisher's test by
// scipy.stats.fisher_exact over every table, and exact one-sample tests by binom.
const scipyDesign = `
import json, sys
from scipy.stats import fisher_exact, binom
asked = json.load(sys.stdin)
powers = []
for n, p1, p2, alpha in asked["fisher"]:
    a, b = binom.pmf(range(n + 1), n, p1), binom.pmf(range(n + 1), n, p2)
    powers.append(sum(a[x] * b[y] for x in range(n + 1) for y in range(n + 1)
                      if fisher_exact([[x, n - x], [y, n - y]])[1] <= alpha * (1 + 1e-10)))
tests = []
for n, p0, p1, alpha in asked["exact"]:
    c = next(c for c in range(n + 2) if binom.sf(c - 1, n, p0) <= alpha)
    tests.append([c, binom.sf(c - 1, n, p0), binom.sf(c - 1, n, p1)])
runs = [next(n for n in range(f + 1, 20000) if binom.cdf(f, n, 1 - r) <= 1 - c) for r, c, f in asked["runs"]]
json.dump({"fisher": powers, "exact": tests, "runs": runs}, sys.stdout)
`

func TestSizesAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	random := numeric.Stream(3, "design against scipy")
	var asked struct {
		Fisher [][4]any `json:"fisher"`
		Exact  [][4]any `json:"exact"`
		Runs   [][3]any `json:"runs"`
	}
	var fisher []TwoProportions
	var fisherTrials []int
	for i := range 6 {
		q := TwoProportions{P1: random.Float64(), P2: random.Float64(), Alpha: .05, Power: .8}
		n := 4 + 3*i
		fisher, fisherTrials = append(fisher, q), append(fisherTrials, n)
		asked.Fisher = append(asked.Fisher, [4]any{n, q.P1, q.P2, q.Alpha})
	}
	type exact struct {
		n             int
		p0, p1, alpha float64
	}
	var exacts []exact
	for range 40 {
		p0 := .3 + .6*random.Float64()
		e := exact{1 + random.IntN(500), p0, p0 + (1-p0)*.5, .01 + .1*random.Float64()}
		exacts = append(exacts, e)
		asked.Exact = append(asked.Exact, [4]any{e.n, e.p0, e.p1, e.alpha})
	}
	type proof struct {
		rate, confidence float64
		failures         int
	}
	var proofs []proof
	for range 40 {
		p := proof{.5 + .49*random.Float64(), .5 + .49*random.Float64(), random.IntN(6)}
		proofs = append(proofs, p)
		asked.Runs = append(asked.Runs, [3]any{p.rate, p.confidence, p.failures})
	}
	question, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", scipyDesign)
	command.Stdin = strings.NewReader(string(question))
	output, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var answer struct {
		Fisher []float64
		Exact  [][3]float64
		Runs   []int
	}
	if err := json.Unmarshal(output, &answer); err != nil {
		t.Fatal(err)
	}
	for i, q := range fisher {
		near(t, fmt.Sprintf("Fisher power %+v at %d", q, fisherTrials[i]), must(q.FisherPower(fisherTrials[i]))(t), answer.Fisher[i], 1e-10)
	}
	for i, e := range exacts {
		got := must(ExactTestAt(e.n, e.p0, e.p1, e.alpha))(t)
		want := answer.Exact[i]
		if got.Critical != int(want[0]) || math.Abs(got.Alpha-want[1]) > 1e-10 || math.Abs(got.Power-want[2]) > 1e-10 {
			t.Errorf("%+v: %+v, scipy %v", e, got, want)
		}
	}
	for i, p := range proofs {
		if got := must(SuccessRun(p.rate, p.confidence, p.failures))(t); got != answer.Runs[i] {
			t.Errorf("%+v: %d, scipy %d", p, got, answer.Runs[i])
		}
	}
}

func TestTrendAgainstR(t *testing.T) {
	rscript, err := exec.LookPath("Rscript")
	if err != nil {
		t.Skip("needs R from Debian (apt-get install r-base-core)")
	}
	random := numeric.Stream(4, "trend against R")
	var cases [][]ReferenceBlock
	var script strings.Builder
	for range 20 {
		var blocks []ReferenceBlock
		var held, trials, scores []string
		block := 0
		for range 3 + random.IntN(8) {
			block += 1 + random.IntN(3)
			n := 2 + random.IntN(30)
			b := ReferenceBlock{Block: block, Held: random.IntN(n + 1), Trials: n}
			blocks = append(blocks, b)
			held, trials, scores = append(held, strconv.Itoa(b.Held)), append(trials, strconv.Itoa(n)), append(scores, strconv.Itoa(block))
		}
		cases = append(cases, blocks)
		fmt.Fprintf(&script, "cat(sprintf('%%.12g\\n', suppressWarnings(prop.trend.test(c(%s), c(%s), c(%s))$statistic)))\n",
			strings.Join(held, ","), strings.Join(trials, ","), strings.Join(scores, ","))
	}
	output, err := exec.Command(rscript, "-e", script.String()).Output()
	if err != nil {
		t.Fatal(err)
	}
	answers := strings.Fields(string(output))
	if len(answers) != len(cases) {
		t.Fatalf("%d answers to %d cases", len(answers), len(cases))
	}
	for i, blocks := range cases {
		want, err := strconv.ParseFloat(answers[i], 64)
		if err != nil {
			t.Fatal(err)
		}
		d := must(ReferenceDrift(blocks))(t)
		n := float64(d.Overall.Trials)
		near(t, fmt.Sprint(blocks), d.Z*d.Z*n/(n-1), want, 1e-8*math.Max(1, want))
	}
}
