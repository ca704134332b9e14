//go:build reference

package additive

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"holdfast/orient"
)

// inR runs a script with the named packages loaded, the rows given as the table d without a header, and returns the numbers
// that the script prints. Without R or a package the test is skipped by name.
func inR(t *testing.T, packages, script string, rows [][]float64) []float64 {
	t.Helper()
	load := "options(digits.secs = 0, warn = -1)\n"
	for name := range strings.FieldsSeq(packages) {
		load += "suppressMessages(library(" + name + "))\n"
	}
	rscript, err := exec.LookPath("Rscript")
	if err != nil || exec.Command(rscript, "-e", load).Run() != nil {
		t.Skipf("needs R with %s from Debian (apt-get install r-base-core r-cran-mgcv r-cran-lme4 r-cran-brglm2)", packages)
	}
	var input strings.Builder
	for _, row := range rows {
		for _, v := range row {
			fmt.Fprintf(&input, "%.17g ", v)
		}
		input.WriteByte('\n')
	}
	if rows != nil {
		load += `d <- as.matrix(read.table(file("stdin"))); dimnames(d) <- NULL` + "\n"
	}
	command := exec.Command(rscript, "-e", load+"say <- function(x) cat(sprintf('%.15g\\n', x))\n"+script)
	command.Stdin = strings.NewReader(input.String())
	output, err := command.Output()
	if err != nil {
		if failed, ok := err.(*exec.ExitError); ok {
			t.Fatalf("R: %v\n%s", err, failed.Stderr)
		}
		t.Fatal(err)
	}
	var answer []float64
	for text := range strings.FieldsSeq(string(output)) {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatalf("R answers %q", text)
		}
		answer = append(answer, v)
	}
	return answer
}

// At scales that are kept, the model is a ridge-penalised regression, and mgcv can be given the very columns and the precision
// matrix (gam's paraPen with a fixed smoothing parameter of one). Mode, covariance there and evidence must then be
// mgcv's coefficients, Vp and negative REML score but for rounding and the tolerance of its iteration. All kinds of
// terms take part, so a slip in a prior's variance, in the products by cell or in eq. (5) shows.
func TestSameColumnsAgainstMgcv(t *testing.T) {
	w := newTruth(41)
	d := w.trials(400, 41)
	var none orient.Symmetry
	orientation, deviation := OrientationTerm(none), FactorByOrientation("strategy", none)
	orientation.Degree, deviation.Degree = 2, 1
	offset := OffsetTerm("offset", "offset_x", "offset_y")
	offset.Functions = 4
	terms := []Term{orientation, SmoothTerm("closing"), offset, FactorTerm("strategy"), FactorTerm("hand"), FactorTerm("block"), deviation}
	m := fitted(t, d, terms, Options{})

	e := m.engine(m.data)
	priors, err := e.priors(m.log)
	if err != nil {
		t.Fatal(err)
	}
	n, columns := len(e.order), e.columns
	precision := make([]float64, columns*columns)
	e.addPrecision(precision, priors)
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, columns+1)
		rows[i][columns] = e.held[i]
	}
	// Columns in units of their prior's standard deviation, for which the precision matrix is the identity: variances reach
	// from 1e-9 to 9, and mgcv would take the most precise for constraints.
	unit, f, scale := make([]float64, columns), make([]float64, n), make([]float64, columns)
	for j := range columns {
		clear(unit)
		scale[j] = 1 / math.Sqrt(precision[j*(columns+1)])
		unit[j] = scale[j]
		e.apply(f, unit, 1)
		for i, v := range f {
			rows[i][j] = v
		}
	}
	answer := inR(t, "mgcv", `
p <- ncol(d) - 1; X <- d[, 1:p]; y <- d[, p + 1]
m <- gam(y ~ X - 1, paraPen = list(X = list(diag(p), sp = 1)), family = binomial, method = "REML",
         control = gam.control(epsilon = 1e-12, maxit = 500))
say(coef(m)); say(sqrt(diag(m$Vp))); say(m$gcv.ubre)`, rows)
	if len(answer) != 2*columns+1 {
		t.Fatalf("%d answers of R for %d columns", len(answer), columns)
	}
	found, err := e.findMode(t.Context(), m.log, m.mode, settled)
	if err != nil {
		t.Fatal(err)
	}
	worst, worstSD := 0.0, 0.0
	for j := range columns {
		worst = max(worst, math.Abs(m.mode[j]/scale[j]-answer[j]))
		sd := math.Sqrt(m.covariance[j*columns+j]) / scale[j]
		worstSD = max(worstSD, math.Abs(sd/answer[columns+j]-1))
	}
	t.Logf("%d columns: coefficients within %.1e, standard deviations within %.1e of themselves, evidence within %.1e", columns, worst, worstSD, math.Abs(found.evidence+answer[2*columns]))
	if worst > 1e-6 {
		t.Errorf("coefficients lie %.2e apart", worst)
	}
	if worstSD > 1e-6 {
		t.Errorf("standard deviations lie %.2e of themselves apart", worstSD)
	}
	near(t, "evidence", found.evidence, -answer[2*columns], 1e-6)
}

// mgcv's own terms and its own choice of amplitudes on the same trials: a Gaussian process with a line in the closing
// command and one in the offset (bs = "gp", squared exponential at the length scales found here, because mgcv does not
// seek them; as many functions as its decomposition of so smooth a kernel bears), random effects of strategy and hand, REML.
//
// The two differ by right: mgcv's lines are unpenalised where ours have a standard deviation of 2.5, its process has
// another basis, its mode is our mean less a step for skewness, and it has no prior on amplitudes. So curves must agree
// within a quarter of their own posterior standard deviation (root mean square) and the widths of bands within a fifth.
// An amplitude over three or four levels is the prior's as much as the trials'; factors are compared without those
// priors and must agree within a fifth of mgcv's standard error.
func TestSmoothsAgainstMgcv(t *testing.T) {
	w := newTruth(42)
	w.lean, w.turn, w.block = orient.Vec3{}, map[string]float64{}, map[string]float64{}
	const trials, asked = 1500, 41
	d := w.trials(trials, 42)
	terms := []Term{SmoothTerm("closing"), OffsetTerm("offset", "offset_x", "offset_y"), FactorTerm("strategy"), FactorTerm("hand")}
	m := fitted(t, d, terms, Options{})

	closing, x, y := m.span("closing"), m.span("offset_x"), m.span("offset_y")
	level := func(factor, name string) float64 {
		for i, l := range m.Levels(factor) {
			if l == name {
				return float64(i)
			}
		}
		return math.NaN()
	}
	var rows [][]float64
	for i := range trials {
		rows = append(rows, []float64{closing.at(d.Numbers["closing"][i]), x.at(d.Numbers["offset_x"][i]), y.at(d.Numbers["offset_y"][i]),
			level("strategy", d.Levels["strategy"][i]), level("hand", d.Levels["hand"][i]), d.Held[i]})
	}
	along := func(i int) float64 { return 2*float64(i)/(asked-1) - 1 }
	for i := range asked {
		rows = append(rows, []float64{along(i), along(i), -along(i), 0, 0, -1})
	}
	lengths := map[string]float64{}
	var ratio float64
	for k, h := range m.hypers {
		switch {
		case h.Name == "length":
			lengths[h.Term] = math.Exp(m.log[k])
		case h.Name == "length ratio":
			ratio = math.Exp(m.log[k])
		}
	}
	// Axes stretched by the ratio make the process isotropic, as mgcv's is; exp(−d²/2ℓ²) is exp(−(d/r)²) for r = ℓ√2.
	script := fmt.Sprintf(`
d <- data.frame(c = d[, 1], x = d[, 2] / sqrt(%[3]g), y = d[, 3] * sqrt(%[3]g), s = factor(d[, 4]), h = factor(d[, 5]), held = d[, 6])
g <- d[d$held < 0, ]; d <- d[d$held >= 0, ]
m <- gam(held ~ s(c, bs = "gp", k = 9, m = c(2, %[1]g, 2)) + s(x, y, bs = "gp", k = 28, m = c(2, %[2]g, 2)) + s(s, bs = "re") + s(h, bs = "re"),
         family = binomial, data = d, method = "REML")
at <- predict(m, g, type = "terms", se.fit = TRUE)
say(at$fit[, 1]); say(at$se.fit[, 1]); say(at$fit[, 2]); say(at$se.fit[, 2])
b <- coef(m); V <- m$Vp; dimnames(V) <- list(names(b), names(b))
from <- function(term, n) for (i in 1:n) {
  k <- paste0(term, ".", c(1, i)); say(b[k[2]] - b[k[1]]); say(sqrt(max(0, V[k[1], k[1]] + V[k[2], k[2]] - 2 * V[k[1], k[2]])))
}
from("s(s)", 3); from("s(h)", 4)`,
		lengths["closing"]*math.Sqrt2, lengths["offset"]*math.Sqrt2, ratio)
	answer := inR(t, "mgcv", script, rows)
	if len(answer) != 4*asked+2*(3+4) {
		t.Fatalf("%d answers of R", len(answer))
	}

	place := func(s span, scaled float64) float64 { return s.centre + s.half*scaled }
	q := &Data{Numbers: map[string][]float64{}}
	for i := range asked {
		q.Numbers["closing"] = append(q.Numbers["closing"], place(closing, along(i)))
		q.Numbers["offset_x"] = append(q.Numbers["offset_x"], place(x, along(i)))
		q.Numbers["offset_y"] = append(q.Numbers["offset_y"], place(y, -along(i)))
	}
	for k, term := range []string{"closing", "offset"} {
		mean, sd := centred(t, m, q, term)
		var apart, wide, square float64
		for i := range asked {
			theirs, se := answer[2*k*asked+i], answer[(2*k+1)*asked+i]
			apart += (mean[i] - theirs) * (mean[i] - theirs)
			square += sd[i] * sd[i]
			wide += math.Log(sd[i]/se) / asked
		}
		apart, wide = math.Sqrt(apart/square), math.Exp(wide)
		t.Logf("%s: curves %.3f of a standard deviation apart, bands %.3f times as wide", term, apart, wide)
		if apart > 0.25 {
			t.Errorf("%s: the curves lie %.3f standard deviations apart", term, apart)
		}
		if apart < 1e-5 {
			t.Errorf("%s: the curves are the same to %.1g: this compares a thing with itself", term, apart)
		}
		if wide < 0.8 || wide > 1.25 {
			t.Errorf("%s: the bands are %.3f times as wide", term, wide)
		}
	}
	effects, err := fitted(t, d, terms, Options{NoHyperPrior: true}).Effects(EffectOptions{Draws: 4000, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	at := 4 * asked
	for _, e := range effects {
		if e.By == "" {
			continue
		}
		for i, p := range e.Points {
			ours, theirs, se := p.Mean-e.Points[0].Mean, answer[at+2*i], answer[at+2*i+1]
			t.Logf("%s %s: %.3f, mgcv %.3f ± %.3f from the first", e.Term, p.Level, ours, theirs, se)
			near(t, e.Term+" "+p.Level, ours, theirs, 0.2*se+1e-12)
		}
		at += 2 * len(e.Points)
	}
}

// centred returns posterior mean and standard deviation of a term less its mean over the trials.
func centred(t *testing.T, m *Model, q *Data, term string) (mean, sd []float64) {
	t.Helper()
	draws := m.Draw(4000, 7)
	f, err := draws.LogOdds(q, term)
	if err != nil {
		t.Fatal(err)
	}
	all, err := draws.LogOdds(m.data, term)
	if err != nil {
		t.Fatal(err)
	}
	s := draws.Count()
	average, total := make([]float64, s), 0.0
	for i, w := range m.data.Trials {
		total += w
		for k := range average {
			average[k] += w * all[i*s+k]
		}
	}
	for i := range len(f) / s {
		var sum, square float64
		for k := range s {
			v := f[i*s+k] - average[k]/total
			sum += v
			square += v * v
		}
		sum /= float64(s)
		mean, sd = append(mean, sum), append(sd, math.Sqrt(square/float64(s)-sum*sum))
	}
	return mean, sd
}

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
