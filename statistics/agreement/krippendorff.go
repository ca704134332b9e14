package agreement

import (
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/numeric"
)

// Metric says how far apart two values are for Krippendorff's α.
type Metric string

// The metrics.
const (
	Nominal Metric = "nominal" // names: alike or not
	Ordinal Metric = "ordinal" // ranks
	Scale   Metric = "interval"
	Ratio   Metric = "ratio"
)

// Ratings are what judges said: Ratings[j][u] is judge j's value of trial u, NaN where they did not judge it.
type Ratings [][]float64

// coincidences counts ordered pairs of values given to the same trial by two judges, each trial weighing as many as it has
// judgements (K. Krippendorff, "Computing Krippendorff's Alpha-Reliability" (2011)).
type coincidences struct {
	values []float64   // distinct, ascending
	o      [][]float64 // pairs
	n      []float64   // by value
	total  float64
}

func (r Ratings) coincidences(trials []int) coincidences {
	var c coincidences
	for _, row := range r {
		for _, v := range row {
			if !math.IsNaN(v) {
				c.values = append(c.values, v)
			}
		}
	}
	slices.Sort(c.values)
	c.values = slices.Compact(c.values)
	k := len(c.values)
	c.o, c.n = make([][]float64, k), make([]float64, k)
	for i := range c.o {
		c.o[i] = make([]float64, k)
	}
	count := make([]float64, k)
	for _, u := range trials {
		clear(count)
		m := 0.0
		for _, row := range r {
			if v := row[u]; !math.IsNaN(v) {
				i, _ := slices.BinarySearch(c.values, v)
				count[i]++
				m++
			}
		}
		if m < 2 {
			continue
		}
		for i, a := range count {
			for j, b := range count {
				if i == j {
					b--
				}
				c.o[i][j] += a * b / (m - 1)
			}
			c.n[i] += a
		}
		c.total += m
	}
	return c
}

// squared is the squared distance of two values, by index.
func (c *coincidences) squared(m Metric, i, j int) float64 {
	if i == j {
		return 0
	}
	a, b := c.values[i], c.values[j]
	switch m {
	case Ordinal:
		d := 0.0
		for g := min(i, j); g <= max(i, j); g++ {
			d += c.n[g]
		}
		d -= (c.n[i] + c.n[j]) / 2
		return d * d
	case Scale:
		return (a - b) * (a - b)
	case Ratio:
		if a+b == 0 {
			return 0
		}
		return (a - b) * (a - b) / ((a + b) * (a + b))
	}
	return 1
}

func (c *coincidences) alpha(m Metric) float64 {
	seen, expected := 0.0, 0.0
	for i := range c.values {
		for j := range c.values {
			d := c.squared(m, i, j)
			seen += c.o[i][j] * d
			expected += c.n[i] * c.n[j] * d
		}
	}
	if expected == 0 {
		return math.NaN() // all judgements are the same value: nothing varied that judges could agree on
	}
	return 1 - (c.total-1)*seen/expected
}

// Alpha is Krippendorff's α of any number of judges, with gaps: 1 when all agree, 0 when they might have guessed.
type Alpha struct {
	Alpha     float64 // NaN when only one value was ever given
	Low, High float64 // at Level, from resampled trials
	Level     float64
	Trials    int // judged twice at least
}

// resamples is how many times trials are drawn anew for the interval.
const resamples = 1000

// Krippendorff computes α with the interval from trials drawn anew, with the seed (percentile bootstrap over trials).
func Krippendorff(r Ratings, m Metric, level float64, seed uint64) (Alpha, error) {
	a := Alpha{Level: level, Alpha: math.NaN(), Low: math.NaN(), High: math.NaN()}
	if !slices.Contains([]Metric{Nominal, Ordinal, Scale, Ratio}, m) {
		return a, domain.Errorf(domain.KindInvalid, "the metric %q is not nominal, ordinal, interval or ratio", m)
	}
	if !(level > 0 && level < 1) {
		return a, domain.Errorf(domain.KindInvalid, "the level is %g; it must lie between 0 and 1", level)
	}
	if len(r) < 2 {
		return a, domain.Errorf(domain.KindInvalid, "%d judges can not be compared; there must be two at least", len(r))
	}
	var twice []int
	for u := range r[0] {
		judged := 0
		for j := range r {
			if len(r[j]) != len(r[0]) {
				return a, domain.Errorf(domain.KindInvalid, "judge %d has %d entries, the first %d", j+1, len(r[j]), len(r[0]))
			}
			if math.IsInf(r[j][u], 0) {
				return a, domain.Errorf(domain.KindInvalid, "judge %d gave trial %d an infinite value", j+1, u+1)
			}
			if !math.IsNaN(r[j][u]) {
				judged++
			}
		}
		if judged >= 2 {
			twice = append(twice, u)
		}
	}
	a.Trials = len(twice)
	if a.Trials == 0 {
		return a, domain.Errorf(domain.KindInvalid, "no trial was judged twice")
	}
	c := r.coincidences(twice)
	a.Alpha = c.alpha(m)
	random := numeric.Stream(seed, "trials judged, drawn anew")
	drawn, list := make([]int, len(twice)), make([]float64, 0, resamples)
	for range resamples {
		for i := range drawn {
			drawn[i] = twice[random.IntN(len(twice))]
		}
		s := r.coincidences(drawn)
		if v := s.alpha(m); !math.IsNaN(v) {
			list = append(list, v)
		}
	}
	if len(list) > 0 {
		slices.Sort(list)
		a.Low, a.High = list[int((1-level)/2*float64(len(list)-1))], list[int(math.Ceil((1+level)/2*float64(len(list)-1)))]
	}
	return a, nil
}
