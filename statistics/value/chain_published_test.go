package value

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"

	"holdfast/domain"
)

// fundamental returns N = (I − Q)⁻¹ and B = N·R of an absorbing chain (J. G. Kemeny and J. L. Snell, "Finite Markov
// Chains", 1960, theorems 3.2.1 and 3.3.7; from memory). It is the referee for the sums in Chain.
func fundamental(t *testing.T, q, r *mat.Dense) (n, b *mat.Dense) {
	t.Helper()
	size, _ := q.Dims()
	a := mat.NewDense(size, size, nil)
	for i := range size {
		for j := range size {
			a.Set(i, j, -q.At(i, j))
		}
		a.Set(i, i, 1-q.At(i, i))
	}
	n, b = new(mat.Dense), new(mat.Dense)
	if err := n.Inverse(a); err != nil {
		t.Fatal(err)
	}
	b.Mul(n, r)
	return n, b
}

// A drunkard walks three inner corners between home and bar: N = [3/2 1 1/2; 1 2 1; 1/2 1 3/2], expected steps 3, 4, 3,
// absorption 3/4, 1/2, 1/4 (Kemeny and Snell, and C. M. Grinstead and J. L. Snell, "Introduction to Probability", examples
// 11.13 and 11.22; from memory, and easily worked by hand).
func TestRefereeOnTheDrunkardsWalk(t *testing.T) {
	q := mat.NewDense(3, 3, []float64{0, .5, 0, .5, 0, .5, 0, .5, 0})
	r := mat.NewDense(3, 2, []float64{.5, 0, 0, 0, 0, .5})
	n, b := fundamental(t, q, r)
	for i, row := range [][]float64{{1.5, 1, .5}, {1, 2, 1}, {.5, 1, 1.5}} {
		for j, want := range row {
			close(t, "N", n.At(i, j), want, 1e-14)
		}
	}
	for i, want := range []float64{.75, .5, .25} {
		close(t, "B", b.At(i, 0), want, 1e-14)
	}
}

// The same retry chain as an absorbing Markov chain, solved by the referee.
func TestChainAgainstTheFundamentalMatrix(t *testing.T) {
	ways := []Attempts{
		{Held: 0.7, Lost: lost(map[domain.Outcome]float64{domain.OutcomeDamaged: .1, domain.OutcomePushed: .2, domain.OutcomeStopped: .05}), HeldSeconds: 3, LostSeconds: 2},
		{Held: 0.55, Lost: lost(map[domain.Outcome]float64{domain.OutcomeDamaged: .3}), HeldSeconds: 5, LostSeconds: 4},
	}
	p := Policy{Ways: []int{0, 0, 1, 1}, End: LeaveIt, Again: DefaultAgain(), Factor: 1}
	q, r := mat.NewDense(4, 4, nil), mat.NewDense(4, 4, nil) // ends: held, damaged, person, left
	for k, w := range p.Ways {
		a := ways[w]
		again := (1 - a.Held) * (a.Lost[0] + a.Lost[1] + a.Lost[2] + a.Lost[6])
		r.Set(k, 0, a.Held)
		r.Set(k, 1, (1-a.Held)*a.Lost[4])
		r.Set(k, 2, (1-a.Held)*a.Lost[5])
		r.Set(k, 3, (1-a.Held)*a.Lost[3])
		if k < 3 {
			q.Set(k, k+1, again)
		} else {
			r.Set(k, 3, r.At(k, 3)+again)
		}
	}
	n, b := fundamental(t, q, r)
	e := Chain(ways, p, Money{})
	for i, got := range []float64{e.Held, e.Damaged, e.Person, e.Left} {
		close(t, "end", got, b.At(0, i), 1e-14)
	}
	attempts, seconds := 0.0, 0.0
	for k, w := range p.Ways {
		attempts += n.At(0, k)
		seconds += n.At(0, k) * (ways[w].Held*ways[w].HeldSeconds + (1-ways[w].Held)*ways[w].LostSeconds)
	}
	close(t, "attempts", e.Attempts, attempts, 1e-14)
	close(t, "seconds", e.Seconds, seconds, 1e-13)
}

// Truncated geometric: with k equal, independent attempts the expected number is (1 − (1−p)^k)/p, and an item is held
// with 1 − (1−p)^k (textbook algebra, no source needed).
func TestGeometricRetries(t *testing.T) {
	for _, p := range []float64{0.05, 0.5, 0.83, 0.999} {
		for k := 1; k <= MaxAttempts; k++ {
			e := Chain([]Attempts{{Held: p, Lost: lost(nil), HeldSeconds: 1, LostSeconds: 1}}, Policy{Ways: sameAgain(k), End: LeaveIt, Again: DefaultAgain(), Factor: 1}, Money{})
			held := 1 - math.Pow(1-p, float64(k))
			close(t, "held", e.Held, held, 1e-13)
			close(t, "attempts", e.Attempts, held/p, 1e-12)
		}
	}
}

// With a latent correlation ρ the observed correlation of two attempts at one item is smaller: for p = ½, ρ = ½ it is the
// logit-normal's Var E(y|z) / ¼. Computed with scipy 1.10 quad over logistic(σz)², σ² = π²/3: 0.359029240978.
func TestObservedCorrelation(t *testing.T) {
	e := Chain([]Attempts{{Held: .5, Lost: lost(nil), HeldSeconds: 1, LostSeconds: 1}}, Policy{Ways: sameAgain(2), End: LeaveIt, Again: DefaultAgain(), Shared: .5, Factor: 1}, Money{})
	bothLost := e.Left
	close(t, "correlation", (bothLost-.25)/.25, 0.35902924097834354, 1e-12)
}
