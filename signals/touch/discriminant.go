package touch

import (
	"fmt"
	"math"

	"holdfast/numeric/dense"
)

// Linear tells zones by linear scores: the probability of zone k is the softmax of Weights[k]·x + Intercept[k]. Linear
// discriminant analysis and multinomial logistic regression both end in one.
type Linear struct {
	Weights   [][]float64 `json:"weights"` // by zone
	Intercept []float64   `json:"intercept"`
}

// Probabilities writes the zones' probabilities for a row into dst.
func (l *Linear) Probabilities(dst, row []float64) {
	l.scores(dst, row)
	softmax(dst[:len(l.Weights)])
}

func (l *Linear) scores(dst, row []float64) {
	k := 0
	for ; k+1 < len(l.Weights); k += 2 {
		a, b := dots2(row, l.Weights[k], l.Weights[k+1])
		dst[k], dst[k+1] = a+l.Intercept[k], b+l.Intercept[k+1]
	}
	if k < len(l.Weights) {
		dst[k] = dense.Dot(row, l.Weights[k]) + l.Intercept[k]
	}
}

// dots2 returns the products of a row with two others, in four running sums: one alone waits for each addition.
func dots2(row, u, v []float64) (su, sv float64) {
	u, v = u[:len(row)], v[:len(row)]
	var tu, tv float64
	i := 0
	for ; i+1 < len(row); i += 2 {
		x, y := row[i], row[i+1]
		su += x * u[i]
		sv += x * v[i]
		tu += y * u[i+1]
		tv += y * v[i+1]
	}
	if i < len(row) {
		su += row[i] * u[i]
		sv += row[i] * v[i]
	}
	return su + tu, sv + tv
}

// tell returns the likeliest zone.
func (l *Linear) tell(row, scratch []float64) int {
	l.scores(scratch, row)
	return largest(scratch[:len(l.Weights)])
}

func (l *Linear) zones() int { return len(l.Weights) }

func softmax(s []float64) {
	top, sum := s[largest(s)], 0.0
	for k, v := range s {
		s[k] = math.Exp(v - top)
		sum += s[k]
	}
	for k := range s {
		s[k] /= sum
	}
}

// largest returns the first index of the largest number.
func largest(s []float64) int {
	best := 0
	for k, v := range s {
		if v > s[best] {
			best = k
		}
	}
	return best
}

// LedoitWolf asks FitDiscriminant to find the shrinkage itself.
const LedoitWolf = -1

// FitDiscriminant fits linear discriminant analysis: normal classes with one covariance, equations (3) to (6) of DESIGN.md.
// Shrinkage 0 pools the classes' covariance with divisor n − zones; between 0 and 1 it moves each class's covariance (divisor: its
// clips) that far towards a multiple of one; LedoitWolf does so with standardised features and finds how far for each class.
// Priors are the shares of the zones. It fails when a zone has no clip, or the covariance is singular (fewer clips than features and no shrinkage).
func FitDiscriminant(x Matrix, zone []int, zones int, shrinkage float64) (*Linear, error) {
	classes, err := byZone(x, zone, zones)
	if err != nil {
		return nil, err
	}
	p := x.Cols
	cov := make([]float64, p*p)
	means := make([][]float64, zones)
	for k, c := range classes {
		means[k] = centre(c)
		if shrinkage == 0 {
			addGram(cov, c)
			continue
		}
		scale := ones(p)
		if shrinkage < 0 {
			s := FitStandard(c)
			for i := range c.Rows {
				s.Apply(c.Row(i), c.Row(i))
			}
			scale = s.Scale
		}
		g := make([]float64, p*p)
		addGram(g, c)
		alpha := shrinkage
		n := float64(c.Rows)
		mu := 0.0
		for j := range p {
			mu += g[j*p+j] / n / float64(p)
		}
		if shrinkage < 0 {
			alpha = ledoitWolf(g, c, mu)
		}
		prior := n / float64(x.Rows)
		for i := range p {
			for j := 0; j <= i; j++ {
				v := (1 - alpha) * g[i*p+j] / n
				if i == j {
					v += alpha * mu
				}
				cov[i*p+j] += prior * v * scale[i] * scale[j]
			}
		}
	}
	if shrinkage == 0 {
		if x.Rows <= zones {
			return nil, fmt.Errorf("%d clips of %d zones leave nothing to estimate a covariance from; record more", x.Rows, zones)
		}
		for i := range cov {
			cov[i] /= float64(x.Rows - zones)
		}
	}
	if !dense.Cholesky(cov, p, 1) {
		return nil, fmt.Errorf("the covariance of %d features from %d clips is singular; use shrinkage, fewer features or more clips", p, x.Rows)
	}
	l := &Linear{Weights: means, Intercept: make([]float64, zones)}
	for k, m := range means {
		w := append([]float64(nil), m...)
		dense.Solve(cov, p, w)
		l.Intercept[k] = -0.5*dense.Dot(m, w) + math.Log(float64(classes[k].Rows)/float64(x.Rows))
		l.Weights[k] = w
	}
	return l, nil
}

func ones(n int) []float64 {
	o := make([]float64, n)
	for i := range o {
		o[i] = 1
	}
	return o
}

// byZone copies the rows of each zone.
func byZone(x Matrix, zone []int, zones int) ([]Matrix, error) {
	count := make([]int, zones)
	for _, z := range zone {
		count[z]++
	}
	classes := make([]Matrix, zones)
	for k, n := range count {
		if n == 0 {
			return nil, fmt.Errorf("zone number %d has no clip among the %d to train on; record it in more sessions, or leave the zone out", k, x.Rows)
		}
		classes[k] = Matrix{0, x.Cols, make([]float64, 0, n*x.Cols)}
	}
	for i, z := range zone {
		classes[z].Data = append(classes[z].Data, x.Row(i)...)
		classes[z].Rows++
	}
	return classes, nil
}

// centre takes the mean off the rows and returns it.
func centre(x Matrix) []float64 {
	m := make([]float64, x.Cols)
	for i := range x.Rows {
		for j, v := range x.Row(i) {
			m[j] += v
		}
	}
	for j := range m {
		m[j] /= float64(x.Rows)
	}
	for i := range x.Rows {
		row := x.Row(i)
		for j := range row {
			row[j] -= m[j]
		}
	}
	return m
}

// ledoitWolf returns the shrinkage intensity, equation (4), of centred rows with column products g (lower triangle) and mean
// variance mu (O. Ledoit, M. Wolf, "A well-conditioned estimator for large-dimensional covariance matrices", 2004; from memory).
func ledoitWolf(g []float64, x Matrix, mu float64) float64 {
	p, n := x.Cols, float64(x.Rows)
	if p == 1 {
		return 0
	}
	fourth := 0.0 // Σ over rows of |x|⁴
	for i := range x.Rows {
		row := x.Row(i)
		s := dense.Dot(row, row)
		fourth += s * s
	}
	square := 0.0 // Σ of squared products, both triangles
	for i := range p {
		for j := range i {
			square += 2 * g[i*p+j] * g[i*p+j]
		}
		square += g[i*p+i] * g[i*p+i]
	}
	square /= n * n
	beta := (fourth/n - square) / (float64(p) * n)
	delta := (square - float64(p)*mu*mu) / float64(p)
	beta = min(beta, delta)
	if beta <= 0 {
		return 0
	}
	return beta / delta
}
