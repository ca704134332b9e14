package detect

import (
	"math"
	"testing"

	"holdfast/numeric"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

func TestCUSUMTrace(t *testing.T) {
	z := []float64{.2, -.4, .1, .9, 1.4, .8, 1.9, 1.1, 1.6, 1.2}
	want := []float64{0, 0, 0, .4, 1.3, 1.6, 3.0, 3.6, 4.7, 5.4}
	c := CUSUM{K: .5, H: 100}
	stopping := CUSUM{K: .5, H: 4}
	first := 0
	for i, v := range z {
		sum, _ := c.Add(v)
		near(t, "sum", sum, want[i], 1e-12)
		if _, alarm := stopping.Add(v); alarm && first == 0 {
			first = i + 1
		}
	}
	if first != 9 {
		t.Errorf("first alarm at reading %d, want 9", first)
	}
}

// Computed with 80 nodes of Gauss and Legendre in numpy 1.24; two-sided 168 and 465 at no change and 8.38 and 10.4 at a change of
// one agree with the textbook table (value from memory).
func TestRunLengths(t *testing.T) {
	means := []float64{0, .25, .5, .75, 1, 1.5, 2, 3}
	for _, c := range []struct {
		k, h      float64
		one       []float64
		two       []float64 // at 0, .25, .5, 1
		headStart []float64 // at 0 and 1, from h/2
	}{
		{.5, 4, []float64{335.3676, 77.0785, 26.6792, 13.2866, 8.3832, 4.7472, 3.3428, 2.1945}, []float64{167.6838, 74.2240, 26.6302, 8.3831}, []float64{316.3794, 5.2910}},
		{.5, 5, []float64{930.8870, 141.6877, 38.0096, 17.0485, 10.3760, 5.7472, 4.0089, 2.5733}, []float64{465.4435, 139.4937, 37.9961, 10.3760}, []float64{895.8343, 6.3480}},
		{.25, 8, []float64{736.7877, 84.0008, 28.7634, 16.3720, 11.3932, 7.1141, 5.2142, 3.4756}, []float64{368.3939, 83.6304, 28.7624, 11.3932}, nil},
		{1, 2.5, []float64{716.0039, 205.9694, 68.1861, 27.2701, 13.4320, 5.4228, 3.2467, 1.8514}, []float64{358.0019, 191.4781, 67.7607, 13.4310}, nil},
	} {
		for i, m := range means {
			near(t, "one-sided", RunLength(c.k, c.h, m, 0), c.one[i], 1e-4)
		}
		for i, m := range []float64{0, .25, .5, 1} {
			near(t, "two-sided", TwoSidedRunLength(c.k, c.h, m), c.two[i], 1e-4)
		}
		for i, want := range c.headStart {
			near(t, "with head start", RunLength(c.k, c.h, float64(i), c.h/2), want, 1e-4)
		}
		for _, two := range []bool{false, true} {
			length := c.one[0]
			if two {
				length = c.two[0]
			}
			h, err := Threshold(c.k, length, two)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "threshold", h, c.h, 1e-6)
		}
	}
	near(t, "Siegmund at 0", SiegmundRunLength(.5, 5, 0), 938.2224, 1e-4)
	near(t, "Siegmund at 1", SiegmundRunLength(.5, 5, 1), 10.3362, 1e-4)
}

// A sum that alarms as soon as it is above nothing is W. A. Shewhart's chart: with limits at three standard deviations to both
// sides an alarm comes each 370.4 readings by chance and within 43.9 after a change of one (1/P of the normal tails; computed).
func TestRunLengthsOfAShewhartChart(t *testing.T) {
	const h = 1e-9
	near(t, "at no change", TwoSidedRunLength(3, h, 0), 370.3983, 1e-4)
	near(t, "at a change of one", TwoSidedRunLength(3, h, 1), 43.8947, 1e-4)
}

// Values of the formula of Siegmund and Venkatraman, recomputed with numpy.
func TestGLRRunLengths(t *testing.T) {
	for b, want := range map[float64]float64{3: 118.3, 3.5: 480.4, 4: 2613.7} {
		near(t, "run length", GLRRunLength(b), want, .05)
		got, err := GLRBound(GLRRunLength(b))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "bound", got, b, 1e-9)
	}
}

// Ratings of J. A. Hanley and B. J. McNeil, Radiology 143, 1982 (from memory; their area .893 comes out); DeLong's errors computed
// with numpy, the areas agree with scikit-learn 1.2.1.
func TestAreas(t *testing.T) {
	expand := func(counts ...int) (out []float64) {
		for rating, n := range counts {
			for range n {
				out = append(out, float64(rating+1))
			}
		}
		return out
	}
	a, err := AUC(expand(3, 2, 2, 11, 33), expand(33, 6, 6, 11, 2), .95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area", a.AUC, .8931710615, 1e-10)
	near(t, "DeLong's error", a.SE, .0307244084, 1e-10)
	wald := numeric.NormalQuantile(.975) * a.SE // what is told lies on the logit scale
	near(t, "Wald's low", a.AUC-wald, .832952, 5e-7)
	near(t, "Wald's high", a.AUC+wald, .953390, 5e-7)
	near(t, "low", a.Low, .816443, 5e-7)
	near(t, "high", a.High, .940176, 5e-7)
	points, err := ROC(expand(3, 2, 2, 11, 33), expand(33, 6, 6, 11, 2))
	if err != nil {
		t.Fatal(err)
	}
	trapezoid := 0.0
	for i := 1; i < len(points); i++ {
		trapezoid += (points[i].FalsePositive - points[i-1].FalsePositive) * (points[i].TruePositive + points[i-1].TruePositive) / 2
	}
	near(t, "area under the points", trapezoid, a.AUC, 1e-14)

	c, err := ComparePaired(
		[2][]float64{{.9, .8, .7, .65, .6, .55, .4, .85}, {.7, .6, .75, .4, .5, .3, .45, .9}},
		[2][]float64{{.5, .45, .3, .2, .62, .1, .35}, {.4, .55, .35, .25, .65, .2, .5}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "first area", c.AUC[0], .9107142857, 1e-10)
	near(t, "second area", c.AUC[1], .7321428571, 1e-10)
	for i, row := range [][]float64{{.00563350, .00623709}, {.00623709, .01830889}} {
		for j, want := range row {
			near(t, "covariance", c.Covariance[i][j], want, 5e-9)
		}
	}
	near(t, "z", c.Z, 1.6674940019, 1e-9)
	near(t, "p", c.P, .0954162161, 1e-9)
}

// Limits of counts: C. J. Clopper and E. S. Pearson, Biometrika 26, 1934, and F. Garwood, Biometrika 28, 1936; values of the usual tables, from memory.
func TestLimitsOfCounts(t *testing.T) {
	record := func(events, found, falseAlarms int) *Judgement {
		r := JudgedRecord{From: 0, To: 3600 + 2*float64(events)}
		for e := range events {
			at := 2 * float64(e)
			r.Events = append(r.Events, [2]float64{at, at + 2})
			if e < found {
				r.Alarms = append(r.Alarms, at+1)
			}
		}
		for k := range falseAlarms {
			r.Alarms = append(r.Alarms, r.To-1-float64(k))
		}
		j, err := Judge([]JudgedRecord{r}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		return j
	}
	j := record(10, 8, 5)
	near(t, "8 of 10, lower", j.Low, .4439, 1e-4)
	near(t, "8 of 10, upper", j.High, .9748, 1e-4)
	near(t, "5 an hour, lower", j.RateLow, 1.6235, 1e-4)
	near(t, "5 an hour, upper", j.RateHigh, 11.6683, 1e-4)
	near(t, "none an hour, upper", record(10, 10, 0).RateHigh, 3.6889, 1e-4)
	near(t, "10 of 10, lower", record(10, 10, 0).Low, .6915, 1e-4)
}
