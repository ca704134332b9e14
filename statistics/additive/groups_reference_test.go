//go:build reference

package additive

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

// glmer prints fixed effects, their number being that of the formula's columns, the groups' standard deviation, the
// log-likelihood, and the groups' modes. Its inner iteration is tightened: at the standard tolerance its own answers are
// only good to 4e-4.
const glmer = `
m <- glmer(%s, data = d, family = binomial, control = glmerControl(optimizer = "bobyqa", tolPwrss = 1e-13,
           optCtrl = list(rhobeg = 0.02, rhoend = 1e-9, maxfun = 50000)))
say(fixef(m)); say(getME(m, "theta")); say(as.numeric(logLik(m))); say(ranef(m)[[1]][, 1])`

// The herds by lme4 itself: Laplace's approximation with the fixed effects maximised. The references' figures at a tight
// tolerance are .6422614 and −92.0262819 (computed).
func TestHerdsAgainstLme4(t *testing.T) {
	answer := inR(t, "lme4", `
d <- cbpp
`+fmt.Sprintf(glmer, "cbind(incidence, size - incidence) ~ period + (1 | herd)"), nil)
	if len(answer) != 4+2+15 {
		t.Fatalf("%d answers of R", len(answer))
	}
	near(t, "lme4's SD", answer[4], .6422614, 2e-6)
	near(t, "lme4's log-likelihood", answer[5], -92.0262819, 1e-6)
	againstLaplace(t, cbpp(t), "herd", []string{"2", "3", "4"}, answer)
}

// Thirty invented bakers' hands of very unequal use, one of which never failed and one never held, with a slope: lme4 on
// trials that are less well-behaved than a textbook's.
func TestUnequalGroupsAgainstLme4(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 3))
	d := &Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	var rows [][]float64
	for g := range 30 {
		shift := 1.1 * rng.NormFloat64()
		for range 1 + g%5*g%4 {
			x, n, held := rng.Float64()*2-1, float64(1+rng.IntN(9)), 0.0
			for range int(n) {
				if rng.Float64() < expit(0.4+0.9*x+shift) {
					held++
				}
			}
			switch g {
			case 7:
				held = n
			case 12:
				held = 0
			}
			d.Held, d.Trials = append(d.Held, held), append(d.Trials, n)
			d.Numbers["x"] = append(d.Numbers["x"], x)
			d.Levels["group"] = append(d.Levels["group"], strconv.Itoa(g+1))
			rows = append(rows, []float64{float64(g + 1), x, held, n})
		}
	}
	answer := inR(t, "lme4", `
d <- data.frame(group = factor(d[, 1]), x = d[, 2], held = d[, 3], n = d[, 4])
`+fmt.Sprintf(glmer, "cbind(held, n - held) ~ x + (1 | group)"), rows)
	if len(answer) != 2+2+30 {
		t.Fatalf("%d answers of R", len(answer))
	}
	againstLaplace(t, d, "group", []string{"x"}, answer)
}

// againstLaplace compares the greatest Laplace likelihood of one factor beside fixed columns with lme4's.
func againstLaplace(t *testing.T, d *Data, factor string, columns []string, answer []float64) {
	t.Helper()
	x, height := laplace(t, d, factor, columns)
	k := len(columns) + 1
	for j := range k {
		near(t, "coefficient", x[j], answer[j], 1e-5)
	}
	near(t, "SD of groups", math.Exp(x[k]), answer[k], 1e-5)
	near(t, "log-likelihood", height, answer[k+1], 1e-6)
	m := laplaceAt(t, d, factor, columns, x)
	for i, level := range m.Levels(factor) {
		near(t, "mode of "+level, m.mode[i], answer[k+2+i], 2e-5)
	}
}
