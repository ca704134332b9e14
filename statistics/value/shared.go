package value

import (
	"math"
	"sync"

	"holdfast/domain"
)

// The item effect is integrated by the trapezoid rule over ±8.5 in steps of ¼. For an analytic integrand that decays it
// converges geometrically (L. N. Trefethen and J. A. C. Weideman, SIAM Review 56 (2014) 385; from memory): the logistic's
// nearest pole at iπ/σ leaves about exp(−2π·(π/σ)/h), that is rounding up to ρ = 0.5 and 5e-5 at 0.95. Gauss-Hermite with 48
// nodes was tried and was 30 times worse at 0.95.
const (
	itemReach = 8.5
	itemStep  = 0.25
)

var normalNodes = sync.OnceValues(func() (z, w []float64) {
	for at := -itemReach; at <= itemReach; at += itemStep {
		z, w = append(z, at), append(w, itemStep*math.Exp(-at*at/2)/math.Sqrt(2*math.Pi))
	}
	return z, w
})

var single = []float64{0}
var whole = []float64{1}

// itemNodes returns nodes and weights of the standard normal item effect; one node when it has no spread.
func itemNodes(spread float64) (z, w []float64) {
	if spread == 0 {
		return single, whole
	}
	return normalNodes()
}

// latentSpread turns the latent correlation ρ into the standard deviation of the item effect on the logit scale:
// ρ = σ²/(σ² + π²/3), π²/3 being the variance of the standard logistic (T. A. B. Snijders and R. J. Bosker, "Multilevel
// Analysis", sect. 17.3 on the threshold model; from memory).
func latentSpread(rho float64) float64 { return math.Sqrt(rho / (1 - rho) * math.Pi * math.Pi / 3) }

func logistic(x float64) float64 {
	if x >= 0 {
		return 1 / (1 + math.Exp(-x))
	}
	e := math.Exp(x)
	return e / (1 + e)
}

// centre finds μ with E logistic(μ + σz) = p, so that the shared effect leaves the first attempt's success as measured.
// p = 0 and p = 1 give ∓Inf, which logistic takes to 0 and 1.
func centre(p, spread float64) float64 {
	if p <= 0 {
		return math.Inf(-1)
	}
	if p >= 1 {
		return math.Inf(1)
	}
	logit := math.Log(p) - math.Log1p(-p)
	if spread == 0 {
		return logit
	}
	nodes, weights := itemNodes(spread)
	// The mean is pulled to ½, so μ lies further out than the logit; the start is the probit approximation with k = 16√3/(15π)
	// (S. L. Zeger, K.-Y. Liang, P. S. Albert, Biometrics 44 (1988) 1049; from memory).
	const k = 16 * math.Sqrt2 * 1.2247448713915890 / (15 * math.Pi)
	mu := logit * math.Sqrt(1+k*k*spread*spread)
	low, high := math.Inf(-1), math.Inf(1)
	for range 60 {
		mean, slope := 0.0, 0.0
		for i, z := range nodes {
			f := logistic(mu + spread*z)
			mean += weights[i] * f
			slope += weights[i] * f * (1 - f)
		}
		if mean < p {
			low = mu
		} else {
			high = mu
		}
		step := (p - mean) / slope
		next := mu + step
		if !(next > low && next < high) {
			switch {
			case math.IsInf(low, -1):
				next = high - 4
			case math.IsInf(high, 1):
				next = low + 4
			default:
				next = (low + high) / 2
			}
		}
		if math.Abs(next-mu) <= 1e-12*(1+math.Abs(mu)) {
			return next
		}
		mu = next
	}
	return mu
}

// Repeats counts the attempts that were made at one and the same item.
type Repeats struct{ Tried, Held int }

// EstimateShared returns the latent correlation that is likeliest for items that were tried more than once, all in one way,
// by maximum likelihood of the logit-normal binomial over its mean and spread. At least two items must have been tried
// twice; KindRefused otherwise, since single attempts say nothing about it. It is bounded to 0…0.95.
func EstimateShared(items []Repeats) (float64, error) {
	var tried, held float64
	twice := 0
	for i, it := range items {
		if it.Tried < 0 || it.Held < 0 || it.Held > it.Tried {
			return 0, domain.Errorf(domain.KindInvalid, "repeats: item %d has %d of %d held; there can not be more held than tried", i+1, it.Held, it.Tried)
		}
		tried, held = tried+float64(it.Tried), held+float64(it.Held)
		if it.Tried > 1 {
			twice++
		}
	}
	if twice < 2 {
		return 0, domain.Errorf(domain.KindRefused, "repeats: %d items were tried more than once; the correlation of attempts needs at least two", twice)
	}
	if held == 0 || held == tried {
		return 0, domain.Errorf(domain.KindRefused, "repeats: all attempts ended alike, so they say nothing about how attempts at one item go together")
	}
	alike := tally(items)
	best, bestRho := math.Inf(-1), 0.0
	score := func(rho float64) float64 {
		spread := latentSpread(rho)
		top := math.Inf(-1)
		// The mean moves with the spread, so it is searched along with it.
		mean := held / tried
		logit := math.Log(mean / (1 - mean))
		golden(logit-3, logit+3, func(at float64) float64 {
			l := repeatsLikelihood(alike, centre(logistic(at), spread), spread)
			top = math.Max(top, l)
			return l
		})
		if top > best {
			best, bestRho = top, rho
		}
		return top
	}
	score(0)
	golden(1e-4, 0.95, score)
	return bestRho, nil
}

// alikeItems are items with the same counts.
type alikeItems struct {
	Repeats
	times float64
}

func tally(items []Repeats) (list []alikeItems) {
	place := map[Repeats]int{}
	for _, it := range items {
		at, known := place[it]
		if !known {
			at = len(list)
			place[it] = at
			list = append(list, alikeItems{Repeats: it})
		}
		list[at].times++
	}
	return list
}

func repeatsLikelihood(alike []alikeItems, mu, spread float64) float64 {
	nodes, weights := itemNodes(spread)
	total := 0.0
	for _, it := range alike {
		l := 0.0
		for i, z := range nodes {
			p := logistic(mu + spread*z)
			l += weights[i] * math.Pow(p, float64(it.Held)) * math.Pow(1-p, float64(it.Tried-it.Held))
		}
		total += it.times * math.Log(math.Max(l, 1e-300))
	}
	return total
}

// golden searches the largest value of a function with one peak; it calls f at points inside (a, b).
func golden(a, b float64, f func(float64) float64) {
	const ratio = 0.6180339887498949
	c, d := b-ratio*(b-a), a+ratio*(b-a)
	fc, fd := f(c), f(d)
	for range 30 {
		if fc >= fd {
			b, d, fd = d, c, fc
			c = b - ratio*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + ratio*(b-a)
			fd = f(d)
		}
	}
}
