package propose

import (
	"fmt"
	"math"
)

// Independent arms, whose success does not depend on orientation, are the one case in which theory says how few trials
// could do. That bounds what may be hoped for, and shows where the trials of a good rule would go.

// divergence is the Kullback–Leibler divergence (nats) of a coin of success p from one of success q.
func divergence(p, q float64) float64 {
	term := func(a, b float64) float64 {
		if a == 0 {
			return 0
		}
		return a * math.Log(a/b)
	}
	return term(p, q) + term(1-p, 1-q)
}

// Needed says how many trials any rule needs, on average, to name the best of independent arms.
type Needed struct {
	Time    float64   // characteristic time: trials for each unit of certainty
	Weights []float64 // arm: share of the trials that it gets at best
}

// Trials returns the least expected number of trials with which the best arm is named wrongly with a chance of at most
// risk: the characteristic time by kl(risk, 1 − risk).
func (n Needed) Trials(risk float64) float64 { return n.Time * divergence(risk, 1-risk) }

// BestOf returns what naming the best of arms with the given success needs (A. Garivier and E. Kaufmann, "Optimal best arm
// identification with fixed confidence", COLT 2016, theorem 1 and §2.2; formulas from memory). toBest is the share of
// trials given to the best arm: 0 for the optimal share, ½ for the plain top-two rule (D. Russo, Oper. Res. 68 (2020)
// 1625; from memory). Success must lie inside 0 to 1 and the best must stand alone.
func BestOf(success []float64, toBest float64) (Needed, error) {
	if len(success) < 2 {
		return Needed{}, fmt.Errorf("one arm is its own best; name two or more")
	}
	best := 0
	for a, p := range success {
		if !(p > 0 && p < 1) {
			return Needed{}, fmt.Errorf("arm %d succeeds in %g; this needs a success between 0 and 1, both excluded", a+1, p)
		}
		if p > success[best] {
			best = a
		}
	}
	top := success[best]
	for a, p := range success {
		if a != best && p == top {
			return Needed{}, fmt.Errorf("arms %d and %d are equally good; no number of trials tells them apart", best+1, a+1)
		}
	}
	// For x trials of arm a to one of the best, what is learnt of their order for each trial of the best.
	learnt := func(a int, x float64) (value, ofBest, ofOther float64) {
		middle := (top + x*success[a]) / (1 + x)
		ofBest, ofOther = divergence(top, middle), divergence(success[a], middle)
		return ofBest + x*ofOther, ofBest, ofOther
	}
	// shares returns, for a value y common to all, each arm's x and the sum that is 1 at the optimum.
	shares := func(y float64) (x []float64, balance float64) {
		x = make([]float64, len(success))
		for a := range success {
			if a == best {
				x[a] = 1
				continue
			}
			x[a] = bisectUp(func(x float64) bool { v, _, _ := learnt(a, x); return v >= y })
			_, ofBest, ofOther := learnt(a, x[a])
			balance += ofBest / ofOther
		}
		return x, balance
	}
	limit := math.Inf(1)
	for a, p := range success {
		if a != best {
			limit = math.Min(limit, divergence(top, p))
		}
	}
	low, high := 0.0, limit
	for range 200 {
		y := (low + high) / 2
		x, balance := shares(y)
		enough := balance >= 1
		if toBest > 0 {
			enough = 1/sum(x) <= toBest
		}
		if enough {
			high = y
		} else {
			low = y
		}
	}
	x, _ := shares(low)
	total := sum(x)
	n := Needed{Time: total / low, Weights: x}
	for a := range x {
		n.Weights[a] /= total
	}
	return n, nil
}

func sum(xs []float64) float64 {
	s := 0.0
	for _, x := range xs {
		s += x
	}
	return s
}

// bisectUp returns where a condition that holds from some positive number on begins to hold.
func bisectUp(holds func(float64) bool) float64 {
	low, high := 0.0, 1.0
	for !holds(high) && high < 1e12 {
		low, high = high, 2*high
	}
	for range 100 {
		if m := (low + high) / 2; holds(m) {
			high = m
		} else {
			low = m
		}
	}
	return high
}

// rankNeeds says in words what telling the two closest neighbours of an order apart would take at least.
func (p *Problem) rankNeeds(c Choice) string {
	closest := 0
	for i := range len(c.Order) - 1 {
		if c.Tops[i]-c.Tops[i+1] < c.Tops[closest]-c.Tops[closest+1] {
			closest = i
		}
	}
	better, worse := c.Order[closest], c.Order[closest+1]
	n, err := BestOf(c.Tops[closest:closest+2], 0)
	if err != nil {
		return ""
	}
	trials := n.Trials(0.05)
	if trials > 1e5 {
		return fmt.Sprintf("%s and %s are too close for any affordable number of trials to tell them apart.", p.name(better), p.name(worse))
	}
	return fmt.Sprintf("As a yardstick: were success the same in every orientation, telling %s (%s) from %s (%s) with 5 %% risk would take any rule at least %.0f trials on average.",
		p.name(better), percent1(c.Tops[closest]), p.name(worse), percent1(c.Tops[closest+1]), math.Ceil(trials))
}
