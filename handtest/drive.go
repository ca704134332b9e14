package handtest

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
	"holdfast/readings"
)

// bending and blocking fit lines through the origin: an air finger without pressure is straight and does not push.
func bending(t *readings.Table, _ Settings, r *Report) error {
	return r.throughOrigin(t, "finger", "pressure_kPa", "angle_deg", "angle per pressure", "°/kPa")
}

func blocking(t *readings.Table, _ Settings, r *Report) error {
	r.note("A finger on a rail pushes with the moment over its length; one of which only the tip is held pushes about half as hard again.")
	return r.throughOrigin(t, "bench", "pressure_kPa", "force_N", "force per pressure", "N/kPa")
}

// throughOrigin adds, for each group, the slope of y over x and how far the readings leave it.
func (r *Report) throughOrigin(t *readings.Table, column, xName, yName, figure, unit string) error {
	order, rows := t.Groups(column)
	for _, group := range order {
		x, y := pick(t.Numbers[xName], rows[group]), pick(t.Numbers[yName], rows[group])
		a := make([][]float64, len(x))
		for i, v := range x {
			a[i] = []float64{v}
		}
		f, err := leastsquares.Linear(a, y)
		if err != nil {
			return fmt.Errorf("%s %w", group, err)
		}
		slope, half, basis := f.Coefficients[0], math.NaN(), "one reading: no interval"
		if f.DF > 0 {
			half = numeric.StudentQuantile((1+r.Level)/2, float64(f.DF)) * f.SE[0]
			basis = fmt.Sprintf("line through the origin, %d readings, Student's t", len(x))
		}
		r.add(figure, group, unit, slope, slope-half, slope+half, basis)
		top := 0.0
		points := Series{Name: named(group, "measured"), X: xName, Y: yName, Draw: Points}
		for i := range x {
			top = max(top, x[i])
			points.Points = append(points.Points, [2]float64{x[i], y[i]})
		}
		r.departure(group, x, y, slope)
		r.Series = append(r.Series, points, Series{Name: named(group, "line"), X: xName, Y: yName, Points: [][2]float64{{0, 0}, {top, slope * top}}})
	}
	return nil
}

func named(group, what string) string {
	if group == "" {
		return what
	}
	return group + ", " + what
}

// tendon finds travel per angle from both ways, and tension per angle from each; friction along the way makes the closing one the larger.
func tendon(t *readings.Table, _ Settings, r *Report) error {
	radians := make([]float64, t.Rows)
	for i, v := range t.Numbers["angle_deg"] {
		radians[i] = v * math.Pi / 180
	}
	f, err := line(radians, t.Numbers["travel_mm"])
	if err != nil {
		return err
	}
	half := func(f *leastsquares.Fit, k int) float64 {
		if f.DF < 1 {
			return math.NaN()
		}
		return numeric.StudentQuantile((1+r.Level)/2, float64(f.DF)) * f.SE[k]
	}
	h := half(f, 1)
	r.add("travel per angle", "", "mm/rad", f.Coefficients[1], f.Coefficients[1]-h, f.Coefficients[1]+h, fmt.Sprintf("line through %d readings of both ways: the arm that the tendon works with", t.Rows))
	_, rows := t.Groups("direction")
	slopes, variances := map[string]float64{}, map[string]float64{}
	for _, way := range []string{"closing", "opening"} {
		at := rows[way]
		if len(at) == 0 {
			continue
		}
		tension, angle := pick(t.Numbers["tension_N"], at), pick(radians, at)
		g, err := line(angle, tension)
		if err != nil {
			return fmt.Errorf("%s: %w", way, err)
		}
		h := half(g, 1)
		r.add("tension per angle, "+way, "", "N/rad", g.Coefficients[1], g.Coefficients[1]-h, g.Coefficients[1]+h, fmt.Sprintf("line through %d readings, Student's t", len(at)))
		slopes[way], variances[way] = g.Coefficients[1], g.SE[1]*g.SE[1]
		s := Series{Name: way, X: "angle_deg", Y: "tension_N"}
		for _, i := range at {
			s.Points = append(s.Points, [2]float64{t.Numbers["angle_deg"][i], t.Numbers["tension_N"][i]})
		}
		r.Series = append(r.Series, s)
	}
	if c, o := slopes["closing"], slopes["opening"]; c > 0 && o > 0 {
		// The ratio of the slopes is exp(2µφ) along a curve φ, by Euler's rope friction; its logarithm is nearly normal.
		ratio, se := math.Log(c/o)/2, math.Sqrt(variances["closing"]/(c*c)+variances["opening"]/(o*o))/2
		z := numeric.NormalQuantile((1 + r.Level) / 2)
		r.add("friction times curve", "", "rad", ratio, ratio-z*se, ratio+z*se, "half the logarithm of the ratio of both tensions, by the friction of ropes around curves")
	} else {
		r.note("Friction shows in closing and opening together; one of them is missing or does not rise.")
	}
	return nil
}
