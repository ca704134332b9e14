package calibrate

import (
	"fmt"
	"math"
	"sort"

	"holdfast/numeric/leastsquares"
)

// Reading is a signal taken at a reference that was set.
type Reading struct {
	Cycle             int  // which run over the range
	Rising            bool // whether the reference was reached from below
	Reference, Signal float64
}

// Line names the straight line that linearity is about: without it the figure
// means little, for the three differ by a factor of two.
type Line string

// The lines that linearity is stated about.
const (
	Terminal     Line = "terminal"      // through the means at both ends of the range
	LeastSquares Line = "least-squares" // least squares through the means
	Minimax      Line = "minimax"       // the largest deviation made as small as can be
)

// Linearity is how far means and readings stray from a line.
type Linearity struct {
	Line          Line
	Offset, Slope float64 // signal = Offset + Slope·reference
	Deviation     float64 // largest |mean − line| as a share of the full scale
	Combined      float64 // largest |reading − line| as a share: linearity, hysteresis and repeatability together
}

// Characteristics are the figures stated about a sensor, as shares of its
// full-scale output. Terms after ANSI/ISA-37.1 and IEC 61298-2 (from memory).
type Characteristics struct {
	FullScale     float64 // mean signal at the top minus at the bottom of the range
	Hysteresis    float64 // largest |falling − rising| within a cycle; NaN without both directions
	HysteresisAt  float64 // the reference where
	Repeatability float64 // largest spread at a reference in one direction over cycles; NaN with one cycle
	RepeatableAt  float64 // the reference where
	RepeatSD      float64 // pooled standard deviation in one direction, in the signal's unit
	Linearity     []Linearity
}

// Characterise computes the figures of readings at two or more references. Means
// at a reference give each direction and cycle the same weight as there are
// readings.
func Characterise(readings []Reading) (*Characteristics, error) {
	type run struct {
		reference float64
		rising    bool
	}
	byPlace, byRun := map[float64][]float64{}, map[run][]float64{}
	inCycle := map[run]map[int]float64{}
	for i, r := range readings {
		if math.IsNaN(r.Reference+r.Signal) || math.IsInf(r.Reference, 0) || math.IsInf(r.Signal, 0) {
			return nil, fmt.Errorf("reading %d (%g, %g) is not finite", i+1, r.Reference, r.Signal)
		}
		k := run{r.Reference, r.Rising}
		byPlace[r.Reference] = append(byPlace[r.Reference], r.Signal)
		byRun[k] = append(byRun[k], r.Signal)
		if inCycle[k] == nil {
			inCycle[k] = map[int]float64{}
		}
		if _, twice := inCycle[k][r.Cycle]; twice {
			return nil, fmt.Errorf("reading %d: the reference %g was already read in this direction of cycle %d", i+1, r.Reference, r.Cycle)
		}
		inCycle[k][r.Cycle] = r.Signal
	}
	var x, mean []float64
	for reference := range byPlace {
		x = append(x, reference)
	}
	sort.Float64s(x)
	if len(x) < 2 {
		return nil, fmt.Errorf("figures of a range need readings at two references or more; there is %d", len(x))
	}
	for _, reference := range x {
		mean = append(mean, average(byPlace[reference]))
	}
	c := &Characteristics{FullScale: mean[len(mean)-1] - mean[0], Hysteresis: math.NaN(), HysteresisAt: math.NaN(), Repeatability: math.NaN(), RepeatableAt: math.NaN(), RepeatSD: math.NaN()}
	full := math.Abs(c.FullScale)
	if full == 0 {
		return nil, fmt.Errorf("the signal is the same at both ends of the range, so no share of the full scale can be stated")
	}
	spread, freedom := 0.0, 0
	for _, reference := range x {
		for cycle, up := range inCycle[run{reference, true}] {
			if down, both := inCycle[run{reference, false}][cycle]; both {
				if h := math.Abs(down-up) / full; !(h <= c.Hysteresis) {
					c.Hysteresis, c.HysteresisAt = h, reference
				}
			}
		}
		for _, rising := range []bool{true, false} {
			values := byRun[run{reference, rising}]
			if len(values) < 2 {
				continue
			}
			low, high, m := values[0], values[0], average(values)
			for _, v := range values {
				low, high = min(low, v), max(high, v)
				spread += (v - m) * (v - m)
			}
			freedom += len(values) - 1
			if r := (high - low) / full; !(r <= c.Repeatability) {
				c.Repeatability, c.RepeatableAt = r, reference
			}
		}
	}
	if freedom > 0 {
		c.RepeatSD = math.Sqrt(spread / float64(freedom))
	}
	for _, line := range []Line{Terminal, LeastSquares, Minimax} {
		l, err := straight(line, x, mean)
		if err != nil {
			return nil, err
		}
		for i := range x {
			l.Deviation = max(l.Deviation, math.Abs(mean[i]-l.Offset-l.Slope*x[i])/full)
		}
		for _, r := range readings {
			l.Combined = max(l.Combined, math.Abs(r.Signal-l.Offset-l.Slope*r.Reference)/full)
		}
		c.Linearity = append(c.Linearity, l)
	}
	return c, nil
}

func average(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s / float64(len(v))
}

// straight lays the line through points whose x rise.
func straight(line Line, x, y []float64) (Linearity, error) {
	last := len(x) - 1
	switch line {
	case LeastSquares:
		rows := make([][]float64, len(x))
		for i, v := range x {
			rows[i] = []float64{1, v}
		}
		f, err := leastsquares.Linear(rows, y)
		if err != nil {
			return Linearity{}, err
		}
		return Linearity{Line: line, Offset: f.Coefficients[0], Slope: f.Coefficients[1]}, nil
	case Minimax:
		offset, slope := minimaxLine(x, y)
		return Linearity{Line: line, Offset: offset, Slope: slope}, nil
	default:
		slope := (y[last] - y[0]) / (x[last] - x[0])
		return Linearity{Line: line, Offset: y[0] - slope*x[0], Slope: slope}, nil
	}
}

// minimaxLine finds the line whose largest deviation is smallest: it is parallel to
// an edge of the points' convex hull and halfway to the point farthest from that
// edge, so the edges are tried in turn.
func minimaxLine(x, y []float64) (offset, slope float64) {
	if len(x) == 2 {
		slope = (y[1] - y[0]) / (x[1] - x[0])
		return y[0] - slope*x[0], slope
	}
	best := math.Inf(1)
	for _, side := range []float64{1, -1} {
		hull := chain(x, y, side)
		for e := 1; e < len(hull); e++ {
			i, k := hull[e-1], hull[e]
			s := (y[k] - y[i]) / (x[k] - x[i])
			low, high := math.Inf(1), math.Inf(-1)
			for j := range x {
				v := y[j] - s*x[j]
				low, high = min(low, v), max(high, v)
			}
			if high-low < best {
				best, offset, slope = high-low, (low+high)/2, s
			}
		}
	}
	return offset, slope
}

// chain returns the points of the hull's upper side, or its lower one for side −1.
func chain(x, y []float64, side float64) []int {
	var h []int
	for i := range x {
		for len(h) > 1 {
			a, b := h[len(h)-2], h[len(h)-1]
			if side*((x[b]-x[a])*(y[i]-y[a])-(y[b]-y[a])*(x[i]-x[a])) < 0 {
				break
			}
			h = h[:len(h)-1]
		}
		h = append(h, i)
	}
	return h
}
