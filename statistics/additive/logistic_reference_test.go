//go:build reference

package additive

import (
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"
)

// Firth's estimate by R's brglm2 (type AS_mean) on the endometrial cases and on seeded trials of which half the sets are
// separated: coefficients and standard errors of both must agree to what two tight iterations leave.
func TestFirthAgainstBrglm2(t *testing.T) {
	var sets [][][]float64 // columns without the constant, then held and trials
	var cases [][]float64
	for _, c := range readTable(t, "testdata/endometrial.csv") {
		cases = append(cases, []float64{c[0], c[1], c[2], c[3], 1})
	}
	sets = append(sets, cases)
	rng := rand.New(rand.NewPCG(5, 8))
	separated := 0
	for set := range 12 {
		var rows [][]float64
		for range 24 {
			strategy, closing, n := float64(rng.IntN(2)), rng.NormFloat64(), float64(1+rng.IntN(4))
			held := 0.0
			for range int(n) {
				if set%2 == 0 && strategy == 1 || rng.Float64() < expit(1.5*closing-0.5) {
					held++
				}
			}
			rows = append(rows, []float64{strategy, closing, closing * closing, held, n})
		}
		sets = append(sets, rows)
	}
	var table [][]float64
	for i, rows := range sets {
		for _, r := range rows {
			table = append(table, append([]float64{float64(i)}, r...))
		}
	}
	answer := inR(t, "brglm2", `
for (i in unique(d[, 1])) {
  s <- d[d[, 1] == i, ]
  m <- glm(cbind(s[, 5], s[, 6] - s[, 5]) ~ s[, 2:4], family = binomial, method = "brglmFit", type = "AS_mean", epsilon = 1e-11, maxit = 10000)
  say(coef(m)); say(sqrt(diag(vcov(m))))
}`, table)
	if len(answer) != 8*len(sets) {
		t.Fatalf("%d answers of R to %d sets", len(answer), len(sets))
	}
	worst := 0.0
	for i, set := range sets {
		var rows [][]float64
		var held, trials []float64
		for _, r := range set {
			rows, held, trials = append(rows, []float64{1, r[0], r[1], r[2]}), append(held, r[3]), append(trials, r[4])
		}
		if _, err := Logistic(rows, held, trials); err != nil {
			separated++
		}
		r, err := Firth(rows, held, trials)
		if err != nil {
			t.Fatal(err)
		}
		for j := range 4 {
			for _, pair := range [][2]float64{{r.Coef[j], answer[8*i+j]}, {r.SE(j), answer[8*i+4+j]}} {
				apart := math.Abs(pair[0]-pair[1]) / (1 + math.Abs(pair[1]))
				worst = max(worst, apart)
				if apart > 1e-6 {
					t.Errorf("set %d, column %d: %.9g, brglm2 %.9g", i, j, pair[0], pair[1])
				}
			}
		}
	}
	t.Logf("%d sets, %d of them separated: within %.1e", len(sets), separated, worst)
	if separated < 6 || separated == len(sets) {
		t.Errorf("%d of %d sets are separated; the check needs both kinds", separated, len(sets))
	}
}

// Plain logistic regressions on data that come with R's MASS and with Python's statsmodels, and the references' figures for
// them: budworm by dose and sex with the doses of given kill, menarche by age, and Greene's spector.
func TestLogisticAgainstMass(t *testing.T) {
	answer := inR(t, "MASS", `
d <- data.frame(l = rep(0:5, 2), sex = factor(rep(c("M", "F"), c(6, 6))), dead = c(1, 4, 9, 13, 18, 20, 0, 2, 6, 10, 12, 16))
m <- glm(cbind(dead, 20 - dead) ~ sex + l - 1, binomial, d, epsilon = 1e-14)
for (p in 1:3 / 4) { at <- dose.p(m, cf = c(1, 3), p = p); say(c(at, attr(at, "SE"))) }
say(coef(m)); say(c(t(menarche)))`, nil)
	if len(answer) != 6+3+3*25 {
		t.Fatalf("%d answers of R", len(answer))
	}
	var rows [][]float64
	var held, trials []float64
	for i, dead := range []float64{1, 4, 9, 13, 18, 20, 0, 2, 6, 10, 12, 16} {
		rows = append(rows, []float64{float64(i / 6), float64(1 - i/6), float64(i % 6)})
		held, trials = append(held, dead), append(trials, 20)
	}
	r, err := Logistic(rows, held, trials)
	if err != nil {
		t.Fatal(err)
	}
	for j, want := range []float64{-3.473155, -2.372412, 1.064214} {
		near(t, "budworm", r.Coef[j], want, 1e-6)
		near(t, "budworm, live", r.Coef[j], answer[6+j], 1e-8)
	}
	for k, want := range [][2]float64{{2.231265, .249909}, {3.263587, .229754}, {4.295910, .274687}} {
		c, err := r.Cross(0, 2, float64(k+1)/4, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		// R's covariance is of the iteration before the last, which shows in the seventh digit.
		near(t, "dose", c.At, want[0], 1e-6)
		near(t, "its SE", c.SE, want[1], 1e-6)
		near(t, "dose, live", c.At, answer[2*k], 1e-8)
		near(t, "its SE, live", c.SE, answer[2*k+1], 1e-6)
	}

	rows, held, trials = nil, nil, nil
	for i := 9; i < len(answer); i += 3 {
		rows, trials, held = append(rows, []float64{1, answer[i]}), append(trials, answer[i+1]), append(held, answer[i+2])
	}
	if r, err = Logistic(rows, held, trials); err != nil {
		t.Fatal(err)
	}
	near(t, "menarche, intercept", r.Coef[0], -21.22639, 1e-5)
	near(t, "menarche, slope", r.Coef[1], 1.631968, 1e-6)
	c, err := r.Cross(0, 1, 0.5, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "menarche, age of half", c.At, 13.00662, 1e-5)
	near(t, "its SE", c.SE, .0386658, 1e-6)
}

func TestSpectorAgainstStatsmodels(t *testing.T) {
	output, err := exec.Command("/usr/bin/python3", "-c", `
import statsmodels.api as sm
d = sm.datasets.spector.load_pandas()
r = sm.Logit(d.endog, sm.add_constant(d.exog)).fit(disp=0, tol=1e-14)
for row, y in zip(d.exog.values, d.endog): print(*row, y)
print(*r.params, r.llf); print(*r.bse, 0)`).Output()
	if err != nil {
		t.Skipf("needs statsmodels from Debian (apt-get install python3-statsmodels): %v", err)
	}
	var table [][]float64
	for line := range strings.Lines(string(output)) {
		var row []float64
		for text := range strings.FieldsSeq(line) {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, v)
		}
		table = append(table, row)
	}
	n := len(table) - 2
	if n != 32 {
		t.Fatalf("%d cases of spector", n)
	}
	var rows [][]float64
	var y, one []float64
	for _, c := range table[:n] {
		rows, y, one = append(rows, []float64{1, c[0], c[1], c[2]}), append(y, c[3]), append(one, 1)
	}
	r, err := Logistic(rows, y, one)
	if err != nil {
		t.Fatal(err)
	}
	for j, want := range []float64{-13.02135, 2.82611, .09516, 2.37869} {
		near(t, "coefficient", r.Coef[j], want, 6e-6)
		near(t, "coefficient, live", r.Coef[j], table[n][j], 1e-7)
		near(t, "SE, live", r.SE(j), table[n+1][j], 1e-7)
	}
	near(t, "log-likelihood", r.LogLikelihood, -12.88963, 6e-6)
	near(t, "log-likelihood, live", r.LogLikelihood, table[n][4], 1e-9)
}
