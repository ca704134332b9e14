package report

import (
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/orient"
)

// Pose is a hand orientation to draw beside its numbers: the hand at the item from above and from the side.
type Pose struct {
	Rotation orient.Rotation
	Hand     *domain.Hand    // nil: a hand of two fingers
	Item     *domain.Item    // nil: a round item
	Setting  *domain.Setting // nil: no wall and no edge
}

// FromAbove draws the pose as seen from straight above, x to the right and y up, on a square of side mm: the item,
// the hand, and an arrow along the approach direction where the hand leans.
func (p *Pose) FromAbove(side float64) *Scene {
	v := p.view(side, func(q orient.Vec3) (x, y, depth float64) { return q[0], q[1], q[2] })
	v.cy = side / 2
	v.s.Title, v.s.Desc = "Hand orientation from above", p.words()
	v.drawSettingAbove(p)
	v.drawItem(p, true)
	v.drawHand(p)
	v.drawApproach(p)
	v.axes()
	return v.s
}

// FromSide draws the pose on a square of side mm, as seen along the support, square to the direction of the lean (to
// the fingers' opening when there is no lean), so that the tilt shows in full. The support is the line with strokes
// below it.
func (p *Pose) FromSide(side float64) *Scene {
	a := p.Rotation.Approach()
	plane := a.Azimuth
	if a.Tilt < 1e-3 {
		plane = p.Rotation.Heading()
	}
	s, c := math.Sincos(plane)
	v := p.view(side, func(q orient.Vec3) (x, y, depth float64) { return q[0]*c + q[1]*s, q[2], s*q[0] - c*q[1] })
	v.s.Title, v.s.Desc = "Hand orientation from the side", p.words()
	v.drawSupport()
	v.drawItem(p, false)
	v.drawHand(p)
	v.drawApproach(p)
	v.drawTilt(p)
	return v.s
}

func (p *Pose) words() string {
	a := p.Rotation.Approach()
	const deg = 180 / math.Pi
	return fmt.Sprintf("Tilt %.0f°, azimuth %.0f°, roll %.0f°; heading %.0f°.", a.Tilt*deg, a.Azimuth*deg, a.Roll*deg, p.Rotation.Heading()*deg)
}

// poseView turns setting coordinates, in units of the hand's reach with the item's middle at the origin, into a scene.
type poseView struct {
	s       *Scene
	project func(orient.Vec3) (x, y, depth float64)
	scale   float64 // mm a unit
	cy      float64 // mm, height at which the item's middle is drawn
	pen     float64 // mm
	item    [3]float64
}

// reach is how much of the hand's length in units a view shows on each side of the item.
const reach = 1.42

func (p *Pose) view(side float64, project func(orient.Vec3) (x, y, depth float64)) *poseView {
	v := &poseView{s: &Scene{W: side, H: side}, project: project, scale: side / 2 / reach, pen: side / 38, cy: side * 0.68}
	v.item = [3]float64{0.8, 0.8, 0.8}
	if p.Item != nil {
		largest := slices.Max(p.Item.Size[:])
		if largest > 0 {
			// Items are drawn at the size that fits the fingers; only their proportions are true.
			for i, l := range p.Item.Size {
				v.item[i] = 1.15 * l / largest
			}
		}
	}
	return v
}

func (v *poseView) at(q orient.Vec3) Point {
	x, y, _ := v.project(q)
	return Point{v.s.W/2 + v.scale*x, v.cy - v.scale*y}
}

// drawSettingAbove draws wall and edge across +x.
func (v *poseView) drawSettingAbove(p *Pose) {
	if p.Setting == nil || (!p.Setting.Wall && !p.Setting.Edge) {
		return
	}
	x := v.s.W/2 + v.scale*(v.item[0]/2+0.35)
	line := stroke(Soft, v.pen)
	if p.Setting.Edge {
		line = dashed(Soft, v.pen*0.7, v.pen*1.6)
	}
	v.s.Draw(polyline(Point{x, v.s.H * 0.06}, Point{x, v.s.H * 0.94}), line)
}

func (v *poseView) drawSupport() {
	y := v.cy + v.scale*v.item[2]/2
	w := v.s.W
	v.s.Draw(polyline(Point{w * 0.04, y}, Point{w * 0.96, y}), stroke(Ink, v.pen*0.6))
	hatch := new(Path)
	step := w / 16
	for x := w*0.04 + step; x <= w*0.96; x += step {
		hatch.Move(x, y).Line(x-step*0.7, y+step*0.7)
	}
	v.s.Draw(hatch, stroke(Line, v.pen*0.4))
}

// drawItem draws the item's outline: from above as it lies, from the side as its silhouette across the view.
func (v *poseView) drawItem(p *Pose, above bool) {
	rx, ry := v.item[0]/2*v.scale, v.item[1]/2*v.scale
	if !above {
		// Half the width of the silhouette in the view's plane, of an ellipse with the item's half axes.
		ex, _, _ := v.project(orient.Vec3{1, 0, 0})
		ey, _, _ := v.project(orient.Vec3{0, 1, 0})
		rx, ry = v.scale/2*math.Hypot(v.item[0]*ex, v.item[1]*ey), v.item[2]/2*v.scale
	}
	cx, cy := v.s.W/2, v.cy
	style := both(Shade, Soft, v.pen*0.45)
	shape := domain.ShapeEllipsoid
	if p.Item != nil {
		shape = p.Item.Shape
	}
	switch {
	case shape == domain.ShapeBox, shape == domain.ShapeCylinder && above && rx > 1.2*ry:
		v.s.Draw(rect(cx-rx, cy-ry, 2*rx, 2*ry), style)
	case shape == domain.ShapeCylinder && !above && p.Item.Size[2] >= p.Item.Size[0]:
		v.s.Draw(rect(cx-rx, cy-ry, 2*rx, 2*ry), style)
	case shape == domain.ShapeCrescent && above:
		// Horns towards −y.
		path := new(Path).Move(cx-rx, cy+ry).
			Curve(cx-rx, cy-1.5*ry, cx+rx, cy-1.5*ry, cx+rx, cy+ry).
			Curve(cx+0.45*rx, cy-0.1*ry, cx-0.45*rx, cy-0.1*ry, cx-rx, cy+ry).Close()
		v.s.Draw(path, style)
	default:
		v.s.Draw(new(Path).Ellipse(cx, cy, rx, ry, 0), style)
	}
}

// In the reference pose the palm hangs over the item and the fingers reach down around it; units of the drawing.
const palm, palmHeight = 0.34, 0.98

// floor is the lowest height at which the middle of a finger is drawn.
func (v *poseView) floor() float64 { return -v.item[2]/2 + 0.04 }

// lift is how far the hand is raised so that the palm's rim clears the support.
func (v *poseView) lift(p *Pose) float64 {
	lift := 0.0
	for i := range 24 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 24)
		lift = max(lift, v.floor()-p.Rotation.Apply(orient.Vec3{palm * c, palm * s, palmHeight})[2])
	}
	return lift
}

// drawHand draws palm and fingers, those farther from the viewer first.
func (v *poseView) drawHand(p *Pose) {
	fingers := 2
	if p.Hand != nil {
		fingers = min(max(p.Hand.Fingers, 1), 8)
	}
	const bend = 0.62
	type part struct {
		depth float64
		draw  func()
	}
	var parts []part
	// Nothing is drawn below the support: the palm is lifted clear of it, soft fingers bend along it.
	floor, lift := v.floor(), v.lift(p)
	turn := func(q orient.Vec3) orient.Vec3 {
		q = p.Rotation.Apply(q)
		q[2] = max(q[2]+lift, floor)
		return q
	}
	for i := range fingers {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(fingers))
		root := turn(orient.Vec3{palm * c, palm * s, palmHeight})
		elbow := turn(orient.Vec3{bend * c * 1.25, bend * s * 1.25, palmHeight - 0.5})
		tip := turn(orient.Vec3{0.5 * c, 0.5 * s, -0.18})
		_, _, depth := v.project(elbow)
		pen, colour := v.pen*1.7, Ink
		if i == 0 {
			colour = Accent // the finger on the hand's +x side tells the roll
		}
		parts = append(parts, part{depth, func() {
			a, b, d := v.at(root), v.at(elbow), v.at(tip)
			curve := new(Path).Move(a.X, a.Y).Curve(a.X+(b.X-a.X)*0.9, a.Y+(b.Y-a.Y)*0.9, b.X+(b.X-a.X)*0.15, b.Y+(b.Y-a.Y)*0.15, d.X, d.Y)
			v.s.Draw(curve, stroke(Paper, pen*1.7))
			v.s.Draw(curve, stroke(colour, pen))
		}})
	}
	_, _, depth := v.project(turn(orient.Vec3{0, 0, palmHeight}))
	parts = append(parts, part{depth, func() {
		ring := make([]Point, 24)
		for i := range ring {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(len(ring)))
			ring[i] = v.at(turn(orient.Vec3{palm * c, palm * s, palmHeight}))
		}
		path := polyline(ring...).Close()
		v.s.Draw(path, stroke(Paper, v.pen*2.4))
		v.s.Draw(path, both(Soft, Ink, v.pen*0.9))
		// The wrist's axis.
		a, b := v.at(turn(orient.Vec3{0, 0, palmHeight})), v.at(turn(orient.Vec3{0, 0, palmHeight + 0.3}))
		v.s.Draw(polyline(a, b), stroke(Ink, v.pen*2.2))
	}})
	slices.SortStableFunc(parts, func(a, b part) int {
		switch {
		case a.depth < b.depth:
			return -1
		case a.depth > b.depth:
			return 1
		}
		return 0
	})
	for _, q := range parts {
		q.draw()
	}
}

// drawApproach draws an arrow along the approach direction, outside the hand; a dot where it points at the viewer.
func (v *poseView) drawApproach(p *Pose) {
	d := p.Rotation.Direction()
	up := orient.Vec3{0, 0, v.lift(p)}
	from := v.at(d.Scale(-1.68).Add(up))
	to := v.at(d.Scale(-1.36).Add(up))
	dx, dy := to.X-from.X, to.Y-from.Y
	l := math.Hypot(dx, dy)
	if l < 0.04*v.s.W*0.5 {
		return
	}
	dx, dy = dx/l, dy/l
	h := v.pen * 2.2
	v.s.Draw(polyline(from, to), stroke(Accent, v.pen*0.8))
	v.s.Draw(new(Path).Move(to.X+dx*h*0.5, to.Y+dy*h*0.5).Line(to.X-dx*h-dy*h*0.65, to.Y-dy*h+dx*h*0.65).
		Line(to.X-dx*h+dy*h*0.65, to.Y-dy*h-dx*h*0.65).Close(), fill(Accent))
}

// drawTilt draws the angle between the vertical and the wrist's axis.
func (v *poseView) drawTilt(p *Pose) {
	tilt := p.Rotation.Approach().Tilt
	if tilt < 0.06 {
		return
	}
	top := v.cy - v.scale*1.6
	v.s.Draw(polyline(Point{v.s.W / 2, v.cy}, Point{v.s.W / 2, top}), dashed(Line, v.pen*0.4, v.pen*1.2))
	arc := new(Path)
	r := v.scale * 1.38
	for i := range 13 {
		// The wrist leans against the approach: to the left, since the view looks square to the lean.
		s, c := math.Sincos(tilt * float64(i) / 12)
		x, y := v.s.W/2-r*s, v.cy-r*c
		if i == 0 {
			arc.Move(x, y)
		} else {
			arc.Line(x, y)
		}
	}
	v.s.Draw(arc, stroke(Soft, v.pen*0.4))
}

// axes draws the setting's x and y in the lower left corner.
func (v *poseView) axes() {
	l := v.s.W * 0.13
	x, y := v.s.W*0.05, v.s.H*0.95
	v.s.Draw(new(Path).Move(x, y-l).Line(x, y).Line(x+l, y), stroke(Soft, v.pen*0.45))
	size := v.s.W * 0.085
	v.s.Text(x+l+size*0.2, y+size*0.1, "x", size, Soft, Start)
	v.s.Text(x-size*0.1, y-l-size*0.25, "y", size, Soft, Start)
}
