package value

import (
	"context"
	"slices"
	"sort"

	"holdfast/domain"
)

// Level is the central posterior probability of every interval.
const Level = 0.90

// Estimate is a posterior mean with its central interval at [Level].
type Estimate struct{ Mean, Low, High float64 }

// Assessment is what one policy brings.
type Assessment struct {
	Success     Estimate // of a first attempt
	Items       Estimate // an hour
	Picks       Estimate // an hour, held by the hand and undamaged
	Good        Estimate // an hour, picks and items that a person took over
	Net         Estimate // money an hour
	Draws       []float64
	Ends        Ends    // the chain at the posterior means
	Person      Hour    // the alternative
	Gains       float64 // posterior probability that the net value is above 0
	BeatsPerson float64 // posterior probability that it is above the person's
	BreakEven   BreakEven
	Sensitivity []Bar // widest first
}

// Assess carries all draws through the chain. Errors are KindInvalid and name the input.
func Assess(ctx context.Context, ways []Way, p Policy, m Money) (Assessment, error) {
	if err := check(ways, p, m); err != nil {
		return Assessment{}, err
	}
	n := len(ways[0].Held)
	success, items, picks, good := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	a := Assessment{Draws: make([]float64, n), Person: m.PersonHour()}
	gains, beats := 0, 0
	now := make([]Attempts, len(ways))
	for d := range n {
		if d%64 == 0 && ctx.Err() != nil {
			return Assessment{}, ctx.Err()
		}
		for i := range ways {
			now[i] = ways[i].at(d)
		}
		h := Chain(now, p, m).PerHour(m)
		success[d], items[d], picks[d], good[d], a.Draws[d] = now[p.Ways[0]].Held, h.Items, h.Picks, h.Good, h.Net
		if h.Net > 0 {
			gains++
		}
		if h.Net > a.Person.Net {
			beats++
		}
	}
	a.Success, a.Items, a.Picks, a.Good, a.Net = Summarise(success), Summarise(items), Summarise(picks), Summarise(good), Summarise(a.Draws)
	a.Gains, a.BeatsPerson = float64(gains)/float64(n), float64(beats)/float64(n)
	for i := range ways {
		now[i] = ways[i].Mean()
	}
	a.Ends = Chain(now, p, m)
	a.BreakEven = breakEven(now, p, m)
	a.Sensitivity = sensitivity(ways, now, p, m)
	return a, nil
}

func check(ways []Way, p Policy, m Money) error {
	bad := func(format string, args ...any) error {
		return domain.Errorf(domain.KindInvalid, "value: "+format, args...)
	}
	if len(ways) == 0 || len(p.Ways) == 0 || len(p.Ways) > MaxAttempts {
		return bad("there are %d ways and %d attempts; both must be at least one, and attempts at most %d", len(ways), len(p.Ways), MaxAttempts)
	}
	n := len(ways[0].Held)
	for _, w := range ways {
		if n < FewDraws || len(w.Held) != n || len(w.Lost) != n || len(w.HeldSeconds) != n || len(w.LostSeconds) != n {
			return bad("%s has %d draws of success, %d of failures and %d and %d of durations; all must be equally many, at least %d",
				w.Name, len(w.Held), len(w.Lost), len(w.HeldSeconds), len(w.LostSeconds), FewDraws)
		}
		for d := range n {
			if !(w.Held[d] >= 0 && w.Held[d] <= 1) || !(w.HeldSeconds[d] >= 0) || !(w.LostSeconds[d] >= 0) {
				return bad("draw %d of %s has success %g and durations %g s and %g s; success lies between 0 and 1, durations are not negative",
					d, w.Name, w.Held[d], w.HeldSeconds[d], w.LostSeconds[d])
			}
		}
	}
	for k, w := range p.Ways {
		if w < 0 || w >= len(ways) {
			return bad("attempt %d uses way %d of %d", k+1, w+1, len(ways))
		}
	}
	if p.End != ToPerson && p.End != LeaveIt {
		return bad("the end %q must be person or leave", p.End)
	}
	if !(p.Shared >= 0 && p.Shared <= 0.95) {
		return bad("the correlation of attempts at one item is %g; it must lie between 0 and 0.95", p.Shared)
	}
	if !(p.Factor > 0 && p.Factor <= 100) {
		return bad("the odds factor of a further attempt is %g; it must be above 0 and at most 100", p.Factor)
	}
	amounts := map[string]float64{"value per good pick": m.Good, "cost of a damaged item": m.Damaged, "cost of handing over": m.Person,
		"cost of the line's hour": m.LineHour, "cost of the hand's hour": m.HandHour, "time added to an item": m.ItemSeconds,
		"time added to a failed attempt": m.FailSeconds, "time the line waits for a person": m.PersonSeconds, "demand": m.Demand,
		"cost of a person's hour": m.Alternative.Hour, "cost of an attempt": m.Attempt}
	for k, c := range m.Failed {
		amounts["cost of an attempt that ended "+string(Failures[k])] = c
	}
	for _, name := range sortedKeys(amounts) {
		if v := amounts[name]; !(v >= 0 && v <= 1e9) {
			return bad("the %s is %g; it must lie between 0 and 1e9", name, v)
		}
	}
	if !(m.Alternative.ItemSeconds > 0 && m.Alternative.ItemSeconds <= 86400) {
		return bad("a person's time for an item is %g s; it must be above 0 and at most 86400 s", m.Alternative.ItemSeconds)
	}
	for i := range ways {
		if slices.Contains(p.Ways, i) && m.ItemSeconds == 0 {
			for d := range n {
				if ways[i].HeldSeconds[d] == 0 || ways[i].LostSeconds[d] == 0 {
					return bad("an attempt of %s takes no time; give a cycle time", ways[i].Name)
				}
			}
		}
	}
	return nil
}

func sortedKeys(m map[string]float64) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}

// Summarise gives the mean of draws and their central interval at [Level].
func Summarise(draws []float64) Estimate {
	sorted := append([]float64(nil), draws...)
	sort.Float64s(sorted)
	return Estimate{mean(draws), quantile(sorted, (1-Level)/2), quantile(sorted, (1+Level)/2)}
}

// quantile interpolates between order statistics (R. J. Hyndman and Y. Fan, Am. Stat. 50 (1996) 361, definition 7; from memory).
func quantile(sorted []float64, q float64) float64 {
	h := q * float64(len(sorted)-1)
	i := int(h)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (h-float64(i))*(sorted[i+1]-sorted[i])
}
