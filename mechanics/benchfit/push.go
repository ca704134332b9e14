package benchfit

import (
	"fmt"
	"math"

	"holdfast/mechanics/hand"
)

// upright returns the finger at rest in its own frame.
func upright(chain *hand.Chain) *hand.State {
	s := chain.NewState()
	s.Base.Turn = hand.Turn{X: hand.Vec{X: 1}, Y: hand.Vec{Y: 1}, Z: hand.Vec{Z: 1}}
	s.Update()
	return s
}

// pushSteps is in how many steps of the square of the deflection the chain's force is found; between them it is a line.
const pushSteps = 24

// bow fills in by how much a pushed chain is stiffer, or softer, than at small deflections: a tip that is pushed across goes along
// an arc, so its lever shortens, and joints meet their stops. Springs scaled alike leave this as it is, so the description's will do.
func (f *finger) bow(c *Curve) error {
	if c.Kind != PushClosing && c.Kind != PushSideways {
		return nil
	}
	c.bowed = make([]float64, len(c.X))
	axis := 0
	if c.Kind == PushSideways {
		axis = 1
	}
	for _, opening := range []bool{false, true} {
		top := 0.0
		for i, x := range c.X {
			if c.opening(i) == opening {
				top = math.Max(top, math.Abs(x))
			}
		}
		if top == 0 {
			continue
		}
		ratios, err := f.pushed(axis, opening, top)
		if err != nil {
			return fmt.Errorf("%s: the described finger does not go as far as %.3g mm (%w); leave such readings out", c.label(), 1e3*top, err)
		}
		for i, x := range c.X {
			if c.opening(i) == opening {
				u := x * x / (top * top) * pushSteps
				k := min(int(u), pushSteps-1)
				c.bowed[i] = ratios[k] + (u-float64(k))*(ratios[k+1]-ratios[k])
			}
		}
	}
	for i, v := range c.bowed {
		if v == 0 { // no deflection, no force
			c.bowed[i] = 1
		}
	}
	return nil
}

// pushed returns the chain's force over that of small deflections at the roots of equal steps of the square up to top (m).
func (f *finger) pushed(axis int, opening bool, top float64) ([]float64, error) {
	s := upright(f.chain)
	last := f.chain.Joints() - 1
	_, rest, _ := s.Capsule(last)
	way := hand.Vec{X: -1}
	if opening {
		way.X = 1
	}
	if axis == 1 {
		way = hand.Vec{Y: 1}
	}
	soft := 0.0 // m/N
	for j, k := range f.stiffness {
		if k > 0 {
			soft += f.reach[j][axis] * f.reach[j][axis] / k
		}
	}
	ratios := []float64{1}
	for k := 1; k <= pushSteps; k++ {
		x := top * math.Sqrt(float64(k)/pushSteps)
		force, err := s.SettleBlocked(nil, nil, hand.Block{Link: last, Point: f.chain.Joint(last).Link.To, Direction: way, Position: rest.Dot(way) + x})
		if err != nil {
			return nil, err
		}
		ratios = append(ratios, force*soft/x)
	}
	return ratios, nil
}
