package design

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/proportion"
)

func TestWorstHalfWidthIsTheWorst(t *testing.T) {
	for _, m := range proportion.Methods() {
		for n := range 60 {
			got := must(WorstHalfWidth(m, n, .9))(t)
			for x := range n + 1 {
				i := must(m.Interval(x, n, .9))(t)
				if i.HalfWidth() > got+1e-12 {
					t.Fatalf("%s: %d of %d is wider (%g) than the claimed worst %g", m, x, n, i.HalfWidth(), got)
				}
			}
		}
	}
}

func TestHalfWidthSizesMatchTrialByTrial(t *testing.T) {
	const upTo = 300
	for _, m := range []proportion.Method{proportion.ClopperPearson, proportion.Wilson} {
		for _, c := range []struct {
			what  string
			width func(n int) (float64, error)
			size  func(halfWidth float64) (Size, error)
		}{
			{"worst", func(n int) (float64, error) { return WorstHalfWidth(m, n, .95) },
				func(h float64) (Size, error) { return TrialsForWorstHalfWidth(m, h, .95) }},
			{"expected at .9", func(n int) (float64, error) { return ExpectedHalfWidth(m, .9, n, .95) },
				func(h float64) (Size, error) { return TrialsForExpectedHalfWidth(m, .9, h, .95) }},
			{"expected at 1", func(n int) (float64, error) { return ExpectedHalfWidth(m, 1, n, .95) },
				func(h float64) (Size, error) { return TrialsForExpectedHalfWidth(m, 1, h, .95) }},
		} {
			widths := make([]float64, upTo+1)
			for n := range widths {
				widths[n] = must(c.width(n))(t)
			}
			for _, h := range []float64{.25, .2, .15, .1, .08, .06} {
				first, last := 0, 0
				for n := 1; n <= upTo; n++ {
					if widths[n] > h {
						last = n
					} else if first == 0 {
						first = n
					}
				}
				if size := must(c.size(h))(t); size.First != first || size.FromOn != last+1 {
					t.Errorf("%s %s ±%g: %+v, trial by trial first %d, from on %d", m, c.what, h, size, first, last+1)
				}
			}
		}
	}
}

func TestExactSizesMatchTrialByTrial(t *testing.T) {
	size, first, fromOn, err := ExactTestTrials(.8, .9, .05, .8)
	if err != nil {
		t.Fatal(err)
	}
	var passing []int
	for n := 1; n <= 400; n++ {
		if must(ExactTestAt(n, .8, .9, .05))(t).Power >= .8 {
			passing = append(passing, n)
		}
	}
	last := 0
	for n := 1; n <= 400; n++ {
		if !slices.Contains(passing, n) {
			last = n
		}
	}
	if size.First != passing[0] || size.FromOn != last+1 {
		t.Errorf("%+v, trial by trial %d and %d", size, passing[0], last+1)
	}
	if size.FromOn <= size.First {
		t.Error("the power of this test is known to be saw-toothed; the two sizes must differ")
	}
	if first.Alpha > .05 || fromOn.Alpha > .05 {
		t.Errorf("levels %g, %g exceed .05", first.Alpha, fromOn.Alpha)
	}
}

// fisherPowerPlainly sums over all pairs of counts with a probability computed the
// long way for each table.
func fisherPowerPlainly(n int, p1, p2, alpha float64) float64 {
	power := 0.0
	for x := range n + 1 {
		for y := range n + 1 {
			table := func(x, total int) float64 {
				return math.Exp(numeric.LogChoose(n, x) + numeric.LogChoose(n, total-x) - numeric.LogChoose(2*n, total))
			}
			observed, p := table(x, x+y), 0.0
			for k := max(0, x+y-n); k <= min(n, x+y); k++ {
				if q := table(k, x+y); q <= observed*(1+1e-7) {
					p += q
				}
			}
			if p <= alpha*(1+1e-10) {
				power += numeric.BinomialPMF(x, n, p1) * numeric.BinomialPMF(y, n, p2)
			}
		}
	}
	return power
}

func TestFisherPowerMatchesPlainSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 25).Draw(t, "n")
		q := TwoProportions{
			P1: rapid.Float64Range(.01, .99).Draw(t, "p1"), P2: rapid.Float64Range(.01, .99).Draw(t, "p2"),
			Alpha: rapid.SampledFrom([]float64{.01, .049, .1, .21}).Draw(t, "alpha"), Power: .8,
		}
		if q.P1 == q.P2 {
			q.P2 = q.P1 / 2
		}
		got, err := q.FisherPower(n)
		if err != nil {
			t.Fatal(err)
		}
		if want := fisherPowerPlainly(n, q.P1, q.P2, q.Alpha); math.Abs(got-want) > 1e-11 {
			t.Fatalf("n=%d %+v: %.14g, plainly %.14g", n, q, got, want)
		}
	})
}

func TestFisherTrialsMatchTrialByTrial(t *testing.T) {
	q := TwoProportions{.5, .9, .05, .8}
	size := must(q.FisherTrials())(t)
	first, last := 0, 0
	for n := 1; n <= size.CheckedTo; n++ {
		if must(q.FisherPower(n))(t) >= q.Power {
			if first == 0 {
				first = n
			}
		} else {
			last = n
		}
	}
	if size.First != first || size.FromOn != last+1 {
		t.Errorf("%+v, trial by trial %d and %d", size, first, last+1)
	}
}

func TestProofsAreTight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(.5, .995).Draw(t, "rate")
		confidence := rapid.Float64Range(.5, .99).Draw(t, "confidence")
		failures := rapid.IntRange(0, 5).Draw(t, "failures")
		n, err := SuccessRun(rate, confidence, failures)
		if err != nil {
			t.Fatal(err)
		}
		bound, err := proportion.ClopperPearson.LowerBound(n-failures, n, confidence)
		if err != nil {
			t.Fatal(err)
		}
		if bound < rate-1e-9 {
			t.Fatalf("%d trials with %d failures bound the rate by %g only", n, failures, bound)
		}
		if n > failures+1 {
			less, err := proportion.ClopperPearson.LowerBound(n-1-failures, n-1, confidence)
			if err != nil {
				t.Fatal(err)
			}
			if less > rate+1e-9 {
				t.Fatalf("%d trials would do", n-1)
			}
		}
	})
}

func TestSizeRefusals(t *testing.T) {
	try := func(_ any, err error) error { return err }
	_, _, _, falling := ExactTestTrials(.9, .8, .05, .8)
	_, _, _, hopeless := ExactTestTrials(.5, .5000001, .05, .8)
	for what, err := range map[string]error{
		"rate 1":               try(SuccessRun(1, .9, 0)),
		"confidence NaN":       try(SuccessRun(.9, math.NaN(), 0)),
		"negative failures":    try(SuccessRun(.9, .9, -1)),
		"beyond counting":      try(SuccessRun(.9999999, .99, 0)),
		"bayes rate 0":         try(BayesSuccessRun(0, .9, 0)),
		"tolerance":            try(ToleranceTrials(1, .9)),
		"wald":                 try(WaldTrials(0, .1, .9)),
		"hoeffding":            try(HoeffdingTrials(0, .1)),
		"half-width 0":         try(TrialsForWorstHalfWidth(proportion.Wilson, 0, .9)),
		"half-width too small": try(TrialsForWorstHalfWidth(proportion.Wilson, 1e-5, .9)),
		"expected p":           try(TrialsForExpectedHalfWidth(proportion.Wilson, 2, .1, .9)),
		"expected level":       try(TrialsForExpectedHalfWidth(proportion.Wilson, .5, .1, 1)),
		"method":               try(TrialsForWorstHalfWidth("wald", .1, .9)),
		"equal one-sample":     try(OneSampleNormalTrials(.5, .5, .05, .8)),
		"falling":              falling,
		"hopeless":             hopeless,
		"exact trials":         try(ExactTestAt(-1, .5, .6, .05)),
		"equal":                try(TwoProportions{.5, .5, .05, .8}.NormalSizes()),
		"power 1":              try(TwoProportions{.5, .6, .05, 1}.NormalPower(5)),
		"no trials":            try(TwoProportions{.5, .6, .05, .8}.NormalPower(0)),
		"fisher trials":        try(TwoProportions{.5, .6, .05, .8}.FisherPower(0)),
		"fisher search":        try(TwoProportions{.5, .51, .05, .8}.FisherTrials()),
	} {
		if err == nil || domain.KindOf(err) != domain.KindInvalid {
			t.Errorf("%s: %v", what, err)
		}
	}
}
