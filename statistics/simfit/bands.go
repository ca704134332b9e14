package simfit

import (
	"math"
	"math/rand/v2"
	"slices"

	"holdfast/numeric"
)

// Band is what bench and fitted simulation say about the trials in a range of one angle.
type Band struct {
	From, To  float64 // rad; the upper end belongs to the next band
	Trials    float64
	Held      float64
	Expected  float64 // mean of the posterior prediction of the held ones
	Low, High float64 // its 5 % and 95 % quantiles, with the luck of as many trials
}

// azimuthWidth is the width of the bands of azimuth.
const azimuthWidth = math.Pi / 4

// bands compares by tilt and by azimuth. The limits are those of one band looked at by itself: [Region] is what counts how many
// were looked at.
func (post *posterior) bands(p *Problem, tallies []tally, seed uint64) (tilts, azimuths []Band) {
	byTilt, byAzimuth := map[int][]int{}, map[int][]int{}
	for c, t := range tallies {
		if t.trials == 0 {
			continue
		}
		r, _ := p.Conditions[c].R.Normalized()
		a := r.Approach()
		tilt := int(a.Tilt/bandWidth + 1e-9)
		byTilt[tilt] = append(byTilt[tilt], c)
		if tilt > 0 && !p.Symmetry.Axial() {
			// Bands lie around the axes, so that none of those ends where trials lie.
			turn := math.Mod(a.Azimuth+azimuthWidth/2+4*math.Pi, 2*math.Pi)
			byAzimuth[int(turn/azimuthWidth)] = append(byAzimuth[int(turn/azimuthWidth)], c)
		}
	}
	rng := numeric.Stream(seed, "bench trials of bands drawn anew")
	list := func(groups map[int][]int, width, shift float64) (bands []Band) {
		for k := range int(2*math.Pi/width) + 1 {
			if m := groups[k]; len(m) > 0 {
				b := Band{From: float64(k)*width - shift, To: float64(k+1)*width - shift}
				post.fill(&b, m, tallies, rng)
				bands = append(bands, b)
			}
		}
		return bands
	}
	return list(byTilt, bandWidth, 0), list(byAzimuth, azimuthWidth, azimuthWidth/2)
}

func (post *posterior) fill(b *Band, members []int, tallies []tally, rng *rand.Rand) {
	b.Expected, _ = post.expect(members, tallies)
	for _, c := range members {
		b.Trials += tallies[c].trials
		b.Held += tallies[c].held
	}
	counts := make([]float64, replicates)
	for k := range counts {
		success := post.success[rng.IntN(len(post.success))]
		for _, c := range members {
			for range int(tallies[c].trials) {
				if rng.Float64() < success[c] {
					counts[k]++
				}
			}
		}
	}
	slices.Sort(counts)
	b.Low, b.High = counts[replicates/20], counts[replicates-1-replicates/20]
}
