package simfit

import (
	"math"

	"holdfast/numeric/dense"
)

// The variances start from their priors' scales. Each prior is worth one coefficient of that variance, so that a class of
// few members, or one of which the trials say little, is not thrown to an end by chance.
var (
	sharedPrior = [sharedClasses]float64{
		25, 1, 0.1, 0.03, 0.01, 0.005, 0.005, // by degree in the parameters; the constant's is not chosen
		0, 0.3, 0.1, 0.03, 0.1, // levels by class of feature
		0, 0.02, 0.01, 0.005, 0.01, // slopes by class of feature
	}
	ownPrior = [ownClasses]float64{0.03, 0.003, 0.001}
)

// least and largest bound the variances that are chosen.
const least, largest = 1e-7, 1e4

// choose takes one step of MacKay's fixed point: with γ the number of coefficients of a class that the trials determine,
// its variance becomes Σ c²/γ.
func (s *surrogate) choose(workers int) {
	g, n, o := len(s.columns), s.basis.len(), s.ownLen
	inverse, scratch := make([]float64, g*g), make([]float64, g*g)
	dense.Invert(inverse, scratch, s.factor, g, workers)
	var square, count [sharedClasses]float64
	for i, col := range s.columns {
		square[col.class] += s.shared[i] * s.shared[i]
		count[col.class] += 1 - inverse[i*g+i]/s.sharedVariance[col.class]
	}
	ownVariance := make([][]float64, len(s.cells))
	dense.InParallel(len(s.cells), workers, func(c int) {
		z := s.features.rows[c]
		spread := make([]float64, n*n)
		for i, a := range s.columns {
			za, row := z[a.feature], spread[a.function*n:(a.function+1)*n]
			for j, b := range s.columns[:i] {
				row[b.function] += 2 * za * z[b.feature] * inverse[i*g+j]
			}
			row[a.function] += za * za * inverse[i*g+i]
		}
		ownVariance[c] = make([]float64, o)
		unit := make([]float64, o)
		for k := range o {
			clear(unit)
			unit[k] = 1
			dense.Solve(s.cells[c].factor, o, unit)
			v := unit[k]
			solved := s.cells[c].solved[k*n : (k+1)*n]
			for a, x := range solved {
				v += x * dense.Dot(solved, spread[a*n:(a+1)*n])
			}
			ownVariance[c][k] = v
		}
	})
	var ownSquare, ownCount [ownClasses]float64
	for c := range s.cells {
		for k, v := range s.cells[c].own {
			class := s.ownClass(k)
			ownSquare[class] += v * v
			ownCount[class] += 1 - ownVariance[c][k]/s.ownVariance[class]
		}
	}
	for c := 1; c < sharedClasses; c++ {
		s.sharedVariance[c] = fixedPoint(square[c], count[c], sharedPrior[c])
	}
	for c := range s.ownVariance {
		s.ownVariance[c] = fixedPoint(ownSquare[c], ownCount[c], ownPrior[c])
	}
}

func fixedPoint(square, count, prior float64) float64 {
	return math.Min(math.Max((square+prior)/(math.Max(count, 0)+1), least), largest)
}
