package hand

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Modes returns the circular frequencies (rad/s), lowest first, of small vibrations about the balance at Q without
// damping: K·v = ω²·M·v with the tangent stiffness of springs, stops and weight. Call [State.Update] before. An error
// says that the balance is not stable.
func (s *State) Modes() ([]float64, error) {
	n := len(s.bodies)
	mass, stiff := make([]float64, n*n), make([]float64, n*n)
	s.MassMatrix(mass)
	s.Tangent(stiff, nil)
	var half mat.Cholesky
	if !half.Factorize(mat.NewSymDense(n, mass)) {
		return nil, fmt.Errorf("the mass matrix is singular: a joint moves no mass")
	}
	var lower, inverse mat.TriDense
	half.LTo(&lower)
	if err := inverse.InverseTri(&lower); err != nil {
		return nil, fmt.Errorf("the mass matrix is nearly singular: %w", err)
	}
	var a, b mat.Dense
	a.Mul(&inverse, mat.NewDense(n, n, stiff))
	b.Mul(&a, inverse.T())
	symmetric := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			symmetric.SetSym(i, j, (b.At(i, j)+b.At(j, i))/2)
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(symmetric, false) {
		return nil, fmt.Errorf("the vibration problem does not converge")
	}
	squares := eigen.Values(nil)
	for i, w2 := range squares {
		if w2 < 0 {
			return nil, fmt.Errorf("the chain is not in a stable balance: a small push grows at %.3g 1/s", math.Sqrt(-w2))
		}
		squares[i] = math.Sqrt(w2)
	}
	return squares, nil
}
