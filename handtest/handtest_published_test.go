package handtest

import (
	"fmt"
	"math"
	"strings"
	"testing"

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
		if c.ramp > 0 {
			near(t, "measured peak", r.Series[0].Points[0][1], 144.23984339, 1e-8)
		}
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
