package report

import (
	"fmt"
	"math"
	"strings"

	"holdfast/domain"
)

// Scene draws the figure with title, legend, key and caption on a sheet of width mm (at least 90).
func (m *MapFigure) Scene(width float64) (*Scene, error) {
	if err := m.Check(); err != nil {
		return nil, err
	}
	width = max(width, 90)
	const margin, size = 5.0, 2.9
	legend := 27.0
	s := &Scene{W: width, Title: m.Title, Desc: m.describe()}
	y := margin + 4.2
	s.Bold(margin, y, shortened(m.Title, 4.4, width-2*margin, true), 4.4, Ink, Start)
	if m.Subtitle != "" {
		y += 5
		s.Text(margin, y, shortened(m.Subtitle, 3.3, width-2*margin, false), 3.3, Soft, Start)
	}
	if m.Invented {
		y += 5.4
		drawTag(s, margin, y, "Invented data: no bench ever saw these trials", size)
	}
	y += 3
	r := (width - 2*margin - legend - 22) / 2
	cy := y + 6 + r
	m.drawDisc(s, margin+10+r, cy, r, size)
	m.drawLegend(s, width-margin-legend+2, y+6, 2*r, size)
	y = cy + r + 9
	y = m.drawKey(s, margin, y, width-2*margin, size)
	for _, line := range wrap(m.caption(), size, width-2*margin, false) {
		s.Text(margin, y, line, size, Ink, Start)
		y += size * 1.4
	}
	for _, warning := range m.Warnings {
		for i, line := range wrap("Beware: "+warning, size, width-2*margin-3, true) {
			if i == 0 {
				s.Draw(rect(margin, y-size*0.75, 0.8, size*0.9), fill(Ink))
			}
			s.Bold(margin+2.4, y, line, size, Ink, Start)
			y += size * 1.4
		}
	}
	s.H = y + margin - size*0.6
	return s, nil
}

// drawTag sets a label in a frame that can not be taken for decoration.
func drawTag(s *Scene, x, y float64, text string, size float64) {
	w := textWidth(text, size, true)
	s.Draw(rect(x, y-size*1.05, w+3, size*1.5), both(Paper, Ink, 0.35))
	s.Bold(x+1.5, y, text, size, Ink, Start)
}

func (m *MapFigure) drawLegend(s *Scene, x, y, h, size float64) {
	const w = 4.5
	for k := range bands {
		top := y + h*(1-float64(k+1)/bands)
		// A hair of overlap keeps viewers from showing seams.
		s.Draw(rect(x, top, w, h/bands+0.08), fill(colourOf((float64(k)+0.5)/bands)))
	}
	s.Draw(rect(x, y, w, h), stroke(Ink, 0.25))
	for p := 0; p <= 100; p += 20 {
		ty := y + h*(1-float64(p)/100)
		s.Draw(polyline(Point{x + w, ty}, Point{x + w + 1.2, ty}), stroke(Ink, 0.25))
		s.Text(x+w+2, ty+0.35*size, fmt.Sprintf("%d %%", p), size, Ink, Start)
	}
	if m.Target > 0 && m.Target < 1 {
		ty := y + h*(1-m.Target)
		s.Draw(polyline(Point{x, ty}, Point{x + w, ty}), stroke(Paper, 0.7))
		s.Draw(polyline(Point{x - 1.2, ty}, Point{x + w, ty}), dashed(Ink, 0.3, 1.1))
	}
	s.Text(x, y-2.2, "Chance of success", size, Ink, Start)
}

// drawKey explains marks, hatching and lines; it returns the next free base line.
func (m *MapFigure) drawKey(s *Scene, x, y, width, size float64) float64 {
	at := x
	entry := func(text string, draw func(x, y float64)) {
		w := 6.5 + textWidth(text, size, false) + 4
		if at+w-4 > x+width {
			at = x
			y += size * 1.75
		}
		draw(at+2.5, y-0.35*size)
		s.Text(at+6.5, y, text, size, Ink, Start)
		at += w
	}
	seen := map[domain.Outcome]int{}
	for _, k := range m.Marks {
		seen[k.Outcome]++
	}
	for _, o := range domain.Outcomes {
		if seen[o] > 0 {
			entry(fmt.Sprintf("%s (%d)", o, seen[o]), func(x, y float64) { drawMark(s, x, y, 1, o) })
		}
	}
	if m.Hatch > 0 {
		entry(fmt.Sprintf("90 %% interval wider than %.0f points", m.Hatch*100), func(x, y float64) {
			s.Draw(rect(x-2, y-1.3, 4.4, 2.6), both(Shade, Line, 0.2))
			for i := range 4 {
				u := x - 1.9 + float64(i)*1.1
				s.Draw(polyline(Point{u, y + 1.2}, Point{min(u+2.2, x+2.3), max(y-1.2, y+1.2-(min(u+2.2, x+2.3)-u)*2.4/2.2)}), stroke(Ink, 0.16))
			}
		})
	}
	if m.Target > 0 {
		entry(fmt.Sprintf("target %s", percent(m.Target)), func(x, y float64) {
			s.Draw(polyline(Point{x - 2, y}, Point{x + 2.4, y}), dashed(Ink, 0.35, 1.1))
		})
	}
	if m.Outline != nil {
		entry("tolerated region", func(x, y float64) {
			s.Draw(polyline(Point{x - 2, y}, Point{x + 2.4, y}), stroke(Accent, 0.8))
		})
	}
	if at > x {
		y += size * 2
	}
	return y
}

// percent writes a probability with as many digits as people use: 97.5 %.
func percent(p float64) string {
	t := fmt.Sprintf("%.1f", p*100)
	return strings.TrimSuffix(t, ".0") + " %"
}

func (m *MapFigure) caption() string {
	text := fmt.Sprintf("Approach directions seen from above on an equal-area disc: centre straight down, rim at tilt %.0f°.", m.TiltMax*180/math.Pi)
	switch {
	case m.Trials == 0:
		text += " No trials yet."
	default:
		text += fmt.Sprintf(" N = %d trials, %d held.", m.Trials, m.Held)
	}
	return text
}

// describe is the text alternative: what the picture shows, in numbers.
func (m *MapFigure) describe() string {
	low, high, sum, n := math.Inf(1), math.Inf(-1), 0.0, 0
	best := Point{}
	f := &field{n: m.Raster.N}
	for i, p := range m.Raster.P {
		if math.IsNaN(p) {
			continue
		}
		if p > high {
			best = Point{f.centre(float64(i % f.n)), -f.centre(float64(i / f.n))}
		}
		low, high, sum, n = min(low, p), max(high, p), sum+p, n+1
	}
	text := m.caption()
	if n > 0 {
		tilt := 2 * math.Asin(min(1, math.Hypot(best.X, best.Y)*math.Sin(m.TiltMax/2)))
		azimuth := math.Mod(math.Atan2(best.Y, best.X)+2*math.Pi, 2*math.Pi)
		text += fmt.Sprintf(" Success lies between %s and %s, %s on average over directions; it is highest at tilt %.0f°, azimuth %.0f°.",
			percent(low), percent(high), percent(sum/float64(n)), tilt*180/math.Pi, azimuth*180/math.Pi)
	}
	if m.Subtitle != "" {
		text = m.Subtitle + ". " + text
	}
	if m.Invented {
		text = "Invented data. " + text
	}
	for _, w := range m.Warnings {
		text += " Beware: " + w
	}
	return text
}
