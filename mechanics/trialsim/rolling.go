package trialsim

import (
	"holdfast/mechanics/motion"
	"holdfast/orient"
)

// rolling is what keeps an item from rolling: about the two axes that lie in the surface it bears on, a torque of at most
// M_r = c_r·N with the coefficient c_r as a length. N is that of the step before, so the bound stands while the step is solved.
type rolling struct {
	load   float64     // N, of the hardest contact with what stands
	normal orient.Vec3 // of that contact
	j, b   [2][18]float64
	sides  [2]motion.Side
}

// stillness (rad/s) is the spin below which any two axes in the surface do.
const stillness = 1e-9

// solve finds the impulses of the step, with the rows of rolling behind those of the drive.
func (g *Stage) solve(h float64) (sweeps int, change float64) {
	coefficient := g.scene.Item.Rolling
	if coefficient == 0 {
		return g.solver.Solve(g.v, g.contacts, g.drive.rows)
	}
	g.rows = append(g.rows[:0], g.drive.rows...)
	for i := range g.items {
		it := &g.items[i]
		r := &it.rolling
		if r.load <= 0 {
			continue
		}
		first, second := motion.Tangents(r.normal)
		along := sub(it.Spin, r.normal.Scale(it.Spin.Dot(r.normal)))
		if size := along.Norm(); size > stillness {
			first = along.Scale(1 / size)
			second = r.normal.Cross(first)
		}
		most := h * coefficient * r.load
		for k, axis := range [2]orient.Vec3{first, second} {
			for m := range 3 {
				r.j[k][3+m], r.b[k][3+m] = axis[m], it.mobility[m].Dot(axis)
			}
			r.sides[k] = motion.Side{At: it.at, N: 6, J: r.j[k][:6], B: r.b[k][:6]}
			g.rows = append(g.rows, motion.Row{Low: -most, High: most, Sides: r.sides[k : k+1]})
		}
	}
	sweeps, change = g.solver.Solve(g.v, g.contacts, g.rows)
	copy(g.drive.rows, g.rows)
	return sweeps, change
}

// bear notes what items bear on, for the next step.
func (g *Stage) bear() {
	if g.scene.Item.Rolling == 0 {
		return
	}
	for i := range g.items {
		g.items[i].rolling.load = 0
	}
	for i := range g.pairs {
		p := &g.pairs[i]
		if !p.from.still() || p.to.Kind != Thing {
			continue
		}
		if r := &g.items[p.to.Index].rolling; p.load > r.load {
			r.load, r.normal = p.load, p.normal
		}
	}
}
