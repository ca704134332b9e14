package value

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"holdfast/domain"
	"holdfast/numeric"
)

// Counts tells how the trials of one way ended, and how long they took where that is known.
type Counts struct {
	Held        int
	Lost        [kinds]int // in the order of [Failures]
	HeldSeconds []float64  // s, durations of the trials that held
	LostSeconds []float64  // s, durations of the others
}

// Add counts one trial; an outcome that does not count is passed over. duration is nil when it was not taken.
func (c *Counts) Add(o domain.Outcome, duration *float64) {
	if o == domain.OutcomeHeld {
		c.Held++
		if duration != nil {
			c.HeldSeconds = append(c.HeldSeconds, *duration)
		}
		return
	}
	for i, f := range Failures {
		if f == o {
			c.Lost[i]++
			if duration != nil {
				c.LostSeconds = append(c.LostSeconds, *duration)
			}
		}
	}
}

// Trials returns how many trials were counted.
func (c *Counts) Trials() int {
	n := c.Held
	for _, k := range c.Lost {
		n += k
	}
	return n
}

// Way is a way of picking as the posterior knows it: draw d of all four slices belongs together.
type Way struct {
	Name        string
	Held        []float64
	Lost        []Shares
	HeldSeconds []float64 // s, draws of the mean duration
	LostSeconds []float64
}

func (w *Way) at(d int) Attempts {
	return Attempts{w.Held[d], w.Lost[d], w.HeldSeconds[d], w.LostSeconds[d]}
}

// Mean returns the way at its posterior means.
func (w *Way) Mean() Attempts {
	a := Attempts{Held: mean(w.Held), HeldSeconds: mean(w.HeldSeconds), LostSeconds: mean(w.LostSeconds)}
	for _, s := range w.Lost {
		for k := range s {
			a.Lost[k] += s[k] / float64(len(w.Lost))
		}
	}
	return a
}

// FewDraws is the smallest number of draws that [Posterior] and [Assess] take.
const FewDraws = 100

// Posterior draws a way's figures from its counts. Success is Beta(held + ½, lost + ½) (Jeffreys), unless joint draws of it
// are given, such as those of a map's region; the kinds of failure are Dirichlet with 1/7 added to each count, so that
// what was never seen stays possible without weighing more than one trial in all; mean durations are drawn by the Bayesian
// bootstrap (D. B. Rubin, Ann. Stat. 9 (1981) 130; from memory), which assumes no form. A duration that was not taken is
// fallback (s); with neither it is refused.
func Posterior(name string, c Counts, held []float64, fallback float64, draws int, seed uint64) (Way, error) {
	if held != nil {
		draws = len(held)
	}
	if draws < FewDraws {
		return Way{}, domain.Errorf(domain.KindInvalid, "value: %d posterior draws of %s are too few; at least %d are needed", draws, name, FewDraws)
	}
	if len(c.HeldSeconds)+len(c.LostSeconds) == 0 && !(fallback > 0) {
		return Way{}, domain.Errorf(domain.KindRefused, "value: no trial of %s has a duration; give a cycle time", name)
	}
	w := Way{Name: name, Held: held, Lost: make([]Shares, draws)}
	lost := c.Trials() - c.Held
	if w.Held == nil {
		w.Held = make([]float64, draws)
		beta := distuv.Beta{Alpha: float64(c.Held) + 0.5, Beta: float64(lost) + 0.5, Src: numeric.Stream(seed, "value success "+name)}
		for d := range w.Held {
			w.Held[d] = beta.Rand()
		}
	}
	r := numeric.Stream(seed, "value failures "+name)
	for d := range w.Lost {
		total := 0.0
		for k := range w.Lost[d] {
			w.Lost[d][k] = distuv.Gamma{Alpha: float64(c.Lost[k]) + 1.0/float64(kinds), Beta: 1, Src: r}.Rand()
			total += w.Lost[d][k]
		}
		for k := range w.Lost[d] {
			w.Lost[d][k] /= total
		}
	}
	all := append(append([]float64(nil), c.HeldSeconds...), c.LostSeconds...)
	pick := func(own []float64) []float64 {
		if len(own) < 2 { // too few of its own kind: all that were timed stand in
			return all
		}
		return own
	}
	w.HeldSeconds = meanDurations(pick(c.HeldSeconds), fallback, draws, seed, "value held durations "+name)
	w.LostSeconds = meanDurations(pick(c.LostSeconds), fallback, draws, seed, "value lost durations "+name)
	return w, nil
}

// plainBootstrap is the number of durations from which on the bootstrap's own limit, a normal with the exact variance of the
// bootstrapped mean, stands in for it.
const plainBootstrap = 400

func meanDurations(seconds []float64, fallback float64, draws int, seed uint64, purpose string) []float64 {
	out := make([]float64, draws)
	n := len(seconds)
	if n == 0 {
		for d := range out {
			out[d] = fallback
		}
		return out
	}
	r := numeric.Stream(seed, purpose)
	if n > plainBootstrap {
		m, squares := mean(seconds), 0.0
		for _, s := range seconds {
			squares += (s - m) * (s - m)
		}
		spread := math.Sqrt(squares / float64(n) / float64(n+1))
		for d := range out {
			out[d] = math.Max(m+spread*r.NormFloat64(), m/100)
		}
		return out
	}
	for d := range out {
		total := 0.0
		for _, s := range seconds {
			weight := r.ExpFloat64()
			total += weight
			out[d] += weight * s
		}
		out[d] /= total
	}
	return out
}

func mean(xs []float64) float64 {
	total := 0.0
	for _, x := range xs {
		total += x
	}
	return total / float64(len(xs))
}
