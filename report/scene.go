package report

import "math"

// Colour is an opaque sRGB colour.
type Colour struct{ R, G, B uint8 }

// The few colours that reports use: ink on paper, one accent, and three greys. Success has its own scale, see [Cividis].
var (
	Paper  = Colour{255, 255, 255}
	Ink    = Colour{28, 32, 30}
	Soft   = Colour{96, 104, 100}  // secondary text
	Line   = Colour{176, 184, 180} // rules and rings
	Shade  = Colour{238, 241, 239} // grounds of boxes
	Accent = Colour{15, 92, 66}    // deep green
)

// Style says how a path is painted. A nil Fill or Stroke paints none.
type Style struct {
	Fill, Stroke *Colour
	Width        float64 // mm
	Dash         float64 // mm, length of dashes and gaps; 0: solid
}

func fill(c Colour) Style                  { return Style{Fill: &c} }
func stroke(c Colour, mm float64) Style    { return Style{Stroke: &c, Width: mm} }
func both(f, s Colour, mm float64) Style   { return Style{Fill: &f, Stroke: &s, Width: mm} }
func dashed(c Colour, mm, d float64) Style { return Style{Stroke: &c, Width: mm, Dash: d} }

// Anchor says which point of a text its position names.
type Anchor uint8

// The anchors along the line; the position is always on the base line.
const (
	Start Anchor = iota
	Middle
	End
)

// Point is a place in a scene: mm from the left and from the top.
type Point struct{ X, Y float64 }

type segKind uint8

const (
	segMove segKind = iota
	segLine
	segCurve // cubic: two control points and the end
	segClose
)

type seg struct {
	kind segKind
	p    [3]Point
}

type opKind uint8

const (
	opPath opKind = iota
	opText
	opClip   // begins a group that is clipped to the path
	opUnclip // ends it
)

type op struct {
	kind   opKind
	path   []seg
	style  Style
	text   string
	at     Point
	size   float64 // mm, height of the letters' em
	bold   bool
	colour Colour
	anchor Anchor
}

// Scene is a drawing of vector operations on a sheet of W × H mm, y downwards.
type Scene struct {
	W, H  float64 // mm
	Title string  // for readers who do not see it
	Desc  string  // the same in a sentence or more
	ops   []op
}

// Path is a sequence of lines and curves; fill is by the even-odd rule.
type Path struct{ segs []seg }

// Move starts a new part at the point.
func (p *Path) Move(x, y float64) *Path {
	p.segs = append(p.segs, seg{kind: segMove, p: [3]Point{{x, y}}})
	return p
}

// Line goes straight to the point.
func (p *Path) Line(x, y float64) *Path {
	p.segs = append(p.segs, seg{kind: segLine, p: [3]Point{{x, y}}})
	return p
}

// Curve goes to (x, y) along a cubic Bézier curve.
func (p *Path) Curve(x1, y1, x2, y2, x, y float64) *Path {
	p.segs = append(p.segs, seg{kind: segCurve, p: [3]Point{{x1, y1}, {x2, y2}, {x, y}}})
	return p
}

// Close joins the end of the part with its start.
func (p *Path) Close() *Path {
	p.segs = append(p.segs, seg{kind: segClose})
	return p
}

// Ellipse adds a whole ellipse with half axes rx and ry, the first turned by angle (rad, clockwise as drawn).
func (p *Path) Ellipse(cx, cy, rx, ry, angle float64) *Path {
	// Four cubics; the constant makes the middle of each exact.
	k := 4.0 / 3 * (math.Sqrt2 - 1)
	s, c := math.Sincos(angle)
	at := func(u, v float64) (float64, float64) { return cx + rx*u*c - ry*v*s, cy + rx*u*s + ry*v*c }
	x, y := at(1, 0)
	p.Move(x, y)
	for i := range 4 {
		sa, ca := math.Sincos(float64(i) * math.Pi / 2)
		turn := func(u, v float64) (float64, float64) { return at(u*ca-v*sa, u*sa+v*ca) }
		x1, y1 := turn(1, k)
		x2, y2 := turn(k, 1)
		x3, y3 := turn(0, 1)
		p.Curve(x1, y1, x2, y2, x3, y3)
	}
	return p.Close()
}

func circle(cx, cy, r float64) *Path { return new(Path).Ellipse(cx, cy, r, r, 0) }

func rect(x, y, w, h float64) *Path {
	return new(Path).Move(x, y).Line(x+w, y).Line(x+w, y+h).Line(x, y+h).Close()
}

func polyline(points ...Point) *Path {
	p := new(Path)
	for i, q := range points {
		if i == 0 {
			p.Move(q.X, q.Y)
		} else {
			p.Line(q.X, q.Y)
		}
	}
	return p
}

// Draw paints a path.
func (s *Scene) Draw(p *Path, style Style) {
	s.ops = append(s.ops, op{kind: opPath, path: p.segs, style: style})
}

// Text sets one line of text of the given size (mm).
func (s *Scene) Text(x, y float64, text string, size float64, colour Colour, anchor Anchor) {
	s.ops = append(s.ops, op{kind: opText, at: Point{x, y}, text: text, size: size, colour: colour, anchor: anchor})
}

// Bold sets one line of bold text of the given size (mm).
func (s *Scene) Bold(x, y float64, text string, size float64, colour Colour, anchor Anchor) {
	s.ops = append(s.ops, op{kind: opText, at: Point{x, y}, text: text, size: size, colour: colour, anchor: anchor, bold: true})
}

// Clip limits what draw paints to the inside of the path.
func (s *Scene) Clip(p *Path, draw func()) {
	s.ops = append(s.ops, op{kind: opClip, path: p.segs})
	draw()
	s.ops = append(s.ops, op{kind: opUnclip})
}

// Place adds another scene's operations, moved by (x, y) mm and scaled.
func (s *Scene) Place(other *Scene, x, y, scale float64) {
	move := func(p Point) Point { return Point{x + scale*p.X, y + scale*p.Y} }
	for _, o := range other.ops {
		path := make([]seg, len(o.path))
		for i, g := range o.path {
			for k := range g.p {
				g.p[k] = move(g.p[k])
			}
			path[i] = g
		}
		o.path, o.at = path, move(o.at)
		o.size *= scale
		o.style.Width *= scale
		o.style.Dash *= scale
		s.ops = append(s.ops, o)
	}
}
