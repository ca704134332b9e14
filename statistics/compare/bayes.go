package compare

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"

	"holdfast/domain"
	"holdfast/numeric"
)

// Prior is the beta prior of each sample's success probability, in successes and failures that it is worth.
type Prior struct{ Successes, Failures float64 }

// Uniform says that every success probability is as likely as any other.
var Uniform = Prior{1, 1}

// Posterior is what two independent samples say about the difference of their success probabilities.
type Posterior struct {
	a, b   beta
	lo, hi float64 // where A's probability has all its mass but 1e-15 at either end
}

type beta struct{ s, f float64 }

func (b beta) cdf(x float64) float64 { return numeric.BetaCDF(b.s, b.f, x) }

// The integral over A's probability runs in panels of equal width, each by a Gauss–Legendre rule. So many make it good to
// 1e-9 for up to 100,000 trials.
const panels = 12

var rule = sync.OnceValue(func() (r struct{ x, w [16]float64 }) {
	quad.Legendre{}.FixedLocations(r.x[:], r.w[:], 0, 1)
	return r
})

// NewPosterior combines counts and prior.
func NewPosterior(arms Arms, prior Prior) (*Posterior, error) {
	if err := arms.check(); err != nil {
		return nil, err
	}
	if !(prior.Successes > 0 && prior.Failures > 0) {
		return nil, domain.Errorf(domain.KindInvalid, "the prior counts %g successes and %g failures; both must be positive", prior.Successes, prior.Failures)
	}
	p := &Posterior{
		a: beta{prior.Successes + float64(arms.HeldA), prior.Failures + float64(arms.TrialsA-arms.HeldA)},
		b: beta{prior.Successes + float64(arms.HeldB), prior.Failures + float64(arms.TrialsB-arms.HeldB)},
	}
	const tail = 1e-15
	p.lo, p.hi = numeric.BetaQuantile(p.a.s, p.a.f, tail), numeric.BetaUpperQuantile(p.a.s, p.a.f, tail)
	return p, nil
}

// BetterBy returns the probability that A's success exceeds B's by more than the margin, −1 … 1; 0 asks whether A is
// better, −δ whether it is no worse by more than δ.
func (p *Posterior) BetterBy(margin float64) float64 {
	// Where A's probability less the margin is beyond 0 … 1, B's can not matter: those parts have no kink to integrate over.
	lo, hi := math.Max(p.lo, margin), math.Min(p.hi, 1+margin)
	sum := 1 - p.a.cdf(math.Min(math.Max(1+margin, 0), 1))
	if hi <= lo {
		return sum
	}
	// Densities are taken relative to the largest one near, and each panel is given exactly the mass that it has.
	top := math.Min(math.Max((p.a.s-1)/math.Max(p.a.s+p.a.f-2, 1e-9), lo), hi)
	density := func(x float64) float64 {
		return math.Exp((p.a.s-1)*(math.Log(x)-math.Log(math.Max(top, 1e-300))) + (p.a.f-1)*(math.Log1p(-x)-math.Log1p(-math.Min(top, 1-1e-16))))
	}
	r := rule()
	step := (hi - lo) / panels
	below := p.a.cdf(lo)
	for i := range panels {
		from := lo + step*float64(i)
		mass, weighted := 0.0, 0.0
		for j := range r.x {
			x := from + step*r.x[j]
			w := r.w[j] * density(x)
			mass += w
			weighted += w * p.b.cdf(x-margin)
		}
		upTo := p.a.cdf(from + step)
		if mass > 0 {
			sum += (upTo - below) * weighted / mass
		}
		below = upTo
	}
	return math.Min(math.Max(sum, 0), 1)
}

// Mean returns the expected difference.
func (p *Posterior) Mean() float64 { return p.a.s/(p.a.s+p.a.f) - p.b.s/(p.b.s+p.b.f) }

// Quantile returns the difference that is not exceeded with the probability, 0 < q < 1.
func (p *Posterior) Quantile(q float64) float64 {
	lo, hi := -1.0, 1.0
	for hi-lo > 1e-12 {
		if mid := (lo + hi) / 2; p.BetterBy(mid) > 1-q {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Within returns the probability that the difference lies between the limits.
func (p *Posterior) Within(low, high float64) float64 {
	return math.Max(0, p.BetterBy(low)-p.BetterBy(high))
}
