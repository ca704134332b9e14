package trialsim

import (
	"math"

	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// meetFingers finds where links of different fingers meet.
func (g *Stage) meetFingers(id int, h float64) int {
	for i := range g.fingers {
		f := &g.fingers[i]
		for k := i + 1; k < len(g.fingers); k++ {
			o := &g.fingers[k]
			for j := range f.n {
				for l := range o.n {
					if g.swept.fingers < g.gates[id] || f.reach[j] == 0 || o.reach[l] == 0 {
						id++
						continue
					}
					d := sub(f.middle[j], o.middle[l])
					gap := math.Sqrt(d.Dot(d)) - f.reach[j] - o.reach[l]
					if gap < near {
						p := shape.Segments(f.from[j], f.to[j], o.from[l], o.to[l])
						gap = p.Distance - f.radius[j] - o.radius[l]
						if gap < near && p.Distance > 0 {
							normal := sub(p.Second, p.First).Scale(1 / p.Distance)
							point := p.First.Add(normal.Scale(f.radius[j] + gap/2))
							g.touch(id, 0, Part{Kind: Link, Index: i, Link: j}, Part{Kind: Link, Index: k, Link: l}, point, normal, gap, h, &g.scene.Hand.Skin)
						}
					}
					g.gate(id, gap, g.swept.fingers)
					id++
				}
			}
		}
	}
	return id
}

// fingersOnPalm finds where links curl back onto the flat palm. A link's start is its neighbour's end.
func (g *Stage) fingersOnPalm(id int, h float64) {
	out := g.palm.turn.Apply(orient.Vec3{0, 0, 1})
	for i := range g.fingers {
		f := &g.fingers[i]
		for j := range f.n {
			if !g.curls[f.first+j] || g.swept.fingers < g.gates[id] {
				id++
				continue
			}
			arm := sub(f.to[j], g.palm.place)
			high := arm.Dot(out)
			gap := high - f.radius[j]
			if beside := sub(arm, out.Scale(high)).Norm() - g.palm.radius; beside > 0 {
				gap = math.Max(gap, beside)
			} else if gap < near && high > -f.radius[j] {
				g.touch(id, 0, Part{Kind: Palm}, Part{Kind: Link, Index: i, Link: j}, f.to[j].Add(out.Scale(-f.radius[j])), out, gap, h, &g.scene.Hand.Skin)
			}
			g.gate(id, gap, g.swept.fingers)
			id++
		}
	}
}

// curling says which links' ends, of all in their order, can come down on the palm: those that do not lie on or behind it at rest.
func curling(fingers []finger) (list []bool) {
	for i := range fingers {
		f := &fingers[i]
		f.state.Base.Turn, f.state.Base.Position = f.turn, vec(f.root)
		f.state.Update()
		f.place()
		for j := range f.n {
			list = append(list, f.radius[j] > 0 && f.to[j][2]-f.radius[j] > near)
		}
	}
	return list
}
