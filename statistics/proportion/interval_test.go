package proportion

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/numeric"
)

func counts(t *rapid.T) (x, n int) {
	n = rapid.IntRange(1, 3000).Draw(t, "trials")
	return rapid.IntRange(0, n).Draw(t, "successes"), n
}

func TestIntervalsAreOrderedMirroredAndNested(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, n := counts(t)
		m := rapid.SampledFrom(Methods()).Draw(t, "method")
		level := rapid.Float64Range(0.5, 0.999).Draw(t, "level")
		i, err := m.Interval(x, n, level)
		if err != nil {
			t.Fatal(err)
		}
		if !(0 <= i.Low && i.Low < i.High && i.High <= 1) {
			t.Fatalf("%s of %d/%d is %v", m, x, n, i)
		}
		if !i.Contains(float64(x) / float64(n)) {
			t.Fatalf("%s of %d/%d is %v and misses the observed share", m, x, n, i)
		}
		mirror, err := m.Interval(n-x, n, level)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(mirror.Low-(1-i.High)) > 1e-11 || math.Abs(mirror.High-(1-i.Low)) > 1e-11 {
			t.Fatalf("%s: %v and its mirror %v differ", m, i, mirror)
		}
		wider, err := m.Interval(x, n, level+(1-level)/2)
		if err != nil {
			t.Fatal(err)
		}
		if wider.Low > i.Low || wider.High < i.High {
			t.Fatalf("%s: a higher level narrows %v to %v", m, i, wider)
		}
		low, err := m.LowerBound(x, n, (1+level)/2)
		if err != nil {
			t.Fatal(err)
		}
		high, err := m.UpperBound(x, n, (1+level)/2)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(low-i.Low) > 1e-12 || math.Abs(high-i.High) > 1e-12 {
			t.Fatalf("%s: one-sided bounds %g, %g differ from %v", m, low, high, i)
		}
	})
}

func TestClopperPearsonKeepsItsPromise(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 80).Draw(rt, "trials")
		p := rapid.Float64Range(0, 1).Draw(rt, "p")
		level := rapid.Float64Range(0.5, 0.99).Draw(rt, "level")
		got := coverage(t, func(x int) (Interval, error) { return ClopperPearson.Interval(x, n, level) }, n, p)
		if got < level-1e-9 {
			rt.Fatalf("coverage %g of nominal %g at n=%d, p=%g", got, level, n, p)
		}
	})
}

func TestClopperPearsonEndsSolveTheTails(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, n := counts(t)
		i, err := ClopperPearson.Interval(x, n, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if x > 0 && math.Abs(numeric.BinomialSurvival(x-1, n, i.Low)-0.05) > 1e-9 {
			t.Fatalf("upper tail at the lower end of %d/%d is not 5 %%", x, n)
		}
		if x < n && math.Abs(numeric.BinomialCDF(x, n, i.High)-0.05) > 1e-9 {
			t.Fatalf("lower tail at the upper end of %d/%d is not 5 %%", x, n)
		}
	})
}

func TestDifferenceIsAntisymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x1, n1 := counts(t)
		x2, n2 := counts(t)
		d, i, err := Difference(Counts{x1, n1}, Counts{x2, n2}, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		back, j, err := Difference(Counts{x2, n2}, Counts{x1, n1}, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if d != -back || i.Low != -j.High || i.High != -j.Low || !i.Contains(d) {
			t.Fatalf("%g %v against %g %v", d, i, back, j)
		}
	})
}

func TestNoTrialsSayNothing(t *testing.T) {
	for _, m := range Methods() {
		if i, err := m.Interval(0, 0, 0.95); err != nil || i != (Interval{0, 1}) {
			t.Errorf("%s without trials: %v, %v", m, i, err)
		}
	}
	if limit, err := ZeroFailureLimit(0, 0.95); err != nil || limit != 1 {
		t.Errorf("zero-failure limit without trials: %g, %v", limit, err)
	}
}

func TestRefusals(t *testing.T) {
	try := func(_ any, err error) error { return err }
	for what, err := range map[string]error{
		"level 0":             try(Wilson.Interval(1, 2, 0)),
		"level 1":             try(Wilson.Interval(1, 2, 1)),
		"level NaN":           try(Wilson.Interval(1, 2, math.NaN())),
		"more than all":       try(Jeffreys.Interval(3, 2, 0.9)),
		"negative":            try(Jeffreys.Interval(-1, 2, 0.9)),
		"negative trials":     try(MidP.UpperBound(0, -1, 0.9)),
		"unknown method":      try(Method("wald").Interval(1, 2, 0.9)),
		"one-sided below ½":   try(Wilson.LowerBound(1, 2, 0.4)),
		"zero-failure trials": try(ZeroFailureLimit(-1, 0.9)),
		"zero-failure level":  try(ZeroFailureLimit(5, 1)),
		"prior":               try(PosteriorMean(1, 2, 0, 1)),
		"posterior counts":    try(PosteriorMean(3, 2, 1, 1)),
	} {
		if domain.KindOf(err) != domain.KindInvalid || err == nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	if _, _, err := Difference(Counts{0, 0}, Counts{1, 2}, 0.9); err == nil {
		t.Error("a difference without trials is accepted")
	}
	if _, _, err := Difference(Counts{1, 2}, Counts{3, 2}, 0.9); err == nil {
		t.Error("a difference of impossible counts is accepted")
	}
}
