package handtest

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"holdfast/numeric"
	"holdfast/readings"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// run computes a test on CSV text.
func run(t *testing.T, kind, csv string, s Settings) (*Report, error) {
	t.Helper()
	k, ok := Find(kind)
	if !ok {
		t.Fatalf("no test %s", kind)
	}
	table, err := readings.Read(strings.NewReader(csv), k.Columns)
	if err != nil {
		return nil, err
	}
	return k.Compute(table, s)
}

func usual() Settings { return Settings{Level: .95, Terms: 1, Limit: math.NaN()} }

// figure finds a figure by name and group.
func figure(t *testing.T, r *Report, name, group string) Figure {
	t.Helper()
	for _, f := range r.Figures {
		if f.Name == name && f.Group == group {
			return f
		}
	}
	t.Fatalf("no figure %s %s in %+v", name, group, r.Figures)
	return Figure{}
}

// Statistical Reference Datasets, SiRstv (NIST, StRD, analysis of variance; readings from memory, they reproduce the certified mean
// squares). s_r, s_R, r, R follow by the formulas of ISO 5725-2.
func TestSiRstv(t *testing.T) {
	var b strings.Builder
	b.WriteString("group,value\n")
	for i, values := range [][]float64{
		{196.3052, 196.1240, 196.1890, 196.2569, 196.3403}, {196.3042, 196.3825, 196.1669, 196.3257, 196.0422}, {196.1303, 196.2005, 196.2889, 196.0343, 196.1811},
		{196.2795, 196.1748, 196.1494, 196.1485, 195.9885}, {196.2119, 196.1051, 196.1850, 196.0052, 196.2090},
	} {
		for _, v := range values {
			fmt.Fprintf(&b, "instrument %d,%.4f\n", i+1, v)
		}
	}
	r, err := run(t, "repeatability", b.String(), usual())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "F, certified", figure(t, r, "F of the groups", "").Value, 1.18046237440255, 1e-9)
	near(t, "residual standard deviation, certified", figure(t, r, "repeatability standard deviation", "").Value, .104076068334656, 1e-11)
	near(t, "p", figure(t, r, "p of equal groups", "").Value, .34944749, 5e-9)
	within, all := figure(t, r, "repeatability standard deviation", "").Value, figure(t, r, "reproducibility standard deviation", "").Value
	near(t, "variance of the groups", all*all-within*within, 3.9094748e-4, 5e-12)
	near(t, "r", figure(t, r, "repeatability limit r", "").Value, .29141299, 5e-9)
	near(t, "R", figure(t, r, "reproducibility limit R", "").Value, .29662529, 5e-8)
}

// ISO 5725-2:1994 Annex B, sulfur in coal, first level, unequal groups (data and published .690, .015, .026 from memory; further
// digits recomputed from the formulas).
func TestUnequalGroups(t *testing.T) {
	var b strings.Builder
	b.WriteString("value,group\n")
	for i, values := range [][]float64{{.71, .71, .70, .71}, {.69, .67, .68}, {.66, .65, .69}, {.67, .65, .66}, {.70, .69, .66, .71, .69}, {.73, .74, .73}, {.71, .71, .69}, {.70, .65, .68}} {
		for _, v := range values {
			fmt.Fprintf(&b, "%.2f,laboratory %d\n", v, i+1)
		}
	}
	r, err := run(t, "repeatability", b.String(), usual())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", figure(t, r, "mean", "").Value, .690, .001)
	near(t, "s_r", figure(t, r, "repeatability standard deviation", "").Value, .015117, 5e-7)
	near(t, "s_R", figure(t, r, "reproducibility standard deviation", "").Value, .026364, 5e-7)
}

// A standard deviation of nine degrees of freedom lies within 0.68784 and 1.82561 times what was found, at 95 % (chi-square;
// computed).
func TestFactorsOfAStandardDeviation(t *testing.T) {
	r, err := run(t, "repeatability", "group,value\na,1\na,2\na,4\na,3\nb,2\nb,5\nb,3\nb,1\nc,3\nc,2\nc,2\nc,6\n", usual())
	if err != nil {
		t.Fatal(err)
	}
	s := figure(t, r, "repeatability standard deviation", "")
	near(t, "low", *s.Low/s.Value, .68784, 5e-6)
	near(t, "high", *s.High/s.Value, 1.82561, 5e-6)
}

// Standard linear solid 100 + 50·e^(−t/2): values without a ramp from scipy 1.10.1; after a ramp of 0.5 s the force begins to fade from
// 144.23984339, which follows in closed form.
func TestStandardLinearSolid(t *testing.T) {
	csv := func(ramp float64, round bool) string {
		var b strings.Builder
		b.WriteString("time_s,force_N\n")
		start := 0.0
		if ramp > 0 {
			for k := range 10 {
				s := ramp * float64(k) / 10
				fmt.Fprintf(&b, "%.17g,%.17g\n", s, 100*s/ramp+50*2/ramp*(1-math.Exp(-s/2)))
			}
			start = ramp
		}
		factor := 1.0
		if ramp > 0 {
			factor = 2 / ramp * (1 - math.Exp(-ramp/2))
		}
		for k := range 41 {
			f := 100 + 50*factor*math.Exp(-float64(k)*.25/2)
			if round {
				f = math.Round(f*10) / 10
			}
			fmt.Fprintf(&b, "%.17g,%.17g\n", start+float64(k)*.25, f)
		}
		return b.String()
	}
	for _, c := range []struct {
		ramp      float64
		round     bool
		want      [3]float64
		tolerance float64
	}{{0, false, [3]float64{100, 50, 2}, 1e-6}, {.5, false, [3]float64{100, 50, 2}, 1e-6}, {0, true, [3]float64{99.99291407, 49.98851122, 2.00102729}, 1e-6}} {
		r, err := run(t, "relaxation", csv(c.ramp, c.round), usual())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "stays", figure(t, r, "force that stays", "").Value, c.want[0], c.tolerance)
		near(t, "fades", figure(t, r, "force that fades", "").Value, c.want[1], c.tolerance)
		near(t, "time constant", figure(t, r, "time constant", "").Value, c.want[2], c.tolerance)
		near(t, "at once", figure(t, r, "force had it been set at once", "").Value, c.want[0]+c.want[1], c.tolerance)
		if c.round {
			t975 := numeric.StudentQuantile(.975, 38)
			for name, want := range map[string]float64{"force that stays": .0087281, "force that fades": .0184964} {
				f := figure(t, r, name, "")
				near(t, "error of the "+name, (*f.High-f.Value)/t975, want, 5e-8)
			}
			tau := figure(t, r, "time constant", "") // fitted, and so limited, on the log scale
			near(t, "error of the time constant", math.Log(*tau.High/tau.Value)/t975*tau.Value, .0016556, 5e-8)
		}
		if c.ramp > 0 {
			near(t, "measured peak", r.Series[0].Points[0][1], 144.23984339, 1e-8)
			near(t, "fitted after 2.5 s", r.Series[1].Points[8][1], 116.27492886, 1e-8)
		} else if !c.round {
			near(t, "fitted after a time constant", r.Series[1].Points[8][1], 118.39397206, 1e-8)
			near(t, "fitted after three", r.Series[1].Points[24][1], 102.48935342, 1e-8)
		}
	}
}

// The same solid that is bent to and fro once, ω in rad/s, with the force that it settles to: its stiffness on the way in is
// E∞ + E₁ω²τ²/(1 + ω²τ²), and the loop takes π·E₁ωτ/(1 + ω²τ²) for each mm² of swing (closed form; 125 and 25, 140 and 20 N/mm;
// the largest ratio of both, .2041241452, at .4082482905 rad/s).
func TestLoopOfAStandardLinearSolid(t *testing.T) {
	const stays, fades, constant, swing, readings = 100.0, 50.0, 2.0, 1.0, 20000
	for _, c := range []struct{ omega, stored, lost, ratio float64 }{
		{.5, 125, 25, .2}, {1, 140, 20, 1. / 7}, {.4082482905, math.NaN(), math.NaN(), .2041241452},
	} {
		// Settled: an element e^(−t/τ) that is swung by sin ωt answers with (ω²τ² sin ωt + ωτ cos ωt)/(1 + ω²τ²).
		wt := c.omega * constant
		var b strings.Builder
		b.WriteString("direction,cycle,branch,deflection_mm,force_N\n")
		for i, branch := range []string{"loading", "unloading"} {
			for k := range readings + 1 {
				sin, cos := math.Sincos(math.Pi * (float64(k)/readings + float64(i) - .5))
				f := stays*(swing+swing*sin) + fades*swing*wt*(wt*sin+cos)/(1+wt*wt)
				fmt.Fprintf(&b, "flexion,1,%s,%.17g,%.17g\n", branch, swing+swing*sin, f)
			}
		}
		r, err := run(t, "stiffness", b.String(), usual())
		if err != nil {
			t.Fatal(err)
		}
		slope := figure(t, r, "stiffness, loading", "flexion").Value
		lost := figure(t, r, "work of loading", "flexion").Value * figure(t, r, "share lost in the loop", "flexion").Value / (math.Pi * swing * swing)
		if !math.IsNaN(c.stored) {
			near(t, "stored", slope, c.stored, 1e-8*c.stored)
			near(t, "lost", lost, c.lost, 1e-8*c.lost)
		}
		near(t, "their ratio", lost/slope, c.ratio, 1e-8*c.ratio)
	}
}

// Computed with scipy 1.10.1: maximum by Nelder and Mead, likelihood-ratio limits by root finding, of lifetimes made up for the purpose.
func TestWeibullWithSurvivors(t *testing.T) {
	values := []float64{1200, 2100, 2600, 3300, 3900, 4500, 5000, 5000, 5000, 5000}
	failed := []bool{true, true, true, true, true, true, false, false, false, false}
	w, err := FitWeibull(values, failed, .9)
	if err != nil {
		t.Fatal(err)
	}
	low10, low, high := w.Quantile(.1)
	for i, c := range []struct{ got, want float64 }{
		{w.Shape, 2.035516925436679}, {w.Scale, 5132.959048070403}, {w.best - 6*math.Log(w.data.unit), -57.00911408037432},
		{w.ShapeLow, 1.0276531751296154}, {w.ShapeHigh, 3.5013848836314203},
		{low10, 1699.1557737831843}, {low, 611.2898430934675}, {high, 2769.736985805377},
	} {
		near(t, fmt.Sprint("value ", i), c.got/c.want, 1, 1e-6)
	}
}
