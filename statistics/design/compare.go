package design

import (
	"math"

	"holdfast/domain"
	"holdfast/numeric"
)

// TwoProportions asks for a comparison of two success rates in two equal groups.
type TwoProportions struct {
	P1, P2 float64 // the rates to be told apart
	Alpha  float64 // two-sided level
	Power  float64 // chance to find the difference
}

// NormalSizes holds real-valued numbers of trials per group by the usual normal
// approximations (J. L. Fleiss, "Statistical Methods for Rates and Proportions",
// 1981, ch. 3, and J. Cohen, "Statistical Power Analysis", 1988, ch. 6; from memory).
type NormalSizes struct {
	Pooled    float64 // variance pooled under "no difference": the customary figure
	Corrected float64 // Pooled with Fleiss' continuity correction: near what Fisher's exact test needs
	Unpooled  float64 // each group's own variance
	Arcsine   float64 // by the variance-stabilising transform, 2(z_α/2+z_β)²/h² with h = 2·asin√p₁ − 2·asin√p₂
}

func (q TwoProportions) check() error {
	if err := inside("p1", q.P1, "p2", q.P2, "alpha", q.Alpha, "power", q.Power); err != nil {
		return err
	}
	if q.P1 == q.P2 {
		return invalid("equal rates can not be told apart", []domain.FieldError{fieldError("p2", q.P2, "must differ from p1")})
	}
	return nil
}

// NormalSizes returns the trials per group by the normal approximations.
func (q TwoProportions) NormalSizes() (NormalSizes, error) {
	if err := q.check(); err != nil {
		return NormalSizes{}, err
	}
	zAlpha, zBeta := -numeric.NormalQuantile(q.Alpha/2), numeric.NormalQuantile(q.Power)
	d := math.Abs(q.P1 - q.P2)
	mean := (q.P1 + q.P2) / 2
	own := q.P1*(1-q.P1) + q.P2*(1-q.P2)
	root := (zAlpha*math.Sqrt(2*mean*(1-mean)) + zBeta*math.Sqrt(own)) / d
	n := root * root
	fleiss := 1 + math.Sqrt(1+4/(n*d))
	h := 2*math.Asin(math.Sqrt(q.P1)) - 2*math.Asin(math.Sqrt(q.P2))
	sum := zAlpha + zBeta
	return NormalSizes{
		Pooled:    n,
		Corrected: n / 4 * fleiss * fleiss,
		Unpooled:  sum * sum * own / (d * d),
		Arcsine:   2 * sum * sum / (h * h),
	}, nil
}

// NormalPower returns the power of the pooled normal test with trials per group;
// the far side of the two-sided test is left out, as is customary.
func (q TwoProportions) NormalPower(trials int) (float64, error) {
	if err := q.check(); err != nil {
		return 0, err
	}
	if trials < 1 {
		return 0, invalid("the power can not be computed", []domain.FieldError{fieldError("trials", trials, "must be at least 1 per group")})
	}
	zAlpha := -numeric.NormalQuantile(q.Alpha / 2)
	mean := (q.P1 + q.P2) / 2
	own := q.P1*(1-q.P1) + q.P2*(1-q.P2)
	return numeric.NormalCDF((math.Abs(q.P1-q.P2)*math.Sqrt(float64(trials)) - zAlpha*math.Sqrt(2*mean*(1-mean))) / math.Sqrt(own)), nil
}

// maxFisher bounds the group size for exact power, whose cost grows with its 1.5th power.
const maxFisher = 20_000

// FisherPower returns the exact chance that Fisher's two-sided exact test with
// trials per group finds the difference at level Alpha. The two-sided probability
// is the customary one: all tables no more probable than the observed.
func (q TwoProportions) FisherPower(trials int) (float64, error) {
	if err := q.check(); err != nil {
		return 0, err
	}
	if trials < 1 || trials > maxFisher {
		return 0, invalid("the exact power can not be computed", []domain.FieldError{fieldError("trials", trials, "must be 1 to 20000 per group")})
	}
	return q.fisherPower(trials), nil
}

func (q TwoProportions) fisherPower(n int) float64 {
	first, second := pmfTable(n, q.P1), pmfTable(n, q.P2)
	power := 0.0
	table := make([]float64, n+1)
	for total := first.from + second.from; total <= first.to+second.to; total++ {
		low, high := max(0, total-n), min(n, total)
		given := hypergeometric(table, n, total)
		// Walk in from both ends, the less probable table first, until the tail would exceed Alpha.
		left, right, tail := low, high, 0.0
		for left <= right {
			p := math.Min(given[left], given[right])
			within := p * (1 + 1e-7) // tables this close are as probable: rounding must not split a tie
			step := 0.0
			l, r := left, right
			for l <= r && given[l] <= within {
				step += given[l]
				l++
			}
			for r >= l && given[r] <= within {
				step += given[r]
				r--
			}
			if tail += step; !atMost(tail, q.Alpha) {
				break
			}
			for x := left; x < l; x++ {
				power += first.at(x) * second.at(total-x)
			}
			for x := right; x > r; x-- {
				power += first.at(x) * second.at(total-x)
			}
			left, right = l, r
		}
	}
	return math.Min(1, power)
}

// binomialTable holds the probabilities of the counts that matter: what it leaves
// out is less than 1e-15 altogether.
type binomialTable struct {
	from, to int
	p        []float64
}

func (b binomialTable) at(x int) float64 {
	if x < b.from || x > b.to {
		return 0
	}
	return b.p[x-b.from]
}

func pmfTable(n int, p float64) binomialTable {
	mean := float64(n) * p
	reach := 9*math.Sqrt(mean*(1-p)) + 30
	b := binomialTable{from: max(0, int(mean-reach)), to: min(n, int(mean+reach))}
	for x := b.from; x <= b.to; x++ {
		b.p = append(b.p, numeric.BinomialPMF(x, n, p))
	}
	return b
}

// hypergeometric fills into[x] with the probability of x successes in the first of
// two groups of n, given the total: from the mode outwards, by ratios.
func hypergeometric(into []float64, n, total int) []float64 {
	low, high := max(0, total-n), min(n, total)
	mode := (low + high) / 2
	into[mode] = 1
	sum := 1.0
	ratio := func(x int) float64 { // of x+1 to x
		return float64(n-x) / float64(x+1) * float64(total-x) / float64(n-total+x+1)
	}
	for x := mode; x < high; x++ {
		into[x+1] = into[x] * ratio(x)
		sum += into[x+1]
	}
	for x := mode; x > low; x-- {
		into[x-1] = into[x] / ratio(x-1)
		sum += into[x-1]
	}
	for x := low; x <= high; x++ {
		into[x] /= sum
	}
	return into
}

// FisherTrials returns the trials per group for which Fisher's exact test has the
// power. The search starts at half of the customary normal figure, which the
// exact test, being more cautious, does not undercut.
func (q TwoProportions) FisherTrials() (Size, error) {
	normal, err := q.NormalSizes()
	if err != nil {
		return Size{}, err
	}
	if normal.Corrected > 1000 {
		return Size{}, invalid("the exact search stops at about 1000 trials per group; plan by the continuity-corrected figure, which hardly differs there",
			[]domain.FieldError{fieldError("p2", q.P2, "is too close to p1 for the exact search")})
	}
	ok := func(n int) bool { return q.fisherPower(n) >= q.Power }
	s := Size{First: max(1, int(normal.Pooled/2))}
	for !ok(s.First) {
		s.First++
	}
	s.FromOn, s.CheckedTo = s.First, s.First+max(30, s.First/4)
	for n := s.First + 1; n <= s.CheckedTo; n++ {
		if !ok(n) {
			s.FromOn = n + 1
		}
	}
	return s, nil
}
