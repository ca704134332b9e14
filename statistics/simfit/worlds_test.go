package simfit

import (
	"context"
	"math"
	"math/rand/v2"

	"holdfast/numeric"
	"holdfast/orient"
)

// world is a simulation whose chance of success is known, so that the posterior is too.
type world struct {
	parameters []Parameter
	chance     func(theta []float64, r orient.Rotation) float64
}

func threeParameters() []Parameter {
	return []Parameter{
		{Name: "friction", Min: 0.2, Max: 1.2},
		{Name: "stiffness", Min: 50, Max: 2000, Log: true},
		{Name: "position error", Min: 0.001, Max: 0.01, Log: true},
	}
}

// logistic: log-odds straight in friction and log stiffness, both to a degree that depends on the lean.
func logisticWorld() world {
	return world{threeParameters(), func(theta []float64, r orient.Rotation) float64 {
		d := r.Direction()
		lean := 1 + d[2] // 0 straight down … 1 sideways
		f := 5*(theta[0]-0.5) + 0.9*math.Log(theta[1]/300)*(0.3+lean) - 3*lean + 1.2*d[0] - 0.8*math.Log(theta[2]/0.003)*(1+d[1])
		return expit(f)
	}}
}

// threshold: held when a normal position error stays inside a clearance that friction and stiffness open and leaning
// closes. Where there is no clearance nothing ever holds.
func thresholdWorld() world {
	return world{threeParameters(), func(theta []float64, r orient.Rotation) float64 {
		d := r.Direction()
		lean := 1 + d[2]
		clearance := 0.003 + 0.008*(theta[0]-0.5) + 0.0025*math.Log(theta[1]/300)*(0.2+lean) - 0.004*lean + 0.002*d[0]
		if clearance <= 0 {
			return 0
		}
		return 2*numeric.NormalCDF(clearance/theta[2]) - 1
	}}
}

func (w world) conditions(n int, rng *rand.Rand) []Condition {
	list := make([]Condition, n)
	for i := range list {
		list[i].R = orient.RandomWithin(math.Pi/2, rng)
	}
	return list
}

// problem has n bench trials at parameters theta, with the log-odds of the bench moved by shift (nil: not at all).
func (w world) problem(theta []float64, n int, shift func(orient.Rotation) float64, seed uint64) Problem {
	rng := numeric.Stream(seed, "bench of a test")
	p := Problem{Parameters: w.parameters, Conditions: w.conditions(n, rng)}
	for c := range p.Conditions {
		chance := w.chance(theta, p.Conditions[c].R)
		if shift != nil {
			chance = expit(math.Log(chance/(1-chance)) + shift(p.Conditions[c].R))
		}
		p.Trials = append(p.Trials, Trial{c, rng.Float64() < chance})
	}
	p.Simulate = func(_ context.Context, theta []float64, c int, seed uint64) (bool, error) {
		return rand.New(rand.NewPCG(seed, 1)).Float64() < w.chance(theta, p.Conditions[c].R), nil
	}
	return p
}

// fromPrior draws parameters.
func (w world) fromPrior(rng *rand.Rand) []float64 {
	theta := make([]float64, len(w.parameters))
	for k, p := range w.parameters {
		theta[k] = p.value(p.quantile(rng.Float64()))
	}
	return theta
}

// exact is the posterior by plain quadrature over the places' cube: mean and 5 %, 95 % quantiles of each parameter, and the
// standard deviation of each place.
func (w world) exact(p Problem, n int) (estimates []Estimate, sds []float64) {
	d := len(w.parameters)
	total := 1
	for range d {
		total *= n
	}
	places := make([][]float64, total)
	logs := make([]float64, total)
	for i := range places {
		u, theta := make([]float64, d), make([]float64, d)
		at := i
		for k, par := range w.parameters {
			u[k] = (float64(at%n) + 0.5) / float64(n)
			theta[k] = par.value(u[k])
			at /= n
			logs[i] += par.logPrior(u[k])
		}
		places[i] = u
		for _, t := range p.Trials {
			chance := w.chance(theta, p.Conditions[t.Condition].R)
			if !t.Held {
				chance = 1 - chance
			}
			logs[i] += math.Log(chance)
		}
	}
	normalise(logs)
	for k, par := range w.parameters {
		// Marginals on the grid, each weight spread over its cell.
		marginal := make([]float64, n)
		e := Estimate{Name: par.Name}
		mean, square := 0.0, 0.0
		for i, u := range places {
			marginal[int(u[k]*float64(n))] += logs[i]
			e.Mean += logs[i] * par.value(u[k])
			mean += logs[i] * u[k]
			square += logs[i] * u[k] * u[k]
		}
		quantile := func(q float64) float64 {
			below := 0.0
			for j, m := range marginal {
				if below+m >= q {
					return par.value((float64(j) + (q-below)/m) / float64(n))
				}
				below += m
			}
			return par.Max
		}
		e.Low, e.High = quantile(0.05), quantile(0.95)
		estimates, sds = append(estimates, e), append(sds, math.Sqrt(square-mean*mean))
	}
	return estimates, sds
}
