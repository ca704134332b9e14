package api

import (
	"strings"
	"time"

	"holdfast/domain"
	"holdfast/handtest"
	"holdfast/readings"
	"holdfast/report"
	"holdfast/workflow"
)

func fromBenchTest(k handtest.Kind) BenchTest {
	in := k.Instruction()
	return BenchTest{
		Name: k.Name, Title: k.Title, How: in.How, Cautions: in.Cautions, Source: in.Source, TakesUnit: k.TakesUnit(),
		Columns: each(k.Columns, func(c readings.Column) BenchColumn {
			return BenchColumn{Name: c.Name, Meaning: c.Meaning, Words: joinedOrEmpty(c.Words), Text: c.Text, Optional: c.Optional, Positive: c.Positive, Natural: c.Natural}
		}),
	}
}

// domain takes over a request; a day that is none is a fault of the field day.
func (b BenchRequest) domain(hand string) (domain.BenchRecord, error) {
	r := domain.BenchRecord{
		Hand: domain.ID(hand), Key: b.Key, Test: b.Test, Variant: b.Variant, Specimen: b.Specimen, Operator: b.Operator, Table: b.Table, Unit: b.Unit,
		Ramp: b.RampS, Terms: b.Terms, Limit: b.Limit, Note: b.Note,
	}
	if b.Day != "" {
		day, err := time.Parse(time.DateOnly, b.Day)
		if err != nil {
			return r, &domain.Error{Kind: domain.KindInvalid, Message: "this bench record can not be accepted; mend the fields named",
				Fields: []domain.FieldError{{Field: "day", Value: b.Day, Reason: "must be a day such as 2026-03-14"}}}
		}
		r.Day = day
	}
	return r, nil
}

func fromBenchEntry(e workflow.BenchEntry) BenchRecord {
	b := fromBenchRecord(e.BenchRecord)
	b.OnSheet, b.Fault = e.OnSheet, e.Fault
	if e.Report != nil {
		r := fromBenchReport(e.Report)
		b.Report = &r
	}
	return b
}

func fromBenchRecord(r domain.BenchRecord) BenchRecord {
	b := BenchRecord{
		ID: r.ID, Key: r.Key, Hand: string(r.Hand), Test: r.Test, Variant: r.Variant, Specimen: r.Specimen, Operator: r.Operator, Day: r.Day.Format(time.DateOnly),
		Unit: r.Unit, RampS: r.Ramp, Terms: r.Terms, Limit: r.Limit, Note: r.Note, Invented: r.Invented, Recorded: timeOrNil(r.Recorded),
	}
	if !r.Stands() {
		b.Void = &BenchVoid{At: r.Voided, By: r.VoidedBy, Reason: r.VoidReason}
	}
	return b
}

// A plot is a few hundred pixels wide; more than this of a curve, or more curves, nobody can tell apart.
const (
	mostPlotted = 600
	mostCurves  = 40
)

func fromBenchReport(r *handtest.Report) BenchReport {
	out := BenchReport{Rows: r.Rows, Level: r.Level, Figures: each(r.Figures, fromBenchFigure), Axes: "plain", Labels: joinedOrEmpty(r.Labels), Notes: joinedOrEmpty(r.Notes)}
	if r.Axes != handtest.PlainAxes {
		out.Axes = r.Axes
	}
	out.Series = each(r.Series[:min(mostCurves, len(r.Series))], fromBenchSeries)
	return out
}

func fromBenchSeries(s handtest.Series) BenchSeries {
	out := BenchSeries{Name: s.Name, X: readings.Label(s.X), Y: readings.Label(s.Y), Draw: "line", XS: []float64{}, YS: []float64{}}
	if s.Draw != handtest.Line {
		out.Draw = s.Draw
	}
	step := 1
	if n := len(s.Points); n > mostPlotted {
		step = (n + mostPlotted - 1) / mostPlotted
	}
	for i, p := range s.Points {
		if i%step == 0 || i == len(s.Points)-1 {
			out.XS, out.YS = append(out.XS, tidy(p[0])), append(out.YS, tidy(p[1]))
		}
	}
	return out
}

func fromBenchFigure(f handtest.Figure) BenchFigure {
	return BenchFigure{Name: f.Name, Group: f.Group, Unit: f.Unit, Value: f.Value, Low: f.Low, High: f.High, Basis: f.Basis}
}

func fromHandSheet(s workflow.BenchSheet) HandSheet {
	out := HandSheet{Level: s.Level, Hands: []HandSheetHand{}, Cautions: handtest.SheetCautions()}
	for i, h := range s.Hands {
		out.Hands = append(out.Hands, HandSheetHand{ID: string(h.Hand.ID), Name: s.Sheet.Hands[i], Records: len(h.Records)})
		for _, r := range h.Records {
			out.Invented = out.Invented || r.Invented
		}
	}
	out.Tests = each(s.Sheet.Tests, func(t handtest.SheetTest) HandSheetTest {
		return HandSheetTest{
			Name: t.Kind, Title: t.Title, Notes: each(t.Notes, func(n handtest.SheetNote) HandSheetNote { return HandSheetNote(n) }),
			Rows: each(t.Rows, func(r handtest.SheetRow) HandSheetRow {
				return HandSheetRow{Name: r.Name, Variant: r.Variant, Group: r.Group, Unit: r.Unit, Cells: each(r.Cells, func(f *handtest.Figure) *BenchFigure {
					if f == nil {
						return nil
					}
					b := fromBenchFigure(*f)
					return &b
				})}
			}),
		}
	})
	return out
}

// printedHandSheet is the sheet as it goes on paper; a curve of each hand and variant stands beside each test's table.
func printedHandSheet(s workflow.BenchSheet) *report.HandSheet {
	out := &report.HandSheet{Hands: s.Sheet.Hands, Level: s.Level, Cautions: handtest.SheetCautions()}
	for _, t := range s.Sheet.Tests {
		paper := report.HandSheetTest{Title: t.Title}
		for _, r := range t.Rows {
			paper.Rows = append(paper.Rows, report.HandSheetRow{Name: r.Name, Of: r.Of(), Unit: r.Unit, Cells: each(r.Cells, func(f *handtest.Figure) *report.HandSheetCell {
				if f == nil {
					return nil
				}
				return &report.HandSheetCell{Value: f.Value, Low: f.Low, High: f.High, Basis: f.Basis}
			})})
		}
		for _, n := range t.Notes {
			paper.Notes = append(paper.Notes, n.Hand+": "+n.Text)
		}
		for k, h := range s.Hands {
			for i, r := range h.Records {
				out.Invented = out.Invented || r.Invented
				if got := s.Reports[k][i]; r.Test == t.Kind && len(got.Series) > 0 {
					plot := report.HandSheetPlot{Title: strings.TrimSpace(s.Sheet.Hands[k] + " " + r.Variant), X: readings.Label(got.Series[0].X), Y: readings.Label(got.Series[0].Y), Weibull: got.Axes == handtest.WeibullAxes, Labels: got.Labels}
					for _, c := range got.Series[:min(mostCurves, len(got.Series))] {
						plot.Curves = append(plot.Curves, report.HandSheetCurve{Name: c.Name, XY: c.Points, Points: c.Draw == handtest.Points, Open: c.Draw == handtest.Open, Bars: c.Draw == handtest.Bars, Whiskers: c.Draw == handtest.Whiskers})
					}
					paper.Plots = append(paper.Plots, plot)
				}
			}
		}
		out.Tests = append(out.Tests, paper)
	}
	return out
}
