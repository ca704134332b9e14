package touch

import (
	"context"
	"fmt"
	"math"

	"holdfast/numeric/dense"
)

// Gaussian is a regression by a Gaussian process with the kernel Signal·exp(−|a−b|²/(2·Length²)) and independent noise,
// equations (11) to (13) of DESIGN.md. Features have no unit after standardisation, targets are in millimetres.
type Gaussian struct {
	Clips  Packed    `json:"clips"`
	Target []float64 `json:"target"` // mm
	Mean   float64   `json:"mean"`   // mm, of the targets
	Signal float64   `json:"signal"` // mm²
	Length float64   `json:"length"`
	Noise  float64   `json:"noise"` // mm²
	// Spread widens the errors to what held-out groups showed; 1 where nothing was held out.
	Spread float64 `json:"spread"`

	factor []float64 // Cholesky of the covariance of the targets, row by row
	alpha  []float64
}

// MaxGaussian is the largest number of clips that a Gaussian process keeps; the work grows with its cube. Of more, it takes
// so many evenly through the list.
const MaxGaussian = 2000

// FitGaussian fits by the largest marginal likelihood, on at most 300 clips evenly taken for the length and the noise, then
// on all. Same input, same bytes, on any number of workers. Its error is that of ctx once that has ended.
func FitGaussian(ctx context.Context, x Matrix, target []float64, workers int) (*Gaussian, error) {
	if x.Rows < 4 {
		return nil, fmt.Errorf("positions are learnt from at least 4 clips, and there are %d", x.Rows)
	}
	x, target = thinned(x, target, MaxGaussian)
	part, goal := thinned(x, target, 300)
	distance := squareDistances(part)
	typical := math.Sqrt(max(meanOf(distance), 1e-12))
	best := math.Inf(1)
	score := func(logLength, logNoise float64) float64 {
		if ctx.Err() != nil || math.Abs(logLength) > 5 || logNoise < -14 || logNoise > 3 {
			return math.Inf(1)
		}
		return evidence(distance, goal, typical*math.Exp(logLength), math.Exp(logNoise), workers)
	}
	// A coarse grid, then steps that halve: the surface is smooth, and this is the same on every machine.
	at := [2]float64{0, -2}
	for _, l := range []float64{-1.5, -0.75, 0, 0.75, 1.5} {
		for _, s := range []float64{-8, -5, -3, -1, 1} {
			if v := score(l, s); v < best {
				best, at = v, [2]float64{l, s}
			}
		}
	}
	for step := 0.5; step > 0.02; {
		moved := false
		for _, d := range [4][2]float64{{step, 0}, {-step, 0}, {0, 2 * step}, {0, -2 * step}} {
			if v := score(at[0]+d[0], at[1]+d[1]); v < best {
				best, at, moved = v, [2]float64{at[0] + d[0], at[1] + d[1]}, true
				break
			}
		}
		if !moved {
			step /= 2
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if math.IsInf(best, 0) {
		return nil, fmt.Errorf("no length and noise explain the positions; are all features constant?")
	}
	bestLength, bestNoise := typical*math.Exp(at[0]), math.Exp(at[1])
	g := &Gaussian{Target: append([]float64(nil), target...), Mean: meanOf(target), Signal: 1, Length: bestLength, Noise: bestNoise, Spread: 1}
	for i := range x.Rows {
		g.Clips = append(g.Clips, append([]float64(nil), x.Row(i)...))
	}
	if err := g.prepare(ctx, workers); err != nil {
		return nil, err
	}
	// The scale of the whole covariance has a closed form.
	scale := 0.0
	for i, a := range g.alpha {
		scale += a * (g.Target[i] - g.Mean)
	}
	scale = max(scale/float64(x.Rows), 1e-12)
	g.Signal, g.Noise = scale, scale*bestNoise
	return g, g.prepare(ctx, workers)
}

// thinned takes at most so many rows evenly through the list.
func thinned(x Matrix, target []float64, most int) (Matrix, []float64) {
	if x.Rows <= most {
		return x, target
	}
	rows := evenly(x.Rows, most)
	return x.Pick(rows), pick(target, rows)
}

func meanOf(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(max(len(x), 1))
}

func squareDistances(x Matrix) []float64 {
	n := x.Rows
	d := make([]float64, n*n)
	for i := range n {
		for j := range i {
			s := 0.0
			b := x.Row(j)
			for q, v := range x.Row(i) {
				s += (v - b[q]) * (v - b[q])
			}
			d[i*n+j], d[j*n+i] = s, s
		}
	}
	return d
}

// evidence returns minus the log marginal likelihood, but for a constant, with the signal at its best value.
func evidence(distance, target []float64, length, noise float64, workers int) float64 {
	n := len(target)
	a := make([]float64, n*n)
	for i, d := range distance {
		a[i] = math.Exp(-d / (2 * length * length))
	}
	for i := range n {
		a[i*n+i] += noise
	}
	if !dense.Cholesky(a, n, workers) {
		return math.Inf(1)
	}
	mean := meanOf(target)
	y := make([]float64, n)
	for i, t := range target {
		y[i] = t - mean
	}
	dense.SolveLower(a, n, y)
	square := max(dense.Dot(y, y)/float64(n), 1e-300)
	return 0.5*float64(n)*math.Log(square) + 0.5*dense.LogDeterminant(a, n)
}

// prepare computes what predictions need from what a file keeps.
func (g *Gaussian) prepare(ctx context.Context, workers int) error {
	n := len(g.Clips)
	x := NewMatrix(n, len(g.Clips[0]))
	for i, c := range g.Clips {
		copy(x.Row(i), c)
	}
	g.factor = squareDistances(x)
	for i, d := range g.factor {
		g.factor[i] = g.Signal * math.Exp(-d/(2*g.Length*g.Length))
	}
	for i := range n {
		g.factor[i*n+i] += g.Noise
	}
	if !dense.CholeskyUntil(g.factor, n, workers, func() bool { return ctx.Err() != nil }) {
		if err := ctx.Err(); err != nil {
			return err
		}
		return fmt.Errorf("the covariance of %d positions is singular; are clips repeated?", n)
	}
	g.alpha = make([]float64, n)
	for i, t := range g.Target {
		g.alpha[i] = t - g.Mean
	}
	dense.Solve(g.factor, n, g.alpha)
	return nil
}

// Predict returns the expected position of a clip and the standard deviation of what would be read off there, both in mm,
// noise and Spread included.
func (g *Gaussian) Predict(row []float64) (mean, deviation float64) {
	k := g.likeness(row)
	mean = g.Mean + dense.Dot(k, g.alpha)
	dense.SolveLower(g.factor, len(k), k)
	return mean, g.Spread * math.Sqrt(max(g.Signal+g.Noise-dense.Dot(k, k), 0))
}

// expected returns Predict's mean alone, for a small part of the work.
func (g *Gaussian) expected(row []float64) float64 {
	return g.Mean + dense.Dot(g.likeness(row), g.alpha)
}

// likeness returns the kernel of a row with every clip that is kept.
func (g *Gaussian) likeness(row []float64) []float64 {
	k := make([]float64, len(g.Clips))
	for i, c := range g.Clips {
		d := 0.0
		for j, v := range row {
			d += (v - c[j]) * (v - c[j])
		}
		k[i] = g.Signal * math.Exp(-d/(2*g.Length*g.Length))
	}
	return k
}
