package pads

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/orient"
)

// Picture is what an array felt at one moment.
type Picture struct {
	Forces []float64 // N by pad, what pads pass to each other taken back; 0 for pads that can not be read
	Errors []float64 // N, standard errors by the pads' noise
	Beyond []int     // pads pressed harder than they were calibrated: their force is extrapolated

	slopes []float64 // per N, of the responses where they are
}

// Picture turns one frame of readings into forces.
func (c *Calibration) Picture(readings []float64) (Picture, error) {
	n := len(c.Pads)
	if len(readings) != n {
		return Picture{}, fmt.Errorf("%d readings for an array of %d pads", len(readings), n)
	}
	p := Picture{Forces: make([]float64, n), Errors: make([]float64, n), slopes: make([]float64, n)}
	for i := range c.Pads {
		pad := &c.Pads[i]
		if !pad.reads() {
			continue
		}
		change, variance := 0.0, 0.0
		for k, r := range readings {
			if math.IsNaN(r) || math.IsInf(r, 0) {
				return Picture{}, fmt.Errorf("pad %d: the reading is not a finite number", k+1)
			}
			w := c.inverse.At(i, k)
			change += w * (r - c.Pads[k].Offset)
			variance += w * w * c.Pads[k].Noise * c.Pads[k].Noise
		}
		p.Forces[i], p.slopes[i] = pad.force(change)
		if !(math.Abs(p.Forces[i]) <= mostForce) {
			return Picture{}, fmt.Errorf("pad %d: the reading %g is far beyond what was calibrated", i+1, readings[i])
		}
		p.Errors[i] = math.Sqrt(variance) / p.slopes[i]
		if p.Forces[i] > pad.Most {
			p.Beyond = append(p.Beyond, i)
		}
	}
	return p, nil
}

// mostForce (N) is more than any pad stands.
const mostForce = 1e6

// force inverts the response, and says how steep it is there (per N). Beyond a parabola's top it goes on straight from the
// largest force of the calibration.
func (r *Response) force(change float64) (force, slope float64) {
	if r.Bend == 0 {
		return change / r.Gain, math.Abs(r.Gain)
	}
	// Where change/gain is below nothing, the line at 0 goes on: noise about nothing must not be bent.
	if change/r.Gain < 0 {
		return change / r.Gain, math.Abs(r.Gain)
	}
	if top := r.Gain*r.Most + r.Bend*r.Most*r.Most; change/top > 1 {
		steep := r.Gain + 2*r.Bend*r.Most
		return r.Most + (change-top)/steep, math.Abs(steep)
	}
	// The root that goes to change/gain as the bend goes to nothing, in the form that does not cancel.
	root := math.Sqrt(r.Gain*r.Gain + 4*r.Bend*change)
	return 2 * change / (r.Gain + math.Copysign(root, r.Gain)), root
}

// Contact is a place where neighbouring pads feel something.
type Contact struct {
	Pads   []int
	Force  float64     // N
	Error  float64     // N, standard error by noise
	Centre orient.Vec3 // m, of the pads' places weighted by force
	Away   orient.Vec3 // m, standard error of the centre along each axis by noise
	Across float64     // m², covariance of the errors of the centre's x and y by noise
	Radius float64     // m, root of the mean squared distance from the centre, weighted by force
	// Blind says that a pad that can not be read lies beside one of these: centre and force may miss what it would have felt.
	Blind bool
}

// Array is a calibrated array whose pads' places are known.
type Array struct {
	*Calibration
	Places []orient.Vec3 // m
	Reach  float64       // m: pads nearer than this are neighbours
}

// NewArray places the pads. Neighbours are pads within 1.5 times the smallest distance from each pad to its next, taken at the
// middle of all, so that a square grid's diagonals count and its second neighbours do not.
func NewArray(c *Calibration, places []orient.Vec3) (*Array, error) {
	if len(places) != len(c.Pads) {
		return nil, fmt.Errorf("%d places for %d pads", len(places), len(c.Pads))
	}
	a := &Array{Calibration: c, Places: places}
	var nearest []float64
	for i, p := range places {
		least := math.Inf(1)
		for k, q := range places {
			if k != i {
				least = math.Min(least, p.Add(q.Scale(-1)).Norm())
			}
		}
		if least == 0 {
			return nil, fmt.Errorf("pad %d lies where another one lies", i+1)
		}
		nearest = append(nearest, least)
	}
	if len(places) > 1 {
		a.Reach = 1.5 * median(nearest)
	}
	return a, nil
}

// Threshold returns how many standard errors a pad's force must stand above nothing so that, with pads that feel nothing, a
// frame shows a contact with no more than the given chance (Šidák's bound for pads whose noise is independent).
func Threshold(pads int, chance float64) float64 {
	return -numeric.NormalQuantile(-math.Expm1(math.Log1p(-chance) / float64(pads)))
}

// Contacts gathers the pads that feel something into contacts, in the order of their first pads. threshold is in standard
// errors, see [Threshold].
func (a *Array) Contacts(p Picture, threshold float64) []Contact {
	n := len(a.Pads)
	seen := make([]bool, n)
	felt := func(i int) bool { return p.Forces[i] > threshold*p.Errors[i] && p.Forces[i] > 0 }
	var list []Contact
	for first := range n {
		if seen[first] || !felt(first) {
			continue
		}
		group := []int{first}
		seen[first] = true
		blind := false
		for at := 0; at < len(group); at++ {
			for k := range n {
				if k == group[at] || a.Places[k].Add(a.Places[group[at]].Scale(-1)).Norm() > a.Reach {
					continue
				}
				blind = blind || !a.Pads[k].reads()
				if !seen[k] && felt(k) {
					seen[k] = true
					group = append(group, k)
				}
			}
		}
		c := a.gather(p, group)
		c.Blind = blind
		list = append(list, c)
	}
	return list
}

// gather weighs the pads of one contact. Errors are those of first order, from the noise of each reading: taking back what
// pads pass to each other makes their forces err together.
func (a *Array) gather(p Picture, group []int) Contact {
	c := Contact{Pads: group}
	for _, i := range group {
		c.Force += p.Forces[i]
		c.Centre = c.Centre.Add(a.Places[i].Scale(p.Forces[i]))
	}
	c.Centre = c.Centre.Scale(1 / c.Force)
	spread := 0.0
	for _, i := range group {
		d := a.Places[i].Add(c.Centre.Scale(-1))
		spread += p.Forces[i] * d.Dot(d)
	}
	c.Radius = math.Sqrt(spread / c.Force)
	for k := range a.Pads {
		force, centre := 0.0, orient.Vec3{}
		for _, i := range group {
			w := a.inverse.At(i, k) / p.slopes[i] * a.Pads[k].Noise
			force += w
			centre = centre.Add(a.Places[i].Add(c.Centre.Scale(-1)).Scale(w / c.Force))
		}
		c.Error += force * force
		for axis, w := range centre {
			c.Away[axis] += w * w
		}
		c.Across += centre[0] * centre[1]
	}
	c.Error = math.Sqrt(c.Error)
	for axis := range c.Away {
		c.Away[axis] = math.Sqrt(c.Away[axis])
	}
	return c
}
