package additive

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sort"
	"strings"

	"holdfast/numeric"
	"holdfast/numeric/dense"
	"holdfast/statistics/successmap"
)

// Matters says what each term is worth: what forecasts of trials not seen lose when it is left out.
type Matters struct {
	Folds, Groups int
	LogScore      float64 // mean ln of the probability given to what happened, per trial: the full model's
	Base          float64 // the same for the plain success rate of the other folds
	Terms         []Loss  // by falling loss
}

// Loss is what leaving a term out, with all that only deviates from it, costs.
type Loss struct {
	Term string
	With []string // terms that were left out with it
	Drop float64  // fall of the log score per trial, in nats; negative where the forecasts improve
	SE   float64  // standard error of the drop over groups
}

// Clear says whether the drop is above zero by 1.645 standard errors.
func (l Loss) Clear() bool { return l.Drop > z95*l.SE }

// Matter scores the model and the model without each term by grouped cross-validation. groups has one label a row of the
// data first given, such as its block; nil makes rows of one orientation (or, without orientations, alike rows) a group.
// Groups are dealt to folds by the seed.
//
// The folds keep the scales that all trials together chose and fit only coefficients; that flatters every model a little,
// and the full one most.
func (m *Model) Matter(ctx context.Context, d *Data, groups []string, folds int, seed uint64) (*Matters, error) {
	group, count, err := m.grouping(groups)
	if err != nil {
		return nil, err
	}
	if d.Len() != len(m.of) {
		return nil, fmt.Errorf("%d rows for %d that were fitted", d.Len(), len(m.of))
	}
	folds = min(folds, count)
	if folds < 2 {
		return nil, errors.New("to see what matters, trials of at least two blocks or orientations are needed")
	}
	fold := make([]int, count)
	for i, g := range numeric.Stream(seed, "additive folds").Perm(count) {
		fold[g] = i % folds
	}
	run := &validation{m: m, d: d, group: group, count: count, fold: fold, folds: folds}
	full, err := run.score(ctx, nil)
	if err != nil {
		return nil, err
	}
	_, trials := totals(d)
	out := &Matters{Folds: folds, Groups: count, LogScore: sum(full) / trials, Base: run.base() / trials}
	weight := make([]float64, count)
	for i, t := range d.Trials {
		weight[group[i]] += t
	}
	for i := range m.terms {
		l := Loss{Term: m.terms[i].Name}
		without := map[string]bool{l.Term: true}
		for k := range m.terms {
			if k != i && m.terms[k].within(&m.terms[i]) {
				l.With = append(l.With, m.terms[k].Name)
				without[m.terms[k].Name] = true
			}
		}
		part, err := run.score(ctx, without)
		if err != nil {
			return nil, err
		}
		l.Drop = (sum(full) - sum(part)) / trials
		l.SE = standardError(full, part, weight, l.Drop, trials)
		out.Terms = append(out.Terms, l)
	}
	sort.SliceStable(out.Terms, func(i, j int) bool { return out.Terms[i].Drop > out.Terms[j].Drop })
	return out, nil
}

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// standardError is that of a ratio over groups: √(G/(G−1)·Σ(d_g − w_g·d̄)²)/Σw (common practice for cluster samples, no
// source).
func standardError(full, part, weight []float64, mean, trials float64) float64 {
	var square float64
	groups := 0
	for g, w := range weight {
		if w > 0 {
			groups++
			r := full[g] - part[g] - w*mean
			square += r * r
		}
	}
	if groups < 2 {
		return math.Inf(1)
	}
	return math.Sqrt(square*float64(groups)/float64(groups-1)) / trials
}

// grouping numbers the groups of the rows given.
func (m *Model) grouping(groups []string) (group []int, count int, err error) {
	if groups != nil && len(groups) != len(m.of) {
		return nil, 0, fmt.Errorf("%d group labels for %d rows", len(groups), len(m.of))
	}
	if groups == nil {
		groups = make([]string, len(m.of))
		oriented := len(m.data.Orientations) > 0
		for i, at := range m.of {
			groups[i] = fmt.Sprint(at)
			if oriented {
				r, _ := m.data.Orientations[at].Normalized()
				groups[i] = fmt.Sprint(r.Canonical())
			}
		}
	}
	number := map[string]int{}
	group = make([]int, len(groups))
	for i, g := range groups {
		if _, ok := number[g]; !ok {
			number[g] = len(number)
		}
		group[i] = number[g]
	}
	return group, len(number), nil
}

// validation deals the rows to folds.
type validation struct {
	m     *Model
	d     *Data
	group []int // of rows given
	count int
	fold  []int // of groups
	folds int
}

// score returns the log score of held-out trials summed by group, of the model without the terms named.
func (v *validation) score(ctx context.Context, without map[string]bool) ([]float64, error) {
	m := v.m.reduced(without)
	e := m.engine(m.data)
	start, err := e.findMode(ctx, m.log, make([]float64, e.columns), tolerance)
	if err != nil {
		return nil, err
	}
	scores := make([]float64, v.count)
	position := make([]int, len(e.order)) // distinct row → position
	for pos, i := range e.order {
		position[i] = pos
	}
	allHeld, allTrials := e.held, e.trials
	for f := range v.folds {
		e.held, e.trials = append([]float64(nil), allHeld...), append([]float64(nil), allTrials...)
		for i, g := range v.group {
			if v.fold[g] == f {
				pos := position[v.m.of[i]]
				e.held[pos] -= v.d.Held[i]
				e.trials[pos] -= v.d.Trials[i]
			}
		}
		for pos, t := range e.trials {
			// Differences of sums of fractions may miss zero.
			e.trials[pos] = math.Max(t, 0)
			e.held[pos] = math.Max(0, math.Min(e.held[pos], e.trials[pos]))
		}
		found, err := e.near(ctx, start)
		if err != nil {
			return nil, err
		}
		v.forecast(e, found, f, position, scores)
	}
	return scores, nil
}

// near finds the mode close to one of other counts at the same scales. The curvature, by far the dearest part, is
// computed once, there; steps that do not contract fall back on Newton's method.
func (e *engine) near(ctx context.Context, start *mode) (*mode, error) {
	m := &mode{log: start.log, priors: start.priors, coef: append([]float64(nil), start.coef...), logOdds: append([]float64(nil), start.logOdds...)}
	gradient, pulled := make([]float64, e.columns), make([]float64, e.columns)
	if !e.curvature(m.logOdds, gradient, m.priors) {
		return nil, errNotConverged
	}
	residual := make([]float64, len(m.logOdds))
	before := math.Inf(1)
	for range 25 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		e.height(m.logOdds, m.coef, pulled, m.priors)
		for i, f := range m.logOdds {
			residual[i] = e.held[i] - e.trials[i]*expit(f)
		}
		e.adjoint(gradient, residual, e.workers)
		for i := range gradient {
			gradient[i] -= pulled[i]
		}
		step := append([]float64(nil), gradient...)
		dense.Solve(e.factor, e.columns, step)
		m.decrement = dense.Dot(gradient, step)
		if m.decrement < 1e-5 {
			return m, nil
		}
		if m.decrement > before {
			break
		}
		before = m.decrement
		for i, s := range step {
			m.coef[i] += s
		}
	}
	return e.findMode(ctx, start.log, start.coef, tolerance)
}

// forecast adds the log scores of the trials of one fold. Levels that the other folds did not have keep the prior's
// deviation by themselves: their coefficients are in the model, with nothing to move them.
func (v *validation) forecast(e *engine, found *mode, f int, position []int, scores []float64) {
	beyond := 0.0
	for _, p := range found.priors {
		beyond += p.beyond
	}
	out := map[int]int{} // position → index below
	var list []int
	for i, g := range v.group {
		pos := position[v.m.of[i]]
		if _, seen := out[pos]; !seen && v.fold[g] == f && v.d.Trials[i] > 0 {
			out[pos] = len(list)
			list = append(list, pos)
		}
	}
	variance := e.variances(list)
	for i, g := range v.group {
		if v.fold[g] != f || v.d.Trials[i] == 0 {
			continue
		}
		pos := position[v.m.of[i]]
		sd := math.Sqrt(variance[out[pos]] + beyond)
		p := successmap.ExpectedProbability(found.logOdds[pos], sd)
		q := successmap.ExpectedProbability(-found.logOdds[pos], sd)
		scores[g] += logTimes(v.d.Held[i], p) + logTimes(v.d.Trials[i]-v.d.Held[i], q)
	}
}

// variances returns φᵀΣφ of the positions listed, by the factor of the curvature.
func (e *engine) variances(positions []int) []float64 {
	out := make([]float64, len(positions))
	cell := make([]int, len(e.order))
	for q, c := range e.cells {
		for i := c.from; i < c.to; i++ {
			cell[i] = q
		}
	}
	const chunk = 16
	dense.InParallel((len(positions)+chunk-1)/chunk, e.workers, func(q int) {
		x := make([]float64, e.columns)
		for k := q * chunk; k < min(len(positions), (q+1)*chunk); k++ {
			e.features(x, e.cells[cell[positions[k]]], positions[k])
			dense.SolveLower(e.factor, e.columns, x)
			out[k] = dense.Dot(x, x)
		}
	})
	return out
}

func logTimes(n, p float64) float64 {
	if n == 0 {
		return 0
	}
	return n * math.Log(p)
}

// base scores the plain success rate of the other folds.
func (v *validation) base() float64 {
	held, trials := make([]float64, v.folds), make([]float64, v.folds)
	var allHeld, allTrials float64
	for i, g := range v.group {
		held[v.fold[g]] += v.d.Held[i]
		trials[v.fold[g]] += v.d.Trials[i]
		allHeld += v.d.Held[i]
		allTrials += v.d.Trials[i]
	}
	score := 0.0
	for f := range held {
		p := (allHeld - held[f] + 0.5) / (allTrials - trials[f] + 1)
		score += logTimes(held[f], p) + logTimes(trials[f]-held[f], 1-p)
	}
	return score
}

// reduced is the model without the terms named, at the scales of the whole, its coefficients not yet fitted.
func (m *Model) reduced(without map[string]bool) *Model {
	r := &Model{terms: m.terms, data: m.data, of: m.of, options: m.options, hypers: m.hypers, log: m.log, atMode: m.atMode, shapes: m.shapes}
	for _, b := range m.blocks {
		if without[b.term.Name] {
			continue
		}
		own := *b
		own.base = r.columns
		r.columns += own.size * len(own.levels)
		r.blocks = append(r.blocks, &own)
	}
	return r
}

// Sentence says in plain words what matters.
func (s *Matters) Sentence() string {
	var sure, unsure []string
	for _, l := range s.Terms {
		if l.Clear() {
			sure = append(sure, l.Term)
		} else {
			unsure = append(unsure, l.Term)
		}
	}
	if len(sure) == 0 {
		return "Nothing that was varied clearly improves forecasts of trials the model had not seen: either it hardly matters here, or there are too few trials to see how."
	}
	text := fmt.Sprintf("%s matters most: without it the log score of a trial falls by %.3f.", upperFirst(sure[0]), s.Terms[0].Drop)
	if len(sure) > 1 {
		text += " Also clearly above zero: " + strings.Join(sure[1:], ", ") + "."
	}
	if len(unsure) > 0 {
		text += " Not clearly: " + strings.Join(unsure, ", ") + "."
	}
	return text
}

func upperFirst(s string) string {
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}
