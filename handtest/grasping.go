package handtest

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
	"holdfast/readings"
)

// closing finds travel times between 5 % and 95 % of each stroke, and the gap between closing and opening at equal commands.
func closing(t *readings.Table, _ Settings, r *Report) error {
	order, rows := t.Groups("cycle")
	times := map[string][]float64{}
	var strokes, cycles, gaps []float64
	for _, cycle := range order {
		first, last, ways := math.Inf(1), math.Inf(-1), 0
		curves := map[string][][2]float64{}
		for _, way := range []string{"closing", "opening"} {
			var at []int
			for _, i := range rows[cycle] {
				if t.Texts["direction"][i] == way {
					at = append(at, i)
				}
			}
			if len(at) == 0 {
				continue
			}
			time, aperture := pick(t.Numbers["time_s"], at), pick(t.Numbers["aperture_mm"], at)
			for i := 1; i < len(time); i++ {
				if !(time[i] > time[i-1]) {
					return fmt.Errorf("cycle %s, %s: time_s does not rise at %g s", cycle, way, time[i])
				}
			}
			from, to := aperture[0], aperture[len(aperture)-1]
			if len(at) < 3 || from == to {
				return fmt.Errorf("cycle %s, %s: at least 3 readings with a stroke are needed", cycle, way)
			}
			times[way] = append(times[way], crossing(time, aperture, from+.95*(to-from))-crossing(time, aperture, from+.05*(to-from)))
			if way == "closing" {
				strokes = append(strokes, math.Abs(to-from))
			}
			first, last, ways = min(first, time[0]), max(last, time[len(time)-1]), ways+1
			for k, i := range at {
				curves[way] = append(curves[way], [2]float64{t.Numbers["command"][i], aperture[k]})
			}
			r.Series = append(r.Series, Series{Name: "cycle " + cycle + ", " + way, X: "command", Y: "aperture_mm", Points: curves[way]})
		}
		if ways == 2 {
			cycles = append(cycles, last-first)
			if g := widestGap(curves["closing"], curves["opening"]); !math.IsNaN(g) {
				gaps = append(gaps, g)
			}
		}
	}
	for _, way := range []string{"closing", "opening"} {
		if times[way] != nil {
			r.meanOf(way+" time, 5 % to 95 % of the stroke", "", "s", times[way])
		}
	}
	if strokes != nil {
		r.meanOf("stroke", "", "mm", strokes)
	}
	if cycles != nil {
		r.meanOf("cycle time", "", "s", cycles)
	}
	if gaps != nil {
		r.meanOf("widest gap between closing and opening at one command", "", "mm", gaps)
	}
	return nil
}

// crossing returns when a path first reaches a level, between readings in proportion.
func crossing(time, v []float64, level float64) float64 {
	for i := 1; i < len(v); i++ {
		if (v[i-1]-level)*(v[i]-level) <= 0 && v[i] != v[i-1] {
			return time[i-1] + (time[i]-time[i-1])*(level-v[i-1])/(v[i]-v[i-1])
		}
	}
	return math.NaN()
}

// widestGap compares two curves at the abscissae they share; NaN when they share none.
func widestGap(a, b [][2]float64) float64 {
	b = slices.Clone(b) // the caller plots it in the order it was taken
	sort.SliceStable(b, func(i, j int) bool { return b[i][0] < b[j][0] })
	gap := math.NaN()
	for _, p := range a {
		for i := 1; i < len(b); i++ {
			if b[i-1][0] <= p[0] && p[0] <= b[i][0] && b[i][0] > b[i-1][0] {
				v := b[i-1][1] + (b[i][1]-b[i-1][1])*(p[0]-b[i-1][0])/(b[i][0]-b[i-1][0])
				if d := math.Abs(v - p[1]); !(d <= gap) {
					gap = d
				}
			}
		}
	}
	return gap
}

func strength(t *readings.Table, _ Settings, r *Report) error {
	order, rows := t.Groups("finger")
	sort.Strings(order)
	for _, finger := range order {
		values := pick(t.Numbers["peak_force_N"], rows[finger])
		r.meanOf("peak force", finger, "N", values)
		s := Series{Name: finger, X: "push", Y: "peak_force_N", Draw: Points}
		for i, v := range values {
			s.Points = append(s.Points, [2]float64{float64(i + 1), v})
		}
		r.Series = append(r.Series, s)
	}
	r.note("Peak force holds for the pose and speed of this test only; keep hands out of the finger's way.")
	return nil
}

// grip fits force over diameter by a parabola where three sizes or more were tried, and says where it peaks if that lies inside.
func grip(t *readings.Table, _ Settings, r *Report) error {
	order, rows := t.Groups("diameter_mm")
	sort.Slice(order, func(i, j int) bool {
		return t.Numbers["diameter_mm"][rows[order[i]][0]] < t.Numbers["diameter_mm"][rows[order[j]][0]]
	})
	readings := Series{Name: "readings", X: "diameter_mm", Y: "force_N", Draw: Points}
	for i, d := range t.Numbers["diameter_mm"] {
		readings.Points = append(readings.Points, [2]float64{d, t.Numbers["force_N"][i]})
	}
	r.Series = append(r.Series, readings)
	means := Series{Name: "mean", X: "diameter_mm", Y: "force_N"}
	for _, d := range order {
		values := pick(t.Numbers["force_N"], rows[d])
		r.meanOf("grip force", d+" mm", "N", values)
		m, _ := moments(values)
		means.Points = append(means.Points, [2]float64{t.Numbers["diameter_mm"][rows[d][0]], m})
	}
	r.Series = append(r.Series, means)
	if len(order) < 3 || t.Rows < 4 {
		r.note("With fewer than three sizes no curve over size is stated.")
		return nil
	}
	middle, _ := moments(t.Numbers["diameter_mm"])
	a := make([][]float64, t.Rows)
	for i, d := range t.Numbers["diameter_mm"] {
		a[i] = []float64{1, d - middle, (d - middle) * (d - middle)}
	}
	f, err := leastsquares.Linear(a, t.Numbers["force_N"])
	if err != nil {
		return err
	}
	b := f.Coefficients
	low, high := means.Points[0][0], means.Points[len(means.Points)-1][0]
	if best := middle - b[1]/(2*b[2]); b[2] < 0 && best > low && best < high {
		// The slope b1 + 2·b2·u is a line in u that is 0 at the peak, so its limits are those of a line read backwards.
		least, most := fieller(b[1], 2*b[2], [3]float64{f.Covariance(1, 1), 2 * f.Covariance(1, 2), 4 * f.Covariance(2, 2)}, 0, numeric.StudentQuantile((1+r.Level)/2, float64(f.DF)))
		r.add("size gripped hardest", "", "mm", best, middle+least, middle+most, "peak of a parabola through all readings, Fieller's limits")
	} else {
		r.note("Grip force has no peak between %g and %g mm.", low, high)
	}
	curve := Series{Name: "parabola", X: "diameter_mm", Y: "force_N"}
	for k := range 41 {
		d := low + (high-low)*float64(k)/40
		u := d - middle
		curve.Points = append(curve.Points, [2]float64{d, b[0] + b[1]*u + b[2]*u*u})
	}
	r.Series = append(r.Series, curve)
	return nil
}
