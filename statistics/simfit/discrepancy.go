package simfit

import (
	"math"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

// discrepancy is how the bench may differ from the simulation at the right parameters: a smooth function of orientation
// added to the log-odds, of mean 0 over the bench trials, with a size (standard deviation) that is none with a prior
// probability of one half (DESIGN.md eq. 5).
type discrepancy struct {
	functions [][]float64 // by condition
	share     []float64   // prior variance of each coefficient at size 1
	sizes     []float64
	logPrior  []float64
}

// discrepancyDegree bounds the harmonics: what is finer is left to the check of regions.
const discrepancyDegree = 2

func newDiscrepancy(conditions []Condition, tallies []tally, s orient.Symmetry) (*discrepancy, error) {
	d := &discrepancy{sizes: []float64{0}, logPrior: []float64{0}}
	h, err := orient.NewHarmonics(discrepancyDegree, s)
	if err != nil {
		return nil, err
	}
	tried, trials := 0, 0.0
	for _, t := range tallies {
		if t.trials > 0 {
			tried++
			trials += t.trials
		}
	}
	degree := discrepancyDegree
	for degree > 0 && 2*h.LenUpTo(degree) > tried {
		degree--
	}
	m := h.LenUpTo(degree) - 1
	d.functions = make([][]float64, len(conditions))
	mean, square := make([]float64, m), make([]float64, m)
	values := make([]float64, h.Len())
	for c := range conditions {
		r, _ := conditions[c].R.Normalized()
		h.Values(values, r)
		d.functions[c] = append([]float64(nil), values[1:m+1]...)
		for j, v := range d.functions[c] {
			mean[j] += v * tallies[c].trials / trials
		}
	}
	total := 0.0
	for c, row := range d.functions {
		for j := range row {
			row[j] -= mean[j]
			square[j] += row[j] * row[j] * tallies[c].trials / trials
			total += row[j] * row[j] * tallies[c].trials / trials
		}
	}
	if m == 0 || !(total > 1e-9) {
		return d, nil
	}
	for range m {
		d.share = append(d.share, 1/total)
	}
	d.sizes = []float64{0, 0.4, 0.8, 1.6}
	d.logPrior = []float64{math.Log(0.5), math.Log(0.5 / 3), math.Log(0.5 / 3), math.Log(0.5 / 3)}
	return d, nil
}

// none is the discrepancy that is none for sure.
func (d *discrepancy) none() *discrepancy {
	return &discrepancy{functions: d.functions, sizes: d.sizes[:1], logPrior: []float64{0}}
}

// gains writes, for every size, the logarithm of how much likelier the bench counts become when the discrepancy is
// integrated out (Laplace's approximation from one or two Newton steps, which never overstates the mode's height), given
// the simulation's log-odds by condition.
func (d *discrepancy) gains(dst, logOdds []float64, tallies []tally) {
	dst[0] = 0
	m := len(d.share)
	if m == 0 {
		return
	}
	var at discrepancyState
	start := newDiscrepancyState(m)
	start.load(d, logOdds, tallies, make([]float64, m))
	for k := 1; k < len(d.sizes); k++ {
		variance := d.sizes[k] * d.sizes[k]
		at = start
		coef := make([]float64, m)
		height := 0.0
		factor := make([]float64, m*m)
		for step := range 2 {
			copy(factor, at.gram)
			direction := make([]float64, m)
			for j := range m {
				precision := 1 / (variance * d.share[j])
				factor[j*m+j] += precision
				direction[j] = at.slope[j] - precision*coef[j]
			}
			if !dense.Cholesky(factor, m, 1) {
				break
			}
			dense.Solve(factor, m, direction)
			improved := 0.0
			for size := 1.0; size > 0.05; size /= 2 {
				next := between(coef, added(coef, direction), size)
				if h := d.height(next, variance, logOdds, tallies); h > height {
					improved = h - height
					coef, height = next, h
					break
				}
			}
			if step == 1 || improved < 2 {
				break
			}
			at = newDiscrepancyState(m)
			at.load(d, logOdds, tallies, coef)
		}
		dst[k] = height - dense.LogDeterminant(factor, m)/2
		for _, s := range d.share {
			dst[k] -= math.Log(variance*s) / 2
		}
	}
}

// height is the gain of log likelihood by coefficients less their log prior's loss.
func (d *discrepancy) height(coef []float64, variance float64, logOdds []float64, tallies []tally) float64 {
	sum := 0.0
	for c, t := range tallies {
		if t.trials == 0 {
			continue
		}
		f := logOdds[c]
		shift := dense.Dot(coef, d.functions[c])
		sum += t.held*shift - t.trials*(softplus(f+shift)-softplus(f))
	}
	for j, v := range coef {
		sum -= v * v / (2 * variance * d.share[j])
	}
	return sum
}

type discrepancyState struct{ slope, gram []float64 }

func newDiscrepancyState(m int) discrepancyState {
	return discrepancyState{make([]float64, m), make([]float64, m*m)}
}

// load computes slope and curvature of the log likelihood at coefficients.
func (s *discrepancyState) load(d *discrepancy, logOdds []float64, tallies []tally, coef []float64) {
	m := len(coef)
	for c, t := range tallies {
		if t.trials == 0 {
			continue
		}
		row := d.functions[c]
		p := expit(logOdds[c] + dense.Dot(coef, row))
		w, g := t.trials*p*(1-p), t.held-t.trials*p
		for a, v := range row {
			s.slope[a] += g * v
			wv := w * v
			into := s.gram[a*m : a*m+a+1]
			for b := range into {
				into[b] += wv * row[b]
			}
		}
	}
}

func added(a, b []float64) []float64 {
	out := make([]float64, len(a))
	for i := range a {
		out[i] = a[i] + b[i]
	}
	return out
}
