package trialsim

import (
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// meetItems finds where two items lie against each other.
func (g *Stage) meetItems(i, k, id int, h float64) {
	if g.swept.heap < g.gates[id] {
		return
	}
	a, b, hint := &g.items[i], &g.items[k], &g.hints[i*len(g.items)+k]
	gap := sub(a.Position, b.Position).Norm() - a.reach - b.reach
	if gap < near {
		m, ok := shape.Between(a.solid, b.solid, shape.Pose{Turn: a.Turn, Position: a.Position}, shape.Pose{Turn: b.Turn, Position: b.Position}, *hint, near)
		*hint = m.Normal
		if ok && m.Gap < near && !(a.flat && b.flat && g.lieOn(i, k, id, m.Normal, h)) {
			g.touch(id, 0, Part{Kind: Thing, Index: i}, Part{Kind: Thing, Index: k}, m.Point, m.Normal, m.Gap, h, &a.other)
		}
	}
	g.gate(id, gap, g.swept.heap)
}

// lieOn lets two items that lie flat on each other bear where the feet of each stand on the other; false: there are not two. The
// normal points from i to k.
func (g *Stage) lieOn(i, k, id int, normal orient.Vec3, h float64) bool {
	type foot struct {
		feature int
		point   orient.Vec3
		gap     float64
	}
	var found [2 * shape.FootingMost]foot
	count := 0
	for side, pair := range [2][2]*item{{&g.items[k], &g.items[i]}, {&g.items[i], &g.items[k]}} {
		stands, under := pair[0], pair[1]
		way := normal.Scale(float64(1 - 2*side)) // from what bears to what stands on it
		g.feet = stands.solid.Footing(stands.own(way.Scale(-1)), bearing, g.feet[:0])
	feet:
		for _, f := range g.feet {
			p := stands.Position.Add(stands.world(f.Point))
			n := under.solid.Point(under.own(sub(p, under.Position)))
			if n.Distance >= near || under.world(n.Normal).Dot(way) < facing || count == len(found) {
				continue
			}
			for _, o := range found[:count] {
				if sub(o.point, p).Norm() < near {
					continue feet
				}
			}
			found[count] = foot{1 + side*shape.FootingMost + f.ID, p, n.Distance}
			count++
		}
	}
	if count < 2 {
		return false
	}
	for _, f := range found[:count] {
		g.touch(id, f.feature, Part{Kind: Thing, Index: i}, Part{Kind: Thing, Index: k}, f.point, normal, f.gap, h, &g.items[i].other)
	}
	return true
}

// facing is the cosine (18°) within which a foot counts as standing on the other's flat side and not beside it.
const facing = 0.95
