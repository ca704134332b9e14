package simfit

import (
	"context"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// tally counts the bench trials of a condition.
type tally struct{ held, trials float64 }

// logProduct is the logarithm of a product, taken now and then instead of for every factor.
type logProduct struct{ sum, product float64 }

func (l *logProduct) times(factor float64) {
	if l.product *= factor; l.product > 1e200 {
		l.sum += math.Log(l.product)
		l.product = 1
	}
}

func (l *logProduct) log() float64 { return l.sum + math.Log(l.product) }

// logLikelihood is the logarithm of the chance of all counts, up to a constant, for normal log-odds by condition with means
// f and variances: Laplace's approximation after one Newton step from the mean (DESIGN.md eq. 4).
func logLikelihood(tallies []tally, f, variance []float64) float64 {
	sum := 0.0
	softplus, damping := logProduct{product: 1}, logProduct{product: 1}
	for c, t := range tallies {
		if t.trials == 0 {
			continue
		}
		e := math.Exp(-math.Abs(f[c]))
		p := 1 / (1 + e)
		if f[c] < 0 {
			p = 1 - p
		}
		g, w := t.held-t.trials*p, t.trials*p*(1-p)
		damp := 1 + variance[c]*w
		damping.times(damp)
		sum += t.held*f[c] - t.trials*math.Max(f[c], 0) + g*g*variance[c]/(2*damp)
		if t.trials == 1 {
			softplus.times(1 + e)
		} else {
			sum -= t.trials * math.Log1p(e)
		}
	}
	return sum - softplus.log() - damping.log()/2
}

// posterior is the distribution of the parameters given surrogate and bench, by weighted places: a mixture, in equal
// parts, of the posteriors under draws of the surrogate (DESIGN.md eq. 4).
type posterior struct {
	places  [][]float64
	base    []float64 // log prior over sampling density
	weights []float64 // sum 1
	sizes   []float64 // probability of each size of the discrepancy
	border  float64   // probability near the edge of what the surrogate was fitted to

	samples [][]float64 // equally probable places
	success [][]float64 // chance of success under every condition, by sample
}

// effort is how finely a posterior is worked out.
type effort struct{ points, draws, perDraw int }

var (
	rough = effort{points: 500, draws: 6}
	fine  = effort{points: 1500, draws: 32, perDraw: 16}
)

// borderReach is where the edge begins.
const borderReach = reach - 0.4

func (s *surrogate) posterior(ctx context.Context, p *Problem, tallies []tally, d *discrepancy, proposal *frame, e effort, seed uint64, round, workers int) (*posterior, error) {
	places, base, err := proposal.points(p.Parameters, e.points, numeric.Stream(seed, "posterior points", round).Uint64())
	if err != nil {
		return nil, err
	}
	n, conditions := s.basis.len(), len(tallies)
	post := &posterior{}
	var phi []float64
	var edge []bool
	t := make([]float64, s.basis.d)
	for i, u := range places {
		if !s.frame.coordinates(t, u) {
			continue
		}
		post.places, post.base = append(post.places, u), append(post.base, base[i])
		phi = append(phi, make([]float64, n)...)
		s.basis.values(phi[len(phi)-n:], t)
		near := false
		for _, v := range t {
			near = near || !s.frame.all && math.Abs(v) > borderReach
		}
		edge = append(edge, near)
	}
	count := len(post.places)
	if count == 0 {
		return nil, errNotConverged
	}
	logOdds := func(dst []float64, coef []float64, i int) {
		for c := range conditions {
			dst[c] = dense.Dot(coef[c*n:(c+1)*n], phi[i*n:(i+1)*n])
		}
	}
	spread := make([]float64, count*conditions)
	dense.InParallel(count, workers, func(i int) {
		scratch := make([]float64, s.ownLen)
		for c := range conditions {
			spread[i*conditions+c] = s.ownSpread(c, phi[i*n:(i+1)*n], scratch)
		}
	})
	likelihood := func(f []float64, i int) float64 {
		return logLikelihood(tallies, f, spread[i*conditions:(i+1)*conditions])
	}

	// What the discrepancy gains is worked out once, at the surrogate's mode.
	sizes := len(d.sizes)
	gains := make([]float64, count*sizes)
	mode := s.draws(0, seed, round, workers)[0]
	middle := make([]float64, count)
	dense.InParallel(count, workers, func(i int) {
		f := make([]float64, conditions)
		logOdds(f, mode, i)
		middle[i] = post.base[i] + likelihood(f, i)
	})
	top := largestOf(middle)
	const depth = 12
	dense.InParallel(count, workers, func(i int) {
		row := gains[i*sizes : (i+1)*sizes]
		for k := range row[1:] {
			row[k+1] = math.Inf(-1)
		}
		if middle[i] > top-depth && ctx.Err() == nil {
			f := make([]float64, conditions)
			logOdds(f, mode, i)
			d.gains(row, f, tallies)
		}
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}

	draws := s.draws(e.draws, seed, round, workers)
	type part struct {
		weights, sizes   []float64
		samples, success [][]float64
	}
	parts := make([]part, len(draws))
	dense.InParallel(len(draws), workers, func(k int) {
		if ctx.Err() != nil {
			return
		}
		f := make([]float64, conditions)
		joint := make([]float64, count*sizes)
		for i := range count {
			logOdds(f, draws[k], i)
			l := post.base[i] + likelihood(f, i)
			for j := range sizes {
				joint[i*sizes+j] = l + d.logPrior[j] + gains[i*sizes+j]
			}
		}
		normalise(joint)
		mine := part{weights: make([]float64, count), sizes: make([]float64, sizes)}
		for i := range count {
			for j := range sizes {
				mine.weights[i] += joint[i*sizes+j]
				mine.sizes[j] += joint[i*sizes+j]
			}
		}
		rng := numeric.Stream(seed, "posterior samples", round, k)
		for _, i := range systematic(mine.weights, e.perDraw, rng.Float64()) {
			success := make([]float64, conditions)
			logOdds(success, draws[k], i)
			for c, v := range success {
				success[c] = expit(v + rng.NormFloat64()*math.Sqrt(spread[i*conditions+c]))
			}
			mine.samples, mine.success = append(mine.samples, post.places[i]), append(mine.success, success)
		}
		parts[k] = mine
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	post.weights, post.sizes = make([]float64, count), make([]float64, sizes)
	for _, part := range parts {
		for i, w := range part.weights {
			post.weights[i] += w / float64(len(parts))
			if edge[i] {
				post.border += w / float64(len(parts))
			}
		}
		for j, w := range part.sizes {
			post.sizes[j] += w / float64(len(parts))
		}
		post.samples, post.success = append(post.samples, part.samples...), append(post.success, part.success...)
	}
	if math.IsNaN(post.weights[0]) {
		return nil, errNotConverged
	}
	return post, nil
}

// normalise turns logarithms into weights of sum 1.
func normalise(logs []float64) {
	top := largestOf(logs)
	sum := 0.0
	for i, v := range logs {
		logs[i] = math.Exp(v - top)
		sum += logs[i]
	}
	for i := range logs {
		logs[i] /= sum
	}
}

func largestOf(x []float64) float64 {
	top := math.Inf(-1)
	for _, v := range x {
		top = math.Max(top, v)
	}
	return top
}

// systematic draws n indices in proportion to weights of sum 1, evenly from an offset of 0 … 1.
func systematic(weights []float64, n int, offset float64) []int {
	out := make([]int, 0, n)
	below, i := 0.0, 0
	for k := range n {
		at := (float64(k) + offset) / float64(n)
		for i < len(weights)-1 && below+weights[i] < at {
			below += weights[i]
			i++
		}
		out = append(out, i)
	}
	return out
}

// effective is the number of equally weighted places that would be worth as much (L. Kish, "Survey Sampling", 1965; from
// memory).
func effective(weights []float64) float64 {
	sum, square := 0.0, 0.0
	for _, w := range weights {
		sum += w
		square += w * w
	}
	return sum * sum / square
}

// leastEffective is the number of places that a frame for the next round must rest on.
const leastEffective = 60

// next returns the frame for the next round: around the posterior, flattened as far as is needed to rest on enough places.
func (p *posterior) next() *frame {
	flat := p.weights
	for power := 1.0; effective(flat) < leastEffective && power > 0.01; power *= 0.8 {
		logs := make([]float64, len(p.weights))
		for i, w := range p.weights {
			logs[i] = p.base[i] + power*(math.Log(w)-p.base[i])
		}
		normalise(logs)
		flat = logs
	}
	return around(p.places, flat)
}
