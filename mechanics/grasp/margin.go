package grasp

import (
	"fmt"
	"math"
)

// Margin is the largest-ball wrench margin ε: the length of the smallest wrench, torque over the grasp's length, that
// unit normal forces cannot resist. It is known to lie in [Lower, Upper]. A grasp without force closure has none: Upper
// is 0 or less, and −Upper is how far the origin lies at least outside of the wrenches.
type Margin struct {
	Lower, Upper float64
	Weakest      Wrench // the direction that reaches Upper, as a unit of force and torque over length
	Sharing      Sharing
	Limits       Limits
	Length       float64 // m
	Exact        bool    // Upper is ε to rounding
	Corners      int     // how many corners of the set of wrenches were looked at
}

// String gives the margin with its conventions.
func (m Margin) String() string {
	value := fmt.Sprintf("%.4g", m.Upper)
	if !m.Exact {
		value = fmt.Sprintf("%.4g to %.4g", m.Lower, m.Upper)
	}
	return fmt.Sprintf("%s (%s; %s; torque over %.4g mm)", value, m.Sharing, m.Limits, 1000*m.Length)
}

// Effort bounds the work of Margin for true cones, whose sets of wrenches have no finite number of corners.
type Effort struct {
	Gap    float64 // Upper − Lower, as a share of Upper, that is good enough
	Facets int     // the most facets to make, at about 0.2 µs each
}

// DefaultEffort brackets ε of a handful of contacts to about a per cent in milliseconds.
var DefaultEffort = Effort{Gap: 1e-3, Facets: 20000}

// pyramidFacets ends the search on pyramids, which ends by itself, before it fills the memory.
const pyramidFacets = 4 << 20

// Margin returns the largest-ball wrench margin. With pyramids it is exact; with true cones bracketed, as closely as
// the effort allows.
func (g *Grasp) Margin(sharing Sharing, limits Limits, effort Effort) (Margin, error) {
	return g.depth(sharing, limits, effort, false)
}

// Closure says whether the grasp has force closure: contact forces within friction resist every small wrench. The
// answer is a proof: either a polytope of contact wrenches around the origin, or, in Weakest of the margin, a direction
// in which no contact can push. Grasps within rounding (1e-12) of the limit count as not closed.
func (g *Grasp) Closure(limits Limits) (bool, Margin, error) {
	m, err := g.depth(Total, limits, Effort{Facets: pyramidFacets}, true)
	return m.Lower > 0, m, err
}

func (g *Grasp) depth(sharing Sharing, limits Limits, effort Effort, signOnly bool) (Margin, error) {
	m := Margin{Sharing: sharing, Limits: limits, Length: g.Length}
	if err := limits.validate(); err != nil {
		return m, err
	}
	if sharing > Each {
		return m, fmt.Errorf("sharing %d does not exist", sharing)
	}
	if !(effort.Gap >= 0) || effort.Facets < 1 {
		return m, fmt.Errorf("effort: a gap of %g and %d facets make no search; give a gap of 0 or more and at least 1 facet", effort.Gap, effort.Facets)
	}
	if limits.Edges != 0 {
		effort = Effort{Facets: pyramidFacets}
	}
	b := g.body(sharing, limits)
	var err error
	for _, shake := range [3]float64{0, 1e-12, 1e-10} {
		h := newHull(b.d, b.reach)
		h.shake = shake
		if limits.Edges == 0 && !signOnly {
			h.polish = b.polish
		}
		var d depth
		if d, err = h.depth(effort, signOnly); err == nil {
			m.Lower, m.Upper, m.Weakest, m.Exact, m.Corners = d.lower, d.upper, g.wrench(d.direction), d.exact, len(h.points)
			return m, nil
		}
	}
	return m, fmt.Errorf("the wrench margin could not be found: %w", err)
}

type depth struct {
	lower, upper float64
	direction    [6]float64
	exact        bool
}

// settledShare, of the body's size, is how far a body may reach over the lowest facet that counts as its own.
const settledShare = 1e-12

// depth finds the smallest reach of the body over all directions.
func (h *hull) depth(effort Effort, signOnly bool) (depth, error) {
	across, ok := h.start()
	if !ok {
		// A flat body: along the direction across it reaches nowhere, on neither side if the plane holds the origin.
		var at [6]float64
		d := depth{upper: h.reach(&across, &at), direction: across, exact: true}
		scale(&across, -1)
		if other := h.reach(&across, &at); other < d.upper {
			d.upper, d.direction = other, across
		}
		if math.Abs(d.upper) <= rankTolerance*h.size {
			d.upper = 0
		}
		d.lower = math.Min(d.upper, 0)
		return d, nil
	}
	best := depth{upper: math.Inf(1)}
	polished := 0
	for {
		id := h.lowest()
		f := h.facets[id]
		var at [6]float64
		up := h.reach(&f.normal, &at)
		if up < best.upper {
			best.upper, best.direction = up, f.normal
			polished = 0
		}
		// Polish what is new, and again wherever the search stands when it has seen twice as much.
		if h.polish != nil && up > 0 && len(h.points) >= 2*polished {
			polished = len(h.points)
			if u, reach := h.polish(f.normal); reach < best.upper {
				best.upper, best.direction = reach, u
			}
		}
		best.lower = math.Min(f.height-h.shake*h.size*math.Sqrt(float64(h.d)), best.upper)
		switch {
		case best.upper <= settledShare*h.size:
			best.lower = math.Min(best.lower, 0)
			if best.upper >= -settledShare*h.size {
				best.upper = 0
			}
			return best, nil
		case signOnly && best.lower > settledShare*h.size:
			return best, nil
		case up-f.height <= (settledShare+2*h.shake)*h.size:
			// The lowest facet is one of the body's own, so no direction reaches less.
			best.exact = true
			best.lower = best.upper
			return best, nil
		case best.upper-best.lower <= effort.Gap*best.upper, h.made > effort.Facets:
			return best, nil
		}
		if err := h.grow(id, at); err != nil {
			return best, err
		}
	}
}
