//go:build reference

package compare_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/compare"
)

// scipyExact answers all tables of one run by scipy.stats: Fisher both ways, Boschloo one-sided.
const scipyExact = `
import json, sys
from scipy.stats import fisher_exact, boschloo_exact
out = []
for x, n, y, m in json.load(sys.stdin):
    table = [[x, y], [n - x, m - y]]
    out.append([fisher_exact(table)[1], fisher_exact(table, "greater")[1], boschloo_exact(table, "greater", n=64).pvalue, boschloo_exact(table, "less", n=64).pvalue])
json.dump(out, sys.stdout)
`

func TestExactTestsAgainstScipy(t *testing.T) {
	const python = "/usr/bin/python3"
	if out, err := exec.Command(python, "-c", "import scipy").CombinedOutput(); err != nil {
		t.Skipf("needs scipy from Debian (apt-get install python3-scipy): %v %s", err, out)
	}
	random := numeric.Stream(11, "compare against scipy")
	var tables [][4]int
	for range 60 {
		n, m := 2+random.IntN(30), 2+random.IntN(30)
		tables = append(tables, [4]int{random.IntN(n + 1), n, random.IntN(m + 1), m})
	}
	asked, err := json.Marshal(tables)
	if err != nil {
		t.Fatal(err)
	}
	command := exec.Command(python, "-c", scipyExact)
	command.Stdin = strings.NewReader(string(asked))
	answered, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	var want [][4]*float64 // scipy gives no p-value of Boschloo's test where all or none succeeded
	if err := json.Unmarshal([]byte(strings.ReplaceAll(string(answered), "NaN", "null")), &want); err != nil {
		t.Fatal(err)
	}
	for i, c := range tables {
		a := compare.Arms{HeldA: c[0], TrialsA: c[1], HeldB: c[2], TrialsB: c[3]}
		f := must[compare.PValues](t)(compare.Fisher(a))
		b := must[compare.PValues](t)(compare.Boschloo(a))
		near(t, fmt.Sprint(c, " Fisher two-sided"), f.TwoSided, *want[i][0], 1e-9)
		near(t, fmt.Sprint(c, " Fisher greater"), f.Greater, *want[i][1], 1e-9)
		for k, got := range []float64{b.Greater, b.Less} {
			w := want[i][2+k]
			if w == nil || c[0]+c[2] == 0 || c[0]+c[2] == c[1]+c[3] {
				continue
			}
			// scipy scans the nuisance probability by sampling and may stop short of its top; it never overshoots.
			if got < *w-1e-9 || got > *w+2e-3 {
				t.Errorf("%v: Boschloo %d is %.9g, scipy %.9g", c, k, got, *w)
			}
		}
	}
}

func TestBlocksAgainstR(t *testing.T) {
	if err := exec.Command("Rscript", "-e", "1").Run(); err != nil {
		t.Skipf("needs R (apt-get install r-base-core): %v", err)
	}
	random := numeric.Stream(12, "blocks against R")
	for range 3 {
		var blocks []compare.Arms
		var cells []string
		for range 5 {
			n, m := 3+random.IntN(12), 3+random.IntN(12)
			b := compare.Arms{HeldA: random.IntN(n + 1), TrialsA: n, HeldB: random.IntN(m + 1), TrialsB: m}
			blocks = append(blocks, b)
			cells = append(cells, fmt.Sprintf("%d,%d,%d,%d", b.HeldA, n-b.HeldA, b.HeldB, m-b.HeldB))
		}
		script := fmt.Sprintf(`x <- array(c(%s), c(2,2,5)); for (a in c("greater","less")) cat(format(mantelhaen.test(x, exact=TRUE, alternative=a)$p.value, digits=12), "\n")`, strings.Join(cells, ","))
		out, err := exec.Command("Rscript", "-e", script).Output()
		if err != nil {
			t.Fatal(err)
		}
		r := must[compare.Blocked](t)(compare.PerBlock(blocks, 0.9))
		for i, word := range strings.Fields(string(out)) {
			want, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatal(err)
			}
			got := []float64{r.Exact.Greater, r.Exact.Less}[i]
			if math.Abs(got-want) > 1e-9 {
				t.Errorf("%v: tail %d is %.12g, R says %.12g", blocks, i, got, want)
			}
		}
	}
}
