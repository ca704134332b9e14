package detect

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
)

func TestSimulatedRunLengthIsThePredictedOne(t *testing.T) {
	r := numeric.Stream(1, "run length")
	const runs = 4000
	total, squares := 0.0, 0.0
	for range runs {
		c := CUSUM{K: .5, H: 3, Head: 1.5}
		n := 0.0
		for alarm := false; !alarm; n++ {
			_, alarm = c.Add(r.NormFloat64())
		}
		total, squares = total+n, squares+n*n
	}
	mean := total / runs
	se := math.Sqrt((squares/runs - mean*mean) / runs)
	if want := RunLength(.5, 3, 0, 1.5); math.Abs(mean-want) > 4*se {
		t.Errorf("simulated %g ± %g, predicted %g", mean, se, want)
	}
}

func TestSimulatedGLR(t *testing.T) {
	r := numeric.Stream(2, "likelihood ratio")
	const runs = 600
	total, squares := 0.0, 0.0
	for range runs {
		g := GLR{Bound: 3, Window: 1000}
		n := 0.0
		for alarm := false; !alarm; n++ {
			_, _, alarm = g.Add(r.NormFloat64())
		}
		total, squares = total+n, squares+n*n
	}
	mean := total / runs
	se := math.Sqrt((squares/runs - mean*mean) / runs)
	if want := GLRRunLength(3); math.Abs(mean-want) > 4*se+.05*want {
		t.Errorf("simulated %g ± %g, the formula says %g", mean, se, want)
	}
	g := GLR{Bound: 50, Window: 3}
	for range 10 {
		g.Add(0)
	}
	if v, ago, _ := g.Add(5); v != 5 || ago != 1 || len(g.sums) != 3 {
		t.Errorf("statistic %g, %d ago, %d sums kept", v, ago, len(g.sums))
	}
}

func TestEnergyDetector(t *testing.T) {
	for _, alarm := range []float64{.2, 1e-3, 1e-8, 1e-14} {
		e, err := NewEnergy(25, alarm)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "chance without a signal", e.Detects(0)/alarm, 1, 1e-6)
		if !(e.Detects(10) < e.Detects(100)) || e.Detects(3000) < .999999 {
			t.Errorf("chances %g %g %g", e.Detects(10), e.Detects(100), e.Detects(3000))
		}
	}
	// One squared reading above a bound: a closed form.
	e := Energy{1, 4}
	near(t, "one reading", e.Detects(2.25), numeric.NormalSurvival(2-1.5)+numeric.NormalCDF(-2-1.5), 1e-12)
}

func TestPerfectAreaHasAnHonestLimit(t *testing.T) {
	a, err := AUC([]float64{3, 4, 5, 6}, []float64{0, 1, 2}, .95)
	if err != nil || !a.Exact || a.AUC != 1 || a.High != 1 {
		t.Fatalf("%+v %v", a, err)
	}
	near(t, "low", a.Low, math.Cbrt(.025), 1e-12) // Clopper and Pearson for 3 of 3
	b, err := AUC([]float64{0, 1, 2}, []float64{3, 4, 5, 6}, .95)
	if err != nil || !b.Exact || b.AUC != 0 || b.Low != 0 {
		t.Fatalf("%+v %v", b, err)
	}
	near(t, "high", b.High, 1-a.Low, 1e-12)
}

func TestAreaCountsPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scores := rapid.SliceOfN(rapid.Map(rapid.IntRange(0, 8), func(i int) float64 { return float64(i) }), 1, 20)
		p, n := scores.Draw(t, "with"), scores.Draw(t, "without")
		sum := 0.0
		for _, a := range p {
			for _, b := range n {
				switch {
				case a > b:
					sum++
				case a == b:
					sum += .5
				}
			}
		}
		a, err := AUC(p, n, .9)
		if err != nil || math.Abs(a.AUC-sum/float64(len(p)*len(n))) > 1e-12 || !(a.Low <= a.AUC && a.AUC <= a.High) {
			t.Fatalf("%+v, pairs say %g, %v", a, sum/float64(len(p)*len(n)), err)
		}
	})
}

func record(seed uint64, n int, carry float64, taps ...int) (time, value []float64) {
	r := numeric.Stream(seed, "record")
	e := 0.0
	for i := range n {
		e = carry*e + .02*r.NormFloat64()
		v := 1 + e
		for _, k := range taps {
			if i >= k && i < k+300 {
				v += .4
			}
		}
		time, value = append(time, float64(i)/1000), append(value, v)
	}
	return time, value
}

func TestOnsetsAreFoundWhereTheyBegin(t *testing.T) {
	time, value := record(4, 12000, .6, 5000, 9000)
	o, err := FindOnsets(time, value, OnsetSettings{FalseAlarmsPerHour: 1, Shift: 2, Quiet: 3, HoldOff: .5})
	if err != nil {
		t.Fatal(err)
	}
	if len(o.Alarms) != 2 {
		t.Fatalf("%+v", o.Alarms)
	}
	for i, want := range []float64{5, 9} {
		a := o.Alarms[i]
		if !a.Up || math.Abs(a.Began-want) > .002 || a.Time-want < 0 || a.Time-want > .02 {
			t.Errorf("%+v, want %g s", a, want)
		}
	}
	near(t, "carry-over", o.Carry, .6, .05)
	near(t, "whitened", o.Whitened, .02, .002)
	near(t, "readings between false alarms", o.RunLength, 3.6e6, 1)
	if o.Heavy {
		t.Error("normal noise is called heavy")
	}
}

// Over a quiet record the false alarms are as many as were allowed, also when readings hang together.
func TestFalseAlarmsAreThoseAllowed(t *testing.T) {
	time, value := record(8, 400000, .5)
	o, err := FindOnsets(time, value, OnsetSettings{FalseAlarmsPerHour: 1800, Shift: 1.5, Quiet: 100})
	if err != nil {
		t.Fatal(err)
	}
	want := 1800. / 3600 * 400
	if got := float64(len(o.Alarms)); math.Abs(got-want) > 4*math.Sqrt(want) {
		t.Errorf("%g false alarms, %g were allowed", got, want)
	}
}

func TestRefusals(t *testing.T) {
	time, value := record(4, 1000, 0)
	flat, gap, bad := make([]float64, 1000), append([]float64(nil), time...), append([]float64(nil), value...)
	gap[500], bad[3] = gap[500]+.0005, math.NaN()
	good := OnsetSettings{FalseAlarmsPerHour: 1, Shift: 2, Quiet: .5}
	short := good
	short.Quiet = .01
	for want, f := range map[string]func() error{
		"at least 20 readings":    func() error { _, err := FindOnsets(time[:5], value[:5], good); return err },
		"must be above 0":         func() error { _, err := FindOnsets(time, value, OnsetSettings{}); return err },
		"even steps":              func() error { _, err := FindOnsets(gap, value, good); return err },
		"not finite":              func() error { _, err := FindOnsets(time, bad, good); return err },
		"does not vary":           func() error { _, err := FindOnsets(time, flat, good); return err },
		"to know the noise":       func() error { _, err := FindOnsets(time, value, short); return err },
		"reference value above 0": func() error { _, err := Threshold(0, 100, true); return err },
		"alarm less often":        func() error { _, err := Threshold(5, 3, false); return err },
		"bound is known":          func() error { _, err := GLRBound(1); return err },
		"window of at least":      func() error { _, err := NewEnergy(0, .1); return err },
		"with and without":        func() error { _, err := AUC(nil, []float64{1}, .9); return err },
		"not a number":            func() error { _, err := ROC([]float64{math.NaN()}, []float64{1}); return err },
		"same contacts":           func() error { _, err := ComparePaired([2][]float64{{1}, {1, 2}}, [2][]float64{{1}, {1}}); return err },
	} {
		if err := f(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	for _, v := range []float64{RunLength(.5, 0, 0, 0), RunLength(.5, 4, 0, 4), RunLength(math.NaN(), 4, 0, 0), GLRRunLength(-1), (Energy{1, 1}).Detects(-1)} {
		if !math.IsNaN(v) {
			t.Errorf("outside the bounds gave %g", v)
		}
	}
}
