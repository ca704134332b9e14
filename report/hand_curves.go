package report

import (
	"math"
	"strings"
)

// drawCurves draws one plot in a box of w × h mm, its corner at x, y.
func drawCurves(s *Scene, plot *HandSheetPlot, x, y, w, h float64) {
	s.Bold(x, y+2.6, shortened(plot.Title, 2.4, w, true), 2.4, Ink, Start)
	at := func(q [2]float64) (Point, bool) {
		if !plot.Weibull {
			return Point{q[0], q[1]}, true
		}
		return Point{math.Log10(q[0]), math.Log(-math.Log1p(-q[1]))}, q[0] > 0 && q[1] > 0 && q[1] < 1
	}
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	if plot.barred() {
		low, high = Point{.5, 0}, Point{float64(len(plot.Labels)) + .5, math.Inf(-1)}
	}
	for _, c := range plot.Curves {
		for _, q := range c.XY {
			if v, ok := at(q); ok {
				low, high = Point{min(low.X, v.X), min(low.Y, v.Y)}, Point{max(high.X, v.X), max(high.Y, v.Y)}
			}
		}
	}
	if math.IsInf(low.X, 0) {
		s.Text(x, y+8, "nothing to draw", 2.2, Soft, Start)
		return
	}
	if !(high.X > low.X) {
		low.X, high.X = low.X-.5, low.X+.5
	}
	if !(high.Y > low.Y) {
		low.Y, high.Y = low.Y-.5, low.Y+.5
	}
	left, top, right, bottom := x+11, y+5, x+w-2, y+h-7
	place := func(v Point) Point {
		return Point{left + (v.X-low.X)/(high.X-low.X)*(right-left), bottom - (v.Y-low.Y)/(high.Y-low.Y)*(bottom-top)}
	}
	s.Draw(rect(left, top, right-left, bottom-top), stroke(Line, 0.2))
	for k, c := range plot.Curves {
		if c.Bars || c.Whiskers {
			drawBars(s, &c, k, place)
			continue
		}
		var line []Point
		for _, q := range c.XY {
			v, ok := at(q)
			switch {
			case !ok:
			case c.Open:
				s.Draw(circle(place(v).X, place(v).Y, 0.7), both(Paper, Ink, 0.25))
			case c.Points:
				s.Draw(circle(place(v).X, place(v).Y, 0.6), fill(Ink))
			default:
				line = append(line, place(v))
			}
		}
		if len(line) > 1 {
			s.Draw(polyline(line...), stroke(Accent, 0.3))
		}
	}
	tell := func(v float64, height bool) string {
		switch {
		case plot.Weibull && height:
			return digits(-100*math.Expm1(-math.Exp(v))) + " %"
		case plot.Weibull:
			return digits(math.Pow(10, v))
		}
		return digits(v)
	}
	if plot.Labels == nil {
		s.Text(left, bottom+3, tell(low.X, false), 2, Soft, Start)
		s.Text(right, bottom+3, tell(high.X, false), 2, Soft, End)
	}
	for k, l := range plot.Labels {
		s.Text(place(Point{float64(k + 1), low.Y}).X, bottom+3, shortened(l, 2, (right-left)/float64(len(plot.Labels)), false), 2, Soft, Middle)
	}
	s.Text(left-0.8, bottom, tell(low.Y, true), 2, Soft, End)
	s.Text(left-0.8, top+2, tell(high.Y, true), 2, Soft, End)
	under := plot.X + " across,  " + plot.Y + " up"
	if plot.barred() {
		under = plot.Y + ": "
		for _, c := range plot.Curves {
			if c.Bars {
				under += c.Name + ", "
			}
		}
		under = strings.TrimSuffix(under, ", ")
	}
	s.Text((left+right)/2, bottom+5.8, shortened(under, 2.1, w, false), 2.1, Soft, Middle)
}

// barWidth is how wide a bar is, in units of x.
const barWidth = 0.2

func (p *HandSheetPlot) barred() bool {
	for _, c := range p.Curves {
		if c.Bars {
			return p.Labels != nil
		}
	}
	return false
}

// drawBars draws bars, the kind by the curve's place in its plot, or whiskers.
func drawBars(s *Scene, c *HandSheetCurve, kind int, place func(Point) Point) {
	if c.Whiskers {
		for i := 0; i+1 < len(c.XY); i += 2 {
			a, b := place(Point{c.XY[i][0], c.XY[i][1]}), place(Point{c.XY[i+1][0], c.XY[i+1][1]})
			for _, l := range [][2]Point{{a, b}, {{a.X - .8, a.Y}, {a.X + .8, a.Y}}, {{b.X - .8, b.Y}, {b.X + .8, b.Y}}} {
				s.Draw(polyline(l[0], l[1]), stroke(Ink, 0.25))
			}
		}
		return
	}
	looks := [...]Style{both(Accent, Ink, 0.15), both(Paper, Ink, 0.25), both(Soft, Ink, 0.15), both(Shade, Ink, 0.25)}
	for _, q := range c.XY {
		corner, foot := place(Point{q[0] - barWidth/2, q[1]}), place(Point{q[0] + barWidth/2, 0})
		s.Draw(rect(corner.X, corner.Y, foot.X-corner.X, foot.Y-corner.Y), looks[kind%len(looks)])
	}
}
