package handtest

import (
	"errors"
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
	"holdfast/readings"
)

// stiffness fits each branch by a line with intercept and takes the loop's area by trapezoids. Over cycles the figures are averaged;
// with one cycle the limits are those of the line.
func stiffness(t *readings.Table, _ Settings, r *Report) error {
	order, rows := t.Groups("direction")
	for _, direction := range order {
		found := map[string][]float64{} // over cycles: slopes by branch, work and share lost
		lines := map[string]*leastsquares.Fit{}
		byCycle := map[float64]map[string][]int{}
		var cycles []float64
		for _, i := range rows[direction] {
			c := t.Numbers["cycle"][i]
			if byCycle[c] == nil {
				byCycle[c], cycles = map[string][]int{}, append(cycles, c)
			}
			byCycle[c][t.Texts["branch"][i]] = append(byCycle[c][t.Texts["branch"][i]], i)
		}
		for _, c := range cycles {
			work := map[string]float64{}
			for _, branch := range []string{"loading", "unloading"} {
				at := byCycle[c][branch]
				if len(at) == 0 {
					continue
				}
				x, y := pick(t.Numbers["deflection_mm"], at), pick(t.Numbers["force_N"], at)
				f, err := line(x, y)
				if err != nil {
					return fmt.Errorf("direction %s, cycle %g, %s: %w", direction, c, branch, err)
				}
				lines[branch] = f
				found[branch] = append(found[branch], f.Coefficients[1])
				s := Series{Name: fmt.Sprintf("%s, cycle %g, %s", direction, c, branch), X: "deflection_mm", Y: "force_N"}
				for k := range x {
					if s.Points = append(s.Points, [2]float64{x[k], y[k]}); k > 0 {
						work[branch] += (x[k] - x[k-1]) * (y[k] + y[k-1]) / 2
					}
				}
				r.Series = append(r.Series, s)
			}
			if len(byCycle[c]) == 2 {
				if !(work["loading"] > 0) {
					return fmt.Errorf("direction %s, cycle %g: loading does no work on the hand; order the rows as they were taken, with force and deflection of one sign", direction, c)
				}
				found["work"] = append(found["work"], work["loading"])
				found["loss"] = append(found["loss"], (work["loading"]+work["unloading"])/work["loading"])
			}
		}
		for _, branch := range []string{"loading", "unloading"} {
			switch v := found[branch]; {
			case len(v) > 1:
				r.meanOf("stiffness, "+branch, direction, "N/mm", v)
			case len(v) == 1 && lines[branch].DF > 0:
				half := numeric.StudentQuantile((1+r.Level)/2, float64(lines[branch].DF)) * lines[branch].SE[1]
				r.add("stiffness, "+branch, direction, "N/mm", v[0], v[0]-half, v[0]+half, "slope of one cycle; says nothing of the next")
			case len(v) == 1:
				r.add("stiffness, "+branch, direction, "N/mm", v[0], math.NaN(), math.NaN(), "slope through two readings")
			}
		}
		if v := found["work"]; v != nil {
			r.meanOf("work of loading", direction, "mJ", v)
			r.meanOf("share lost in the loop", direction, "", found["loss"])
		}
	}
	return nil
}

func line(x, y []float64) (*leastsquares.Fit, error) {
	a := make([][]float64, len(x))
	for i, v := range x {
		a[i] = []float64{1, v}
	}
	return leastsquares.Linear(a, y)
}

// relaxation fits F(t) = F∞ + Σ Fₖ·cₖ·e^(−(t−ramp)/τₖ) after a ramp of constant speed, cₖ = (τₖ/ramp)(1 − e^(−ramp/τₖ)): the standard
// linear solid, or a Prony series, that the same deflection set at once would follow with F∞ + Σ Fₖ e^(−t/τₖ).
func relaxation(t *readings.Table, s Settings, r *Report) error {
	time, force := t.Numbers["time_s"], t.Numbers["force_N"]
	ramp, top := s.Ramp, math.Inf(-1)
	for i, v := range force {
		if i > 0 && !(time[i] > time[i-1]) {
			return fmt.Errorf("row %d, column time_s: times must rise (got %g after %g)", i+2, time[i], time[i-1])
		}
		if v > top {
			if top = v; s.Ramp == 0 {
				ramp = time[i]
			}
		}
	}
	if !(ramp >= 0) || math.IsInf(ramp, 0) || s.Terms < 1 || s.Terms > 3 {
		return fmt.Errorf("the ramp must last 0 s or more and have 1 to 3 terms fitted; got %g s and %d", ramp, s.Terms)
	}
	var x, y []float64
	for i, v := range time {
		if v >= ramp {
			x, y = append(x, v-ramp), append(y, force[i])
		}
	}
	p := 2*s.Terms + 1
	if len(x) < p+2 {
		return fmt.Errorf("%d readings after the ramp are too few for %d term(s); take at least %d", len(x), s.Terms, p+2)
	}
	factor := func(tau float64) float64 {
		if ramp == 0 {
			return 1
		}
		return -math.Expm1(-ramp/tau) * tau / ramp
	}
	model := leastsquares.Model{Readings: len(x), Residual: func(b, res []float64) {
		for i := range x {
			res[i] = y[i] - b[0]
			for k := 1; k < p; k += 2 {
				tau := math.Exp(b[k+1])
				res[i] -= b[k] * factor(tau) * math.Exp(-x[i]/tau)
			}
		}
	}}
	last, span := y[len(y)-1], x[len(x)-1]
	start := []float64{last}
	for k := range s.Terms {
		start = append(start, (y[0]-last)/float64(s.Terms), math.Log(span/4*math.Pow(8, -float64(k))))
	}
	fit, err := leastsquares.Nonlinear(model, start)
	if errors.Is(err, leastsquares.ErrDependent) || errors.Is(err, leastsquares.ErrNoProgress) {
		return fmt.Errorf("%d term(s) can not be told apart in this record (%w); fit fewer terms or hold for longer", s.Terms, err)
	}
	if err != nil {
		return err
	}
	b := fit.Coefficients
	q := numeric.StudentQuantile((1+r.Level)/2, float64(fit.DF))
	basis := fmt.Sprintf("nonlinear least squares of %d readings after a ramp of %.4g s", len(x), ramp)
	r.add("force that stays", "", "N", b[0], b[0]-q*fit.SE[0], b[0]+q*fit.SE[0], basis)
	sum, variance := b[0], fit.Covariance(0, 0)
	for k := 1; k < p; k += 2 {
		name := ""
		if s.Terms > 1 {
			name = fmt.Sprintf("term %d", (k+1)/2)
		}
		r.add("force that fades", name, "N", b[k], b[k]-q*fit.SE[k], b[k]+q*fit.SE[k], basis)
		r.add("time constant", name, "s", math.Exp(b[k+1]), math.Exp(b[k+1]-q*fit.SE[k+1]), math.Exp(b[k+1]+q*fit.SE[k+1]), basis+", limits on the log scale")
		if math.Exp(b[k+1]) > span {
			r.note("A time constant is longer than the record; hold for longer before relying on the force that stays.")
		}
		sum += b[k]
	}
	for i := 0; i < p; i++ {
		for j := 0; j < p; j++ {
			if (i == 0 || i%2 == 1) && (j == 0 || j%2 == 1) && i+j > 0 {
				variance += fit.Covariance(i, j)
			}
		}
	}
	half := q * math.Sqrt(variance)
	r.add("force had it been set at once", "", "N", sum, sum-half, sum+half, basis)
	low, high := r.fadingShare(fit, s.Terms, q)
	r.add("share that fades", "", "", 1-b[0]/sum, low, high, basis+", limits by the delta method on the log-odds scale")
	measured, fitted := Series{Name: "measured", X: "time_s", Y: "force_N", Draw: Points}, Series{Name: "fitted", X: "time_s", Y: "force_N"}
	for i := range x {
		measured.Points = append(measured.Points, [2]float64{x[i] + ramp, y[i]})
		fitted.Points = append(fitted.Points, [2]float64{x[i] + ramp, y[i] - fit.Residuals[i]})
	}
	r.Series = append(r.Series, measured, fitted)
	r.note("Standard errors take the readings' errors as independent; slow drift of the load cell makes limits wider than stated.")
	return nil
}

// fadingShare returns the limits of ΣFₖ/(F∞ + ΣFₖ) by the delta method (G. W. Oehlert, "A note on the delta method", The American
// Statistician 46, 1992; from memory) on the log-odds scale, ln(ΣFₖ/F∞), which keeps them inside 0 and 1; NaN where the share is not.
func (r *Report) fadingShare(fit *leastsquares.Fit, terms int, q float64) (low, high float64) {
	stays, fades := fit.Coefficients[0], 0.0
	for k := range terms {
		fades += fit.Coefficients[2*k+1]
	}
	if !(stays > 0) || !(fades > 0) {
		return math.NaN(), math.NaN()
	}
	slope := make([]float64, 2*terms+1)
	slope[0] = -1 / stays
	for k := range terms {
		slope[2*k+1] = 1 / fades
	}
	variance := 0.0
	for i, a := range slope {
		for j, b := range slope {
			if a != 0 && b != 0 {
				variance += a * b * fit.Covariance(i, j)
			}
		}
	}
	odds, half := math.Log(fades/stays), q*math.Sqrt(max(0, variance))
	return 1 / (1 + math.Exp(half-odds)), 1 / (1 + math.Exp(-half-odds))
}
