package family

import (
	"fmt"
	"math"

	"holdfast/statistics/additive"
)

// Features are what is known of an item without trials. Numbers that are 0 or NaN, and an empty shape, are not known.
type Features struct {
	Shape     string  // class, such as ellipsoid or box
	Size      float64 // m, geometric mean of the extents
	Mass      float64 // kg
	Stiffness float64 // N/m
	Friction  float64 // coefficient against the hand
}

// feature is one known property on a scale where one unit is a difference that matters by itself.
type feature struct {
	name string
	of   func(Features) float64 // NaN: not known
}

func logOf(v, unit float64) float64 {
	if !(v > 0) || math.IsInf(v, 0) {
		return math.NaN()
	}
	return math.Log(v) / math.Log(unit)
}

// A factor of 1.5 in size, 2.5 in mass, 4 in stiffness, or 0.25 of friction counts as one unit, like another shape. The
// length scale that the trials choose multiplies them all.
var features = []feature{
	{"size", func(f Features) float64 { return logOf(f.Size, 1.5) }},
	{"mass", func(f Features) float64 { return logOf(f.Mass, 2.5) }},
	{"stiffness", func(f Features) float64 { return logOf(f.Stiffness, 4) }},
	{"friction", func(f Features) float64 {
		if !(f.Friction > 0) || math.IsInf(f.Friction, 0) {
			return math.NaN()
		}
		return f.Friction / 0.25
	}},
}

// likeness is the covariance between items: a product over features of exp(−d²/2ℓ²), mixed with a share of its own for
// every item (DESIGN.md eq. 2). A feature that is not known of an item is averaged over a normal distribution with the
// moments of those known, which keeps the matrix positive definite and makes the item half like every other.
type likeness struct {
	known  map[string]Features
	shapes map[string]float64 // share of each shape class among the items that have one
	mean   []float64          // by feature, over the items that have it; NaN: none has
	spread []float64          // variance
}

func newLikeness(items []Item) *likeness {
	l := &likeness{known: map[string]Features{}, shapes: map[string]float64{}, mean: make([]float64, len(features)), spread: make([]float64, len(features))}
	shaped := 0.0
	for _, it := range items {
		l.known[it.Name] = it.Features
		if it.Features.Shape != "" {
			l.shapes[it.Features.Shape]++
			shaped++
		}
	}
	for s := range l.shapes {
		l.shapes[s] /= shaped
	}
	for k, f := range features {
		var n, sum, square float64
		for _, it := range items {
			if v := f.of(it.Features); !math.IsNaN(v) {
				n++
				sum += v
				square += v * v
			}
		}
		l.mean[k] = math.NaN()
		if n > 0 {
			l.mean[k] = sum / n
			// One or two items say little of the spread; a unit is the smallest that is assumed.
			l.spread[k] = math.Max(square/n-l.mean[k]*l.mean[k], 1)
		}
	}
	return l
}

const (
	logLength = iota // ℓ, in units of the features
	logOwn           // λ: what an item has of its own, against what it shares with those alike
)

// Hypers lists the scales that the trials decide.
func (l *likeness) Hypers() []additive.Hyper {
	return []additive.Hyper{{Name: "likeness length", Mean: math.Log(1.5), SD: 0.6}, {Name: "own share", Mean: math.Log(0.5), SD: 1}}
}

// Covariance implements additive.Kernel.
func (l *likeness) Covariance(levels []string, log []float64) (k []float64, slope [][]float64) {
	n := len(levels)
	length2, own := math.Exp(2*log[logLength]), math.Exp(log[logOwn])
	k = make([]float64, n*n)
	slope = [][]float64{make([]float64, n*n), make([]float64, n*n)}
	for i := range n {
		for j := range i + 1 {
			alike, byLength := 1.0, 0.0
			if i != j {
				alike, byLength = l.alike(l.known[levels[i]], l.known[levels[j]], length2)
			}
			value := alike / (1 + own)
			d := [2]float64{byLength / (1 + own), -alike * own / ((1 + own) * (1 + own))}
			if i == j {
				value, d = 1, [2]float64{}
			}
			for _, at := range [2]int{i*n + j, j*n + i} {
				k[at], slope[0][at], slope[1][at] = value, d[0], d[1]
			}
		}
	}
	return k, slope
}

// alike returns the product over features of two different items and its derivative by ln ℓ.
func (l *likeness) alike(a, b Features, length2 float64) (value, slope float64) {
	logValue, logSlope := l.shapeAlike(a.Shape, b.Shape, length2)
	for k, f := range features {
		if math.IsNaN(l.mean[k]) {
			continue
		}
		x, y := f.of(a), f.of(b)
		// The difference is normal with this mean and variance: E exp(−d²/2ℓ²) = √(ℓ²/(ℓ²+v))·exp(−m²/2(ℓ²+v)).
		m, v := 0.0, 0.0
		switch {
		case math.IsNaN(x) && math.IsNaN(y):
			v = 2 * l.spread[k]
		case math.IsNaN(x):
			m, v = y-l.mean[k], l.spread[k]
		case math.IsNaN(y):
			m, v = x-l.mean[k], l.spread[k]
		default:
			m = x - y
		}
		whole := length2 + v
		logValue += 0.5*math.Log(length2/whole) - m*m/(2*whole)
		logSlope += 1 - length2/whole + m*m*length2/(whole*whole)
	}
	value = math.Exp(logValue)
	return value, value * logSlope
}

// shapeAlike is the logarithm of 1 for equal shapes, exp(−1/2ℓ²) for others, averaged where a shape is not known.
func (l *likeness) shapeAlike(a, b string, length2 float64) (logValue, logSlope float64) {
	if len(l.shapes) == 0 {
		return 0, 0
	}
	same := 0.0
	switch {
	case a != "" && b != "":
		if a == b {
			same = 1
		}
	case a == "" && b == "":
		for _, share := range l.shapes {
			same += share * share
		}
	default:
		same = l.shapes[a+b]
	}
	other := math.Exp(-1 / (2 * length2))
	value := same + (1-same)*other
	return math.Log(value), (1 - same) * other / length2 / value
}

// check refuses what could not be told apart or computed with.
func check(items []Item) error {
	seen := map[string]bool{}
	for _, it := range items {
		switch {
		case it.Name == "":
			return fmt.Errorf("an item has no name")
		case seen[it.Name]:
			return fmt.Errorf("two items are called %s", it.Name)
		}
		seen[it.Name] = true
		for name, v := range map[string]float64{"size": it.Features.Size, "mass": it.Features.Mass, "stiffness": it.Features.Stiffness, "friction": it.Features.Friction} {
			if v < 0 || math.IsInf(v, 0) {
				return fmt.Errorf("item %s: its %s of %g is not a positive number; leave it out if it is not known", it.Name, name, v)
			}
		}
	}
	return nil
}
