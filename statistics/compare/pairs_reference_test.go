//go:build reference

package compare_test

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/compare"
)

// statsmodelsPairs answers McNemar's exact test, and the difference of independent proportions by Newcombe.
const statsmodelsPairs = `
import json, sys
from statsmodels.stats.contingency_tables import mcnemar
from statsmodels.stats.proportion import confint_proportions_2indep
out = []
for both, a, b, neither in json.load(sys.stdin):
    n, m = both + a + 5, both + b + 7
    low, high = confint_proportions_2indep(both + a, n, both + b, m, method="newcomb", alpha=0.1)
    out.append([mcnemar([[both, a], [b, neither]], exact=True).pvalue, low, high])
json.dump(out, sys.stdout)
`

func TestPairsAgainstStatsmodels(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import statsmodels").CombinedOutput(); err != nil {
		t.Skipf("needs statsmodels from Debian (apt-get install python3-statsmodels): %v %s", err, out)
	}
	random := numeric.Stream(23, "pairs against statsmodels")
	var pairs [][4]int
	for range 60 {
		pairs = append(pairs, [4]int{random.IntN(40), 1 + random.IntN(25), 1 + random.IntN(25), random.IntN(40)})
	}
	asked, err := json.Marshal(pairs)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", statsmodelsPairs)
	command.Stdin = strings.NewReader(string(asked))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][3]float64
	if err := json.Unmarshal(answered, &want); err != nil {
		t.Fatal(err)
	}
	for i, p := range pairs {
		r := must[compare.Paired](t)(compare.Matched(compare.Pairs{Both: p[0], OnlyA: p[1], OnlyB: p[2], Neither: p[3]}, 0.9))
		near(t, fmt.Sprint(p, " McNemar"), r.McNemar.TwoSided, want[i][0], 1e-10)
		c := must[compare.Comparison](t)(compare.Proportions(compare.Arms{HeldA: p[0] + p[1], TrialsA: p[0] + p[1] + 5, HeldB: p[0] + p[2], TrialsB: p[0] + p[2] + 7}, 0.9))
		near(t, fmt.Sprint(p, " Newcombe low"), c.Interval.Low, want[i][1], 1e-10)
		near(t, fmt.Sprint(p, " Newcombe high"), c.Interval.High, want[i][2], 1e-10)
	}
}
