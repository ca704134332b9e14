package handtest

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"holdfast/numeric"
	"holdfast/readings"
)

// lifetimes are loads or cycles, some of them only known to be exceeded.
type lifetimes struct {
	x        []float64 // divided by unit, so that powers stay in range
	unit     float64
	failures int
	logs     float64 // sum of ln x over the failures
}

// Weibull is a Weibull law fitted by maximum likelihood.
type Weibull struct {
	Shape, Scale        float64
	ShapeLow, ShapeHigh float64 // likelihood-ratio limits at the level asked

	data  *lifetimes
	best  float64 // largest log likelihood
	level float64
}

// FitWeibull fits values above 0, failed[i] false where value i was survived
// (right-censored). Limits are those of the likelihood ratio, which stay in range
// and are not symmetric (W. Q. Meeker and L. A. Escobar, Statistical Methods for
// Reliability Data, 1998; from memory). At least two different failures are needed.
func FitWeibull(values []float64, failed []bool, level float64) (*Weibull, error) {
	d := &lifetimes{}
	seen := map[float64]bool{}
	for i, v := range values {
		if !(v > 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("value %d is %g; it must be above 0", i+1, v)
		}
		d.unit = max(d.unit, v)
		if failed[i] {
			d.failures++
			seen[v] = true
		}
	}
	if len(seen) < 2 {
		return nil, fmt.Errorf("%d different failure(s) do not determine a law; at least two are needed, better five", len(seen))
	}
	for i, v := range values {
		d.x = append(d.x, v/d.unit)
		if failed[i] {
			d.logs += math.Log(v / d.unit)
		}
	}
	w := &Weibull{data: d, level: level}
	// The profile's slope in the shape falls all the way, so its root is the maximum.
	slope := func(k float64) float64 {
		s, sl := 0.0, 0.0
		for _, x := range d.x {
			v := math.Pow(x, k)
			s, sl = s+v, sl+v*math.Log(x)
		}
		return float64(d.failures)/k + d.logs - float64(d.failures)*sl/s
	}
	low, high := 1e-3, 1e3
	if slope(low) < 0 || slope(high) > 0 {
		return nil, fmt.Errorf("the failures are too alike or too unlike for a Weibull law")
	}
	w.Shape = math.Exp(root(func(u float64) float64 { return slope(math.Exp(u)) }, math.Log(low), math.Log(high)))
	scale := d.scale(w.Shape)
	w.Scale = scale * d.unit
	w.best = d.likelihood(w.Shape, scale)
	profile := func(u float64) float64 { return w.excess(d.likelihood(math.Exp(u), d.scale(math.Exp(u)))) }
	w.ShapeLow = math.Exp(outward(profile, math.Log(w.Shape), -1))
	w.ShapeHigh = math.Exp(outward(profile, math.Log(w.Shape), 1))
	return w, nil
}

// scale is the best one for a shape.
func (d *lifetimes) scale(k float64) float64 {
	s := 0.0
	for _, x := range d.x {
		s += math.Pow(x, k)
	}
	return math.Pow(s/float64(d.failures), 1/k)
}

func (d *lifetimes) likelihood(k, scale float64) float64 {
	s := 0.0
	for _, x := range d.x {
		s += math.Pow(x/scale, k)
	}
	r := float64(d.failures)
	return r*math.Log(k) + (k-1)*d.logs - r*k*math.Log(scale) - s
}

// excess is above 0 where a likelihood is too small to belong to the limits.
func (w *Weibull) excess(l float64) float64 {
	return 2*(w.best-l) - numeric.ChiSquareQuantile(w.level, 1)
}

// Quantile returns the value that a share p in (0, 1) fails below, with limits.
func (w *Weibull) Quantile(p float64) (value, low, high float64) {
	factor := func(k float64) float64 { return math.Pow(-math.Log1p(-p), 1/k) }
	value = w.Scale * factor(w.Shape)
	profile := func(u float64) float64 {
		q := math.Exp(u) / w.data.unit
		// With the quantile fixed the likelihood has one peak over the shape: a golden-section search finds it.
		f := func(v float64) float64 { k := math.Exp(v); return w.data.likelihood(k, q/factor(k)) }
		a, b := math.Log(w.Shape)-4, math.Log(w.Shape)+4
		const g = 0.6180339887498949
		c, d := b-g*(b-a), a+g*(b-a)
		fc, fd := f(c), f(d)
		for range 70 {
			if fc > fd || math.IsNaN(fd) {
				b, d, fd = d, c, fc
				c = b - g*(b-a)
				fc = f(c)
			} else {
				a, c, fc = c, d, fd
				d = a + g*(b-a)
				fd = f(d)
			}
		}
		return w.excess(f((a + b) / 2))
	}
	return value, math.Exp(outward(profile, math.Log(value), -1)), math.Exp(outward(profile, math.Log(value), 1))
}

// outward goes from a place where f < 0 to where it becomes 0; infinite when it does not within a factor of e⁶⁴.
func outward(f func(float64) float64, from, sign float64) float64 {
	inside := from
	for step := 0.05; step < 64; step *= 2 {
		next := from + sign*step
		if !(f(next) < 0) {
			return root(f, inside, next)
		}
		inside = next
	}
	return math.Inf(int(sign))
}

// root bisects between two places where f has different signs.
func root(f func(float64) float64, a, b float64) float64 {
	below := f(a) < 0
	for range 80 {
		m := (a + b) / 2
		if m == a || m == b {
			break
		}
		if (f(m) < 0) == below {
			a = m
		} else {
			b = m
		}
	}
	return (a + b) / 2
}

func life(t *readings.Table, _ Settings, r *Report) error {
	return weibullFigures(t, r, "", all(t.Rows), "cycles", "failed", "cycles", "life", []float64{.1, .5})
}

func payload(t *readings.Table, _ Settings, r *Report) error {
	order, rows := t.Groups("setup")
	for _, setup := range order {
		if err := weibullFigures(t, r, setup, rows[setup], "load_N", "slipped", "N", "pull", []float64{.05, .5}); err != nil {
			return fmt.Errorf("%s %w", setup, err)
		}
	}
	r.note("A payload needs a margin for motion, wet or dusty goods and wear; these pulls were slow and straight.")
	return nil
}

func all(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func weibullFigures(t *readings.Table, r *Report, group string, rows []int, column, word, unit, what string, shares []float64) error {
	values := pick(t.Numbers[column], rows)
	failed := make([]bool, len(rows))
	for i, k := range rows {
		failed[i] = t.Texts["end"][k] == word
	}
	w, err := FitWeibull(values, failed, r.Level)
	if err != nil {
		return err
	}
	basis := fmt.Sprintf("Weibull, %d of %d ended, likelihood-ratio limits", w.data.failures, len(rows))
	for _, p := range shares {
		v, low, high := w.Quantile(p)
		r.add(fmt.Sprintf("%s that %g %% do not reach", what, 100*p), group, unit, v, low, high, basis)
	}
	r.add("shape", group, "", w.Shape, w.ShapeLow, w.ShapeHigh, basis)
	scale, low, high := w.Quantile(1 - math.Exp(-1))
	r.add("scale", group, unit, scale, low, high, basis)
	if w.data.failures < 5 {
		r.note("%d ends are few; the limits are approximate.", w.data.failures)
	}
	r.Axes = WeibullAxes
	r.Series = append(r.Series, w.plotted(values, failed, word, group, unit)...)
	return nil
}

// plotted gives the ends at their plotting positions, the values that were only exceeded on the fitted law, and the law. Positions are
// Benard's, (i − 0.3)/(n + 0.4), with ranks adjusted for what was exceeded before (L. G. Johnson, The Statistical Treatment of Fatigue
// Experiments, 1964; from memory).
func (w *Weibull) plotted(values []float64, failed []bool, word, group, unit string) []Series {
	name := func(what string) string { return strings.TrimSpace(group + " " + what) }
	ends := Series{Name: name(word), X: unit, Y: "share", Draw: Points}
	exceeded := Series{Name: name("only exceeded"), X: unit, Y: "share", Draw: Open}
	law := Series{Name: name("fitted law"), X: unit, Y: "share"}
	share := func(x float64) float64 { return -math.Expm1(-math.Pow(x/w.Scale, w.Shape)) }
	order := all(len(values))
	// Ends before what was exceeded at the same value: it had lived to see them.
	sort.SliceStable(order, func(i, j int) bool {
		a, b := order[i], order[j]
		return values[a] < values[b] || values[a] == values[b] && failed[a] && !failed[b]
	})
	n, rank := float64(len(values)), 0.0
	for place, i := range order {
		if !failed[i] {
			exceeded.Points = append(exceeded.Points, [2]float64{values[i], share(values[i])})
			continue
		}
		rank += (n + 1 - rank) / (n + 1 - float64(place))
		ends.Points = append(ends.Points, [2]float64{values[i], (rank - 0.3) / (n + 0.4)})
	}
	low, high := math.Log(values[order[0]]), math.Log(values[order[len(order)-1]])
	low, high = low-.1*(high-low)-.05, high+.1*(high-low)+.05
	for k := range 41 {
		x := math.Exp(low + (high-low)*float64(k)/40)
		law.Points = append(law.Points, [2]float64{x, share(x)})
	}
	if exceeded.Points == nil {
		return []Series{ends, law}
	}
	return []Series{ends, exceeded, law}
}
