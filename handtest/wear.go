package handtest

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/readings"
	"holdfast/signals/calibrate"
)

// wear fits a straight drift; the cycles to a limit are its inverse with Fieller's interval.
func wear(t *readings.Table, s Settings, r *Report) error {
	p, err := calibrate.FitPolynomial(t.Numbers["cycles"], t.Numbers["value"], nil, 1)
	if err != nil {
		return err
	}
	// The line is centred, so its slope's standard error follows from those of two places.
	b := p.Coefficients()
	mid := p.Predict(p.Center, 0, r.Level).SE
	end := p.Predict(p.Center+p.Scale, 0, r.Level).SE
	se := math.Sqrt(max(0, end*end-mid*mid)) / p.Scale
	half := numeric.StudentQuantile((1+r.Level)/2, float64(p.DF)) * se
	basis := fmt.Sprintf("straight line through %d readings, Student's t", t.Rows)
	r.add("drift in 1000 cycles", "", s.Unit, 1000*b[1], 1000*(b[1]-half), 1000*(b[1]+half), basis)
	fresh := p.Predict(0, 0, r.Level)
	q := numeric.StudentQuantile((1+r.Level)/2, float64(p.DF))
	r.add("value when new", "", s.Unit, fresh.Value, fresh.Value-q*fresh.SE, fresh.Value+q*fresh.SE, basis)
	if !math.IsNaN(s.Limit) {
		inv, err := p.Invert(s.Limit, 0, r.Level)
		switch {
		case err != nil:
			return err
		case inv.Value < 0 || b[1] == 0:
			r.note("The drift leads away from the limit %g.", s.Limit)
		default:
			limit := fmt.Sprintf("cycles to %g", s.Limit)
			if s.Unit != untoldUnit {
				limit += " " + s.Unit
			}
			r.add(limit, "", "cycles", inv.Value, inv.Low, inv.High, "inverse of the line, Fieller's limits for one reading")
			if inv.Value > p.High {
				r.note("The limit lies beyond the %g cycles tried; that the drift goes on straight is assumed.", p.High)
			}
		}
	}
	y := "value (" + s.Unit + ")"
	points, fit := Series{Name: "measured", X: "cycles", Y: y, Draw: Points}, Series{Name: "line", X: "cycles", Y: y}
	for i, c := range t.Numbers["cycles"] {
		points.Points = append(points.Points, [2]float64{c, t.Numbers["value"][i]})
	}
	for _, c := range []float64{p.Low, p.High} {
		fit.Points = append(fit.Points, [2]float64{c, p.Predict(c, 0, r.Level).Value})
	}
	r.Series = append(r.Series, points, fit)
	return nil
}
