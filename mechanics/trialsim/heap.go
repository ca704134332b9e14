package trialsim

import (
	"math"

	"holdfast/mechanics/motion"
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

// bearer is a place where two items that lie flat on each other may bear.
type bearer struct {
	feature int
	point   orient.Vec3
	gap     float64
}

// bearersMost is how many of them are kept; with round rims there could be more.
const bearersMost = 2 * shape.FootingMost

// Features of a pair: 0 is the one nearest point, then come the feet of one, those of the other, and where their rims cross. A foot's
// number may be any vertex of a mesh.
const (
	otherFeet = 1 << 24
	crossings = 1 << 25
)

// lieOn lets two items that lie flat on each other bear where the feet of each stand on the other and where the rims of their flat
// sides cross, which together are the corners of what they have in common; false: there are not two. The normal points from i to k.
func (g *Stage) lieOn(i, k, id int, normal orient.Vec3, h float64) bool {
	var room [bearersMost]bearer
	found := room[:0]
	var rims [2]rim
	for side, pair := range [2][2]*item{{&g.items[k], &g.items[i]}, {&g.items[i], &g.items[k]}} {
		stands, under := pair[0], pair[1]
		way := normal.Scale(float64(1 - 2*side)) // from what bears to what stands on it
		g.feet = stands.solid.Footing(stands.own(way.Scale(-1)), bearing, g.feet[:0])
		for _, f := range g.feet {
			p := stands.Position.Add(stands.world(f.Point))
			rims[side].add(p)
			n := under.solid.Point(under.own(sub(p, under.Position)))
			if n.Distance < near && under.world(n.Normal).Dot(way) >= facing {
				found = bears(found, bearer{1 + side*otherFeet + f.ID, p, n.Distance})
			}
		}
	}
	across, along := motion.Tangents(normal)
	upper, lower := &rims[0], &rims[1]
	upper.order(across, along)
	lower.order(across, along)
	for a := range upper.n {
		for b := range lower.n {
			if p, q, ok := cross(upper.edge(a), lower.edge(b), across, along); ok {
				if gap := sub(p, q).Dot(normal); gap < near {
					found = bears(found, bearer{crossings + a*shape.FootingMost + b, p, gap})
				}
			}
		}
	}
	if len(found) < 2 {
		return false
	}
	for _, f := range found {
		g.touch(id, f.feature, Part{Kind: Thing, Index: i}, Part{Kind: Thing, Index: k}, f.point, normal, f.gap, h, &g.items[i].other)
	}
	return true
}

// bears takes in one more place, if there is room and none beside it yet.
func bears(found []bearer, b bearer) []bearer {
	if len(found) == bearersMost {
		return found
	}
	for _, o := range found {
		if sub(o.point, b.point).Norm() < near {
			return found
		}
	}
	return append(found, b)
}

// facing is the cosine (18°) within which a foot counts as standing on the other's flat side and not beside it.
const facing = 0.95

// rim is the outline of a flat side: its feet in the world, in turn once they are ordered.
type rim struct {
	corners [shape.FootingMost]orient.Vec3
	n       int
}

func (r *rim) add(p orient.Vec3) {
	if r.n < len(r.corners) {
		r.corners[r.n] = p
		r.n++
	}
}

// order keeps the corners of the convex hull, seen along across × along, each after the one before it in turn.
func (r *rim) order(across, along orient.Vec3) {
	var x, y [shape.FootingMost]float64
	first := 0
	for i := range r.n {
		x[i], y[i] = r.corners[i].Dot(across), r.corners[i].Dot(along)
		if x[i] < x[first] || x[i] == x[first] && y[i] < y[first] {
			first = i
		}
	}
	var around [shape.FootingMost]orient.Vec3
	count := 0
	for at := first; count < r.n; {
		around[count] = r.corners[at]
		count++
		next := first
		for i := range r.n {
			turn := (x[next]-x[at])*(y[i]-y[at]) - (y[next]-y[at])*(x[i]-x[at])
			farther := math.Hypot(x[i]-x[at], y[i]-y[at]) > math.Hypot(x[next]-x[at], y[next]-y[at])
			if next == at || turn < 0 || turn == 0 && farther {
				next = i
			}
		}
		if at = next; at == first {
			break
		}
	}
	r.corners, r.n = around, count
}

// edge is the one that begins at corner i.
func (r *rim) edge(i int) [2]orient.Vec3 { return [2]orient.Vec3{r.corners[i], r.corners[(i+1)%r.n]} }

// cross is where two edges cross, seen along across × along: the place on each.
func cross(a, b [2]orient.Vec3, across, along orient.Vec3) (onA, onB orient.Vec3, ok bool) {
	ways := [3]orient.Vec3{sub(a[1], a[0]), sub(b[1], b[0]), sub(b[0], a[0])}
	var x, y [3]float64
	for i, w := range ways {
		x[i], y[i] = w.Dot(across), w.Dot(along)
	}
	det := x[0]*y[1] - y[0]*x[1]
	// Edges that lie along each other end at feet that stand on the other.
	if math.Abs(det) <= 1e-3*math.Hypot(x[0], y[0])*math.Hypot(x[1], y[1]) {
		return onA, onB, false
	}
	s, t := (x[2]*y[1]-y[2]*x[1])/det, (x[2]*y[0]-y[2]*x[0])/det
	if s < 0 || s > 1 || t < 0 || t > 1 {
		return onA, onB, false
	}
	return a[0].Add(ways[0].Scale(s)), b[0].Add(ways[1].Scale(t)), true
}
