package hand

import (
	"fmt"
	"math"
)

// Split is a node of a differential: a floating pulley or a balance bar that hands its force on to two sides, or, without
// sides, the end of one tendon. A tree of them lets one motor draw many tendons: the force on each is fixed by geometry
// alone, so a finger that meets something stops while the others go on.
type Split struct {
	Tendon          int     // at an end: which tendon, from 0
	Near, Far       *Split  // both or none
	NearArm, FarArm float64 // m, arms of a balance bar; both 0 for a floating pulley
}

// Shares returns the share of the motor's force that each of the tendons gets without friction, and, by virtual work, the
// weight of each tendon's draw in the motor's travel: travel = Σ share·drawn. A bar with arms a, b gives its sides
// b/(a+b) and a/(a+b); a pulley gives halves (DESIGN.md, eq. 12).
func (s *Split) Shares(tendons int) ([]float64, error) {
	shares := make([]float64, max(tendons, 0))
	seen := make([]bool, len(shares))
	if err := s.share(1, shares, seen, 0); err != nil {
		return nil, err
	}
	for i, ok := range seen {
		if !ok {
			return nil, fmt.Errorf("tendon %d is at no end of the differential", i)
		}
	}
	return shares, nil
}

const deepestSplit = 32

func (s *Split) share(force float64, shares []float64, seen []bool, depth int) error {
	if depth > deepestSplit {
		return fmt.Errorf("the differential has more than %d stages one after another; it may contain itself", deepestSplit)
	}
	if s.Near == nil && s.Far == nil {
		if s.Tendon < 0 || s.Tendon >= len(shares) {
			return fmt.Errorf("an end of the differential draws tendon %d; there are %d, numbered from 0", s.Tendon, len(shares))
		}
		if seen[s.Tendon] {
			return fmt.Errorf("tendon %d is at two ends of the differential", s.Tendon)
		}
		shares[s.Tendon], seen[s.Tendon] = force, true
		return nil
	}
	if s.Near == nil || s.Far == nil {
		return fmt.Errorf("a pulley or bar of the differential has one side only")
	}
	a, b := s.NearArm, s.FarArm
	if a == 0 && b == 0 {
		a, b = 1, 1
	}
	if !(a > 0 && b > 0) || math.IsInf(a+b, 0) {
		return fmt.Errorf("a bar of the differential has arms %g m and %g m; both must be above 0", a, b)
	}
	if err := s.Near.share(force*b/(a+b), shares, seen, depth+1); err != nil {
		return err
	}
	return s.Far.share(force*a/(a+b), shares, seen, depth+1)
}

// Behind returns the tendons behind a differential as the one cord that the motor sees: arms and levers add up in their
// shares, compliance (m/N) counts with the square of the share. The tendons' own motors and gains play no part.
func (s *Split) Behind(tendons []Cord, motor int) (Cord, error) {
	shares, err := s.Shares(len(tendons))
	if err != nil {
		return Cord{}, err
	}
	joints := len(tendons[0].Arms)
	sum := Cord{Motor: motor, Arms: make([]float64, joints), Closing: make([]float64, joints), Opening: make([]float64, joints)}
	for i := range tendons {
		t := &tendons[i]
		for way, to := range [...][]float64{sum.Arms, sum.Closing, sum.Opening} {
			levers := t.levers(Way(way))
			if len(levers) != joints {
				return Cord{}, fmt.Errorf("tendon %d has %d moment arms or levers where the first has %d", i, len(levers), joints)
			}
			for j, a := range levers {
				to[j] += shares[i] * a
			}
		}
		sum.Compliance += shares[i] * shares[i] * t.Compliance
	}
	return sum, nil
}

// Capstan returns the ratio of tensions on the two sides of a cord about to slip over a curve of the angle (rad):
// e^(μ·angle) (L. Euler 1769, J. A. Eytelwein 1808).
func Capstan(friction, angle float64) float64 { return math.Exp(friction * angle) }

// PulleyShares returns how a floating pulley that does not turn splits its force when the cord slips over it: the side
// that is held gets r/(1+r), the side that runs 1/(1+r), with r from [Capstan]. A pulley that turns gives halves.
func PulleyShares(friction, angle float64) (held, running float64) {
	r := Capstan(friction, angle)
	return r / (1 + r), 1 / (1 + r)
}

// TensionAlong writes the share of the tension at the motor that is left after each curve (rad) that the cord passes on its
// way to the fingertip. While fingers close the cord loses tension on every curve; while they are let go the far side is
// the tighter one.
func TensionAlong(dst, curves []float64, friction float64, closing bool) {
	if !closing {
		friction = -friction
	}
	passed := 0.0
	for i, c := range curves {
		passed += c
		dst[i] = math.Exp(-friction * passed)
	}
}

// Drag returns the tension (N) at the far end of a cord over curves of an angle in all, given the tension there before and
// the tension at the near end now. Inside the band between e^(−μ·angle) and e^(μ·angle) of the near tension the cord
// sticks and the far end keeps what it had; at the band's edge it slips. Driven up and down this runs through the
// hysteresis loop of a tendon in its sheath; it holds for a cord much stiffer than what it moves (DESIGN.md, eq. 14).
func Drag(before, near, friction, angle float64) float64 {
	r := Capstan(friction, angle)
	return math.Max(near/r, math.Min(near*r, before))
}
