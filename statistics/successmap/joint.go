package successmap

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"

	"holdfast/numeric/dense"
	"holdfast/orient"
)

// jointDegrees is how far beyond the log-odds' degree the probability is expanded for joint draws. [Blurred] goes
// further; what that is worth is far below the spread of the draws (see the test).
const jointDegrees = 2

// JointDraws returns n posterior draws of the success at every orientation, for a trial there (plain) and as seen through
// isotropic errors of orientation of the root-mean-square angle blur (rad; 0: equal to plain): plain[i][d] and
// blurred[i][d] belong to orientation i and draw d. Draw d is the same map in both, so a trial's outcome at one
// orientation can be held against the blurred success at another. These are the draws of [Map.Draws] and
// [Blurred.Draws], the latter from a shorter expansion, ten times as quickly.
func (m *Map) JointDraws(n int, seed uint64, rs []orient.Rotation, blur float64) (plain, blurred [][]float64, err error) {
	coefs, err := m.drawCoefficients(n, seed)
	if err != nil {
		return nil, nil, err
	}
	link := newLink(math.Sqrt(m.tail))
	here := m.sums(m.basis, rs, coefs)
	link.through(here, m.workers)
	plain = rows(here, len(rs), n)
	if blur <= 0 {
		return plain, plain, nil
	}
	t, err := HeatTime(blur)
	if err != nil {
		return nil, nil, err
	}
	degree := min(m.basis.Degree()+jointDegrees, orient.MaxHarmonicDegree)
	set, err := orient.NewHarmonics(degree, m.basis.Symmetry())
	if err != nil {
		return nil, nil, err
	}
	rest := math.Exp(-float64((degree+1)*(degree+2)) * t)
	damp := make([]float64, set.Len())
	for i := range damp {
		l := set.At(i).L
		damp[i] = math.Exp(-float64(l*(l+1))*t) - rest
	}
	grid := orient.NewHarmonicGrid(set, degree+jointDegrees, m.workers)
	values := make([]float64, grid.Len())
	smooth := make([][]float64, n)
	for d, coef := range coefs {
		if err := grid.Values(values, m.basis, coef); err != nil {
			return nil, nil, err
		}
		link.through(values, m.workers)
		smooth[d] = make([]float64, set.Len())
		if err := grid.Project(smooth[d], set, values); err != nil {
			return nil, nil, err
		}
		for i := range damp {
			smooth[d][i] *= damp[i]
		}
	}
	all := m.sums(set, rs, smooth)
	for i, p := range here {
		all[i] = clampUnit(all[i] + rest*p)
	}
	return plain, rows(all, len(rs), n), nil
}

// sums returns Σ_k coefs[d][k]·φ_k(rs[i]) at place i·n + d. With many draws at few orientations one product of matrices
// beats a transform a draw.
func (m *Map) sums(h *orient.Harmonics, rs []orient.Rotation, coefs [][]float64) []float64 {
	n, size := len(coefs), h.Len()
	flat := make([]float64, 0, n*size)
	for _, c := range coefs {
		flat = append(flat, c...)
	}
	values := make([]float64, len(rs)*size)
	dense.InParallel(len(rs), m.workers, func(i int) { h.Values(values[i*size:(i+1)*size], rs[i]) })
	out := make([]float64, len(rs)*n)
	blas64.Gemm(blas.NoTrans, blas.Trans, 1, blas64.General{Rows: len(rs), Cols: size, Stride: size, Data: values},
		blas64.General{Rows: n, Cols: size, Stride: size, Data: flat}, 0, blas64.General{Rows: len(rs), Cols: n, Stride: n, Data: out})
	return out
}

func rows(flat []float64, count, width int) [][]float64 {
	list := make([][]float64, count)
	for i := range list {
		list[i] = flat[i*width : (i+1)*width : (i+1)*width]
	}
	return list
}
