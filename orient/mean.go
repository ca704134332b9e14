package orient

import (
	"errors"
	"fmt"
	"math"
)

// ErrNotUnique is wrapped by the errors of means that several orientations or directions fulfil equally well.
var ErrNotUnique = errors.New("the mean is not unique")

// ambiguous is the relative gap of eigenvalues, or the resultant length, below which a mean counts as not unique.
const ambiguous = 1e-9

// Spread says how far orientations or directions lie from their mean.
type Spread struct {
	// RMS is the root of the weighted mean squared geodesic angle to the mean, rad.
	RMS float64
	// Max is the largest angle of positive weight to the mean, rad.
	Max float64
	// Resultant is 1 when all agree and 0 when they spread out fully. For directions it is the length of their mean
	// vector. For orientations it is the largest eigenvalue λ of the mean of q·qᵀ, brought from [1/4, 1] to [0, 1] by
	// (4λ−1)/3.
	Resultant float64
}

// Mean returns the weighted mean orientation and the spread around it. The mean minimises the weighted sum of squared
// Frobenius distances of rotation matrices; it is the eigenvector of the largest eigenvalue of Σ wᵢ qᵢqᵢᵀ, which the
// quaternions' signs cannot disturb (F. L. Markley, Y. Cheng, J. L. Crassidis, Y. Oshman, "Averaging quaternions",
// J. Guidance, Control, and Dynamics 30 (2007) 1193, equations 12 and 13; from memory). nil weights count as equal.
//
// It fails on an empty list, on weights that are negative, not finite or all zero, and, wrapping [ErrNotUnique], if
// the two largest eigenvalues agree; then the mean returned is one of the possible ones.
func Mean(rotations []Rotation, weights []float64) (Rotation, Spread, error) {
	total, err := totalWeight(len(rotations), weights)
	if err != nil {
		return Identity, Spread{}, err
	}
	var sum [4][4]float64
	for i, r := range rotations {
		u, ok := r.Normalized()
		if !ok {
			return Identity, Spread{}, fmt.Errorf("orientation %d is not a unit quaternion", i+1)
		}
		q := [4]float64{u.W, u.X, u.Y, u.Z}
		w := weightAt(weights, i) / total
		for a := range 4 {
			for b := range 4 {
				sum[a][b] += w * q[a] * q[b]
			}
		}
	}
	values, vectors := symmetricEigen(sum)
	first, second := 0, 1
	if values[second] > values[first] {
		first, second = second, first
	}
	for i := 2; i < 4; i++ {
		if values[i] > values[first] {
			first, second = i, first
		} else if values[i] > values[second] {
			second = i
		}
	}
	mean, _ := Rotation{vectors[0][first], vectors[1][first], vectors[2][first], vectors[3][first]}.Normalized()
	mean = mean.Canonical()
	spread := Spread{Resultant: math.Min(1, math.Max(0, (4*values[first]-1)/3))}
	for i, r := range rotations {
		spread.add(weightAt(weights, i)/total, mean.AngleTo(r))
	}
	spread.RMS = math.Sqrt(spread.RMS)
	if values[first]-values[second] < ambiguous {
		return mean, spread, fmt.Errorf("orientations spread evenly about several centres: %w", ErrNotUnique)
	}
	return mean, spread, nil
}

// symmetricEigen returns the eigenvalues of a symmetric matrix and its eigenvectors in columns, by cyclic Jacobi
// rotations, which stay accurate for entries of any size (G. H. Golub, C. F. Van Loan, "Matrix Computations",
// algorithm 8.4; from memory).
func symmetricEigen(m [4][4]float64) (values [4]float64, vectors [4][4]float64) {
	for i := range 4 {
		vectors[i][i] = 1
	}
	for range 30 {
		off := 0.0
		for p := range 3 {
			for q := p + 1; q < 4; q++ {
				off += m[p][q] * m[p][q]
				if m[p][q] == 0 {
					continue
				}
				tau := (m[q][q] - m[p][p]) / (2 * m[p][q])
				t := math.Copysign(1, tau) / (math.Abs(tau) + math.Hypot(1, tau))
				c := 1 / math.Hypot(1, t)
				s := t * c
				for k := range 4 {
					m[k][p], m[k][q] = c*m[k][p]-s*m[k][q], s*m[k][p]+c*m[k][q]
				}
				for k := range 4 {
					m[p][k], m[q][k] = c*m[p][k]-s*m[q][k], s*m[p][k]+c*m[q][k]
					vectors[k][p], vectors[k][q] = c*vectors[k][p]-s*vectors[k][q], s*vectors[k][p]+c*vectors[k][q]
				}
			}
		}
		if off < 1e-34 {
			break
		}
	}
	for i := range 4 {
		values[i] = m[i][i]
	}
	return values, vectors
}

// Mean returns the weighted mean of orientations of which each may stand for any of its equivalents under s, and the
// spread of distances under s. It brings each to its equivalent nearest to the mean so far and averages again until
// nothing changes, from several starts, and keeps the mean of least RMS. Errors are those of the function [Mean].
func (s Symmetry) Mean(rotations []Rotation, weights []float64) (Rotation, Spread, error) {
	if s.Order() == 1 && !s.Axial() {
		return Mean(rotations, weights)
	}
	if _, err := totalWeight(len(rotations), weights); err != nil {
		return Identity, Spread{}, err
	}
	const starts, rounds = 8, 50
	best, bestSpread, bestErr := Identity, Spread{RMS: math.Inf(1)}, error(nil)
	near := make([]Rotation, len(rotations))
	for k := range min(starts, len(rotations)) {
		mean, last := rotations[k*len(rotations)/min(starts, len(rotations))], math.Inf(1)
		for range rounds {
			for i, r := range rotations {
				near[i], _ = s.Closest(mean, r)
			}
			next, spread, err := Mean(near, weights)
			if err != nil && !errors.Is(err, ErrNotUnique) {
				return Identity, Spread{}, err
			}
			mean = next
			if spread.RMS < bestSpread.RMS {
				best, bestSpread, bestErr = next, spread, err
			}
			if !(spread.RMS < last-1e-12) {
				break
			}
			last = spread.RMS
		}
	}
	return s.Canonical(best), bestSpread, bestErr
}

// MeanDirection returns the weighted mean of unit directions, their mean vector scaled to length 1, and the spread
// around it. Errors are as for [Mean]; the mean is not unique if the mean vector vanishes, and then straight down is
// returned.
func MeanDirection(directions []Vec3, weights []float64) (Vec3, Spread, error) {
	total, err := totalWeight(len(directions), weights)
	down := Vec3{0, 0, -1}
	if err != nil {
		return down, Spread{}, err
	}
	var sum Vec3
	for i, d := range directions {
		n := d.Norm()
		if !(n > 0) || math.IsInf(n, 0) {
			return down, Spread{}, fmt.Errorf("direction %d has no length", i+1)
		}
		sum = sum.Add(d.Scale(weightAt(weights, i) / total / n))
	}
	length := sum.Norm()
	mean, unique := down, length >= ambiguous
	if unique {
		mean = sum.Scale(1 / length)
	}
	spread := Spread{Resultant: math.Min(1, length)}
	for i, d := range directions {
		spread.add(weightAt(weights, i)/total, math.Atan2(mean.Cross(d).Norm(), mean.Dot(d)))
	}
	spread.RMS = math.Sqrt(spread.RMS)
	if !unique {
		return mean, spread, fmt.Errorf("directions cancel out: %w", ErrNotUnique)
	}
	return mean, spread, nil
}

// add gathers the squared angle; the caller takes the root at the end.
func (sp *Spread) add(weight, angle float64) {
	sp.RMS += weight * angle * angle
	if weight > 0 {
		sp.Max = math.Max(sp.Max, angle)
	}
}

func weightAt(weights []float64, i int) float64 {
	if weights == nil {
		return 1
	}
	return weights[i]
}

func totalWeight(n int, weights []float64) (float64, error) {
	if n == 0 {
		return 0, errors.New("there is nothing to average")
	}
	if weights == nil {
		return float64(n), nil
	}
	if len(weights) != n {
		return 0, fmt.Errorf("%d weights for %d values", len(weights), n)
	}
	total := 0.0
	for i, w := range weights {
		if !(w >= 0) || math.IsInf(w, 0) {
			return 0, fmt.Errorf("weight %d is %g; weights must be finite and not negative", i+1, w)
		}
		total += w
	}
	if !(total > 0) || math.IsInf(total, 0) {
		return 0, errors.New("the weights add up to nothing")
	}
	return total, nil
}
