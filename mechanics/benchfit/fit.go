package benchfit

import (
	"context"
	"errors"
	"fmt"
	"math"

	"holdfast/mechanics/trialsim"
	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
)

// Quantity is one of the hand's numbers, as it was described and as the bench has it.
type Quantity struct {
	Name, Unit string
	Described  float64 // NaN: the description has no such number of a single finger
	Fitted     float64
	Low, High  float64 // limits of the fitted value; NaN: the readings are too few
	Placed     bool    // it stands in the fitted hand
}

// Unknown is a number that the readings do not tell; it stays as described.
type Unknown struct {
	Name string `json:"name"`
	Why  string `json:"why"`
}

// Shown is a curve with what the description and the fitted hand say at its places.
type Shown struct {
	Curve
	Described, Fitted []float64
}

// Misfit returns how far the description and the fitted hand are from the readings: root of the mean square, in the unit of y.
func (s *Shown) Misfit() (described, fitted float64) {
	for i, y := range s.Y {
		described += (y - s.Described[i]) * (y - s.Described[i])
		fitted += (y - s.Fitted[i]) * (y - s.Fitted[i])
	}
	n := float64(len(s.Y))
	return math.Sqrt(described / n), math.Sqrt(fitted / n)
}

// Result is a hand brought to its bench.
type Result struct {
	Hand       *trialsim.Hand // the fitted one; the one handed in is not changed
	Finger     string         // name of the finger that was measured
	Quantities []Quantity
	Unknowns   []Unknown
	Curves     []Shown
	Level      float64
	Notes      []string
}

// Fit finds the factors that the curves of a finger (from 0) tell, by least squares in which each curve counts by its own scatter.
// Limits at the level (0…1) are Student's with the degrees of freedom of F. E. Satterthwaite, Biometrics Bulletin 2 (1946) 110
// (from memory), on the logarithm of a factor, on the number itself for friction and stretch. They hold for readings whose errors
// are independent; the loop of a finger that is pushed and let back counts as scatter and makes them wider than need be. Curves that do not belong to
// the hand, or tell nothing, are errors; so is a context that ends.
func Fit(ctx context.Context, h *trialsim.Hand, at int, curves []Curve, level float64) (*Result, error) {
	f, start, err := view(h, at)
	if err != nil {
		return nil, err
	}
	if !(level > 0 && level < 1) {
		return nil, fmt.Errorf("the level must lie between 0 and 1, not %g", level)
	}
	curves = append([]Curve(nil), curves...)
	for i := range curves {
		if err := f.check(&curves[i], start); err != nil {
			return nil, err
		}
		if err := f.bow(&curves[i]); err != nil {
			return nil, err
		}
		if err := f.follows(&curves[i], start); err != nil {
			return nil, err
		}
	}
	told := f.told(curves)
	if !told.any() {
		return nil, errors.New("no curve tells a number of this hand; give free bending and blocked force, a tendon's record, or pushes of the tip")
	}
	s := newSearch(&f, curves, start, told)
	found, err := s.run(ctx)
	if ctx.Err() == nil && told.on[pStretch] && (err != nil || s.stretchHidden(found)) {
		// Two tensions nearly alike at one angle do not tell stretch from arms.
		told.on[pStretch] = false
		told.why[pStretch] = "the tension is too nearly the same both ways, so that stretch can not be told from the arms"
		s = newSearch(&f, curves, start, told)
		found, err = s.run(ctx)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, fmt.Errorf("the curves do not tell these numbers apart (%w); add a test of another kind or more readings", err)
	}
	r := &Result{Level: level, Finger: f.name}
	raw := s.factors(found.Coefficients)
	half := s.limits(found, level)
	p := raw
	p.friction, p.stretch = math.Max(0, raw.friction), math.Max(0, raw.stretch)
	if raw.friction < 0 {
		r.Notes = append(r.Notes, "The tendon's tension is the larger one while it is let back, which no friction does; friction is set to 0.")
	}
	placed := p
	if told.on[pStretch] && (f.shared || !(raw.stretch-half[pStretch] > 0)) {
		placed.stretch = start.stretch
	}
	s.setZeros(found.Coefficients)
	r.quantities(&f, start, raw, placed, told, half)
	r.unknowns(&f, told)
	for i := range curves {
		c := Shown{Curve: curves[i], Described: make([]float64, len(curves[i].X)), Fitted: make([]float64, len(curves[i].X))}
		f.predict(&curves[i], start, c.Described)
		f.predict(&s.curves[i], p, c.Fitted)
		r.Curves = append(r.Curves, c)
	}
	if told.on[pFriction] && f.sheathed {
		r.Notes = append(r.Notes, "The description names no curve that the tendon rubs around; half a turn before each finger is taken, and friction times curve is what counts.")
	}
	if told.on[pMoment] && f.unfilled {
		r.Notes = append(r.Notes, "Chambers that open the finger or bend it aside are taken to have been without pressure; their moments get the factor of those that close it.")
	}
	r.contradictions()
	r.zeros(s, found)
	for i := range r.Curves {
		c := &r.Curves[i]
		if _, left := c.Misfit(); c.bowed != nil && left > loopShown*largest(c.Y) {
			r.Notes = append(r.Notes, "Springs have no loop between pushing and letting back: the fitted curve of a push runs through the middle of its readings, and what is left of the misfit is the loop or scatter.")
			break
		}
	}
	r.Notes = append(r.Notes, "The finger that was measured stands for all: its factors are put on every finger, and damping keeps its share of the stiffness. The limits are of the piece that was measured; other pieces of the hand differ by more.")
	r.Hand, err = apply(h, placed, start, told)
	return r, err
}

// loopShown is the misfit of a push, as a share of its largest force, from which on its loop is spoken of.
const loopShown = 0.02

// check refuses curves that the finger has no part for, and readings that are none.
func (f *finger) check(c *Curve, start factors) error {
	if len(c.X) == 0 || len(c.X) != len(c.Y) || c.Opening != nil && len(c.Opening) != len(c.X) {
		return fmt.Errorf("%s: %d places and %d readings; both must be there, and as many", c.label(), len(c.X), len(c.Y))
	}
	for i := range c.X {
		if math.IsNaN(c.X[i]+c.Y[i]) || math.IsInf(c.X[i]+c.Y[i], 0) {
			return fmt.Errorf("%s, reading %d: %g at %g is not finite", c.label(), i+1, c.Y[i], c.X[i])
		}
	}
	if largest(c.X) == 0 {
		x, _, _, _ := c.Kind.Edge()
		return fmt.Errorf("%s: all readings are at a %s of 0", c.label(), x)
	}
	y := make([]float64, len(c.X))
	f.predict(c, start, y)
	for i, v := range y {
		if c.Kind == TipHeld && math.IsNaN(v) {
			return fmt.Errorf("%s, reading %d: at %.4g kPa the described finger would bend too far for its tip to be held; leave readings of such pressures out, or use a rail", c.label(), i+1, c.X[i]/1e3)
		}
	}
	if top := largest(y); !(top > 0) || math.IsInf(top, 0) {
		return fmt.Errorf("%s: the described finger has no part that does this", c.label())
	}
	if !(largest(c.Y) > 0) {
		return fmt.Errorf("%s: all readings are 0", c.label())
	}
	return nil
}

// follows refuses readings that do not go the way of the described finger's: no factor brings them there.
func (f *finger) follows(c *Curve, start factors) error {
	y := make([]float64, len(c.X))
	f.predict(c, start, y)
	n := float64(len(y))
	var product, sumY, sum float64
	for i, v := range y {
		product, sumY, sum = product+v*c.Y[i], sumY+c.Y[i], sum+v
	}
	switch {
	case !(product > 0):
		return fmt.Errorf("%s: the readings have the other sign than the described finger's; check the signs of both columns", c.label())
	case hasZero(c) && !(product-sumY*sum/n > 0):
		return fmt.Errorf("%s: the readings do not rise where the described finger's do; check the columns, and that each reading stands beside its place", c.label())
	}
	return nil
}

func largest(list []float64) (m float64) {
	for _, v := range list {
		m = math.Max(m, math.Abs(v))
	}
	return m
}

// A curve whose rise the fitted hand misses by more than this share, and by more than its own scatter about a line of that rise makes
// likely at this level, speaks against another curve.
const (
	mostContradiction  = 0.05
	contradictionLevel = 0.99
)

// contradictions notes the curves that the fitted hand does not follow although it has the numbers for it.
func (r *Result) contradictions() {
	for i := range r.Curves {
		c := &r.Curves[i]
		var along, square, meanY, mean float64
		if hasZero(&c.Curve) {
			for k, v := range c.Fitted {
				meanY, mean = meanY+c.Y[k]/float64(len(c.Y)), mean+v/float64(len(c.Y))
			}
		}
		for k, v := range c.Fitted {
			along, square = along+(v-mean)*(c.Y[k]-meanY), square+(v-mean)*(v-mean)
		}
		rise, left, freedom := along/square, 0.0, float64(len(c.Y)-1)
		if hasZero(&c.Curve) {
			freedom--
		}
		for k, v := range c.Fitted {
			d := c.Y[k] - meanY - rise*(v-mean)
			left += d * d
		}
		if freedom < 1 {
			continue
		}
		half := numeric.StudentQuantile((1+contradictionLevel)/2, freedom) * math.Sqrt(left/freedom/square)
		if d := math.Abs(rise - 1); d > mostContradiction && d > half {
			word := "more"
			if rise < 1 {
				word = "less"
			}
			r.Notes = append(r.Notes, fmt.Sprintf("The readings of %s rise by %.0f %% %s than the fitted hand's: they contradict the other tests, or the finger has another make than described. The limits do not cover this.", c.Kind, 100*d, word))
		}
	}
}

// A zero is told from this share of its curve's largest on, and from so many standard errors.
const (
	zeroShown = 0.01
	zeroSEs   = 3
)

// zeros notes where the bench's zeros are off.
func (r *Result) zeros(s *search, fit *leastsquares.Fit) {
	for i, at := range s.zeros {
		if at < 0 {
			continue
		}
		c := &s.curves[i]
		if off := math.Abs(fit.Coefficients[at] - 1); !(off > zeroShown) || !(off > zeroSEs*fit.SE[at]) {
			continue
		}
		switch c.Kind {
		case Tension:
			r.Notes = append(r.Notes, fmt.Sprintf("%s begins at %.3g°, not at 0: the tendon is loose or drawn beforehand. The fit allows for it; the description begins at 0.", c.head(), -c.zero*180/math.Pi))
		default:
			_, y, _, per := c.Kind.Edge()
			r.Notes = append(r.Notes, fmt.Sprintf("%s is off zero by %.3g (%s). The fit takes this as the bench's zero.", c.head(), per*c.zero, y))
		}
	}
}

// mostFactor is by how much a number may be off its description before its units are in doubt: degrees for radians are a factor of
// 57, bar or MPa for kPa and metres for millimetres of 100 and 1000 (common practice, no source).
const mostFactor = 30

// quantities tells factors as numbers of the finger.
func (r *Result) quantities(f *finger, was, now, placed factors, told told, half [parameters]float64) {
	scaled := func(k int, name, unit string, described, factor float64) {
		if told.on[k] {
			spread := math.Exp(half[k])
			r.Quantities = append(r.Quantities, Quantity{Name: name, Unit: unit, Described: described, Fitted: described * factor,
				Low: described * factor / spread, High: described * factor * spread, Placed: true})
			if math.Abs(math.Log(factor)) > math.Log(mostFactor) {
				r.Notes = append(r.Notes, fmt.Sprintf("The %s comes out %.3g times as described. Check the units of the readings and of the description before this is believed.", name, factor))
			}
		}
	}
	plain := func(k int, name, unit string, per, described, value float64, placed bool) {
		if told.on[k] {
			r.Quantities = append(r.Quantities, Quantity{Name: name, Unit: unit, Described: per * described, Fitted: per * math.Max(0, value),
				Low: per * math.Max(0, value-half[k]), High: per * math.Max(0, value+half[k]), Placed: placed})
		}
	}
	moment := 0.0
	for j, t := range f.torque {
		if f.bends[j] == closes && t != 0 {
			moment = t
			break
		}
	}
	scaled(pMoment, "moment per pressure", "N mm/kPa", moment*1e6, now.moment)
	scaled(pClosing, "stiffness against closing, all joints in series", "N mm/rad", 1e3/f.compliance(was, closes), now.closing)
	scaled(pSideways, "stiffness sideways, all joints in series", "N mm/rad", 1e3/f.compliance(was, sideways), now.sideways)
	if turn, travel := f.turnPerForce(was, false); turn != 0 {
		scaled(pArms, "tendon travel per angle", "mm/rad", 1e3*travel/turn, now.arms)
	}
	plain(pFriction, "friction of the tendon", "", 1, was.friction, now.friction, true)
	described := was.stretch
	if f.shared {
		described = math.NaN()
	}
	plain(pStretch, "stretch of the finger's tendon", "mm/N", 1e3, described, now.stretch, placed.stretch == now.stretch)
}
