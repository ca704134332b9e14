package additive

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/optimize"
)

func readTable(t *testing.T, path string) [][]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	text, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]float64
	for _, line := range text[1:] {
		row := make([]float64, len(line))
		for i, cell := range line {
			if row[i], err = strconv.ParseFloat(cell, 64); err != nil {
				t.Fatal(err)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// Firth's regression of the endometrial data (Heinze and Schemper 2002; 2.929 and .610 to 7.855 for NV from memory; digits
// computed with R's brglm2, AS_mean and MPL_Jeffreys, and by a profile of our own there).
func TestEndometrialPublished(t *testing.T) {
	var rows [][]float64
	var y, one []float64
	for _, c := range readTable(t, "testdata/endometrial.csv") {
		rows, y, one = append(rows, []float64{1, c[0], c[1], c[2]}), append(y, c[3]), append(one, 1)
	}
	r, err := Firth(rows, y, one)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "penalised log-likelihood", r.LogLikelihood, -24.037268, 1e-5)
	for j, c := range []struct{ coef, se, low, high float64 }{
		{3.774559, 1.488692, 1.082537, 7.209280},
		{2.929273, 1.550764, .609724, 7.854632},
		{-.0347517, .0395781, -.124459, .040455},
		{-2.604164, .776018, -4.365183, -1.232721},
	} {
		near(t, "coefficient", r.Coef[j], c.coef, 1e-5)
		near(t, "SE", r.SE(j), c.se, 1e-5)
		low, high, err := r.Profile(j, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "profile low", low, c.low, 1e-5)
		near(t, "profile high", high, c.high, 1e-5)
	}
	for j, want := range map[int][2]float64{1: {6.79846, .0091237}, 2: {math.NaN(), .38748}, 3: {math.NaN(), 2.51e-5}} {
		chi2, p, err := r.RatioTest(j, 0)
		if err != nil {
			t.Fatal(err)
		}
		if !math.IsNaN(want[0]) {
			near(t, "chi-square", chi2, want[0], 1e-5)
		}
		near(t, "p", p, want[1], 1e-5)
	}
	if _, err := Logistic(rows, y, one); err == nil {
		t.Error("maximum likelihood finds an end of what has none")
	}
	// The Bayesian model stays finite on the same cases and keeps the direction.
	d := &Data{Held: y, Trials: one, Numbers: map[string][]float64{"NV": nil, "PI": nil, "EH": nil}}
	for _, row := range rows {
		for i, name := range []string{"NV", "PI", "EH"} {
			d.Numbers[name] = append(d.Numbers[name], row[i+1])
		}
	}
	m := fitted(t, d, []Term{LinearTerm("NV", 2.5), LinearTerm("PI", 2.5), LinearTerm("EH", 2.5)}, Options{})
	if nv := m.coef[0]; !(nv > 0.5 && nv < 8) {
		t.Errorf("NV has a slope of %.3f under a normal prior of 2.5", nv)
	}
}

// cbpp: incidence by period with herds as random effects (help of R's lme4).
func cbpp(t *testing.T) *Data {
	d := &Data{Numbers: map[string][]float64{"2": nil, "3": nil, "4": nil}, Levels: map[string][]string{}}
	for _, c := range readTable(t, "testdata/cbpp.csv") {
		d.Levels["herd"] = append(d.Levels["herd"], strconv.Itoa(int(c[0])))
		d.Held, d.Trials = append(d.Held, c[2]), append(d.Trials, c[3])
		for _, p := range []string{"2", "3", "4"} {
			v := 0.0
			if strconv.Itoa(int(c[1])) == p {
				v = 1
			}
			d.Numbers[p] = append(d.Numbers[p], v)
		}
	}
	return d
}

// With flat priors on what is fixed and none on the scale, the evidence is the restricted likelihood that mgcv maximises
// for s(herd, bs = "re"): intercept −1.367015, SD .681867 (computed with mgcv).
func TestHerdsAsRestrictedLikelihoodPublished(t *testing.T) {
	terms := []Term{FactorTerm("herd"), LinearTerm("2", 0), LinearTerm("3", 0), LinearTerm("4", 0)}
	m := fitted(t, cbpp(t), terms, Options{ConstantSD: math.Inf(1), NoHyperPrior: true})
	near(t, "SD of herds", math.Exp(m.log[0]), .681867, 1e-4)
	near(t, "intercept at the mode", m.mode[len(m.mode)-1], -1.367015, 1e-4)
}

// laplaceAt fits the factor alone at fixed effects x of the constant and the columns, followed by the logarithm of the
// factor's scale. A constant that is all but nailed to zero leaves the factor alone.
func laplaceAt(t *testing.T, d *Data, factor string, columns []string, x []float64) *Model {
	t.Helper()
	q := *d
	q.Known = make([]float64, d.Len())
	for i := range q.Known {
		q.Known[i] = x[0]
		for j, c := range columns {
			q.Known[i] += x[j+1] * d.Numbers[c][i]
		}
	}
	return fitted(t, &q, []Term{FactorTerm(factor)}, Options{ConstantSD: 1e-9, Hypers: x[len(x)-1:], Workers: 1})
}

// laplace maximises the evidence of laplaceAt: Laplace's likelihood of a mixed model, binomial coefficients included.
func laplace(t *testing.T, d *Data, factor string, columns []string) (x []float64, logLikelihood float64) {
	t.Helper()
	start := make([]float64, len(columns)+2)
	problem := optimize.Problem{Func: func(x []float64) float64 { return -laplaceAt(t, d, factor, columns, x).summary.Evidence }}
	// Started again from where it stops: a simplex that has collapsed early does not stay so.
	for range 3 {
		result, err := optimize.Minimize(problem, start,
			&optimize.Settings{MajorIterations: 3000, Converger: &optimize.FunctionConverge{Absolute: 1e-12, Iterations: 200}}, &optimize.NelderMead{})
		if err != nil {
			t.Fatal(err)
		}
		start, logLikelihood = result.X, -result.F
	}
	for i, n := range d.Trials {
		a, _ := math.Lgamma(n + 1)
		b, _ := math.Lgamma(d.Held[i] + 1)
		c, _ := math.Lgamma(n - d.Held[i] + 1)
		logLikelihood += a - b - c
	}
	return start, logLikelihood
}

// With the fixed effects maximised together with the scale, instead of integrated, the evidence over the herds alone is
// lme4's Laplace approximation. Computed with lme4 1.1's glmer and tolPwrss = 1e-13; the figures that its help prints
// (−1.398343, …, SD .642070, log-likelihood −92.02657) come from the looser standard tolerance of its inner iteration.
func TestHerdsAsLaplacePublished(t *testing.T) {
	x, height := laplace(t, cbpp(t), "herd", []string{"2", "3", "4"})
	for j, want := range []float64{-1.3985321444, -.9923326825, -1.1286720394, -1.5803139028} {
		near(t, "coefficient", x[j], want, 1e-6)
	}
	near(t, "log-likelihood", height, -92.0262818715, 1e-7)
	near(t, "SD of herds", math.Exp(x[4]), .6422614391, 1e-6)
}
