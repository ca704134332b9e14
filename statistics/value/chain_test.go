package value

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"holdfast/domain"
	"holdfast/numeric"
)

// lost makes shares out of the kinds named; what is left over is missed.
func lost(given map[domain.Outcome]float64) (s Shares) {
	rest := 1.0
	for i, f := range Failures {
		s[i] = given[f]
		rest -= given[f]
	}
	s[2] += rest
	return s
}

func sameAgain(n int) []int { return make([]int, n) }

func close(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.12g, want %.12g ± %.1g", what, got, want, tolerance)
	}
}

// Worked by hand: 80 % held, a quarter of the rest damaged, the others missed and tried once more.
func TestTwoAttemptsByHand(t *testing.T) {
	ways := []Attempts{{Held: 0.8, Lost: lost(map[domain.Outcome]float64{domain.OutcomeDamaged: 0.25}), HeldSeconds: 4, LostSeconds: 3}}
	m := Money{Good: 1, Damaged: 2, Person: 0.3, Attempt: 0.01, LineHour: 60, HandHour: 5, ItemSeconds: 1, FailSeconds: 1, PersonSeconds: 10, Alternative: PersonAtTheLine{ItemSeconds: 3, Hour: 30}}
	for k := range m.Failed {
		m.Failed[k] = 0.1
	}
	e := Chain(ways, Policy{Ways: sameAgain(2), End: ToPerson, Again: DefaultAgain(), Factor: 1}, m)
	close(t, "held", e.Held, 0.8+0.15*0.8, 1e-14)
	close(t, "damaged", e.Damaged, 0.05+0.15*0.05, 1e-14)
	close(t, "person", e.Person, 0.15*0.15, 1e-14)
	close(t, "attempts", e.Attempts, 1.15, 1e-14)
	seconds := 1 + 1.15*(0.8*4+0.2*4) + 0.0225*10
	close(t, "seconds", e.Seconds, seconds, 1e-13)
	money := (0.92 + 0.0225) - 2*0.0575 - 0.3*0.0225 - 0.1*(0.15+0.15*0.15) - 0.01*1.15
	close(t, "money", e.Money, money, 1e-13)
	h := e.PerHour(m)
	close(t, "net", h.Net, 3600/seconds*money-65, 1e-10)
	close(t, "picks", h.Picks, 3600/seconds*0.92, 1e-10)
	m.Demand = 100
	if e.PerHour(m).Items != 100 {
		t.Error("a line that is fed 100 items an hour handles 100")
	}
	close(t, "person's net", m.PersonHour().Net, 100*1-30-60, 1e-12)
}

func TestStoppedAndPushedEndTheChain(t *testing.T) {
	ways := []Attempts{{Held: 0.5, Lost: lost(map[domain.Outcome]float64{domain.OutcomeStopped: 0.2, domain.OutcomePushed: 0.3}), HeldSeconds: 1, LostSeconds: 1}}
	e := Chain(ways, Policy{Ways: sameAgain(3), End: LeaveIt, Again: DefaultAgain(), Factor: 1}, Money{})
	reach := 1 + 0.25 + 0.0625
	close(t, "person", e.Person, 0.1*reach, 1e-14)
	close(t, "left", e.Left, 0.15*reach+0.25*0.0625, 1e-14)
	close(t, "held", e.Held, 0.5*reach, 1e-14)
}

// A worse lie after a failure, and items that share their luck, both make further attempts worse; the first stays.
func TestSharedEffectKeepsTheFirstAttemptAndWeakensTheNext(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0.001, 0.999).Draw(t, "p")
		rho := rapid.Float64Range(0.01, 0.9).Draw(t, "rho")
		ways := []Attempts{{Held: p, Lost: lost(nil), HeldSeconds: 1, LostSeconds: 1}}
		policy := Policy{Ways: sameAgain(3), End: ToPerson, Again: DefaultAgain(), Shared: rho, Factor: 1}
		e := Chain(ways, policy, Money{})
		if math.Abs(e.Steps[0].Held-p) > 1e-9 {
			t.Fatalf("first attempt holds %.12g, want %.12g", e.Steps[0].Held, p)
		}
		if !(e.Steps[1].HeldGiven < p && e.Steps[2].HeldGiven < e.Steps[1].HeldGiven) {
			t.Fatalf("further attempts hold %v and %v of those made, first %v", e.Steps[1].HeldGiven, e.Steps[2].HeldGiven, p)
		}
		if sum := e.Held + e.Damaged + e.Person + e.Left; math.Abs(sum-1) > 1e-9 {
			t.Fatalf("the ends sum to %.12g", sum)
		}
		policy.Shared, policy.Factor = 0, 0.5
		e = Chain(ways, policy, Money{})
		odds := p / (1 - p)
		if want := odds / 2 / (1 + odds/2); math.Abs(e.Steps[1].HeldGiven-want) > 1e-12 {
			t.Fatalf("second attempt at half the odds holds %v, want %v", e.Steps[1].HeldGiven, want)
		}
	})
}

func TestCertainAttempts(t *testing.T) {
	for _, p := range []float64{0, 1} {
		e := Chain([]Attempts{{Held: p, Lost: lost(nil), HeldSeconds: 1, LostSeconds: 1}}, Policy{Ways: sameAgain(2), End: ToPerson, Again: DefaultAgain(), Shared: 0.3, Factor: 0.5}, Money{})
		close(t, "held", e.Held, p, 1e-12)
		close(t, "attempts", e.Attempts, 2-p, 1e-12)
	}
}

// The quadrature over items against one a thousand times finer and wider, which is exact to rounding; TestObservedCorrelation
// holds it against another method.
func TestItemQuadrature(t *testing.T) {
	for _, c := range []struct{ rho, tolerance float64 }{{0.1, 1e-13}, {0.3, 1e-13}, {0.5, 1e-13}, {0.8, 1e-8}, {0.95, 5e-5}} {
		spread := latentSpread(c.rho)
		nodes, weights := itemNodes(spread)
		for _, mu := range []float64{-6, -2, 0, 1, 4} {
			got := 0.0
			for i, z := range nodes {
				got += weights[i] * logistic(mu+spread*z)
			}
			want, step := 0.0, 24.0/40000
			for i := range 40001 {
				z := -12 + step*float64(i)
				want += step * math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) * logistic(mu+spread*z)
			}
			close(t, "mean success", got, want, c.tolerance)
		}
	}
}

// simulate plays items one by one: a second way that shares nothing with the sums in Chain but the model.
func simulate(rng *rand.Rand, ways []Attempts, p Policy, m Money, items int) (ends map[string]float64, seconds, money float64) {
	ends = map[string]float64{}
	spread := math.Sqrt(p.Shared / (1 - p.Shared) * math.Pi * math.Pi / 3)
	centres := make([]float64, len(ways))
	for i, w := range ways {
		centres[i] = centre(w.Held, spread)
	}
	for range items {
		z, end := rng.NormFloat64(), ""
		seconds += m.ItemSeconds
		for k := 0; end == ""; k++ {
			w := ways[p.Ways[k]]
			if x := centres[p.Ways[k]] + spread*z + float64(k)*math.Log(p.Factor); rng.Float64() < 1/(1+math.Exp(-x)) {
				money -= m.Attempt
				seconds += w.HeldSeconds
				end = "held"
				break
			}
			money -= m.Attempt
			seconds += w.LostSeconds + m.FailSeconds
			kind, u := 0, rng.Float64()
			for u >= w.Lost[kind] && kind < kinds-1 {
				u -= w.Lost[kind]
				kind++
			}
			if Failures[kind] != domain.OutcomeDamaged {
				money -= m.Failed[kind]
			}
			switch {
			case Failures[kind] == domain.OutcomeDamaged:
				end = "damaged"
			case Failures[kind] == domain.OutcomeStopped:
				end = string(ToPerson)
			case !p.Again[kind] || k == len(p.Ways)-1:
				end = string(p.End)
			}
		}
		ends[end]++
		switch end {
		case "held":
			money += m.Good
		case "damaged":
			money -= m.Damaged
		case "person":
			money += m.Good - m.Person
			seconds += m.PersonSeconds
		}
	}
	for k := range ends {
		ends[k] /= float64(items)
	}
	return ends, seconds / float64(items), money / float64(items)
}

func TestChainAgreesWithSimulation(t *testing.T) {
	rng := numeric.Stream(11, "value chains")
	const items = 200_000
	for c := range 8 {
		ways := make([]Attempts, 1+c%3)
		for i := range ways {
			ways[i] = Attempts{Held: 0.3 + 0.65*rng.Float64(), HeldSeconds: 2 + rng.Float64(), LostSeconds: 1 + rng.Float64()}
			total := 0.0
			for k := range ways[i].Lost {
				ways[i].Lost[k] = rng.ExpFloat64()
				total += ways[i].Lost[k]
			}
			for k := range ways[i].Lost {
				ways[i].Lost[k] /= total
			}
		}
		p := Policy{End: ToPerson, Again: DefaultAgain(), Shared: 0.6 * rng.Float64(), Factor: 0.5 + rng.Float64()}
		if c%2 == 1 {
			p.End = LeaveIt
		}
		for k := range 1 + c%4 {
			p.Ways = append(p.Ways, k%len(ways))
		}
		m := Money{Good: 1, Damaged: 1.5, Person: 0.4, Attempt: 0.03, ItemSeconds: 0.5, FailSeconds: 0.7, PersonSeconds: 3, Failed: [kinds]float64{.1, .2, .05, .3, 9, .5, .1}}
		got := Chain(ways, p, m)
		ends, seconds, money := simulate(rng, ways, p, m, items)
		// Five standard errors of a share, and of a mean whose terms spread by less than 4 s and 2 units of money.
		share, root := 5*0.5/math.Sqrt(items), math.Sqrt(items)
		close(t, "held", got.Held, ends["held"], share)
		close(t, "damaged", got.Damaged, ends["damaged"], share)
		close(t, "person", got.Person, ends["person"], share)
		close(t, "left", got.Left, ends["leave"], share)
		close(t, "seconds", got.Seconds, seconds, 5*4/root)
		close(t, "money", got.Money, money, 5*2/root)
		// Renewal-reward: the long run's money over its time.
		close(t, "net an hour over the long run", got.PerHour(m).Net/3600, money/seconds, 5*2/root)
	}
}
