//go:build reference

package additive

import (
	"fmt"
	"math"
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
