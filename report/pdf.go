package report

import (
	"bytes"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"holdfast/domain"
)

const pointsPerMM = 72 / 25.4

// newPDF starts a document of A4 pages whose bytes depend on nothing but what is drawn and the date given.
func newPDF(title string, at time.Time) *fpdf.Fpdf {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetCreationDate(at.UTC())
	pdf.SetModificationDate(at.UTC())
	pdf.SetCatalogSort(true)
	pdf.SetProducer("Holdfast", true)
	pdf.SetCreator("Holdfast", true)
	pdf.SetTitle(title, true)
	pdf.SetLang("en")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.SetLineCapStyle("round")
	pdf.SetLineJoinStyle("round")
	return pdf
}

func finishPDF(pdf *fpdf.Fpdf) ([]byte, error) {
	var b bytes.Buffer
	if err := pdf.Output(&b); err != nil {
		return nil, domain.Internal("drawing the PDF", err)
	}
	return b.Bytes(), nil
}

// PDF writes the scene as a document of one page of the scene's size. at is noted as the date of creation.
func (s *Scene) PDF(at time.Time) ([]byte, error) {
	pdf := newPDF(s.Title, at)
	pdf.SetSubject(s.Desc, true)
	pdf.AddPageFormat("P", fpdf.SizeType{Wd: s.W, Ht: s.H})
	drawPDF(pdf, s)
	return finishPDF(pdf)
}

// drawPDF draws the scene on the present page with its origin at the page's.
func drawPDF(pdf *fpdf.Fpdf, s *Scene) {
	var saved []penState
	for i := range s.ops {
		o := &s.ops[i]
		switch o.kind {
		case opClip:
			var ring []fpdf.PointType
			for _, part := range flatten(o.path, 0.02) {
				for _, p := range part {
					ring = append(ring, fpdf.PointType{X: p.X, Y: p.Y})
				}
			}
			saved = append(saved, penOf(pdf))
			pdf.ClipPolygon(ring, false)
		case opUnclip:
			pdf.ClipEnd()
			saved[len(saved)-1].restore(pdf)
			saved = saved[:len(saved)-1]
		case opPath:
			drawPath(pdf, o)
		case opText:
			style := ""
			if o.bold {
				style = "B"
			}
			pdf.SetFont("Helvetica", style, o.size*pointsPerMM)
			pdf.SetTextColor(int(o.colour.R), int(o.colour.G), int(o.colour.B))
			x := o.at.X
			switch o.anchor {
			case Middle:
				x -= textWidth(o.text, o.size, o.bold) / 2
			case End:
				x -= textWidth(o.text, o.size, o.bold)
			}
			pdf.Text(x, o.at.Y, western(o.text))
		}
	}
}

// penState is what the end of a clipped group sets back in the document, though the library does not notice: it would
// leave out colours that it thinks are set.
type penState struct {
	fill, draw [3]int
	width      float64
}

func penOf(pdf *fpdf.Fpdf) (p penState) {
	p.fill[0], p.fill[1], p.fill[2] = pdf.GetFillColor()
	p.draw[0], p.draw[1], p.draw[2] = pdf.GetDrawColor()
	p.width = pdf.GetLineWidth()
	return p
}

func (p penState) restore(pdf *fpdf.Fpdf) {
	pdf.SetFillColor(p.fill[0], p.fill[1], p.fill[2])
	pdf.SetDrawColor(p.draw[0], p.draw[1], p.draw[2])
	pdf.SetLineWidth(p.width)
	// Another face first, so that the next text sets its own for certain.
	pdf.SetFont("Courier", "", 1)
}

func drawPath(pdf *fpdf.Fpdf, o *op) {
	mode := ""
	if c := o.style.Fill; c != nil {
		pdf.SetFillColor(int(c.R), int(c.G), int(c.B))
		mode = "F*"
	}
	if c := o.style.Stroke; c != nil {
		pdf.SetDrawColor(int(c.R), int(c.G), int(c.B))
		pdf.SetLineWidth(o.style.Width)
		if mode == "" {
			mode = "D"
		} else {
			mode = "FD*"
		}
		if o.style.Dash > 0 {
			pdf.SetDashPattern([]float64{o.style.Dash, o.style.Dash}, 0)
			defer pdf.SetDashPattern([]float64{}, 0)
		}
	}
	if mode == "" {
		return
	}
	for i := range o.path {
		g := &o.path[i]
		switch g.kind {
		case segMove:
			pdf.MoveTo(g.p[0].X, g.p[0].Y)
		case segLine:
			pdf.LineTo(g.p[0].X, g.p[0].Y)
		case segCurve:
			pdf.CurveBezierCubicTo(g.p[0].X, g.p[0].Y, g.p[1].X, g.p[1].Y, g.p[2].X, g.p[2].Y)
		case segClose:
			pdf.ClosePath()
		}
	}
	pdf.DrawPath(mode)
}

// flatten turns a path into polylines that stay within tolerance (mm) of it. Closed parts repeat their first point.
func flatten(path []seg, tolerance float64) [][]Point {
	var parts [][]Point
	var part []Point
	end := func() {
		if len(part) > 1 {
			parts = append(parts, part)
		}
		part = nil
	}
	for i := range path {
		g := &path[i]
		switch g.kind {
		case segMove:
			end()
			part = append(part, g.p[0])
		case segLine:
			part = append(part, g.p[0])
		case segCurve:
			if len(part) > 0 {
				part = flattenCurve(part, g.p, tolerance, 0)
			}
		case segClose:
			if len(part) > 0 {
				part = append(part, part[0])
			}
			end()
		}
	}
	end()
	return parts
}

func flattenCurve(part []Point, c [3]Point, tolerance float64, depth int) []Point {
	a := part[len(part)-1]
	// The control points' second differences bound how far the curve strays from its chord.
	d1 := max(abs(a.X-2*c[0].X+c[1].X), abs(c[0].X-2*c[1].X+c[2].X))
	d2 := max(abs(a.Y-2*c[0].Y+c[1].Y), abs(c[0].Y-2*c[1].Y+c[2].Y))
	if depth >= 10 || d1+d2 < tolerance {
		return append(part, c[2])
	}
	mid := func(p, q Point) Point { return Point{(p.X + q.X) / 2, (p.Y + q.Y) / 2} }
	ab, bc, cd := mid(a, c[0]), mid(c[0], c[1]), mid(c[1], c[2])
	abc, bcd := mid(ab, bc), mid(bc, cd)
	m := mid(abc, bcd)
	part = flattenCurve(part, [3]Point{ab, abc, m}, tolerance, depth+1)
	return flattenCurve(part, [3]Point{bcd, cd, c[2]}, tolerance, depth+1)
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}
