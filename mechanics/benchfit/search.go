package benchfit

import (
	"context"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
)

// The parameters, in the order of [factors].
const (
	pMoment = iota
	pClosing
	pSideways
	pArms
	pFriction
	pStretch
	parameters
)

// coordinates are what the fit moves: one more than the logarithm of a factor, so that none is near 0, where no step is small beside
// it; friction itself; stretch in mm/N.
var coordinates = [parameters]struct {
	of  func(factors) float64
	set func(*factors, float64)
}{
	{func(p factors) float64 { return 1 + math.Log(p.moment) }, func(p *factors, b float64) { p.moment = math.Exp(b - 1) }},
	{func(p factors) float64 { return 1 + math.Log(p.closing) }, func(p *factors, b float64) { p.closing = math.Exp(b - 1) }},
	{func(p factors) float64 { return 1 + math.Log(p.sideways) }, func(p *factors, b float64) { p.sideways = math.Exp(b - 1) }},
	{func(p factors) float64 { return 1 + math.Log(p.arms) }, func(p *factors, b float64) { p.arms = math.Exp(b - 1) }},
	{func(p factors) float64 { return p.friction }, func(p *factors, b float64) { p.friction = b }},
	{func(p factors) float64 { return 1e3 * p.stretch }, func(p *factors, b float64) { p.stretch = b / 1e3 }},
}

// search is a fit under way.
type search struct {
	finger   *finger
	curves   []Curve
	start    factors
	begin    []float64
	place    [parameters]int // of a parameter among the coefficients; −1: it is not fitted
	zeros    []int           // of each curve's zero among the coefficients; −1: it is taken as right
	readings int
	scatter  []float64 // standard deviation of each curve's readings, in the unit of y
	freedom  []float64 // degrees of freedom that each scatter rests on
}

func (s *search) factors(b []float64) factors {
	p := s.start
	for k, at := range s.place {
		if at >= 0 {
			coordinates[k].set(&p, b[at])
		}
	}
	return p
}

// setZeros gives the curves the zeros that the coefficients say; a travel is stretched by the tension of its own record.
func (s *search) setZeros(b []float64) {
	loose := map[string]float64{}
	for i := range s.curves {
		c := &s.curves[i]
		if at := s.zeros[i]; at >= 0 {
			c.zero = (b[at] - 1) * zeroScale(c)
		}
		if c.Kind == Tension {
			loose[c.From] = c.zero
		}
	}
	for i := range s.curves {
		if c := &s.curves[i]; c.Kind == Travel {
			c.loose = loose[c.From]
		}
	}
}

// zeroScale is what a zero is counted in.
func zeroScale(c *Curve) float64 {
	if c.Kind == Tension {
		return largest(c.X)
	}
	return largest(c.Y)
}

// Readings and different places that a curve must have for its zero to be told beside its rise.
const (
	leastForZero  = 5
	placesForZero = 3
)

// hasZero says that the zero of such a curve is the bench's, and told by its readings: that of travel, of the load cell of a push, and
// the angle at which a tendon begins to pull. Without pressure nothing bends or pushes.
func hasZero(c *Curve) bool {
	if !c.Kind.Tendon() && c.bowed == nil || len(c.X) < leastForZero {
		return false
	}
	places := map[float64]bool{}
	for _, x := range c.X {
		if places[x] = true; len(places) >= placesForZero {
			return true
		}
	}
	return false
}

// predicted fills y with all curves' predictions over their scatters, one behind the other.
func (s *search) predicted(b, y []float64) {
	p, k := s.factors(b), 0
	s.setZeros(b)
	for i := range s.curves {
		n := len(s.curves[i].X)
		s.finger.predict(&s.curves[i], p, y[k:k+n])
		for j := range n {
			y[k+j] /= s.scatter[i]
		}
		k += n
	}
}

// firstFriction is where a search begins that has none described: without friction stretch and arms look alike.
const firstFriction = 0.05

// newSearch prepares the fit of what the curves tell.
func newSearch(f *finger, curves []Curve, start factors, told told) *search {
	s := &search{finger: f, curves: append([]Curve(nil), curves...), start: start}
	for k := range parameters {
		s.place[k] = -1
		if told.on[k] {
			s.place[k] = len(s.begin)
			b := coordinates[k].of(start)
			if k == pFriction && b == 0 {
				b = firstFriction
			}
			s.begin = append(s.begin, b)
		}
	}
	for i := range curves {
		s.readings += len(curves[i].X)
		s.scatter = append(s.scatter, largest(curves[i].Y))
		s.zeros = append(s.zeros, -1)
		if hasZero(&curves[i]) {
			s.zeros[i] = len(s.begin)
			s.begin = append(s.begin, 1)
		}
	}
	return s
}

// How often at most scatters and coefficients are found in turn, when the scatters stand still, and the least scatter as a share of
// a curve's largest reading, so that a curve that is met exactly does not count for ever.
const (
	mostTurns    = 30
	stillScatter = 1e-6
	leastScatter = 1e-4
	leastFreedom = 0.5
)

// run fits coefficients and scatters in turn: each curve's scatter is its residual sum of squares over its readings less the
// leverages that the coefficients take of them.
func (s *search) run(ctx context.Context) (*leastsquares.Fit, error) {
	var fit *leastsquares.Fit
	model := leastsquares.Model{Readings: s.readings, Residual: func(b, r []float64) {
		s.predicted(b, r)
		k := 0
		for i := range s.curves {
			for _, y := range s.curves[i].Y {
				r[k] = y/s.scatter[i] - r[k]
				k++
			}
		}
	}}
	b := s.begin
	for range mostTurns {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		next, err := leastsquares.Nonlinear(model, b)
		if err != nil && fit != nil {
			break // readings without noise: the turn before met them to rounding
		}
		if err != nil {
			return nil, err
		}
		fit = next
		b = fit.Coefficients
		if s.rescale(fit) < stillScatter {
			break
		}
	}
	return fit, nil
}

// rescale sets the scatters by a fit's residuals and returns the largest relative change.
func (s *search) rescale(fit *leastsquares.Fit) (change float64) {
	rows := s.sensitivities(fit.Coefficients)
	s.freedom = make([]float64, len(s.curves))
	k := 0
	for i := range s.curves {
		n, rss, leverage := len(s.curves[i].X), 0.0, 0.0
		for range n {
			rss += fit.Residuals[k] * fit.Residuals[k]
			leverage += fit.Leverage(rows[k])
			k++
		}
		s.freedom[i] = float64(n) - leverage
		if s.freedom[i] < leastFreedom {
			s.freedom[i] = 0
			continue
		}
		now := math.Max(s.scatter[i]*math.Sqrt(rss/s.freedom[i]), leastScatter*largest(s.curves[i].Y))
		change = math.Max(change, math.Abs(now/s.scatter[i]-1))
		s.scatter[i] = now
	}
	return change
}

// sensitivities returns how each prediction over its scatter changes with the coefficients.
func (s *search) sensitivities(b []float64) [][]float64 {
	const step = 1e-5
	rows := make([][]float64, s.readings)
	for k := range rows {
		rows[k] = make([]float64, len(b))
	}
	up, down := make([]float64, s.readings), make([]float64, s.readings)
	moved := append([]float64(nil), b...)
	for j := range b {
		moved[j] = b[j] + step
		s.predicted(moved, up)
		moved[j] = b[j] - step
		s.predicted(moved, down)
		moved[j] = b[j]
		for k := range rows {
			rows[k][j] = (up[k] - down[k]) / (2 * step)
		}
	}
	return rows
}

// limits returns half the width of each parameter's interval: on the logarithm of a factor, on friction, and on stretch in m/N; NaN
// where a curve that it hangs on has no readings to spare, or it is not fitted.
func (s *search) limits(fit *leastsquares.Fit, level float64) (half [parameters]float64) {
	rows := s.sensitivities(fit.Coefficients)
	n := len(fit.Coefficients)
	unit := make([]float64, n)
	inverse := func(i, j int) float64 { // of JᵀJ at the scatters, by polarisation
		clear(unit)
		unit[i]++
		unit[j]++
		if i == j {
			return fit.Leverage(unit) / 4
		}
		both := fit.Leverage(unit)
		unit[j] = 0
		one := fit.Leverage(unit)
		unit[i], unit[j] = 0, 1
		return (both - one - fit.Leverage(unit)) / 2
	}
	for k, at := range s.place {
		half[k] = math.NaN()
		if at < 0 {
			continue
		}
		column := make([]float64, n)
		for j := range n {
			column[j] = inverse(at, j)
		}
		variance, squares, row := 0.0, 0.0, 0
		for i := range s.curves {
			part := 0.0 // of the variance, from the scatter of this curve
			for range s.curves[i].X {
				d := 0.0
				for j, v := range rows[row] {
					d += column[j] * v
				}
				part += d * d
				row++
			}
			variance += part
			switch {
			case s.freedom[i] > 0:
				squares += part * part / s.freedom[i]
			case part > 1e-9*column[at]:
				variance = math.NaN()
			}
		}
		half[k] = numeric.StudentQuantile((1+level)/2, variance*variance/squares) * math.Sqrt(variance)
	}
	half[pStretch] /= 1e3
	return half
}

// stretchHidden says that the fitted stretch may be anything: its standard error alone draws a quarter of the travel.
func (s *search) stretchHidden(fit *leastsquares.Fit) bool {
	var tension, travel float64
	for i := range s.curves {
		switch s.curves[i].Kind {
		case Tension:
			tension = math.Max(tension, largest(s.curves[i].Y))
		case Travel:
			travel = math.Max(travel, largest(s.curves[i].Y))
		}
	}
	return !(fit.SE[s.place[pStretch]]/1e3*tension < travel/4)
}
