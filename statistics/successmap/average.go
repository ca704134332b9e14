package successmap

import (
	"context"
	"math"

	"holdfast/numeric/dense"
)

// average fills the map's mean and covariance with the mixture over hyperparameters: the best setting and points
// around it, weighted by evidence and prior. The mixture's mean is Σ w_k·c_k and its covariance
// Σ w_k·(Σ_k + (c_k−c̄)(c_k−c̄)ᵀ), so that prediction costs no more than with one setting. It returns the number of
// settings.
//
// The points are a star of the third-degree rule around a normal density with the spread that the search left
// (H. Rue, S. Martino, N. Chopin, "Approximate Bayesian inference for latent Gaussian models by using integrated nested
// Laplace approximations", JRSS B 71 (2009) 319, §6.5 integrate in this manner; from memory); weights are corrected by
// the true density at each point, so a rough spread costs little.
func (e *engine) average(ctx context.Context, m *Map, best *site, spread hyperMatrix, tune tuning, plugIn bool) (int, error) {
	n := e.basis.Len()
	type node struct {
		coef   []float64
		tail   float64
		weight float64
	}
	root, ok := spread.root()
	var points []hyper
	if !plugIn && ok {
		for axis := range hypers {
			for _, sign := range []float64{1, -1} {
				t := best.mode.hyper
				for k := range t {
					t[k] += sign * starReach * root[k][axis]
				}
				points = append(points, t)
			}
		}
	}
	points = append(points, best.mode.hyper)
	centreWeight := 1 - hypers/(starReach*starReach)
	nodes := make([]node, len(points))
	sum := make([]float64, n*n)
	total := 0.0
	for i, t := range points {
		mode, err := e.findMode(ctx, t, e.predictCoef(best, t), tune.tolerance)
		if err != nil {
			return 0, err
		}
		logPrior, _ := tune.prior.logDensity(t)
		gap := mode.evidence + logPrior - best.value
		w := centreWeight
		if i < len(points)-1 {
			w = (1 - centreWeight) / (2 * hypers) * math.Exp(math.Min(3, gap+starReach*starReach/2))
		}
		nodes[i] = node{mode.coef, mode.prior.tail, w}
		total += w
		if err := e.centre(mode); err != nil {
			return 0, err
		}
		for j := range n {
			row, from := sum[j*n:j*n+j+1], e.inverse[j*n:j*n+j+1]
			for k, v := range from {
				row[k] += w * v
			}
		}
	}
	m.coef = make([]float64, n)
	for _, node := range nodes {
		for j, c := range node.coef {
			m.coef[j] += node.weight / total * c
		}
		m.tail += node.weight / total * node.tail
	}
	dense.InParallel(n, e.workers, func(j int) {
		row := sum[j*n : j*n+j+1]
		for k := range row {
			row[k] /= total
			for _, node := range nodes {
				row[k] += node.weight / total * (node.coef[j] - m.coef[j]) * (node.coef[k] - m.coef[k])
			}
		}
	})
	m.covariance = sum
	return len(nodes), nil
}

// starReach is the distance of the star's points from the centre, in standard deviations: a little beyond the
// root of their number, where the centre would have no weight.
const starReach = 2.2

// root returns the Cholesky factor of a.
func (a hyperMatrix) root() (l hyperMatrix, ok bool) {
	for i := range a {
		for j := range i + 1 {
			s := a[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			if i == j {
				if !(s > 0) {
					return l, false
				}
				l[i][i] = math.Sqrt(s)
			} else {
				l[i][j] = s / l[j][j]
			}
		}
	}
	return l, true
}
