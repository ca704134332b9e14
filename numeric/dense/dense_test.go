package dense

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestInvertAndSolve(t *testing.T) {
	for _, n := range []int{1, 2, 5, 47, 48, 49, 101, 150} {
		rng := rand.New(rand.NewPCG(uint64(n), 2))
		x := make([]float64, n*n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		a := make([]float64, n*n)
		for i := range n {
			for j := range n {
				a[i*n+j] = Dot(x[i*n:(i+1)*n], x[j*n:(j+1)*n])
			}
			a[i*n+i] += 1
		}
		for _, workers := range []int{1, 3} {
			l := append([]float64(nil), a...)
			if !Cholesky(l, n, workers) {
				t.Fatalf("n = %d: not positive definite", n)
			}
			inv, scratch := make([]float64, n*n), make([]float64, n*n)
			Invert(inv, scratch, l, n, workers)
			full := func(i, j int) float64 { return inv[max(i, j)*n+min(i, j)] }
			worst := 0.0
			for i := range n {
				for j := range n {
					s := 0.0
					for k := range n {
						s += a[i*n+k] * full(k, j)
					}
					if i == j {
						s--
					}
					worst = math.Max(worst, math.Abs(s))
				}
			}
			if worst > 1e-9 {
				t.Errorf("n = %d, %d workers: A·A⁻¹ is off the identity by %.2g", n, workers, worst)
			}
			b := make([]float64, n)
			b[n-1] = 1
			Solve(l, n, b)
			for i := range b {
				if math.Abs(b[i]-full(n-1, i)) > 1e-10 {
					t.Fatalf("n = %d: solve and invert differ", n)
				}
			}
		}
	}
}

func TestCholeskyRefusesIndefinite(t *testing.T) {
	if Cholesky([]float64{1, 0, 2, 1}, 2, 1) {
		t.Error("accepted a matrix with a negative eigenvalue")
	}
}
