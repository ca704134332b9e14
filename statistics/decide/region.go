// Package decide turns maps into choices. Its first part picks, for one condition, the contiguous region of
// orientations whose success is surest, rather than one lucky cell.
//
// # Rule
//
// Every candidate orientation i is the centre of a core: all candidates within the stated smallest radius. A core's
// success is the mean over its members; posterior draws of the blurred success give that mean's distribution, and its
// lower quantile ranks the cores. The best core's centre is the nominal orientation. The region then grows from the
// core over neighbours whose own lower quantile reaches a threshold: the target, when the core reaches it, else the
// core's lower bound less a small slack. So the region is connected, holds the core, and says nothing of orientations
// beyond the tilts that were tried.
//
// The draws are joint over orientations, so errors that all members share do not average out.
package decide

import (
	"fmt"
	"math"
	"sort"

	"holdfast/domain"
	"holdfast/orient"
)

// Options says what region is asked for. Zero values take the defaults named.
type Options struct {
	Spacing   float64 // rad, covering radius of the candidates; must be positive
	TiltMax   float64 // rad, largest tilt that was tried
	MinRadius float64 // rad, smallest radius of the core; default: 1.5 times the spacing
	MinPoints int     // smallest number of candidates in the core; default 4
	Level     float64 // of the central interval; default 0.90, so the lower bound is the 5 % quantile
	Target    float64 // success asked for; 0: none
	Slack     float64 // how far below the core's bound a member may lie when the target is not reached; default 0.05
}

// Region is the choice for one condition. Indices refer to the candidates.
type Region struct {
	Nominal     int     // the core's centre
	Core        []int   // the nominal orientation's surroundings that ranked it, ascending
	Members     []int   // the whole region, ascending; holds the core
	Success     float64 // posterior mean of the success averaged over the members
	Low, High   float64 // quantiles of the same at (1 ∓ level)/2
	Radius      float64 // rad: every orientation within it of the nominal one is inside; 0: none can be stated
	Share       float64 // members / candidates
	MeetsTarget bool    // Low ≥ Target > 0
	Threshold   float64 // lower bound that a member outside the core had to reach
}

// Best picks the region. draws[i][d] is the d-th joint posterior draw of the blurred success at candidate i; all rows
// must be equally long, with at least 20 draws. distance is the angle (rad) between two candidates with all symmetries
// counted. The answer depends on nothing but the arguments.
func Best(points []orient.Rotation, distance func(i, j int) float64, draws [][]float64, o Options) (Region, error) {
	o, err := o.filled(len(points), draws)
	if err != nil {
		return Region{}, err
	}
	n := len(points)
	between := angles(n, distance)
	tail := (1 - o.Level) / 2

	best, bestLow := -1, math.Inf(-1)
	var bestCore []int
	mean := make([]float64, len(draws[0]))
	for i := range n {
		core := coreOf(between[i*n:(i+1)*n], o)
		averageOver(mean, draws, core)
		if low := quantile(mean, tail); low > bestLow {
			best, bestLow, bestCore = i, low, core
		}
	}

	threshold := bestLow - o.Slack
	if o.Target > 0 && bestLow >= o.Target {
		threshold = o.Target
	}
	// Candidates whose cells touch are at most two covering radii apart; the margin is for rounding.
	inside := grow(bestCore, between, n, 2*o.Spacing*(1+1e-9), func(j int) bool {
		return quantile(append([]float64(nil), draws[j]...), tail) >= threshold
	})

	r := Region{Nominal: best, Core: bestCore, Threshold: threshold}
	nearestOut := math.Inf(1)
	for j, in := range inside {
		if in {
			r.Members = append(r.Members, j)
		} else {
			nearestOut = math.Min(nearestOut, between[best*n+j])
		}
	}
	averageOver(mean, draws, r.Members)
	for _, v := range mean {
		r.Success += v / float64(len(mean))
	}
	r.Low, r.High = quantile(mean, tail), quantile(mean, 1-tail)
	r.Share = float64(len(r.Members)) / float64(n)
	r.MeetsTarget = o.Target > 0 && r.Low >= o.Target
	r.Radius = statedRadius(nearestOut, points[best], o)
	return r, nil
}

func (o Options) filled(n int, draws [][]float64) (Options, error) {
	bad := func(format string, args ...any) (Options, error) {
		return o, domain.Errorf(domain.KindInvalid, "region choice: "+format, args...)
	}
	if n == 0 || len(draws) != n {
		return bad("there are %d candidate orientations and %d rows of draws; both must be equal and more than none", n, len(draws))
	}
	for i, row := range draws {
		if len(row) < 20 || len(row) != len(draws[0]) {
			return bad("row %d has %d draws; every row needs the same number, at least 20", i, len(row))
		}
		for _, v := range row {
			if !(0 <= v && v <= 1) {
				return bad("row %d holds %g; success lies between 0 and 1", i, v)
			}
		}
	}
	if !(o.Spacing > 0) {
		return bad("the candidates' spacing is %g rad; it must be positive", o.Spacing)
	}
	o = o.sized(n)
	if o.Level == 0 {
		o.Level = 0.90
	}
	if !(o.Level > 0 && o.Level < 1) {
		return bad("the level is %g; it must lie between 0 and 1", o.Level)
	}
	if o.Slack == 0 {
		o.Slack = 0.05
	}
	return o, nil
}

// sized fills in what says how large a core among n candidates is.
func (o Options) sized(n int) Options {
	if o.MinRadius <= 0 {
		o.MinRadius = 1.5 * o.Spacing
	}
	if o.MinPoints <= 0 {
		o.MinPoints = 4
	}
	o.MinPoints = min(o.MinPoints, n)
	return o
}

// Cores lists, for each of n candidates, the members of the core centred there, ascending: what [Best] ranks. distance is
// the angle (rad) between two candidates with all symmetries counted.
func Cores(n int, distance func(i, j int) float64, o Options) [][]int {
	o = o.sized(n)
	between := angles(n, distance)
	cores := make([][]int, n)
	for i := range cores {
		cores[i] = coreOf(between[i*n:(i+1)*n], o)
	}
	return cores
}

func angles(n int, distance func(i, j int) float64) []float64 {
	between := make([]float64, n*n)
	for i := range n {
		for j := i + 1; j < n; j++ {
			d := distance(i, j)
			between[i*n+j], between[j*n+i] = d, d
		}
	}
	return between
}

// coreOf returns the candidates within the smallest radius of the centre whose distances are given, or the nearest
// MinPoints when there are fewer; ascending.
func coreOf(distances []float64, o Options) []int {
	order := make([]int, len(distances))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return distances[order[a]] < distances[order[b]] })
	k := o.MinPoints
	for k < len(order) && distances[order[k]] <= o.MinRadius {
		k++
	}
	core := order[:k:k]
	sort.Ints(core)
	return core
}

// grow returns the connected set that holds the core and every candidate reachable over steps of at most reach
// through candidates that pass.
func grow(core []int, between []float64, n int, reach float64, pass func(int) bool) []bool {
	inside, tried := make([]bool, n), make([]bool, n)
	queue := append([]int(nil), core...)
	for _, i := range core {
		inside[i], tried[i] = true, true
	}
	for len(queue) > 0 {
		i := queue[0]
		queue = queue[1:]
		for j := range n {
			if tried[j] || between[i*n+j] > reach {
				continue
			}
			tried[j] = true
			if pass(j) {
				inside[j] = true
				queue = append(queue, j)
			}
		}
	}
	return inside
}

// statedRadius returns the radius around the nominal orientation within which every orientation is nearest to a member.
// An orientation is within the spacing of its nearest candidate, so one nearest to an outside candidate is at least
// nearestOut − spacing away from the nominal one. Tilts beyond those tried are outside, too.
func statedRadius(nearestOut float64, nominal orient.Rotation, o Options) float64 {
	r := nearestOut - o.Spacing
	if o.TiltMax < math.Pi {
		r = math.Min(r, o.TiltMax-nominal.Approach().Tilt)
	}
	return math.Min(math.Max(r, 0), math.Pi)
}

func averageOver(dst []float64, draws [][]float64, members []int) {
	clear(dst)
	for _, i := range members {
		for d, v := range draws[i] {
			dst[d] += v
		}
	}
	for d := range dst {
		dst[d] /= float64(len(members))
	}
}

// quantile sorts xs and returns its q-quantile by linear interpolation between order statistics (R. J. Hyndman and
// Y. Fan, "Sample quantiles in statistical packages", Am. Stat. 50 (1996) 361, definition 7; from memory).
func quantile(xs []float64, q float64) float64 {
	sort.Float64s(xs)
	h := q * float64(len(xs)-1)
	i := int(h)
	if i+1 >= len(xs) {
		return xs[len(xs)-1]
	}
	return xs[i] + (h-float64(i))*(xs[i+1]-xs[i])
}

// Describe says in one sentence why this region was picked.
func (r Region) Describe(target float64) string {
	percent := func(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }
	s := fmt.Sprintf("Over %d neighbouring orientations the expected success on the line is %s, and at least %s with 95 %% probability",
		len(r.Members), percent(r.Success), percent(r.Low))
	switch {
	case target <= 0:
		return s + "."
	case r.MeetsTarget:
		return s + ", which meets the target of " + percent(target) + "."
	}
	return s + ", which does not yet show the target of " + percent(target) + "."
}
