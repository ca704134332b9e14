package trialsim

import (
	"math"

	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// near is the gap (m) within which a pair is followed: more than anything closes within a step of 2 ms at 1 m/s.
const near = 2e-3

// A pair becomes a contact before its gap closes, so that the step in which it closes takes it into account: if the gap is
// less than what the fastest speeds of the last step close in a few steps.
const (
	surely = 1e-4 // m
	hasty  = 2.0
)

// step says how fast (m/s) anything moved: the fastest point of a finger against the palm, of what the palm carries, of an item.
type step struct{ fingers, palm, items float64 }

// swept are ways (m) that pairs can have come nearer since the trial began, by what they are. A pair that was seen with a gap is
// not looked at before its gap can have closed.
type swept struct{ fingers, grip, hand, items, heap float64 }

func (s *swept) add(v step, h float64) {
	s.fingers += 2 * h * v.fingers
	s.grip += h * (v.fingers + v.palm + v.items)
	s.hand += h * (v.fingers + v.palm)
	s.items += h * v.items
	s.heap += 2 * h * v.items
}

// gate is when a pair with this gap has to be looked at again.
func (g *Stage) gate(id int, gap, swept float64) {
	if gap > near {
		g.gates[id] = swept + gap - near
	}
}

// pairsInAll is how many pairs there are to look at.
func (g *Stage) pairsInAll(links int) int {
	things, standing := len(g.items), len(g.faces)+len(g.edges)
	return things*(standing+1+links) + things*(things-1)/2 + links*(standing+1) + standing + links*links + links
}

// meet finds all contacts.
func (g *Stage) meet(h float64) {
	id := 0
	for i := range g.items {
		id = g.meetStanding(i, id, h)
		id = g.meetPalm(i, id, h)
		id = g.meetLinks(i, id, h)
	}
	for i := range g.items {
		for k := i + 1; k < len(g.items); k++ {
			g.meetItems(i, k, id, h)
			id++
		}
	}
	id = g.handOnStanding(id, h)
	id = g.meetFingers(id, h)
	g.fingersOnPalm(id, h)
}

// own is a direction of the world in the item's frame.
func (it *item) own(v orient.Vec3) orient.Vec3 {
	t := &it.turned
	return orient.Vec3{
		t[0][0]*v[0] + t[1][0]*v[1] + t[2][0]*v[2],
		t[0][1]*v[0] + t[1][1]*v[1] + t[2][1]*v[2],
		t[0][2]*v[0] + t[1][2]*v[1] + t[2][2]*v[2],
	}
}

// world is a direction of the item's frame in the world.
func (it *item) world(v orient.Vec3) orient.Vec3 {
	t := &it.turned
	return orient.Vec3{
		t[0][0]*v[0] + t[0][1]*v[1] + t[0][2]*v[2],
		t[1][0]*v[0] + t[1][1]*v[1] + t[1][2]*v[2],
		t[2][0]*v[0] + t[2][1]*v[1] + t[2][2]*v[2],
	}
}

// apart is a distance than which no point of a segment of the item's frame is nearer to it.
func (it *item) apart(a, b orient.Vec3) float64 {
	if !it.plain {
		return it.solid.Apart(a, b)
	}
	return it.round.Apart(a, b)
}

// nearest is where a segment of the item's frame is nearest to it. A pair's place on the segment changes little from step to step.
func (g *Stage) nearest(it *item, id int, a, b orient.Vec3) shape.Near {
	if !it.plain {
		return it.solid.Segment(a, b)
	}
	if g.along[id] < 0 {
		n := it.round.Segment(a, b)
		g.along[id] = n.Along
		return n
	}
	n := it.round.SegmentFrom(a, b, g.along[id])
	g.along[id] = n.Along
	return n
}

func (it *item) surfaceOf(p Part) *motion.Surface {
	if p.Kind == Standing {
		return &it.blocks[p.Index]
	}
	return &it.support
}

// bearing is how far (m) above the lowest point of an item others may bear on a plane as well.
const bearing = near + 1e-3

// meetStanding finds where item i meets support, edge and blocks.
func (g *Stage) meetStanding(i, id int, h float64) int {
	it := &g.items[i]
	me := Part{Kind: Thing, Index: i}
	for k := range g.faces {
		f := &g.faces[k]
		if g.swept.items < g.gates[id] {
			id++
			continue
		}
		gap := f.gap(it.Position) - it.reach
		if gap < near && f.gap(it.Position) > -f.deep {
			n := f.normal()
			g.feet = it.solid.Footing(it.own(n.Scale(-1)), bearing, g.feet[:0])
			for _, foot := range g.feet {
				p := it.Position.Add(it.world(foot.Point))
				if gap := f.gap(p); gap < near && gap > -f.deep && f.over(p) {
					g.touch(id, foot.ID, f.part, me, p, n, gap, h, it.surfaceOf(f.part))
				}
			}
		}
		g.gate(id, gap, g.swept.items)
		id++
	}
	for k := range g.edges {
		e := &g.edges[k]
		if g.swept.items < g.gates[id] {
			id++
			continue
		}
		a, b := it.own(sub(e.a, it.Position)), it.own(sub(e.b, it.Position))
		n := it.solid.Segment(a, b)
		if n.Distance < near {
			if !it.flat || !g.lieAcross(id, i, e, a, b, &n, h) {
				g.touch(id, 0, e.part, me, it.Position.Add(it.world(n.Point)), it.world(n.Normal).Scale(-1), n.Distance, h, it.surfaceOf(e.part))
			}
		}
		g.gate(id, n.Distance, g.swept.items)
		id++
	}
	return id
}

// across is how many places on either side of an item's middle are looked at where it may lie along an edge, halvings how finely the
// ends of what bears are found between two of them, alike the cosine of how far (0.1 rad) the side may have turned away there.
const (
	across   = 4
	halvings = 6
	alike    = 0.995
)

// lieAcross lets a flat side that lies along an edge bear on it in the two places farthest apart; false: there are no two. The
// edge goes from a to b in the item's frame, and is nearest to the item at a share of the way.
func (g *Stage) lieAcross(id, i int, e *edge, a, b orient.Vec3, nearest *shape.Near, h float64) bool {
	it := &g.items[i]
	way := sub(b, a)
	length := way.Norm()
	way = way.Scale(1 / length)
	look := func(at float64) (shape.Near, bool) {
		n := it.solid.Point(a.Add(way.Scale(at)))
		return n, n.Distance < near && n.Normal.Dot(nearest.Normal) > alike
	}
	middle, spacing := nearest.Along*length, it.reach/across
	var ends [2]shape.Near
	var places [2]float64
	for end, sign := range [2]float64{-1, 1} {
		inside, outside := middle, middle
		ends[end] = *nearest
		for k := 2 * across; k > 0; k-- {
			at := min(max(middle+sign*float64(k)*spacing, 0), length)
			n, bears := look(at)
			if bears {
				inside, ends[end] = at, n
				break
			}
			outside = at
		}
		for range halvings {
			at := (inside + outside) / 2
			if n, bears := look(at); bears {
				inside, ends[end] = at, n
			} else {
				outside = at
			}
		}
		places[end] = inside
	}
	if places[1]-places[0] < near {
		return false
	}
	for end := range ends {
		n := &ends[end]
		g.touch(id, 1+end, e.part, Part{Kind: Thing, Index: i}, it.Position.Add(it.world(n.Point)), it.world(n.Normal).Scale(-1), n.Distance, h, it.surfaceOf(e.part))
	}
	return true
}

// meetPalm finds where item i meets the flat palm.
func (g *Stage) meetPalm(i, id int, h float64) int {
	it := &g.items[i]
	if g.swept.grip < g.gates[id] {
		return id + 1
	}
	out := g.palm.turn.Apply(orient.Vec3{0, 0, 1})
	gap := sub(it.Position, g.palm.place).Dot(out) - it.reach
	if gap < near {
		me, bears := Part{Kind: Thing, Index: i}, false
		g.feet = it.solid.Footing(it.own(out.Scale(-1)), bearing, g.feet[:0])
		for _, foot := range g.feet {
			p := it.Position.Add(it.world(foot.Point))
			arm := sub(p, g.palm.place)
			gap := arm.Dot(out)
			if gap < near && gap > -it.reach && sub(arm, out.Scale(gap)).Norm() <= g.palm.radius {
				bears = true
				g.touch(id, foot.ID, Part{Kind: Palm}, me, p, out, gap, h, &it.skin)
			}
		}
		if !bears {
			// The feet lie beyond the palm: the palm's middle and rim meet the item's side.
			across, along := motion.Tangents(out)
			for k, v := range [...]orient.Vec3{{}, across, across.Scale(-1), along, along.Scale(-1)} {
				n := it.solid.Point(it.own(sub(g.palm.place.Add(v.Scale(g.palm.radius)), it.Position)))
				if normal := it.world(n.Normal); n.Distance < near && normal.Dot(out) < 0 {
					g.touch(id, otherFeet+k, Part{Kind: Palm}, me, it.Position.Add(it.world(n.Point)), normal.Scale(-1), n.Distance, h, &it.skin)
				}
			}
		}
	}
	g.gate(id, gap, g.swept.grip)
	return id + 1
}

// meetLinks finds where links meet item i.
func (g *Stage) meetLinks(i, id int, h float64) int {
	it := &g.items[i]
	for k := range g.fingers {
		f := &g.fingers[k]
		for j := range f.n {
			if g.swept.grip < g.gates[id] || f.reach[j] == 0 {
				id++
				continue
			}
			way := sub(f.middle[j], it.Position)
			apart := way.Norm() - it.reach - f.reach[j]
			if apart < near {
				a, b := it.own(sub(f.from[j], it.Position)), it.own(sub(f.to[j], it.Position))
				apart = it.apart(a, b) - f.radius[j]
				if apart <= near {
					n := g.nearest(it, id, a, b)
					apart = n.Distance - f.radius[j]
					if apart < near {
						link := Part{Kind: Link, Index: k, Link: j}
						g.meetLink(id, 0, link, it, i, &n, apart, h)
						if it.flat {
							// A link along a flat side bears with its ends as well, or it would rock.
							for end, p := range [2]orient.Vec3{a, b} {
								if math.Abs(n.Along-float64(end)) < endShare {
									continue
								}
								if m := it.solid.Point(p); m.Distance-f.radius[j] < near {
									g.meetLink(id, 1+end, link, it, i, &m, m.Distance-f.radius[j], h)
								}
							}
						}
					}
				}
			}
			g.gate(id, apart, g.swept.grip)
			id++
		}
	}
	return id
}

// endShare is the share of a link's length within which its nearest place counts as its end.
const endShare = 0.15

func (g *Stage) meetLink(id, feature int, link Part, it *item, i int, n *shape.Near, gap, h float64) {
	g.touch(id, feature, link, Part{Kind: Thing, Index: i}, it.Position.Add(it.world(n.Point)), it.world(n.Normal).Scale(-1), gap, h, &it.skin)
}

// handOnStanding finds where fingers and palm meet support, edge and blocks.
func (g *Stage) handOnStanding(id int, h float64) int {
	for k := range g.faces {
		face := &g.faces[k]
		n := face.normal()
		for i := range g.fingers {
			f := &g.fingers[i]
			for j := range f.n {
				if g.swept.hand < g.gates[id] || f.reach[j] == 0 {
					id++
					continue
				}
				gap := face.gap(f.middle[j]) - f.reach[j]
				if gap < near {
					// A link's start is its neighbour's end.
					end := f.to[j]
					if gap := face.gap(end) - f.radius[j]; gap < near && gap > -face.deep && face.over(end) {
						g.touch(id, 0, face.part, Part{Kind: Link, Index: i, Link: j}, end.Add(n.Scale(-f.radius[j])), n, gap, h, face.surface)
					}
				}
				g.gate(id, gap, g.swept.hand)
				id++
			}
		}
		if g.swept.hand >= g.gates[id] {
			out := g.palm.turn.Apply(orient.Vec3{0, 0, 1})
			down := sub(out.Scale(n.Dot(out)), n)
			rim := g.palm.place
			if size := down.Norm(); size > 1e-9 {
				rim = rim.Add(down.Scale(g.palm.radius / size))
			}
			gap := face.gap(rim)
			if gap < near && gap > -face.deep && face.over(rim) {
				g.touch(id, 0, face.part, Part{Kind: Palm}, rim, n, gap, h, face.surface)
			}
			g.gate(id, gap, g.swept.hand)
		}
		id++
	}
	for k := range g.edges {
		e := &g.edges[k]
		for i := range g.fingers {
			f := &g.fingers[i]
			for j := range f.n {
				if g.swept.hand < g.gates[id] || f.reach[j] == 0 {
					id++
					continue
				}
				p := shape.Segments(e.a, e.b, f.from[j], f.to[j])
				gap := p.Distance - f.radius[j]
				if gap < near && p.Distance > 0 {
					normal := sub(p.Second, p.First).Scale(1 / p.Distance)
					g.touch(id, 0, e.part, Part{Kind: Link, Index: i, Link: j}, p.First, normal, gap, h, e.surface)
				}
				g.gate(id, gap, g.swept.hand)
				id++
			}
		}
		id++
	}
	return id
}
