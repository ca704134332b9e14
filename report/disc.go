package report

import (
	"fmt"
	"math"

	"holdfast/domain"
	"holdfast/orient"
)

// Raster is a success map over approach directions on the equal-area disc: N × N pixels over the square from −1 to 1,
// row by row from the top, NaN outside the disc. The pixel centre (x, y), y upwards, lies at
// tilt = 2·asin(r·sin(tilt_max/2)) with r = hypot(x, y), and azimuth = atan2(y, x) (Lambert's azimuthal equal-area
// projection, common practice, no source).
type Raster struct {
	N            int
	P, Low, High []float64 // mean, 5 % and 95 %
}

// Mark is a trial on the disc.
type Mark struct {
	Tilt, Azimuth float64 // rad
	Outcome       domain.Outcome
}

// MapFigure is a success map to draw. The centre of the disc is straight down; azimuth 0 points right, along the
// setting's +x, and 90° up; the disc shows the approach directions as seen from above.
type MapFigure struct {
	Title    string
	Subtitle string  // such as "roll 30°" or "best over roll"
	TiltMax  float64 // rad, at the disc's rim
	Raster   Raster
	Hatch    float64 // where the 90 % interval is wider than this, the map is hatched; 0: nowhere
	Target   float64 // the line of this success is drawn; 0: none
	Marks    []Mark
	Outline  *Outline // a region to outline, or nil
	Trials   int      // counted trials behind the map
	Held     int
	Warnings []string
	Invented bool
}

// Outline is a region of orientations shown at one heading.
type Outline struct {
	Region  domain.Region
	Nominal orient.Rotation
}

// Check reports a raster whose lengths do not fit together or that is too large to draw.
func (m *MapFigure) Check() error {
	n := m.Raster.N
	switch {
	case n < 2 || n > 2000:
		return domain.Errorf(domain.KindInvalid, "a map raster must have 2 to 2000 rows; this one has %d", n)
	case len(m.Raster.P) != n*n || len(m.Raster.Low) != n*n || len(m.Raster.High) != n*n:
		return domain.Errorf(domain.KindInvalid, "a map raster of %d rows needs %d numbers for p, low and high; it has %d, %d and %d",
			n, n*n, len(m.Raster.P), len(m.Raster.Low), len(m.Raster.High))
	case !(m.TiltMax > 0 && m.TiltMax <= math.Pi):
		return domain.Errorf(domain.KindInvalid, "a map's largest tilt must be above 0 and at most 180°; it is %g°", m.TiltMax*180/math.Pi)
	}
	return nil
}

// disc places directions on the sheet.
type disc struct {
	cx, cy, r float64 // mm
	rim       float64 // sin(tilt_max/2)
}

func (d *disc) place(tilt, azimuth float64) Point {
	rho := d.r * math.Sin(tilt/2) / d.rim
	s, c := math.Sincos(azimuth)
	return Point{d.cx + rho*c, d.cy - rho*s}
}

func (d *disc) rings(rings [][]Point) *Path {
	p := new(Path)
	for _, ring := range rings {
		for i, q := range ring {
			x, y := d.cx+d.r*q.X, d.cy-d.r*q.Y
			if i == 0 {
				p.Move(x, y)
			} else {
				p.Line(x, y)
			}
		}
		p.Close()
	}
	return p
}

// bands is the number of steps of the colour scale as drawn: 2.5 % each, finer than the eye tells apart.
const bands = 40

// drawDisc draws the map itself without legend and caption, inside a circle of radius r (mm).
func (m *MapFigure) drawDisc(s *Scene, cx, cy, r, label float64) {
	d := &disc{cx, cy, r, math.Sin(m.TiltMax / 2)}
	mean := (&field{m.Raster.N, m.Raster.P}).filled()
	s.Clip(circle(cx, cy, r), func() {
		lowest := math.Floor(minOf(mean.v) * bands)
		s.Draw(rect(cx-r, cy-r, 2*r, 2*r), fill(colourOf((lowest+0.5)/bands)))
		for k := max(lowest+1, 1); k < bands; k++ {
			if rings := mean.above(k / bands); len(rings) > 0 {
				s.Draw(d.rings(rings), fill(colourOf((k+0.5)/bands)))
			}
		}
		m.drawHatch(s, d)
		if m.Target > 0 {
			if rings := mean.above(m.Target); len(rings) > 0 {
				s.Draw(d.rings(rings), stroke(Paper, 0.7))
				s.Draw(d.rings(rings), dashed(Ink, 0.3, 1.1))
			}
		}
		if m.Outline != nil {
			m.drawOutline(s, d)
		}
	})
	m.drawGraticule(s, d, label)
	for _, k := range m.Marks {
		if k.Tilt <= m.TiltMax+1e-9 {
			p := d.place(k.Tilt, k.Azimuth)
			drawMark(s, p.X, p.Y, max(0.55, 0.017*r), k.Outcome)
		}
	}
	if m.Outline != nil {
		a := m.Outline.Nominal.Approach()
		p := d.place(a.Tilt, a.Azimuth)
		s.Draw(circle(p.X, p.Y, 0.035*r), both(Paper, Accent, 0.6))
		s.Draw(circle(p.X, p.Y, 0.01*r), fill(Accent))
	}
}

func minOf(v []float64) float64 {
	m := math.Inf(1)
	for _, x := range v {
		m = min(m, x)
	}
	return m
}

// drawHatch draws slanting lines where the interval is wider than the threshold.
func (m *MapFigure) drawHatch(s *Scene, d *disc) {
	if m.Hatch <= 0 {
		return
	}
	w := &field{m.Raster.N, make([]float64, len(m.Raster.P))}
	for i := range w.v {
		w.v[i] = m.Raster.High[i] - m.Raster.Low[i]
	}
	w = w.filled()
	gap := max(1.1, d.r/26) / d.r
	step := 0.25 / d.r
	p := new(Path)
	for c := -math.Sqrt2; c <= math.Sqrt2; c += gap {
		// The line x·cos45 − y·sin45 = c, walked along its direction.
		var from, to Point
		on := false
		for t := -1.0; t <= 1+step; t += step {
			x, y := (c+t)/math.Sqrt2, (t-c)/math.Sqrt2
			wide := x*x+y*y <= 1 && w.sample(x, y) > m.Hatch
			q := Point{d.cx + d.r*x, d.cy - d.r*y}
			switch {
			case wide && !on:
				from, to, on = q, q, true
			case wide:
				to = q
			case on:
				p.Move(from.X, from.Y).Line(to.X, to.Y)
				on = false
			}
		}
		if on {
			p.Move(from.X, from.Y).Line(to.X, to.Y)
		}
	}
	if len(p.segs) > 0 {
		s.Draw(p, stroke(Paper, 0.42))
		s.Draw(p, stroke(Ink, 0.16))
	}
}

// drawOutline draws where the region lies at the nominal orientation's heading.
func (m *MapFigure) drawOutline(s *Scene, d *disc) {
	const n = 121
	o := m.Outline
	heading := o.Nominal.Heading()
	f := &field{n, make([]float64, n*n)}
	for r := range n {
		for c := range n {
			x, y := f.centre(float64(c)), -f.centre(float64(r))
			tilt := 2 * math.Asin(min(1, math.Hypot(x, y)*d.rim))
			at := orient.FromDirectionHeading(tilt, math.Atan2(y, x), heading)
			nearest := math.Inf(1)
			for _, p := range o.Region.Points {
				nearest = min(nearest, at.AngleTo(p))
			}
			f.v[r*n+c] = o.Region.Spacing - nearest
		}
	}
	if rings := f.above(0); len(rings) > 0 {
		s.Draw(d.rings(rings), stroke(Paper, 1.5))
		s.Draw(d.rings(rings), stroke(Accent, 0.8))
	}
}

// drawGraticule draws rings of equal tilt, azimuth ticks and their labels, of the size label (mm).
func (m *MapFigure) drawGraticule(s *Scene, d *disc, label float64) {
	const deg = math.Pi / 180
	halo := func(x, y float64, text string) {
		w := textWidth(text, label, false)
		s.Draw(rect(x-w/2-0.4, y-0.82*label, w+0.8, 1.02*label), fill(Paper))
		s.Text(x, y, text, label, Ink, Middle)
	}
	for _, tilt := range []float64{30, 60, 90, 120, 150} {
		if tilt*deg < m.TiltMax-2*deg {
			rho := d.r * math.Sin(tilt*deg/2) / d.rim
			s.Draw(circle(d.cx, d.cy, rho), stroke(Paper, 0.45))
			s.Draw(circle(d.cx, d.cy, rho), dashed(Soft, 0.2, 0.8))
		}
	}
	s.Draw(circle(d.cx, d.cy, d.r), stroke(Ink, 0.3))
	for az := 0.0; az < 360; az += 30 {
		a, b := d.place(m.TiltMax, az*deg), Point{}
		si, co := math.Sincos(az * deg)
		b = Point{a.X + co*1.4, a.Y - si*1.4}
		s.Draw(polyline(a, b), stroke(Ink, 0.25))
		if math.Mod(az, 90) != 0 && d.r < 30 {
			continue
		}
		text := fmt.Sprintf("%.0f°", az)
		if az == 0 {
			text = "0° (+x)"
		} else if az == 90 {
			text = "90° (+y)"
		}
		w := textWidth(text, label, false)
		s.Text(a.X+co*(2.2+w/2), a.Y-si*(2.2+label*0.45)+0.35*label, text, label, Ink, Middle)
	}
	// Labels of the rings go along the direction of 75°, between two azimuth ticks.
	for _, tilt := range []float64{30, 60, 90, 120, 150} {
		if tilt*deg < m.TiltMax-2*deg {
			p := d.place(tilt*deg, 75*deg)
			halo(p.X, p.Y+0.35*label, fmt.Sprintf("tilt %.0f°", tilt))
		}
	}
	c := 0.9
	s.Draw(new(Path).Move(d.cx-c, d.cy).Line(d.cx+c, d.cy).Move(d.cx, d.cy-c).Line(d.cx, d.cy+c), stroke(Paper, 0.7))
	s.Draw(new(Path).Move(d.cx-c, d.cy).Line(d.cx+c, d.cy).Move(d.cx, d.cy-c).Line(d.cx, d.cy+c), stroke(Ink, 0.25))
}

// drawMark draws a trial; outcomes differ by shape, in ink on a white rim, so that they read on any colour.
func drawMark(s *Scene, x, y, r float64, o domain.Outcome) {
	line := 0.42 * r
	open := func(p *Path) {
		s.Draw(p, stroke(Paper, line*2.6))
		s.Draw(p, both(Paper, Ink, line))
	}
	strokes := func(p *Path) {
		s.Draw(p, stroke(Paper, line*3.2))
		s.Draw(p, stroke(Ink, line*1.1))
	}
	switch o {
	case domain.OutcomeHeld:
		s.Draw(circle(x, y, r), both(Ink, Paper, line*0.9))
	case domain.OutcomeDropped:
		open(new(Path).Move(x-r, y-0.7*r).Line(x+r, y-0.7*r).Line(x, y+r).Close())
	case domain.OutcomeSlipped:
		open(new(Path).Move(x, y-1.2*r).Line(x+r, y).Line(x, y+1.2*r).Line(x-r, y).Close())
	case domain.OutcomeMissed:
		strokes(new(Path).Move(x-r*0.8, y-r*0.8).Line(x+r*0.8, y+r*0.8).Move(x-r*0.8, y+r*0.8).Line(x+r*0.8, y-r*0.8))
	case domain.OutcomePushed:
		open(new(Path).Move(x-0.7*r, y-r).Line(x+r, y).Line(x-0.7*r, y+r).Close())
	case domain.OutcomeDamaged:
		open(rect(x-0.85*r, y-0.85*r, 1.7*r, 1.7*r))
		s.Draw(new(Path).Move(x-0.85*r, y-0.85*r).Line(x+0.85*r, y+0.85*r), stroke(Ink, line))
	case domain.OutcomeStopped:
		open(rect(x-0.85*r, y-0.85*r, 1.7*r, 1.7*r))
	case domain.OutcomeFailed:
		strokes(new(Path).Move(x-r, y).Line(x+r, y).Move(x, y-r).Line(x, y+r))
	default:
		open(circle(x, y, 0.8*r))
	}
}
