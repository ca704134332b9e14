package touch

import (
	"context"
	"fmt"
	"math"
	"sort"

	"holdfast/numeric/dense"
)

// Novelty says how unlike the trained clips a clip is: the least Mahalanobis distance to a zone's mean, in the space of the
// first principal directions and the length of what they leave over; equation (14) of DESIGN.md.
type Novelty struct {
	PCA     *PCA        `json:"pca"`
	Centres [][]float64 `json:"centres"`
	Factor  [][]float64 `json:"factor"` // Cholesky factor of the pooled covariance, lower rows
	Limit   float64     `json:"limit"`  // distance beyond which a clip is called unlike
	Rate    float64     `json:"rate"`   // share of ordinary clips that shall lie beyond it
}

const noveltyDirections = 10

// FitNovelty learns what clips of the zones look like. The limit is still to be set; see SetLimit. Its error is that of ctx once
// that has ended.
func FitNovelty(ctx context.Context, x Matrix, zone []int, zones int) (*Novelty, error) {
	pca, err := FitPCA(ctx, x, max(1, min(noveltyDirections, x.Cols, x.Rows/3)))
	if err != nil {
		return nil, err
	}
	n := &Novelty{PCA: pca, Limit: math.MaxFloat64}
	d := len(pca.Directions) + 1
	reduced := NewMatrix(x.Rows, d)
	for i := range x.Rows {
		n.reduce(reduced.Row(i), x.Row(i))
	}
	classes, err := byZone(reduced, zone, zones)
	if err != nil {
		return nil, err
	}
	cov := make([]float64, d*d)
	for _, c := range classes {
		n.Centres = append(n.Centres, centre(c))
		addGram(cov, c)
	}
	trace := 0.0
	for j := range d {
		trace += cov[j*d+j] / float64(d)
	}
	for j := range d {
		cov[j*d+j] += 1e-6*trace + 1e-12 // a direction without spread must not make every clip unlike
	}
	for i := range cov {
		cov[i] /= float64(max(x.Rows-zones, 1))
	}
	if !dense.Cholesky(cov, d, 1) {
		return nil, fmt.Errorf("the spread of %d clips within their zones is singular", x.Rows)
	}
	for i := range d {
		n.Factor = append(n.Factor, append([]float64(nil), cov[i*d:i*d+i+1]...))
	}
	return n, nil
}

func (n *Novelty) reduce(dst, row []float64) {
	left := 0.0
	for j, v := range row {
		left += (v - n.PCA.Mean[j]) * (v - n.PCA.Mean[j])
	}
	n.PCA.Apply(dst, row)
	k := len(n.PCA.Directions)
	left -= dense.Dot(dst[:k], dst[:k])
	dst[k] = math.Sqrt(max(left, 0))
}

// Distance returns the distance of a row of features, in standard deviations.
func (n *Novelty) Distance(row []float64) float64 {
	d := len(n.Factor)
	z, diff := make([]float64, d), make([]float64, d)
	n.reduce(z, row)
	best := math.Inf(1)
	for _, c := range n.Centres {
		s := 0.0
		for i, f := range n.Factor {
			v := z[i] - c[i] - dense.Dot(f[:i], diff[:i])
			diff[i] = v / f[i]
			s += diff[i] * diff[i]
		}
		best = min(best, s)
	}
	return math.Sqrt(best)
}

// Unlike says whether a row of features lies beyond the limit.
func (n *Novelty) Unlike(row []float64) bool { return n.Distance(row) > n.Limit }

// SetLimit sets the limit so that at most the given share of clips like those whose distances are given lies beyond it: the
// ⌈(n+1)(1−rate)⌉-th smallest. Distances must be of clips that were held out by group. Too few of them for the rate leave
// the largest as the limit.
func (n *Novelty) SetLimit(heldOut []float64, rate float64) {
	s := append([]float64(nil), heldOut...)
	sort.Float64s(s)
	n.Rate = rate
	if len(s) > 0 {
		n.Limit = s[min(max(int(math.Ceil(float64(len(s)+1)*(1-rate))), 1), len(s))-1]
	}
}

// heldOutDistances returns each clip's distance to what was learnt without its fold.
func heldOutDistances(ctx context.Context, x Matrix, zone []int, zones int, folds Folds, workers int) ([]float64, error) {
	d := make([]float64, x.Rows)
	err := allInParallel(ctx, len(folds), workers, func(f int) error {
		training := folds.training(f, x.Rows)
		n, err := FitNovelty(ctx, x.Pick(training), pick(zone, training), zones)
		if err != nil {
			return err
		}
		return eachUntil(ctx, folds[f], func(i int) { d[i] = n.Distance(x.Row(i)) })
	})
	return d, err
}
