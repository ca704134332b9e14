package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// HandSheet is the numbers of hands side by side, on paper.
type HandSheet struct {
	Hands    []string // their names, at most six
	Level    float64  // of the intervals, 0…1
	Tests    []HandSheetTest
	Cautions []string
	Invented bool
	Printed  time.Time // printed on the sheet, and the document's date of creation
}

// HandSheetTest is one test with the figures and curves of all hands.
type HandSheetTest struct {
	Title string
	Rows  []HandSheetRow
	Notes []string
	Plots []HandSheetPlot
}

// HandSheetRow is one figure; Cells has one entry for each hand, nil where the hand lacks it.
type HandSheetRow struct {
	Name, Of, Unit string
	Cells          []*HandSheetCell
}

// HandSheetCell is a figure's value with its limits; a nil limit is not set by the record.
type HandSheetCell struct {
	Value     float64
	Low, High *float64
	Basis     string
}

// HandSheetPlot is a hand's curves of one test.
type HandSheetPlot struct {
	Title, X, Y string // what is plotted, with units
	Curves      []HandSheetCurve
	Weibull     bool     // x by its logarithm, shares by ln(−ln(1 − p))
	Labels      []string // of x = 1, 2, … where these are names
}

// HandSheetCurve is a line, unless one of its marks says otherwise.
type HandSheetCurve struct {
	Name     string
	XY       [][2]float64
	Points   bool
	Open     bool // points of which only a limit is known
	Bars     bool // from 0 up to each point
	Whiskers bool // from each even point to the next
}

// PDF writes the sheet on A4 pages: a table for each test, its curves, what the figures rest on, cautions.
func (h *HandSheet) PDF() ([]byte, error) {
	p := &handPrinter{sheet: h, pdf: newPDF("Hand sheet", h.Printed)}
	p.newPage()
	for i := range h.Tests {
		if len(h.Tests[i].Rows) > 0 {
			p.test(&h.Tests[i])
		}
	}
	p.cautions()
	drawPDF(p.pdf, p.scene)
	return finishPDF(p.pdf)
}

// handPrinter keeps the place on the page.
type handPrinter struct {
	sheet *HandSheet
	pdf   *fpdf.Fpdf
	scene *Scene
	y     float64 // mm, the next free place
	page  int
}

func (p *handPrinter) newPage() {
	if p.scene != nil {
		drawPDF(p.pdf, p.scene)
	}
	p.page++
	p.pdf.AddPage()
	s := &Scene{W: pageW, H: pageH}
	p.scene = s
	s.Draw(rect(sheetLeft, sheetTop-5, sheetRight-sheetLeft, 0.9), fill(Accent))
	s.Bold(sheetLeft, sheetTop+1.5, "Hand sheet", 3.4, Accent, Start)
	s.Text(sheetLeft+21, sheetTop+1.5, p.whose(), 3.2, Ink, Start)
	if p.sheet.Invented {
		drawTag(s, sheetRight-textWidth("Invented data", 2.9, true)-3, sheetTop+1.5, "Invented data", 2.9)
	}
	s.Text(sheetLeft, sheetBottom+6.5, fmt.Sprintf("Intervals of %g %%  ·  printed %s  ·  page %d", 100*p.sheet.Level, p.sheet.Printed.UTC().Format("2006-01-02 15:04 UTC"), p.page), 2.6, Soft, Start)
	p.y = sheetTop + 7
}

// whose names the hands where they fit beside the title; over each table they stand in full.
func (p *handPrinter) whose() string {
	const room = 125.0
	for _, between := range []string{"  ·  ", " · "} {
		if names := strings.Join(p.sheet.Hands, between); textWidth(names, 3.2, false) <= room {
			return names
		}
	}
	return fmt.Sprintf("%d hands", len(p.sheet.Hands))
}

// room begins a new page unless so many mm are free.
func (p *handPrinter) room(need float64) {
	if p.y+need > sheetBottom {
		p.newPage()
	}
}

const (
	handFigureW = 46.0 // mm, of the columns beside the hands'
	handOfW     = 22.0
	handUnitW   = 17.0
)

func (p *handPrinter) test(t *HandSheetTest) {
	p.room(24)
	p.scene.Bold(sheetLeft, p.y+3, t.Title, 3.6, Accent, Start)
	p.y += 5.5
	column := (sheetRight - sheetLeft - handFigureW - handOfW - handUnitW) / float64(len(p.sheet.Hands))
	edge := func(k int) float64 { return sheetLeft + handFigureW + handOfW + handUnitW + column*float64(k+1) - 1 }
	names, most := make([][]string, len(p.sheet.Hands)), 1
	for k, name := range p.sheet.Hands {
		names[k] = wrap(name, 2.5, column-2, true)
		most = max(most, len(names[k]))
	}
	head := func() {
		height := 5 + 3.1*float64(most-1)
		p.scene.Draw(rect(sheetLeft, p.y, sheetRight-sheetLeft, height), fill(Shade))
		for k, lines := range names {
			for i, l := range lines {
				p.scene.Bold(edge(k), p.y+3.5+3.1*float64(i), l, 2.5, Ink, End)
			}
		}
		p.y += height
	}
	head()
	for _, r := range t.Rows {
		// Nothing is cut: what is too long for its column goes on below.
		texts := [3][]string{wrap(r.Name, 2.6, handFigureW-2, false), wrap(r.Of, 2.5, handOfW-1, false), wrap(r.Unit, 2.5, handUnitW-1, false)}
		height := max(6.6, 3.4*float64(max(len(texts[0]), len(texts[1]), len(texts[2])))+1.6)
		if p.y+height > sheetBottom {
			p.newPage()
			head()
		}
		for i, l := range texts[0] {
			p.scene.Text(sheetLeft, p.y+3.2+3.3*float64(i), l, 2.6, Ink, Start)
		}
		for i, l := range texts[1] {
			p.scene.Text(sheetLeft+handFigureW, p.y+3.2+3.3*float64(i), l, 2.5, Soft, Start)
		}
		for i, l := range texts[2] {
			p.scene.Text(sheetLeft+handFigureW+handOfW, p.y+3.2+3.3*float64(i), l, 2.5, Soft, Start)
		}
		for k, c := range r.Cells {
			if c == nil {
				p.scene.Text(edge(k), p.y+3.2, "–", 2.6, Soft, End)
				continue
			}
			p.scene.Bold(edge(k), p.y+3.2, digits(c.Value), 2.7, Ink, End)
			p.scene.Text(edge(k), p.y+6, limits(c), 2.1, Soft, End)
		}
		p.y += height
		p.scene.Draw(rect(sheetLeft, p.y, sheetRight-sheetLeft, 0.12), fill(Line))
	}
	p.y += 2
	p.plots(t.Plots)
	for _, text := range append(t.bases(p.sheet.Hands), t.Notes...) {
		for _, l := range wrap(text, 2.3, sheetRight-sheetLeft, false) {
			p.room(3.2)
			p.scene.Text(sheetLeft, p.y+2.4, l, 2.3, Soft, Start)
			p.y += 3.1
		}
	}
	p.y += 4
}

// bases tells what the figures of each hand rest on.
func (t *HandSheetTest) bases(hands []string) (list []string) {
	for k, name := range hands {
		seen := map[string]bool{}
		var texts []string
		for _, r := range t.Rows {
			if c := r.Cells[k]; c != nil && !seen[c.Basis] {
				seen[c.Basis] = true
				texts = append(texts, c.Basis)
			}
		}
		if texts != nil {
			list = append(list, name+" rests on: "+strings.Join(texts, "; ")+".")
		}
	}
	return list
}

func (p *handPrinter) plots(list []HandSheetPlot) {
	const w, h, gap = 58.0, 42.0, 5.0
	for i := 0; i < len(list); i += 3 {
		p.room(h + 2)
		for j := range min(3, len(list)-i) {
			drawCurves(p.scene, &list[i+j], sheetLeft+float64(j)*(w+gap), p.y, w, h)
		}
		p.y += h + 2
	}
}

func (p *handPrinter) cautions() {
	// Measured on a page that is thrown away: the frame must not be torn.
	height := drawCautions(&Scene{W: pageW, H: pageH}, sheetLeft, 0, sheetRight-sheetLeft, p.sheet.Cautions, 2.7)
	p.room(height + 2)
	p.y = drawCautions(p.scene, sheetLeft, p.y, sheetRight-sheetLeft, p.sheet.Cautions, 2.7) + 3
}

// digits writes a number with three digits that count.
func digits(v float64) string {
	if a := math.Abs(v); a >= 1000 && a < 1e7 {
		return minus(strconv.FormatFloat(math.Round(v), 'f', 0, 64))
	}
	return minus(strconv.FormatFloat(v, 'g', 3, 64))
}

func limits(c *HandSheetCell) string {
	switch {
	case c.Low != nil && c.High != nil:
		return digits(*c.Low) + " to " + digits(*c.High)
	case c.Low != nil:
		return "from " + digits(*c.Low)
	case c.High != nil:
		return "up to " + digits(*c.High)
	}
	return "no interval"
}
