package report

import "math"

// drawCautions draws the cautions in a frame with the warning triangle that can not be overlooked; it returns the
// lower edge.
func drawCautions(s *Scene, x, y, width float64, list []string, size float64) float64 {
	const inner = 15.0
	line := size * 1.36
	var lines []string
	var first []bool
	for _, c := range list {
		for i, l := range wrap(c, size, width-inner-7, false) {
			lines = append(lines, l)
			first = append(first, i == 0)
		}
	}
	h := 6.4 + float64(len(lines))*line + 1.6
	s.Draw(rect(x, y, width, h), both(Paper, Ink, 0.9))
	drawTriangle(s, x+inner/2+0.2, y+min(h/2, 9), 4.6)
	s.Bold(x+inner, y+5, "Cautions", size*1.2, Ink, Start)
	ty := y + 5 + line*1.15
	for i, l := range lines {
		if first[i] {
			s.Draw(rect(x+inner, ty-size*0.52, 1.1, size*0.3), fill(Ink))
		}
		s.Text(x+inner+2.6, ty, l, size, Ink, Start)
		ty += line
	}
	return y + h
}

func drawTriangle(s *Scene, cx, cy, r float64) {
	p := new(Path)
	for i := range 3 {
		si, co := math.Sincos(-math.Pi/2 + 2*math.Pi*float64(i)/3)
		if i == 0 {
			p.Move(cx+r*co, cy+r*si)
		} else {
			p.Line(cx+r*co, cy+r*si)
		}
	}
	p.Close()
	s.Draw(p, both(Paper, Ink, 0.9))
	s.Draw(polyline(Point{cx, cy - r*0.34}, Point{cx, cy + r*0.12}), stroke(Ink, 0.85))
	s.Draw(circle(cx, cy+r*0.33, 0.5), fill(Ink))
}
