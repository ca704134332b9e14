package acceptance_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/acceptance"
)

// anyPlan draws a plan of any kind.
func anyPlan(t *rapid.T) acceptance.Plan {
	early := rapid.Bool().Draw(t, "early")
	var p acceptance.Plan
	var err error
	switch rapid.IntRange(0, 2).Draw(t, "kind") {
	case 0:
		n := rapid.IntRange(1, 60).Draw(t, "n")
		p, err = acceptance.Fixed(n, rapid.IntRange(0, n-1).Draw(t, "c"), early)
	case 1:
		n1, c1 := rapid.IntRange(2, 30).Draw(t, "n1"), rapid.IntRange(0, 1).Draw(t, "c1")
		r1 := rapid.IntRange(c1+2, n1+1).Draw(t, "r1")
		n2 := rapid.IntRange(r1, r1+30).Draw(t, "n2")
		p, err = acceptance.Double(n1, c1, r1, n2, rapid.IntRange(c1, n1+n2-1).Draw(t, "c2"), early)
	default:
		good := rapid.Float64Range(0.005, 0.2).Draw(t, "good")
		var l acceptance.Lines
		l, err = acceptance.Wald(acceptance.Risks{
			Good: good, Bad: good + rapid.Float64Range(0.03, 0.4).Draw(t, "apart"),
			Producer: rapid.Float64Range(0.01, 0.3).Draw(t, "alpha"), Consumer: rapid.Float64Range(0.01, 0.3).Draw(t, "beta"),
		})
		if err == nil {
			p, err = l.Sequential(rapid.IntRange(5, 120).Draw(t, "longest"), -1, early)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestCurvesFallAndLengthsStayWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		last := 2.0
		for _, c := range p.Curve(1, 41) {
			if c.Accept > last+1e-12 || c.Accept < -1e-12 || c.Accept > 1+1e-12 {
				t.Fatalf("Pa %g at %g after %g", c.Accept, c.P, last)
			}
			if c.Length < 1-1e-9 || c.Length > float64(p.Longest())+1e-9 {
				t.Fatalf("expected length %g of a plan of %d trials", c.Length, p.Longest())
			}
			last = c.Accept
		}
	})
}

func TestStoppingEarlyChangesNoOutcome(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 80).Draw(t, "n")
		c := rapid.IntRange(0, n-1).Draw(t, "c")
		early, err := acceptance.Fixed(n, c, true)
		if err != nil {
			t.Fatal(err)
		}
		f := rapid.Float64Range(0, 1).Draw(t, "p")
		got, want := early.At(f).Accept, numeric.BinomialCDF(c, n, f)
		if math.Abs(got-want) > 1e-10 {
			t.Fatalf("n %d, c %d, p %g: %g, want %g", n, c, f, got, want)
		}
	})
}

// Every sequence of outcomes is judged as the lattice weighs it: simulated runs agree with the exact figures.
func TestSimulationAgrees(t *testing.T) {
	l, err := acceptance.Wald(acceptance.Risks{Good: .05, Bad: .20, Producer: .05, Consumer: .10})
	if err != nil {
		t.Fatal(err)
	}
	p, err := l.Sequential(57, -1, true)
	if err != nil {
		t.Fatal(err)
	}
	const runs, f = 40_000, 0.10
	r := rand.New(rand.NewPCG(1, 2))
	accepted, length, covered := 0, 0, 0
	cache := map[string]acceptance.State{}
	for range runs {
		list := make([]bool, p.Longest())
		for i := range list {
			list[i] = r.Float64() >= f
		}
		n, d := 0, 0
		for n < len(list) {
			if !list[n] {
				d++
			}
			n++
			if d <= p.Accept[n-1] || d >= p.Reject[n-1] {
				break
			}
		}
		key := fmt.Sprint(n, d)
		s, known := cache[key]
		if !known {
			if s, err = p.Judge(list, acceptance.Beta{Successes: 1, Failures: 1}, 0.90); err != nil {
				t.Fatal(err)
			}
			if s.Trials != n || s.Failures != d {
				t.Fatalf("judged after %d trials with %d failures, want %d, %d", s.Trials, s.Failures, n, d)
			}
			cache[key] = s
		}
		if s.Verdict == acceptance.Accepted {
			accepted++
		}
		length += s.Trials
		if s.Low <= 1-f && 1-f <= s.High {
			covered++
		}
	}
	want := p.At(f)
	if got := float64(accepted) / runs; math.Abs(got-want.Accept) > 4*math.Sqrt(want.Accept*(1-want.Accept)/runs) {
		t.Errorf("accepted %g of the runs, exactly %g", got, want.Accept)
	}
	if got := float64(length) / runs; math.Abs(got-want.Length) > 0.3 {
		t.Errorf("%g trials a run, exactly %g", got, want.Length)
	}
	// The interval is exact, so it covers at least as often as it says; much more would be useless.
	if got := float64(covered) / runs; got < 0.90-0.006 || got > 0.97 {
		t.Errorf("the 90 %% interval covers %g", got)
	}
}

// For a fixed plan without early stopping the interval is Clopper and Pearson's.
func TestIntervalOfAFixedPlan(t *testing.T) {
	for _, c := range []struct{ n, d int }{{20, 4}, {30, 0}, {10, 10}, {59, 1}} {
		p, err := acceptance.Fixed(c.n, c.n/2, false)
		if err != nil {
			t.Fatal(err)
		}
		s, err := p.Judge(outcomes(c.n-c.d, c.d), acceptance.Beta{Successes: 1, Failures: 1}, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		low, high := 0.0, 1.0
		if c.d < c.n {
			low = numeric.BetaQuantile(float64(c.n-c.d), float64(c.d+1), 0.025)
		}
		if c.d > 0 {
			high = numeric.BetaQuantile(float64(c.n-c.d+1), float64(c.d), 0.975)
		}
		if c.d == c.n {
			low = 0
		}
		near(t, "low", s.Low, low, 1e-9)
		near(t, "high", s.High, high, 1e-9)
	}
}

func TestIntervalHoldsTheEstimate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		f := rapid.Float64Range(0, 1).Draw(t, "f")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		list := make([]bool, rapid.IntRange(0, p.Longest()).Draw(t, "trials"))
		for i := range list {
			list[i] = r.Float64() >= f
		}
		s, err := p.Judge(list, acceptance.Beta{Successes: 1, Failures: 1}, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if s.Low < 0 || s.High > 1 || s.Low > s.High {
			t.Fatalf("interval %g to %g", s.Low, s.High)
		}
		if s.Trials+s.Beyond != len(list) || s.Verdict == acceptance.GoOn && s.Beyond > 0 {
			t.Fatalf("%+v of %d trials", s, len(list))
		}
	})
}

func TestBadInputIsToldInSentences(t *testing.T) {
	check := func(err error, words string) {
		t.Helper()
		if domain.KindOf(err) != domain.KindInvalid || !strings.Contains(err.Error(), words) {
			t.Errorf("got %v, want words %q", err, words)
		}
	}
	_, err := acceptance.SuccessRun(1, .95, 0)
	check(err, "the success to show is 1")
	_, err = acceptance.SuccessRun(.95, math.NaN(), 0)
	check(err, "the confidence is NaN")
	_, err = acceptance.SuccessRun(.999999, .95, 0)
	check(err, "takes more than 20000 trials")
	_, _, err = acceptance.TwoPoint(acceptance.Risks{Good: .1, Bad: .1, Producer: .05, Consumer: .1})
	check(err, "must be smaller")
	_, err = acceptance.Wald(acceptance.Risks{Good: .1, Bad: .2, Producer: .6, Consumer: .5})
	check(err, "leave nothing to decide")
	_, err = acceptance.Fixed(10, 10, true)
	check(err, "10 failures can not be allowed")
	_, err = acceptance.Double(10, 1, 2, 10, 3, true)
	check(err, "room between them")
	_, err = acceptance.TableCell("I", 1, acceptance.Normal)
	check(err, `code letter "I"`)
	_, err = acceptance.TableCell("J", 3, acceptance.Normal)
	check(err, "not in the tables")
	_, err = acceptance.CodeLetter(1, "II")
	check(err, "not sampled")
}

// Every cell of the tables is a plan or is refused, and stricter inspection never accepts more.
func TestTablesAreConsistent(t *testing.T) {
	for _, letter := range "ABCDEFGHJKLMNPQR" {
		last := -1.0
		for _, q := range acceptance.QualityLevels {
			s, err := acceptance.TableCell(string(letter), q, acceptance.Normal)
			if err != nil {
				continue
			}
			if s.Accept >= s.Size {
				t.Errorf("%c at %g %%: n %d, Ac %d", letter, q, s.Size, s.Accept)
			}
			tight, err := acceptance.TableCell(string(letter), q, acceptance.Tightened)
			if err != nil {
				t.Errorf("%c at %g %%: %v", letter, q, err)
				continue
			}
			at := q / 100
			if b, a := numeric.BinomialCDF(tight.Accept, tight.Size, at), numeric.BinomialCDF(s.Accept, s.Size, at); b > a+1e-12 {
				t.Errorf("%c at %g %%: tightened accepts %g, normal %g", letter, q, b, a)
			}
			if share := float64(s.Accept) / float64(s.Size); share < last-1e-12 {
				t.Errorf("%c at %g %%: a looser limit allows a smaller share", letter, q)
			} else {
				last = share
			}
		}
	}
}
