package successmap

import (
	"errors"
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// Count is a cell of a table: counts at one combination of factor levels, such as item and orientation.
type Count struct {
	Levels       []string // one a factor
	Held, Trials float64
}

// Dispersion tells whether counts scatter around additive logistic main effects as independent trials would.
type Dispersion struct {
	Deviance, Pearson float64
	DF                int
	LowerP            float64 // chance of a deviance this small or smaller
	UpperP            float64 // chance of a deviance this large or larger
	Simulated         bool    // the chances come from simulation, since the chi-square distribution fits small counts badly
	Text              string  // one sentence
}

// smallCell is the expected number of held or of other trials below which a cell is small.
const smallCell = 5

// simulations is the number of tables simulated when cells are small.
const simulations = 999

// CheckDispersion fits the main effects of all factors to the log-odds and compares deviance and Pearson's statistic
// with their chi-square distributions, in both tails: more scatter than independent trials would give
// (over-dispersion, as from days or specimens that differ), or less (as from outcomes collected until they balanced).
// Where more than a fifth of the cells are small the chances are simulated from the fit instead, by the seed.
func CheckDispersion(counts []Count, seed uint64) (*Dispersion, error) {
	table, err := newTable(counts)
	if err != nil {
		return nil, err
	}
	fitted, err := table.fit(table.held)
	if err != nil {
		return nil, err
	}
	d := &Dispersion{DF: table.df}
	if table.df <= 0 {
		return nil, errors.New("the counts cannot be tested: there are as many effects as cells; repeat trials at the same orientations, in different blocks or with different items")
	}
	d.Deviance, d.Pearson = table.distance(table.held, fitted)
	small := 0
	for i, p := range fitted {
		if table.free[i] && math.Min(p, 1-p)*table.trials[i] < smallCell {
			small++
		}
	}
	if 5*small > len(fitted) {
		d.Simulated = true
		if err := d.simulate(table, fitted, seed); err != nil {
			return nil, err
		}
	} else {
		d.LowerP = numeric.ChiSquareCDF(d.Deviance, float64(d.DF))
		d.UpperP = numeric.ChiSquareSurvival(d.Deviance, float64(d.DF))
	}
	switch {
	case d.UpperP < 0.01:
		d.Text = fmt.Sprintf("The counts are over-dispersed: they scatter more than independent trials would (chance %s). Something that was not recorded changes between groups, so intervals are too narrow.", chance(d.UpperP))
	case d.LowerP < 0.01:
		d.Text = fmt.Sprintf("The counts are more even than independent trials would be (chance %s). Were outcomes collected towards a balance, or trials left out? Then success rates are not natural ones.", chance(d.LowerP))
	default:
		d.Text = "The counts scatter as independent trials would."
	}
	return d, nil
}

func chance(p float64) string {
	if p < 0.0001 {
		return "below 0.0001"
	}
	return fmt.Sprintf("%.1g", p)
}

func (d *Dispersion) simulate(t *table, fitted []float64, seed uint64) error {
	rng := numeric.Stream(seed, "dispersion")
	atMost, atLeast := 1, 1
	for range simulations {
		held := make([]float64, len(fitted))
		for i, p := range fitted {
			for range int(math.Round(t.trials[i])) {
				if rng.Float64() < p {
					held[i]++
				}
			}
		}
		again, err := t.fit(held)
		if err != nil {
			return err
		}
		deviance, _ := t.distance(held, again)
		if deviance <= d.Deviance {
			atMost++
		}
		if deviance >= d.Deviance {
			atLeast++
		}
	}
	d.LowerP, d.UpperP = float64(atMost)/(simulations+1), float64(atLeast)/(simulations+1)
	return nil
}

// table is a set of counts with a design matrix of main effects of full rank.
type table struct {
	held, trials []float64
	free         []bool // the cell is not fitted exactly by a level that was held always or never
	columns      [][]int
	df           int
}

func newTable(counts []Count) (*table, error) {
	if len(counts) == 0 {
		return nil, errors.New("there are no counts to test")
	}
	t := &table{}
	factors := len(counts[0].Levels)
	number := make([]map[string]int, factors)
	for f := range number {
		number[f] = map[string]int{}
	}
	cell := map[string]int{}
	var levels [][]int
	for i, c := range counts {
		if len(c.Levels) != factors {
			return nil, fmt.Errorf("count %d has %d levels, the first has %d", i+1, len(c.Levels), factors)
		}
		if !(c.Held >= 0) || !(c.Trials >= c.Held) || math.IsInf(c.Trials, 0) {
			return nil, fmt.Errorf("count %d: %g held of %g trials; held must lie between 0 and the number of trials", i+1, c.Held, c.Trials)
		}
		if c.Trials == 0 {
			continue
		}
		key := fmt.Sprintf("%q", c.Levels)
		at, ok := cell[key]
		if !ok {
			at = len(t.held)
			cell[key] = at
			row := make([]int, factors)
			for f, l := range c.Levels {
				if _, ok := number[f][l]; !ok {
					number[f][l] = len(number[f])
				}
				row[f] = number[f][l]
			}
			levels = append(levels, row)
			t.held, t.trials = append(t.held, 0), append(t.trials, 0)
		}
		t.held[at] += c.Held
		t.trials[at] += c.Trials
	}
	t.release(levels, number)
	t.design(levels, number)
	return t, nil
}

// release marks the cells of levels whose trials were all held or none: their effect is infinite and fits them
// exactly, so they neither count as cells nor their levels as effects.
func (t *table) release(levels [][]int, number []map[string]int) {
	t.free = make([]bool, len(t.held))
	for i := range t.free {
		t.free[i] = true
	}
	for changed := true; changed; {
		changed = false
		for f := range number {
			held, trials := make([]float64, len(number[f])), make([]float64, len(number[f]))
			for i, row := range levels {
				if t.free[i] {
					held[row[f]] += t.held[i]
					trials[row[f]] += t.trials[i]
				}
			}
			for i, row := range levels {
				if l := row[f]; t.free[i] && (held[l] == 0 || held[l] == trials[l]) {
					t.free[i] = false
					changed = true
				}
			}
		}
	}
}

// design keeps those indicator columns, over free cells, that are independent of the ones before.
func (t *table) design(levels [][]int, number []map[string]int) {
	var basis [][]float64
	cells := 0
	for _, free := range t.free {
		if free {
			cells++
		}
	}
	add := func(members []int) {
		v := make([]float64, len(t.held))
		for _, i := range members {
			v[i] = 1
		}
		for range 2 {
			for _, b := range basis {
				s := dense.Dot(v, b)
				for i := range v {
					v[i] -= s * b[i]
				}
			}
		}
		if n := math.Sqrt(dense.Dot(v, v)); n > 1e-8 {
			for i := range v {
				v[i] /= n
			}
			basis = append(basis, v)
			t.columns = append(t.columns, members)
		}
	}
	var all []int
	for i, free := range t.free {
		if free {
			all = append(all, i)
		}
	}
	if len(all) > 0 {
		add(all)
	}
	for f := range number {
		for l := range len(number[f]) {
			var members []int
			for _, i := range all {
				if levels[i][f] == l {
					members = append(members, i)
				}
			}
			if len(members) > 0 {
				add(members)
			}
		}
	}
	t.df = cells - len(t.columns)
}

// fit returns the fitted probabilities of the main-effects logistic model, by Newton's method with a step limit; a
// whisper of a ridge keeps it finite when a simulated table separates.
func (t *table) fit(held []float64) ([]float64, error) {
	const ridge = 1e-8
	n := len(t.columns)
	eta, p := make([]float64, len(held)), make([]float64, len(held))
	coef := make([]float64, n)
	of := make([][]int, len(held))
	for c, members := range t.columns {
		for _, i := range members {
			of[i] = append(of[i], c)
		}
	}
	for range 60 {
		h, g := make([]float64, n*n), make([]float64, n)
		for c := range n {
			h[c*n+c] = ridge
			g[c] = -ridge * coef[c]
		}
		for i, columns := range of {
			q := expit(eta[i])
			w := t.trials[i] * q * (1 - q)
			for _, a := range columns {
				g[a] += held[i] - t.trials[i]*q
				for _, b := range columns {
					if b <= a {
						h[a*n+b] += w
					}
				}
			}
		}
		if !dense.Cholesky(h, n, 1) {
			return nil, errNotConverged
		}
		step := append([]float64(nil), g...)
		dense.Solve(h, n, step)
		gain := dense.Dot(step, g)
		largest := 0.0
		for _, s := range step {
			largest = math.Max(largest, math.Abs(s))
		}
		size := math.Min(1, 3/math.Max(largest, 1e-300))
		for c := range coef {
			coef[c] += size * step[c]
		}
		clear(eta)
		for i, columns := range of {
			for _, c := range columns {
				eta[i] += coef[c]
			}
		}
		if gain < 1e-10 {
			break
		}
	}
	for i := range p {
		p[i] = expit(eta[i])
		if !t.free[i] {
			p[i] = t.held[i] / t.trials[i]
		}
	}
	return p, nil
}

// distance returns deviance and Pearson's statistic over the free cells.
func (t *table) distance(held, p []float64) (deviance, pearson float64) {
	for i, free := range t.free {
		if !free {
			continue
		}
		n, x := t.trials[i], held[i]
		deviance += 2 * (timesLog(x, x/(n*p[i])) + timesLog(n-x, (n-x)/(n*(1-p[i]))))
		d := x - n*p[i]
		pearson += d * d / (n * p[i] * (1 - p[i]))
	}
	return deviance, pearson
}
