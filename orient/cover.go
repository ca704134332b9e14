package orient

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Covering is a set of orientations with its two figures of evenness.
type Covering struct {
	// Points are the orientations, one of each set of equivalent ones.
	Points []Rotation
	// CoveringRadius (rad) is the greatest distance from any orientation of the region to the nearest point. It is
	// found by search and so is a lower bound, refined locally until it changes by far less than 0.1°.
	CoveringRadius float64
	// Separation (rad) is the least distance between two points, exactly; π for a single point.
	Separation float64
	// Probes is the number of orientations that the search for CoveringRadius started from.
	Probes int
}

// MaxCoverPoints is the largest covering that [Cover] builds.
const MaxCoverPoints = 50000

// Cover returns n orientations spread evenly over all orientations of tilt up to maxTilt (rad, 0 to π), counting
// equivalent ones under s once. The result depends on nothing but the arguments.
//
// It starts from a spiral of directions with evenly staggered rolls and relaxes it: every point moves to a weighted
// mean of the orientations that are nearest to it, with weights that grow with distance, so that the deepest holes
// shrink first (S. P. Lloyd, "Least squares quantization in PCM", IEEE Trans. Inf. Theory 28 (1982) 129, with a power
// above 2; from memory). The points come in order of tilt, canonical under s.
//
// It fails for n outside 1…[MaxCoverPoints], for a tilt outside the range, and where fewer than n inequivalent
// orientations exist (tilt 0 among axial surroundings).
func Cover(n int, maxTilt float64, s Symmetry, seed uint64) (Covering, error) {
	if n < 1 || n > MaxCoverPoints {
		return Covering{}, fmt.Errorf("a covering needs between 1 and %d orientations, not %d", MaxCoverPoints, n)
	}
	if err := checkTilt(maxTilt); err != nil {
		return Covering{}, err
	}
	if maxTilt < flat {
		return coverFlat(n, s)
	}
	reg := newRegion(maxTilt, s)
	c := Covering{Points: reg.cover(n, seed)}
	for i, r := range c.Points {
		c.Points[i] = s.Canonical(r)
	}
	sortByApproach(c.Points)
	reg.measure(&c, seed)
	return c, nil
}

// Measure returns the covering radius and separation of any set of orientations over the region of tilts up to
// maxTilt (rad) under s; the points are kept as they are. Points outside the region count.
func Measure(points []Rotation, maxTilt float64, s Symmetry, seed uint64) (Covering, error) {
	if len(points) == 0 {
		return Covering{}, fmt.Errorf("there are no orientations to measure")
	}
	if err := checkTilt(maxTilt); err != nil {
		return Covering{}, err
	}
	c := Covering{Points: points}
	newRegion(maxTilt, s).measure(&c, seed)
	return c, nil
}

func checkTilt(maxTilt float64) error {
	if !(maxTilt >= 0 && maxTilt <= math.Pi+1e-12) {
		return fmt.Errorf("the tilt limit is %g°; it must lie between 0° and 180°", maxTilt*180/math.Pi)
	}
	return nil
}

// flat is the tilt limit (rad) below which directions count as one and only headings differ.
const flat = 1e-6

// coverFlat spaces n headings evenly over the turns that are left at tilt 0.
func coverFlat(n int, s Symmetry) (Covering, error) {
	if s.Axial() {
		if n > 1 {
			return Covering{}, fmt.Errorf("straight down among axial surroundings there is only one orientation, not %d: raise the tilt limit or ask for one", n)
		}
		return Covering{Points: []Rotation{Identity}, Separation: math.Pi, Probes: 1}, nil
	}
	period := 2 * math.Pi * float64(gcd(s.Hand(), s.Around())) / float64(s.Hand()*s.Around())
	c := Covering{Points: make([]Rotation, n), Separation: math.Pi, Probes: n}
	for i := range c.Points {
		heading := period * float64(i) / float64(n)
		if s.Mirror() {
			heading = period / 2 * (float64(i) + 0.5) / float64(n)
		}
		c.Points[i] = s.Canonical(RotZ(heading))
	}
	step := period / float64(n)
	if s.Mirror() {
		step /= 2
	}
	c.CoveringRadius = step / 2
	if n > 1 {
		c.Separation = step
	}
	return c, nil
}

// region is the set of inequivalent orientations of tilt up to a limit.
type region struct {
	*space
	sym     Symmetry
	maxTilt float64
}

func newRegion(maxTilt float64, s Symmetry) *region {
	return &region{space: newSpace(s), sym: s, maxTilt: math.Min(maxTilt, math.Pi)}
}

// at returns the point of the region for three coordinates in [0, 1): the region's measure is uniform in them.
func (reg *region) at(height, turn, roll float64) vec4 {
	half := math.Asin(math.Sqrt(height) * math.Sin(reg.maxTilt/2))
	around := 2 * math.Pi / float64(reg.sym.Around())
	hand := 2 * math.Pi / float64(reg.sym.Hand())
	if reg.sym.Mirror() {
		around /= 2
		if reg.axial {
			hand /= 2
		}
	}
	return reg.embed(FromApproach(Approach{Tilt: 2 * half, Azimuth: around * turn, Roll: hand * roll}))
}

// spread returns n points evenly over the region: a Kronecker sequence in turn and roll over equal steps of height.
// The two steps are those of super-Fibonacci sampling (M. Alexa, "Super-Fibonacci spirals", CVPR 2022; from memory).
func (reg *region) spread(n int, rng *rand.Rand) []vec4 {
	shift, shift2 := rng.Float64(), rng.Float64()
	points := make([]vec4, n)
	for i := range points {
		s := float64(i) + 0.5
		_, u := math.Modf(s/superFibonacci1 + shift)
		_, v := math.Modf(s/superFibonacci2 + shift2)
		if reg.axial {
			_, v = math.Modf(s*math.Phi + shift)
		} else {
			// These steps are meant for the half angles (azimuth ± roll)/2.
			_, u = math.Modf(u + v)
			_, v = math.Modf(1 + v - u)
		}
		points[i] = reg.at(s/float64(n), u, v)
	}
	return points
}

const (
	superFibonacci1 = math.Sqrt2
	superFibonacci2 = 1.533751168755204288118041413
)
