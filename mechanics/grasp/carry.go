package grasp

import (
	"errors"
	"fmt"
	"math"
)

// ErrCannotCarry is wrapped by errors about a load that no contact forces within friction carry, however hard the hand
// squeezes or, where normal forces are limited, as hard as it may.
var ErrCannotCarry = errors.New("the grasp cannot carry the load")

// Hold is a set of contact forces that carries a load. It is one of possibly many; forces that compliant fingers really
// give depend on their stiffness and on how the grasp came about.
type Hold struct {
	Factor float64 // of Payload: how many times the asked load. Of Squeeze: the normal force, N, as the sharing counts it
	Forces []Force // by contact
	Gap    float64 // relative: the width between the value and the proof that none is better, or what balance lacks if that is more
}

// outside, as a share of a load, is what may stick out of the span of the contacts by rounding.
const outside = 1e-9

// Payload returns how many times a load can be added to a base load before the contacts slip or need a normal force
// above its limit (N, by contact). Loads are external: what gravity, the robot's acceleration or a person does to the
// item. The true cones make this a second-order cone programme, pyramids a linear one (DESIGN.md, eq. 10).
func (g *Grasp) Payload(load, base Wrench, normal []float64, limits Limits) (Hold, error) {
	if err := limits.validate(); err != nil {
		return Hold{}, err
	}
	if len(normal) != len(g.Contacts) {
		return Hold{}, fmt.Errorf("%d limits of normal forces for %d contacts; give one for each", len(normal), len(g.Contacts))
	}
	unit := 0.0
	for i, n := range normal {
		if !(n >= 0) || math.IsInf(n, 0) {
			return Hold{}, fmt.Errorf("the normal force of contact %d is limited to %g N; it must be 0 or more and finite", i+1, n)
		}
		unit = math.Max(unit, n)
	}
	add, size, err := g.load(load)
	if err != nil {
		return Hold{}, err
	}
	if size == 0 {
		return Hold{}, fmt.Errorf("the load to add is nothing; give a force or a torque")
	}
	borne, _, err := g.load(base)
	if err != nil {
		return Hold{}, err
	}
	if !g.within(borne) {
		return Hold{}, fmt.Errorf("%w: the base load pushes where no contact holds", ErrCannotCarry)
	}
	if unit == 0 {
		if borne != ([6]float64{}) {
			return Hold{}, fmt.Errorf("%w: no contact may press", ErrCannotCarry)
		}
		return Hold{Forces: make([]Force, len(g.Contacts))}, nil
	}
	if !g.within(add) {
		// Nothing can be added, but what is there must still be carried.
		h, err := g.Squeeze(base, Each, limits)
		if err == nil && !(h.Factor <= unit) {
			err = ErrCannotCarry
		}
		h.Factor = 0
		return h, err
	}
	scale(&add, 1/size)
	scale(&borne, 1/unit)
	p := &program{rows: g.rank}
	for _, n := range normal {
		if n > 0 {
			p.rows++
		}
	}
	p.b = make([]float64, p.rows)
	g.project(&borne, p.b, -1)
	row := g.rank
	bounds := make([]int, len(normal))
	for i, n := range normal {
		bounds[i] = -1
		if n > 0 {
			bounds[i], p.b[row] = row, n/unit
			row++
		}
	}
	body := g.body(Each, limits)
	g.contacts(p, body, bounds, 0)
	for _, r := range bounds {
		if r >= 0 {
			slack := make([]float64, p.rows)
			slack[r] = 1
			p.add([]float64{0}, slack)
		}
	}
	column := make([]float64, p.rows)
	g.project(&add, column, 1)
	p.add([]float64{-1}, column)
	s, err := p.solve()
	switch {
	case err != nil:
		return Hold{}, err
	case s.verdict == infeasible:
		return Hold{}, fmt.Errorf("%w: the base load alone needs more normal force or friction", ErrCannotCarry)
	case s.verdict == unbounded:
		return Hold{}, ErrUndecided
	}
	return Hold{Factor: -s.value * unit / size, Forces: g.forces(s.x, body, bounds, unit), Gap: s.gap}, nil
}

// Squeeze returns the smallest normal force that carries a load: of all contacts together (Total), or of the one that
// presses most (Each). It wraps ErrCannotCarry when squeezing harder does not help.
func (g *Grasp) Squeeze(load Wrench, sharing Sharing, limits Limits) (Hold, error) {
	if err := limits.validate(); err != nil {
		return Hold{}, err
	}
	if sharing > Each {
		return Hold{}, fmt.Errorf("sharing %d does not exist", sharing)
	}
	w, size, err := g.load(load)
	if err != nil {
		return Hold{}, err
	}
	if size == 0 {
		return Hold{Forces: make([]Force, len(g.Contacts))}, nil
	}
	if !g.within(w) {
		return Hold{}, fmt.Errorf("%w: it pushes where no contact holds", ErrCannotCarry)
	}
	scale(&w, 1/size)
	p := &program{rows: g.rank}
	bounds := make([]int, len(g.Contacts))
	cost := 1.0
	if sharing == Each {
		cost = 0
		p.rows += len(bounds)
	}
	for i := range bounds {
		if sharing == Each {
			bounds[i] = g.rank + i
		}
	}
	p.b = make([]float64, p.rows)
	g.project(&w, p.b, -1)
	body := g.body(sharing, limits)
	if sharing == Total {
		none := make([]int, len(bounds))
		for i := range none {
			none[i] = p.rows // beyond the rows: unbounded, but part of the programme
		}
		bounds = none
	}
	g.contacts(p, body, bounds, cost)
	if sharing == Each {
		largest := make([]float64, p.rows)
		for _, r := range bounds {
			slack := make([]float64, p.rows)
			slack[r], largest[r] = 1, -1
			p.add([]float64{0}, slack)
		}
		p.add([]float64{1}, largest)
	}
	s, err := p.solve()
	switch {
	case err != nil:
		return Hold{}, err
	case s.verdict == infeasible:
		return Hold{}, fmt.Errorf("%w: friction does not give the force, squeezing harder makes it slip more", ErrCannotCarry)
	case s.verdict == unbounded:
		return Hold{}, ErrUndecided
	}
	return Hold{Factor: s.value * size, Forces: g.forces(s.x, body, bounds, size), Gap: s.gap}, nil
}

// Worst returns which of several loads has the smallest payload over the base load, and that payload.
func (g *Grasp) Worst(loads []Wrench, base Wrench, normal []float64, limits Limits) (index int, worst Hold, err error) {
	if len(loads) == 0 {
		return 0, Hold{}, fmt.Errorf("no loads to compare")
	}
	worst.Factor = math.Inf(1)
	for i := range loads {
		h, err := g.Payload(loads[i], base, normal, limits)
		if err != nil {
			return i, Hold{}, fmt.Errorf("load %d: %w", i+1, err)
		}
		if h.Factor < worst.Factor {
			index, worst = i, h
		}
	}
	return index, worst, nil
}

// load packs a wrench and measures it.
func (g *Grasp) load(w Wrench) (packed [6]float64, size float64, err error) {
	for r := range 3 {
		if t := w.Force[r] + w.Torque[r]; math.IsNaN(t) || math.IsInf(t, 0) {
			return packed, 0, fmt.Errorf("a load must be finite numbers, not %v", w)
		}
	}
	if g.planar && (w.Force[2] != 0 || w.Torque[0] != 0 || w.Torque[1] != 0) {
		return packed, 0, fmt.Errorf("a planar grasp knows loads in its plane alone, not %v", w)
	}
	packed = g.scaled(w)
	return packed, math.Sqrt(dot6(&packed, &packed)), nil
}

// within says whether the contacts span a wrench at all.
func (g *Grasp) within(w [6]float64) bool {
	size := dot6(&w, &w)
	g.square(&w)
	return dot6(&w, &w) <= outside*outside*size
}

// project writes k times the components of a wrench in the contacts' span.
func (g *Grasp) project(w *[6]float64, to []float64, k float64) {
	for r := range g.rank {
		to[r] = k * dot6(&g.span[r], w)
	}
}

// contacts adds the contact forces to a programme, each normal force at a cost. bounds holds by contact the row that
// its normal force counts in; −1 leaves the contact out, and a row beyond the programme's bounds nothing.
func (g *Grasp) contacts(p *program, b *body, bounds []int, cost float64) {
	for i, row := range bounds {
		if row < 0 {
			continue
		}
		column := func(w *[6]float64, normal float64) []float64 {
			c := make([]float64, p.rows)
			g.project(w, c, 1)
			if row < p.rows {
				c[row] = normal
			}
			return c
		}
		if b.corners != nil {
			for j := range b.corners[i] {
				p.add([]float64{cost}, column(&b.corners[i][j], 1))
			}
			continue
		}
		k := &g.cones[i]
		costs, columns := []float64{cost}, [][]float64{column(&k.axis, 1)}
		for j := range k.q {
			costs, columns = append(costs, 0), append(columns, column(&k.spread[j], 0))
		}
		p.add(costs, columns...)
	}
}

// forces reads the contact forces out of a solution.
func (g *Grasp) forces(x []float64, b *body, bounds []int, unit float64) []Force {
	f := make([]Force, len(g.Contacts))
	o := 0
	for i, row := range bounds {
		if row < 0 {
			continue
		}
		k := &g.cones[i]
		var n float64
		var v [3]float64
		if b.corners != nil {
			for j := range b.corners[i] {
				n += x[o]
				for r := range v {
					v[r] += x[o] * b.fixed[i][j][r]
				}
				o++
			}
		} else {
			n = x[o]
			o += 1 + copy(v[:k.q], x[o+1:o+1+k.q])
		}
		for r := range v {
			v[r] *= unit
		}
		f[i] = k.force(n*unit, v)
	}
	return f
}
