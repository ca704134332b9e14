package handtest

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/readings"
	"holdfast/signals/calibrate"
)

// repeatability is the one-way analysis of variance of ISO 5725-2:1994, with unequal group sizes, and its limits r and R.
func repeatability(t *readings.Table, set Settings, r *Report) error {
	order, rows := t.Groups("group")
	p, n := float64(len(order)), float64(t.Rows)
	if len(order) < 2 || t.Rows <= len(order) {
		return fmt.Errorf("repeatability needs two groups or more and one group read twice; there are %d groups in %d rows", len(order), t.Rows)
	}
	grand, _ := moments(t.Numbers["value"])
	within, between, sizes := 0.0, 0.0, 0.0
	for _, g := range order {
		values := pick(t.Numbers["value"], rows[g])
		m, _ := moments(values)
		for _, v := range values {
			within += (v - m) * (v - m)
		}
		k := float64(len(values))
		between += k * (m - grand) * (m - grand)
		sizes += k * k
		s := Series{Name: g, X: "group", Y: "value (" + set.Unit + ")", Draw: Points}
		for _, v := range values {
			s.Points = append(s.Points, [2]float64{float64(len(r.Series) + 1), v})
		}
		r.Series = append(r.Series, s)
	}
	msw, msb := within/(n-p), between/(p-1)
	size := (n - sizes/n) / (p - 1)
	sr2 := msw
	sl2 := (msb - msw) / size
	if sl2 < 0 {
		r.note("The groups' means differ by less than their scatter leads one to expect; the variance between groups is set to 0.")
		sl2 = 0
	}
	sr, sR := math.Sqrt(sr2), math.Sqrt(sr2+sl2)
	a := (1 - r.Level) / 2
	low, high := sr*math.Sqrt((n-p)/numeric.ChiSquareQuantile(1-a, n-p)), sr*math.Sqrt((n-p)/numeric.ChiSquareQuantile(a, n-p))
	r.add("mean", "", set.Unit, grand, math.NaN(), math.NaN(), "mean of all readings")
	r.add("repeatability standard deviation", "", set.Unit, sr, low, high, fmt.Sprintf("within %d groups, chi-square limits", len(order)))
	r.add("repeatability limit r", "", set.Unit, 2.8*sr, 2.8*low, 2.8*high, "2.8 times (ISO 5725-2)")
	// Satterthwaite's degrees of freedom for the sum of the two mean squares.
	total := sr2 + sl2
	df := total * total / (math.Pow(msb/size, 2)/(p-1) + math.Pow(msw*(1-1/size), 2)/(n-p))
	if sl2 == 0 || total == 0 {
		df = n - p
	}
	low, high = sR*math.Sqrt(df/numeric.ChiSquareQuantile(1-a, df)), sR*math.Sqrt(df/numeric.ChiSquareQuantile(a, df))
	r.add("reproducibility standard deviation", "", set.Unit, sR, low, high, "limits after Satterthwaite, approximate")
	r.add("reproducibility limit R", "", set.Unit, 2.8*sR, 2.8*low, 2.8*high, "2.8 times (ISO 5725-2)")
	if msw > 0 {
		f := msb / msw
		r.add("F of the groups", "", "", f, math.NaN(), math.NaN(), fmt.Sprintf("%d and %d degrees of freedom", len(order)-1, t.Rows-len(order)))
		r.add("p of equal groups", "", "", numeric.FSurvival(f, p-1, n-p), math.NaN(), math.NaN(), "one-way analysis of variance")
	}
	return nil
}

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
