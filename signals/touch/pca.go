package touch

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"holdfast/numeric/dense"
)

// PCA projects features onto the directions in which clips differ most.
type PCA struct {
	Mean       []float64   `json:"mean"`
	Directions [][]float64 `json:"directions"` // orthonormal, largest variance first
	Variance   []float64   `json:"variance"`   // along each direction, divisor n − 1
}

// FitPCA finds the first `components` principal directions; each points so that its largest entry is positive. At most as
// many as features, and fewer than clips. Its error is that of ctx once that has ended.
func FitPCA(ctx context.Context, x Matrix, components int) (*PCA, error) {
	if components < 1 || components > x.Cols || components >= x.Rows {
		return nil, fmt.Errorf("%d principal directions can not be found from %d clips of %d features", components, x.Rows, x.Cols)
	}
	c := Matrix{x.Rows, x.Cols, append([]float64(nil), x.Data...)}
	p := &PCA{Mean: centre(c)}
	n := x.Cols
	g := make([]float64, n*n)
	addGram(g, c)
	mirror(g, n)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(mat.NewSymDense(n, g), true) {
		return nil, fmt.Errorf("the principal directions of %d features were not found", n)
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	for k := range components {
		d := mat.Col(nil, n-1-k, &vectors)
		top := 0
		for i, v := range d {
			if math.Abs(v) > math.Abs(d[top]) {
				top = i
			}
		}
		if d[top] < 0 {
			for i := range d {
				d[i] = -d[i]
			}
		}
		p.Directions = append(p.Directions, d)
		p.Variance = append(p.Variance, max(values[n-1-k], 0)/float64(x.Rows-1))
	}
	return p, nil
}

// Apply writes the projections of a row into dst, one for each direction.
func (p *PCA) Apply(dst, row []float64) {
	for k, d := range p.Directions {
		dst[k] = dense.Dot(row, d) - dense.Dot(p.Mean, d)
	}
}
