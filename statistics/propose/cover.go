package propose

import (
	"math"

	"holdfast/numeric"
	"holdfast/orient"
)

// CoverAngle (rad) is how far from every trial an orientation may lie after the first cover, when its size is not given.
const CoverAngle = 50 * math.Pi / 180

// DefaultCover returns the number of trials of a first cover of the candidates: as many as bring every candidate within
// [CoverAngle] of a trial.
func DefaultCover(a *Arm, seed uint64) int {
	empty := *a
	empty.Observations, empty.Pending = nil, nil
	s := newSpread(&empty, seed)
	n := 0
	for n < len(a.Candidates) && (n == 0 || s.farthest() > CoverAngle) {
		s.take()
		n++
	}
	return n
}

// spread gives candidates, each the one farthest from all orientations tried and given so far, so that every beginning of
// the list is as even as its length allows (T. F. Gonzalez, "Clustering to minimize the maximum intercluster distance",
// Theor. Comput. Sci. 38 (1985) 293: within a factor of two of the best covering; from memory).
type spread struct {
	arm     *Arm
	nearest []float64 // candidate: angle to what was tried or given
	given   int       // trials made, planned and given so far
	first   int       // candidate to begin with where nothing was tried
}

func newSpread(a *Arm, seed uint64) *spread {
	s := &spread{arm: a, nearest: make([]float64, len(a.Candidates))}
	s.first = numeric.Stream(seed, "first orientation of a cover").IntN(len(a.Candidates))
	s.forget()
	for _, o := range a.Observations {
		if o.Trials > 0 {
			s.put(o.R)
			s.given++
		}
	}
	for _, r := range a.Pending {
		s.put(r)
		s.given++
	}
	return s
}

func (s *spread) forget() {
	for i := range s.nearest {
		s.nearest[i] = math.Inf(1)
	}
}

func (s *spread) put(r orient.Rotation) {
	for i, c := range s.arm.Candidates {
		if s.nearest[i] > 0 {
			s.nearest[i] = math.Min(s.nearest[i], s.arm.Symmetry.Distance(c, r))
		}
	}
}

func (s *spread) farthest() float64 {
	most := 0.0
	for _, d := range s.nearest {
		most = math.Max(most, d)
	}
	return most
}

// take gives the next candidate and its angle to the nearest trial, infinite for the first of all.
func (s *spread) take() (candidate int, angle float64) {
	if s.farthest() == 0 {
		s.forget() // every candidate is tried: begin the next round
	}
	best := s.first
	for i, d := range s.nearest {
		if d > s.nearest[best] {
			best = i
		}
	}
	angle = s.nearest[best]
	s.nearest[best] = 0
	s.put(s.arm.Candidates[best])
	s.given++
	return best, angle
}
