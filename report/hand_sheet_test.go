package report

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"
)

func TestHandSheet(t *testing.T) {
	low, high := 1.0, 2.5
	cell := &HandSheetCell{Value: 1.5, Low: &low, High: &high, Basis: "mean of 5, Student's t"}
	h := &HandSheet{Hands: []string{"Soft", "Stiff"}, Level: .95, Cautions: []string{"Cut motion and air."}, Invented: true, Printed: time.Unix(1e9, 0),
		Tests: []HandSheetTest{{Title: "Life", Notes: []string{"Few ends."},
			Plots: []HandSheetPlot{{Title: "Soft", X: "cycles", Y: "share", Weibull: true, Curves: []HandSheetCurve{
				{XY: [][2]float64{{0, 0}, {100, .2}, {1000, .9}, {2000, 1}}}, {XY: [][2]float64{{500, .5}}, Points: true}, {XY: [][2]float64{{500, .5}}, Open: true},
			}}}}}}
	for range 120 {
		h.Tests[0].Rows = append(h.Tests[0].Rows, HandSheetRow{"life that 10 % do not reach", "left", "cycles", []*HandSheetCell{cell, nil}})
	}
	a, err := h.PDF()
	if err != nil {
		t.Fatal(err)
	}
	b, err := h.PDF()
	if err != nil || !bytes.Equal(a, b) {
		t.Fatalf("another document the second time, %v", err)
	}
	if n := bytes.Count(a, []byte("/Type /Page\n")); n < 3 || n > 6 {
		t.Errorf("%d pages", n)
	}
	if text := strings.Join(h.Tests[0].bases(h.Hands), "|"); text != "Soft rests on: mean of 5, Student's t." {
		t.Errorf("%q", text)
	}
	for _, c := range []struct {
		cell HandSheetCell
		want string
	}{{*cell, "1 to 2.5"}, {HandSheetCell{Low: &low}, "from 1"}, {HandSheetCell{High: &high}, "up to 2.5"}, {HandSheetCell{}, "no interval"}} {
		if got := limits(&c.cell); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	if digits(-12345.6) != "−12346" && digits(-12345.6) != "-12346" || digits(math.Pi) != "3.14" {
		t.Errorf("%s %s", digits(-12345.6), digits(math.Pi))
	}
}

// No word of a table is cut: units, groups and hands' names go on below where their column is too narrow.
func TestHandSheetCutsNothing(t *testing.T) {
	cell := &HandSheetCell{Value: 0.05, Basis: "all readings"}
	h := &HandSheet{Hands: []string{"Anemone, four air fingers", "Jaws, two rigid plates", "Mitten, thumb and three fingers", "Gauntlet, five tendon fingers", "Trefoil, three fingers", "Tweezer"}, Tests: []HandSheetTest{{
		Title: "Drive", Rows: []HandSheetRow{{"largest departure from the line", "middle finger, at the second joint", "share of the largest", []*HandSheetCell{cell, nil, nil, nil, nil, nil}}},
	}}}
	p := &handPrinter{sheet: h, pdf: newPDF("Hand sheet", h.Printed)}
	p.newPage()
	p.test(&h.Tests[0])
	svg := string(p.scene.SVG())
	if strings.Contains(svg, "…") {
		t.Error("something is cut")
	}
	for _, word := range strings.Fields(strings.ReplaceAll(strings.Join(h.Hands, " "), ",", "") + " share of the largest middle finger at second joint departure 6 hands") {
		if !strings.Contains(svg, word) {
			t.Errorf("no word of %q", word)
		}
	}
}

// A plot of nothing, or of one point, is drawn without a fault.
func TestHandSheetPlotsOfLittle(t *testing.T) {
	for _, xy := range [][][2]float64{nil, {{1, 1}}, {{1, 1}, {1, 2}}} {
		s := &Scene{W: 100, H: 100}
		drawCurves(s, &HandSheetPlot{Curves: []HandSheetCurve{{XY: xy}}}, 0, 0, 60, 40)
		if svg := string(s.SVG()); strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") {
			t.Errorf("%v: %s", xy, svg)
		}
	}
}

// Bars begin at 0, stand over names, and whiskers reach from limit to limit.
func TestHandSheetPlotsBars(t *testing.T) {
	s := &Scene{W: 100, H: 100}
	drawCurves(s, &HandSheetPlot{X: "hand", Y: "money per pick", Labels: []string{"soft"}, Curves: []HandSheetCurve{
		{Name: "price", XY: [][2]float64{{.9, 4}}, Bars: true}, {Name: "energy", XY: [][2]float64{{1.1, 2}}, Bars: true}, {XY: [][2]float64{{.9, 3}, {.9, 8}}, Whiskers: true},
	}}, 0, 0, 60, 40)
	svg := string(s.SVG())
	for _, want := range []string{">soft<", "money per pick: price, energy", ">8<", ">0<"} {
		if !strings.Contains(svg, want) {
			t.Errorf("%q is missing in %s", want, svg)
		}
	}
}
