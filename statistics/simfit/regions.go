package simfit

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"holdfast/numeric"
	"holdfast/orient"
)

// Region is a set of bench trials whose count of held ones is surprising for the fitted simulation.
type Region struct {
	Centre    orient.Rotation // of a neighbourhood; the identity else
	Radius    float64         // rad, the farthest member's distance from the centre; 0 for what is no neighbourhood
	Tilt      [2]float64      // rad, smallest and largest tilt of the members
	Trials    float64
	Held      float64
	Expected  float64 // mean of the posterior prediction
	Low, High float64 // 5 % and 95 % quantiles of the predicted count
	P         float64 // chance of as large a deviation anywhere, if the fitted simulation were right
	Sentence  string
}

// region is a set of conditions that is looked at.
type region struct {
	members []int
	centre  int // condition, −1 for tilt bands and the whole
	z       float64
}

const (
	bandWidth     = 15 * math.Pi / 180
	leastInRegion = 8
	replicates    = 999
	surprising    = 0.05
	mostRegions   = 5
)

// neighbourhoods are the numbers of trials, nearest to a condition, that are looked at together.
var neighbourhoods = []float64{8, 16, 32, 64}

// regions lists all trials, tilt bands, and the nearest trials around every condition.
func regions(p *Problem, tallies []tally) []region {
	var tried []int
	total := 0.0
	bands := map[int][]int{}
	for c, t := range tallies {
		if t.trials > 0 {
			tried = append(tried, c)
			total += t.trials
			r, _ := p.Conditions[c].R.Normalized()
			band := int(r.Approach().Tilt / bandWidth)
			bands[band] = append(bands[band], c)
		}
	}
	list := []region{{members: tried, centre: -1}}
	count := func(members []int) (n float64) {
		for _, c := range members {
			n += tallies[c].trials
		}
		return n
	}
	for band := range int(math.Pi/bandWidth) + 1 {
		if m := bands[band]; len(m) < len(tried) && count(m) >= leastInRegion {
			list = append(list, region{members: m, centre: -1})
		}
	}
	distance := make([]float64, len(tallies))
	for _, c := range tried {
		order := slices.Clone(tried)
		for _, o := range order {
			distance[o] = p.Symmetry.Distance(p.Conditions[c].R, p.Conditions[o].R)
		}
		sort.SliceStable(order, func(a, b int) bool { return distance[order[a]] < distance[order[b]] })
		n, next := 0.0, 0
		for i, o := range order {
			n += tallies[o].trials
			tied := i+1 < len(order) && distance[order[i+1]] <= distance[o]+1e-9
			if next < len(neighbourhoods) && n >= neighbourhoods[next] && n <= 0.75*total && !tied {
				list = append(list, region{members: order[:i+1], centre: c})
				for next < len(neighbourhoods) && n >= neighbourhoods[next] {
					next++
				}
			}
		}
	}
	return list
}

// disagreements returns the regions whose count of held trials is surprising, fewest chances first. The chance is that of
// the largest standardised deviation among all regions of bench trials drawn anew from the posterior prediction (single-step
// maximum test: P. H. Westfall, S. S. Young, "Resampling-Based Multiple Testing", 1993; from memory), so it counts how
// many regions were looked at and how they overlap.
func (post *posterior) disagreements(p *Problem, tallies []tally, seed uint64) []Region {
	list := regions(p, tallies)
	expected, spread := make([]float64, len(list)), make([]float64, len(list))
	for r := range list {
		expected[r], spread[r] = post.expect(list[r].members, tallies)
	}
	deviation := func(r int, held []float64) (count, z float64) {
		for _, c := range list[r].members {
			count += held[c]
		}
		return count, (count - expected[r]) / spread[r]
	}
	held := make([]float64, len(tallies))
	for c, t := range tallies {
		held[c] = t.held
	}
	counts := make([]float64, len(list))
	for r := range list {
		counts[r], list[r].z = deviation(r, held)
	}
	rng := numeric.Stream(seed, "bench trials drawn anew")
	largest := make([]float64, replicates)
	drawn := make([][]float64, replicates)
	for k := range replicates {
		success := post.success[rng.IntN(len(post.success))]
		for c, t := range tallies {
			held[c] = 0
			for range int(t.trials) {
				if rng.Float64() < success[c] {
					held[c]++
				}
			}
		}
		drawn[k] = slices.Clone(held)
		for r := range list {
			_, z := deviation(r, held)
			largest[k] = math.Max(largest[k], math.Abs(z))
		}
	}
	chance := func(z float64) float64 {
		n := 1
		for _, v := range largest {
			if v >= math.Abs(z) {
				n++
			}
		}
		return float64(n) / (replicates + 1)
	}
	order := make([]int, len(list))
	for r := range order {
		order[r] = r
	}
	sort.SliceStable(order, func(a, b int) bool { return math.Abs(list[order[a]].z) > math.Abs(list[order[b]].z) })
	var found []Region
	taken := map[int]bool{}
	for _, r := range order {
		pValue := chance(list[r].z)
		if pValue > surprising || len(found) == mostRegions {
			break
		}
		shared := 0
		for _, c := range list[r].members {
			if taken[c] {
				shared++
			}
		}
		if 2*shared > len(list[r].members) {
			continue
		}
		for _, c := range list[r].members {
			taken[c] = true
		}
		again := make([]float64, replicates)
		ones := make([]float64, replicates)
		for k := range drawn {
			again[k], _ = deviation(r, drawn[k])
			ones[k] = 1
		}
		slices.Sort(again)
		found = append(found, describe(p, tallies, list[r], Region{
			Held: counts[r], Expected: expected[r], P: pValue,
			Low: again[replicates/20], High: again[replicates-1-replicates/20],
		}))
	}
	return found
}

// expect returns mean and standard deviation of the posterior prediction of how many of the members' trials hold.
func (post *posterior) expect(members []int, tallies []tally) (mean, sd float64) {
	square, noise := 0.0, 0.0
	for _, success := range post.success {
		sum := 0.0
		for _, c := range members {
			n := tallies[c].trials
			sum += n * success[c]
			noise += n * success[c] * (1 - success[c])
		}
		mean += sum
		square += sum * sum
	}
	n := float64(len(post.success))
	mean /= n
	variance := noise/n + math.Max(square/n-mean*mean, 0)
	// A single success where none was expected is not to count for more than two standard deviations.
	return mean, math.Max(math.Sqrt(variance), 0.5)
}

func describe(p *Problem, tallies []tally, r region, out Region) Region {
	out.Centre = orient.Identity
	out.Tilt = [2]float64{math.Pi, 0}
	for _, c := range r.members {
		out.Trials += tallies[c].trials
		unit, _ := p.Conditions[c].R.Normalized()
		tilt := unit.Approach().Tilt
		out.Tilt[0], out.Tilt[1] = math.Min(out.Tilt[0], tilt), math.Max(out.Tilt[1], tilt)
		if r.centre >= 0 {
			out.Radius = math.Max(out.Radius, p.Symmetry.Distance(p.Conditions[r.centre].R, p.Conditions[c].R))
		}
	}
	const degree = math.Pi / 180
	where := fmt.Sprintf("Of all bench trials (tilt %.0f° to %.0f°)", out.Tilt[0]/degree, out.Tilt[1]/degree)
	switch {
	case r.centre >= 0:
		out.Centre, _ = p.Conditions[r.centre].R.Normalized()
		a := out.Centre.Approach()
		where = fmt.Sprintf("Within %.0f° of tilt %.0f°, azimuth %.0f°, roll %.0f°", math.Ceil(out.Radius/degree), a.Tilt/degree, a.Azimuth/degree, a.Roll/degree)
	case out.Tilt[1]-out.Tilt[0] <= bandWidth:
		where = fmt.Sprintf("At tilts of %.0f° to %.0f°", out.Tilt[0]/degree, out.Tilt[1]/degree)
	}
	better := "more"
	if out.Held < out.Expected {
		better = "less"
	}
	out.Sentence = fmt.Sprintf("%s the bench held %.0f of %.0f, %s than the fitted simulation's %.1f (90 %%: %.0f to %.0f; chance of as much anywhere %.2g).",
		where, out.Held, out.Trials, better, out.Expected, out.Low, out.High, out.P)
	return out
}
