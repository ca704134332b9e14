package additive

import (
	"fmt"
	"math"
	"slices"

	"holdfast/numeric"
)

// Effect is how one term moves the chance of success, point by point.
type Effect struct {
	Term   string
	Kind   Kind
	By     string
	Points []EffectPoint
}

// EffectPoint is the effect at one value or level: on the log-odds, centred so that its mean over the trials is zero, and
// as the chance of success averaged over what else the trials had. All intervals are central 90 %.
type EffectPoint struct {
	Level                   string
	X, Y                    float64 // of the term's variables, in their units; NaN where it has none
	Trials                  float64 // at this level; NaN for values
	Mean, Low, High         float64 // log-odds
	P, PLow, PHigh          float64
	Difference, DLow, DHigh float64 // of the log-odds from the level with most trials; factors only
}

// EffectOptions steer [Model.Effects]. The zero value is recommended.
type EffectOptions struct {
	Points     int // of a smooth function; 0 means 41
	Side       int // of the square grid of an offset; 0 means 13
	Draws      int // joint draws behind the intervals; 0 means 200
	Population int // rows of the trials, drawn by the seed, that the chance is averaged over; 0 means 100
	Seed       uint64
}

func (o EffectOptions) complete() EffectOptions {
	set := func(v *int, standard int) {
		if *v <= 0 {
			*v = standard
		}
	}
	set(&o.Points, 41)
	set(&o.Side, 13)
	set(&o.Draws, 200)
	set(&o.Population, 100)
	return o
}

// Effects returns the effect of every term that depends on one variable, on a placement offset, or on one factor. A
// function on orientations has no axis to be drawn along; Summary tells its spread. The chance of success at a point
// moves every term that depends on the variable, deviations on orientations included, while all else stays as the
// trials had it.
func (m *Model) Effects(o EffectOptions) ([]Effect, error) {
	o = o.complete()
	draws := m.Draw(o.Draws, o.Seed)
	population := m.population(o)
	var list []Effect
	for _, t := range m.terms {
		if t.Kind == Orientation || t.By != "" && t.Kind != Constant {
			continue
		}
		e := Effect{Term: t.Name, Kind: t.Kind, By: t.By, Points: m.points(t, o)}
		if err := m.effect(&e, t, draws, population); err != nil {
			return nil, fmt.Errorf("effect of %s: %w", t.Name, err)
		}
		list = append(list, e)
	}
	return list, nil
}

// population draws rows of the trials, as often as they have trials.
func (m *Model) population(o EffectOptions) *Data {
	_, trials := totals(m.data)
	rng := numeric.Stream(o.Seed, "population of effects")
	start := rng.Float64()
	rows := make([]int, 0, o.Population)
	// Systematic sampling: evenly along the trials, with one random start.
	passed := 0.0
	for i, t := range m.data.Trials {
		for passed+t > (float64(len(rows))+start)*trials/float64(o.Population) && len(rows) < o.Population {
			rows = append(rows, i)
		}
		passed += t
	}
	return m.data.pick(rows)
}

// points lists where a term's effect is computed.
func (m *Model) points(t Term, o EffectOptions) (list []EffectPoint) {
	nan := math.NaN()
	switch t.Kind {
	case Constant:
		for _, level := range m.Levels(t.By) {
			p := EffectPoint{Level: level, X: nan, Y: nan}
			for i, l := range m.data.Levels[t.By] {
				if l == level {
					p.Trials += m.data.Trials[i]
				}
			}
			list = append(list, p)
		}
	case Linear, Smooth:
		s := m.span(t.Variables[0])
		for i := range o.Points {
			list = append(list, EffectPoint{X: s.place(i, o.Points), Y: nan, Trials: nan})
		}
	case Offset:
		x, y := m.span(t.Variables[0]), m.span(t.Variables[1])
		for j := range o.Side {
			for i := range o.Side {
				list = append(list, EffectPoint{X: x.place(i, o.Side), Y: y.place(j, o.Side), Trials: nan})
			}
		}
	}
	return list
}

// place returns point i of n evenly over the span.
func (s span) place(i, n int) float64 {
	return s.centre + s.half*(2*float64(i)/float64(max(n-1, 1))-1)
}

func (m *Model) effect(e *Effect, t Term, draws *Draws, population *Data) error {
	here := &Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	for _, p := range e.Points {
		here.set(t, p)
	}
	k := len(e.Points)
	own, err := draws.LogOdds(here, t.Name)
	if err != nil {
		return err
	}
	average, err := m.average(t, draws)
	if err != nil {
		return err
	}
	s := draws.Count()
	reference := 0
	for i, p := range e.Points {
		if p.Trials > e.Points[reference].Trials {
			reference = i
		}
	}
	base := slices.Clone(own[reference*s : (reference+1)*s])
	for i := range k {
		p := &e.Points[i]
		row := own[i*s : (i+1)*s]
		if t.Kind == Constant {
			difference := make([]float64, s)
			for d := range difference {
				difference[d] = row[d] - base[d]
			}
			p.Difference, p.DLow, p.DHigh = spreadOf(difference)
		}
		for d := range row {
			row[d] -= average[d]
		}
		p.Mean, p.Low, p.High = spreadOf(row)
	}
	return m.chances(e, t, draws, population)
}

// set appends the point's value to the columns that the term reads.
func (d *Data) set(t Term, p EffectPoint) {
	if t.By != "" {
		d.Levels[t.By] = append(d.Levels[t.By], p.Level)
	}
	for i, v := range t.Variables {
		d.Numbers[v] = append(d.Numbers[v], [2]float64{p.X, p.Y}[i])
	}
}

// average returns the term's mean over the trials under every draw.
func (m *Model) average(t Term, draws *Draws) ([]float64, error) {
	one, _ := m.data.alike([]Term{t})
	f, err := draws.LogOdds(one, t.Name)
	if err != nil {
		return nil, err
	}
	s := draws.Count()
	mean, total := make([]float64, s), 0.0
	for i, w := range one.Trials {
		total += w
		for d := range mean {
			mean[d] += w * f[i*s+d]
		}
	}
	for d := range mean {
		mean[d] /= total
	}
	return mean, nil
}

// chances fills the chance of success at every point, averaged over the population under every draw.
func (m *Model) chances(e *Effect, t Term, draws *Draws, population *Data) error {
	moved, kept := make([]bool, len(m.blocks)), make([]bool, len(m.blocks))
	for k, b := range m.blocks {
		moved[k] = b.term.depends(t)
		kept[k] = !moved[k]
	}
	s, n := draws.Count(), population.Len()
	rest := draws.logOdds(population, kept, true)
	for i := range e.Points {
		p := &e.Points[i]
		here := *population
		here.Numbers, here.Levels = map[string][]float64{}, map[string][]string{}
		for name, c := range population.Numbers {
			here.Numbers[name] = c
		}
		for name, c := range population.Levels {
			here.Levels[name] = c
		}
		point := &Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
		for range n {
			point.set(t, *p)
		}
		for name, c := range point.Numbers {
			here.Numbers[name] = c
		}
		for name, c := range point.Levels {
			here.Levels[name] = c
		}
		f := draws.logOdds(&here, moved, false)
		mean := make([]float64, s)
		for r := range n {
			for d := range mean {
				mean[d] += expit(f[r*s+d]+rest[r*s+d]) / float64(n)
			}
		}
		p.P, p.PLow, p.PHigh = spreadOf(mean)
	}
	return nil
}

// depends says whether a term changes when what the other reads changes.
func (t *Term) depends(other Term) bool {
	if other.By != "" && t.By == other.By {
		return true
	}
	for _, v := range other.Variables {
		if slices.Contains(t.Variables, v) {
			return true
		}
	}
	return false
}

// spreadOf returns mean, 5 % and 95 % quantile of a sample, which it sorts.
func spreadOf(sample []float64) (mean, low, high float64) {
	for _, v := range sample {
		mean += v
	}
	slices.Sort(sample)
	return mean / float64(len(sample)), quantile(sample, 0.05), quantile(sample, 0.95)
}

// quantile interpolates the sorted sample (type 7 of R. J. Hyndman, Y. Fan, "Sample quantiles in statistical packages",
// American Statistician 50 (1996) 361; from memory).
func quantile(sorted []float64, q float64) float64 {
	at := q * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
