package value

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/numeric"
)

func demo(t *testing.T, held, missed, hurt int) Way {
	t.Helper()
	c := Counts{Held: held}
	c.Lost[2], c.Lost[4] = missed, hurt
	for i := range held {
		c.HeldSeconds = append(c.HeldSeconds, 4+float64(i%5)/10)
	}
	for i := range missed + hurt {
		c.LostSeconds = append(c.LostSeconds, 3+float64(i%3)/10)
	}
	w, err := Posterior("free", c, nil, 0, 2000, 7)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

var (
	twice = Policy{Ways: []int{0, 0}, End: ToPerson, Again: DefaultAgain(), Shared: DefaultShared, Factor: 1}
	bread = Money{Good: 0.2, Damaged: 0.5, Person: 0.05, LineHour: 20, HandHour: 3, FailSeconds: 0.5, Alternative: PersonAtTheLine{ItemSeconds: 4, Hour: 25}}
)

func assess(t *testing.T, w Way, p Policy, m Money) Assessment {
	t.Helper()
	a, err := Assess(t.Context(), []Way{w}, p, m)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestAssessIsTheSameEachTimeAndOrdered(t *testing.T) {
	a, b := assess(t, demo(t, 80, 15, 5), twice, bread), assess(t, demo(t, 80, 15, 5), twice, bread)
	if !reflect.DeepEqual(a, b) {
		t.Error("the same input gave two answers")
	}
	for _, e := range []Estimate{a.Success, a.Items, a.Picks, a.Good, a.Net} {
		if !(e.Low < e.Mean && e.Mean < e.High) {
			t.Errorf("estimate %+v is not ordered", e)
		}
	}
	for i := 1; i < len(a.Sensitivity); i++ {
		if a.Sensitivity[i].Swing() > a.Sensitivity[i-1].Swing() {
			t.Error("the bars are not sorted")
		}
	}
}

// Jeffreys' posterior of 80 of 100: its 5 and 95 % points from this project's own beta quantile.
func TestPosteriorSuccess(t *testing.T) {
	a := assess(t, demo(t, 80, 15, 5), twice, bread)
	close(t, "mean", a.Success.Mean, 80.5/101, 0.003)
	close(t, "low", a.Success.Low, numeric.BetaQuantile(80.5, 20.5, 0.05), 0.006)
	close(t, "high", a.Success.High, numeric.BetaQuantile(80.5, 20.5, 0.95), 0.006)
}

func TestMoreTrialsNarrowTheNetValue(t *testing.T) {
	few, many := assess(t, demo(t, 16, 3, 1), twice, bread), assess(t, demo(t, 1600, 300, 100), twice, bread)
	if width(few.Net) < 4*width(many.Net) {
		t.Errorf("width %g from 20 trials, %g from 2000; a hundredfold should narrow it nearly tenfold", width(few.Net), width(many.Net))
	}
}

func width(e Estimate) float64 { return e.High - e.Low }

func TestBreakEvenIsWhereTheHandEarnsWhatThePersonDoes(t *testing.T) {
	w := demo(t, 80, 15, 5)
	a := assess(t, w, twice, bread)
	if !a.BreakEven.Found {
		t.Fatalf("no break-even: %+v", a.BreakEven)
	}
	now := w.Mean()
	now.Held = a.BreakEven.Success
	close(t, "net at break-even", Chain([]Attempts{now}, twice, bread).PerHour(bread).Net, a.Person.Net, 1e-6)

	// One attempt, no damage, no person: r·V·p − costs = person, solved by hand.
	once := Policy{Ways: []int{0}, End: LeaveIt, Factor: 1}
	m := Money{Good: 0.1, Alternative: PersonAtTheLine{ItemSeconds: 10, Hour: 6}}
	plain := demo(t, 90, 10, 0)
	for d := range plain.Lost {
		plain.Lost[d], plain.HeldSeconds[d], plain.LostSeconds[d] = lost(nil), 5, 5
	}
	close(t, "break-even by hand", assess(t, plain, once, m).BreakEven.Success, (36-6)/72.0, 1e-9)
	m.Alternative.Hour = 40
	if b := assess(t, plain, once, m).BreakEven; !b.Always {
		t.Errorf("a person who loses money is beaten at any success: %+v", b)
	}
	m.Good, m.Alternative.Hour, m.HandHour = 0.01, 0, 1000
	if b := assess(t, plain, once, m).BreakEven; b.Found || b.Always {
		t.Errorf("a hand that costs more than all picks bring never pays: %+v", b)
	}
}

func TestProbabilitiesOfGain(t *testing.T) {
	a := assess(t, demo(t, 80, 15, 5), twice, bread)
	n := 0.0
	for _, v := range a.Draws {
		if v > a.Person.Net {
			n++
		}
	}
	close(t, "beats a person", a.BeatsPerson, n/float64(len(a.Draws)), 1e-12)
}

// The bootstrapped mean's spread is s/√(n+1) with s² the mean square (Rubin 1981, from memory), whether bootstrapped or by
// its limit.
func TestMeanDurations(t *testing.T) {
	for _, n := range []int{30, plainBootstrap, plainBootstrap + 1, 5000} {
		seconds := make([]float64, n)
		for i := range seconds {
			seconds[i] = 3 + math.Mod(float64(i)*0.618, 1)
		}
		m, s := mean(seconds), 0.0
		for _, v := range seconds {
			s += (v - m) * (v - m)
		}
		want := math.Sqrt(s / float64(n) / float64(n+1))
		draws := meanDurations(seconds, 0, 4000, 1, "test")
		got := 0.0
		for _, v := range draws {
			got += (v - mean(draws)) * (v - mean(draws))
		}
		close(t, "spread", math.Sqrt(got/4000)/want, 1, 0.05)
		close(t, "centre", (mean(draws)-m)/want, 0, 5/math.Sqrt(4000))
	}
}

func TestEstimateSharedFindsWhatWasPutIn(t *testing.T) {
	rng := numeric.Stream(5, "shared effect")
	for _, rho := range []float64{0, 0.3, 0.7} {
		spread := latentSpread(rho)
		mu := centre(0.7, spread)
		items := make([]Repeats, 1500)
		for i := range items {
			p := logistic(mu + spread*rng.NormFloat64())
			items[i].Tried = 4
			for range 4 {
				if rng.Float64() < p {
					items[i].Held++
				}
			}
		}
		got, err := EstimateShared(items)
		if err != nil {
			t.Fatal(err)
		}
		close(t, "correlation", got, rho, 0.05)
	}
	for name, c := range map[string][]Repeats{
		"Once": {{1, 1}, {1, 0}, {2, 1}}, "Alike": {{2, 2}, {3, 3}}, "Impossible": {{2, 3}, {2, 1}},
	} {
		if _, err := EstimateShared(c); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestAssessRefuses(t *testing.T) {
	good := demo(t, 8, 2, 0)
	for name, c := range map[string]struct {
		change func(*Way, *Policy, *Money)
		want   string
	}{
		"NoAttempt":   {func(w *Way, p *Policy, m *Money) { p.Ways = nil }, "0 attempts"},
		"Way":         {func(w *Way, p *Policy, m *Money) { p.Ways = []int{1} }, "way 2 of 1"},
		"End":         {func(w *Way, p *Policy, m *Money) { p.End = "bin" }, "person or leave"},
		"Correlation": {func(w *Way, p *Policy, m *Money) { p.Shared = math.NaN() }, "correlation"},
		"Factor":      {func(w *Way, p *Policy, m *Money) { p.Factor = 0 }, "odds factor"},
		"Money":       {func(w *Way, p *Policy, m *Money) { m.Good = -1 }, "value per good pick"},
		"Person":      {func(w *Way, p *Policy, m *Money) { m.Alternative.ItemSeconds = 0 }, "person's time"},
		"Draws":       {func(w *Way, p *Policy, m *Money) { w.Held = w.Held[:99] }, "draws"},
		"Success":     {func(w *Way, p *Policy, m *Money) { w.Held = append([]float64{math.NaN()}, w.Held[1:]...) }, "between 0 and 1"},
		"NoTime":      {func(w *Way, p *Policy, m *Money) { w.HeldSeconds = make([]float64, len(w.Held)) }, "takes no time"},
	} {
		t.Run(name, func(t *testing.T) {
			w, p, m := good, twice, bread
			c.change(&w, &p, &m)
			if _, err := Assess(t.Context(), []Way{w}, p, m); domain.KindOf(err) != domain.KindInvalid || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want a sentence with %q", err, c.want)
			}
		})
	}
	if _, err := Posterior("free", Counts{Held: 3}, nil, 0, 500, 1); domain.KindOf(err) != domain.KindRefused {
		t.Errorf("without durations: %v", err)
	}
}

func BenchmarkAssess(b *testing.B) {
	c := Counts{Held: 80}
	c.Lost[2], c.Lost[4] = 15, 5
	c.HeldSeconds = []float64{3, 4, 5}
	one, _ := Posterior("free", c, nil, 0, 2000, 1)
	two, _ := Posterior("wall", c, nil, 0, 2000, 2)
	p := Policy{Ways: []int{0, 0, 1}, End: ToPerson, Again: DefaultAgain(), Shared: DefaultShared, Factor: 1}
	for b.Loop() {
		if _, err := Assess(b.Context(), []Way{one, two}, p, bread); err != nil {
			b.Fatal(err)
		}
	}
}
