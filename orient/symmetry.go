package orient

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"
	"strings"
)

// MaxFold is the largest n-fold symmetry that is accepted. Beyond it a thing is better called axial.
const MaxFold = 360

// Surroundings is the symmetry of an item, of a setting, or of both together: what may be done to them without
// anybody seeing a difference. It acts on orientations from the left. The zero value is no symmetry.
type Surroundings struct {
	// Axial: any turn about the vertical changes nothing (an upright egg on a flat table).
	Axial bool
	// Fold: a turn of 2π/Fold about the vertical changes nothing; 0 and 1 both mean no such symmetry. Not used when
	// Axial.
	Fold int
	// Mirror: the vertical plane through the setting's x is a mirror plane. When Axial, every vertical plane is.
	Mirror bool
}

// ParseSurroundings reads "none", "axial" or a fold such as "4" (also "1", the same as "none"). A mirror plane is
// written as "mirror", or as "+mirror" after one of the others.
func ParseSurroundings(text string) (Surroundings, error) {
	var s Surroundings
	base, mirror := strings.CutSuffix(strings.ToLower(strings.TrimSpace(text)), "mirror")
	if mirror {
		s.Mirror = true
		var plus bool
		if base, plus = strings.CutSuffix(base, "+"); !plus && base != "" {
			return Surroundings{}, badSurroundings(text)
		} else if !plus {
			return s, nil
		}
	}
	switch base {
	case "none":
		return s, nil
	case "axial":
		s.Axial = true
		return s, nil
	}
	fold, err := strconv.Atoi(base)
	if err != nil {
		return Surroundings{}, badSurroundings(text)
	}
	if fold > 1 {
		s.Fold = fold
	}
	if fold < 1 {
		return Surroundings{}, fmt.Errorf("symmetry %q: the fold must be at least 1", text)
	}
	return s, s.Check()
}

func badSurroundings(text string) error {
	return fmt.Errorf(`symmetry %q is not understood: write "none", "axial" or a whole number of folds such as "4", with "+mirror" after it if there is a mirror plane`, text)
}

// String writes the form that [ParseSurroundings] reads.
func (s Surroundings) String() string {
	base := "none"
	switch {
	case s.Axial:
		base = "axial"
	case s.Fold > 1:
		base = strconv.Itoa(s.Fold)
	case s.Mirror:
		return "mirror"
	}
	if s.Mirror {
		base += "+mirror"
	}
	return base
}

// Check reports a fold that is negative or larger than [MaxFold].
func (s Surroundings) Check() error {
	return checkFold("fold about the vertical", s.Fold)
}

func checkFold(what string, fold int) error {
	if fold < 0 || fold > MaxFold {
		return fmt.Errorf("%s is %d; it must lie between 1 and %d", what, fold, MaxFold)
	}
	return nil
}

// And returns the symmetry of s and t standing together: what leaves both unchanged. Folds combine to their greatest
// common divisor, a mirror plane needs both.
func (s Surroundings) And(t Surroundings) Surroundings {
	joint := Surroundings{Mirror: s.Mirror && t.Mirror}
	switch {
	case s.Axial && t.Axial:
		joint.Axial = true
	case s.Axial:
		joint.Fold = t.Fold
	case t.Axial:
		joint.Fold = s.Fold
	default:
		joint.Fold = gcd(max(s.Fold, 1), max(t.Fold, 1))
	}
	if joint.Fold <= 1 {
		joint.Fold = 0
	}
	return joint
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Symmetry says which orientations are one and the same for a hand among its surroundings. Turns of the hand about
// its palm axis act on the right, R·Rz(2πk/n); turns of item and setting about the vertical act on the left,
// Rz(2πj/m)·R. If the hand and the surroundings both have a mirror plane, R and M·R·M with M = diag(1, −1, 1) are one
// as well, since then the mirrored scene is the same scene: (tilt, azimuth, roll) ~ (tilt, −azimuth, −roll). One
// mirror plane alone makes nothing equivalent.
//
// Symmetry is a comparable value; the zero value is no symmetry. [Combine] checks its parts; a negative fold counts
// as 1.
type Symmetry struct {
	HandFold     int  // the hand looks the same after a turn of 2π/HandFold about its palm axis; 0 and 1: only after a full turn
	HandMirror   bool // the plane through palm axis and the fingers' opening (x–z in the reference pose) is a mirror plane
	Surroundings Surroundings
}

// Combine builds the symmetry of a hand with an item in a setting. It fails on a fold outside 0…[MaxFold].
func Combine(handFold int, handMirror bool, item, setting Surroundings) (Symmetry, error) {
	if err := checkFold("the hand's roll fold", handFold); err != nil {
		return Symmetry{}, err
	}
	if err := item.Check(); err != nil {
		return Symmetry{}, fmt.Errorf("item: %w", err)
	}
	if err := setting.Check(); err != nil {
		return Symmetry{}, fmt.Errorf("setting: %w", err)
	}
	return Symmetry{HandFold: handFold, HandMirror: handMirror, Surroundings: item.And(setting)}, nil
}

// Hand returns the number of rolls under which the hand looks the same, at least 1.
func (s Symmetry) Hand() int { return max(s.HandFold, 1) }

// Around returns the number of turns about the vertical under which the surroundings look the same, at least 1; it is
// 1 for axial surroundings too, whose turns are not countable.
func (s Symmetry) Around() int {
	if s.Surroundings.Axial {
		return 1
	}
	return max(s.Surroundings.Fold, 1)
}

// Axial reports whether azimuth does not matter.
func (s Symmetry) Axial() bool { return s.Surroundings.Axial }

// Mirror reports whether mirrored orientations are equivalent, which needs the hand's and the surroundings' plane.
func (s Symmetry) Mirror() bool { return s.HandMirror && s.Surroundings.Mirror }

// Order returns the number of equivalent orientations that a generic one has, itself included; for axial surroundings
// the number of one-parameter families.
func (s Symmetry) Order() int {
	n := s.Hand() * s.Around()
	if s.Mirror() {
		n *= 2
	}
	return n
}

// String describes the symmetry in words, such as "hand 2-fold with mirror plane, surroundings axial+mirror".
func (s Symmetry) String() string {
	hand := fmt.Sprintf("hand %d-fold", s.Hand())
	if s.HandMirror {
		hand += " with mirror plane"
	}
	return hand + ", surroundings " + s.Surroundings.String()
}

// Mirrored returns M·r·M with M = diag(1, −1, 1): the orientation seen in the setting's x–z plane by a hand that is
// its own mirror image. Azimuth and roll change sign.
func (r Rotation) Mirrored() Rotation { return Rotation{r.W, -r.X, r.Y, -r.Z} }

// Images returns the orientations equivalent to r by the finite part of the symmetry ([Symmetry.Order] of them), r
// first. For axial surroundings each image stands for its whole turn about the vertical. At tilt 0 and 180°, or on a
// mirror plane, some of the images coincide.
func (s Symmetry) Images(r Rotation) []Rotation {
	images := make([]Rotation, 0, s.Order())
	bases := []Rotation{r, r.Mirrored()}
	if !s.Mirror() {
		bases = bases[:1]
	}
	for _, base := range bases {
		for j := range s.Around() {
			turned := RotZ(2 * math.Pi * float64(j) / float64(s.Around())).Mul(base)
			for k := range s.Hand() {
				images = append(images, turned.Mul(RotZ(2*math.Pi*float64(k)/float64(s.Hand()))))
			}
		}
	}
	return images
}

// Distance returns the smallest geodesic angle (rad, in [0, π]) between any orientation equivalent to a and any
// equivalent to b. It is exact, for axial surroundings too.
//
// Writing a quaternion as the complex pair p = w + iz, q = x + iy, a turn α of the surroundings and a roll ρ multiply
// p by exp(i(α+ρ)/2) and q by exp(i(α−ρ)/2); for each ρ the best α follows in closed form.
func (s Symmetry) Distance(a, b Rotation) float64 {
	best := s.closest(a, b)
	if s.Mirror() {
		best = math.Min(best, s.closest(a, b.Mirrored()))
	}
	return best
}

// Closest returns the orientation equivalent to b that lies nearest to a, and its distance (rad).
func (s Symmetry) Closest(a, b Rotation) (image Rotation, distance float64) {
	image, distance = s.closestImage(a, b)
	if s.Mirror() {
		if other, d := s.closestImage(a, b.Mirrored()); d < distance {
			return other, d
		}
	}
	return image, distance
}

func (s Symmetry) closest(a, b Rotation) float64 {
	if s.Order() == 1 && !s.Axial() {
		return a.AngleTo(b)
	}
	_, d := s.closestImage(a, b)
	return d
}

func (s Symmetry) closestImage(a, b Rotation) (Rotation, float64) {
	p := complex(a.W, -a.Z) * complex(b.W, b.Z)
	q := complex(a.X, -a.Y) * complex(b.X, b.Y)
	hand, around := float64(s.Hand()), float64(s.Around())
	var alpha, rho float64
	if s.Axial() {
		// |p·e^{iρ/2} + q·e^{−iρ/2}| is largest where ρ is nearest to arg q − arg p; α then turns the sum real.
		rho = nearestMultiple(cmplx.Phase(q*cmplx.Conj(p)), 2*math.Pi/hand)
		half := cmplx.Rect(1, rho/2)
		alpha = -2 * cmplx.Phase(p*half+q*cmplx.Conj(half))
	} else {
		best := -1.0
		for k := range s.Hand() {
			r := 2 * math.Pi * float64(k) / hand
			half := cmplx.Rect(1, r/2)
			sum := p*half + q*cmplx.Conj(half)
			// |Re(e^{iα/2}·sum)|: α/2 is nearest to −arg sum modulo π.
			turn := nearestMultiple(-cmplx.Phase(sum), math.Pi/around)
			if c := math.Abs(real(sum * cmplx.Rect(1, turn))); c > best {
				best, alpha, rho = c, 2*turn, r
			}
		}
	}
	image := RotZ(alpha).Mul(b).Mul(RotZ(rho))
	return image, a.AngleTo(image)
}

func nearestMultiple(x, step float64) float64 { return step * math.Round(x/step) }

// Equivalent reports whether a and b are one orientation under s, to within tol (rad).
func (s Symmetry) Equivalent(a, b Rotation, tol float64) bool { return s.Distance(a, b) <= tol }

// boundary is how near (rad) to the edge of the canonical range an angle counts as on it, so that rounding cannot
// send two images of one orientation to opposite edges.
const boundary = 1e-9

// Canonical returns the representative of all orientations equivalent to r: azimuth in (−π/m, π/m] for m-fold
// surroundings and 0 for axial ones, roll in (−π/n, π/n] for an n-fold hand, and with a mirror the one of positive
// azimuth, or of positive roll where the azimuth is its own mirror image. At tilt 0 and 180° (within 1e-8 rad, and
// then exactly) azimuth is 0 and the roll is reduced by all turns together. It is idempotent and constant on
// equivalent orientations, up to rounding.
func (s Symmetry) Canonical(r Rotation) Rotation {
	const pole = 1e-8
	c, l := math.Hypot(r.W, r.Z), math.Hypot(r.X, r.Y)
	switch {
	case l < pole:
		return RotZ(s.poleRoll(2 * math.Atan2(r.Z, r.W))).Canonical()
	case c < pole:
		half := s.poleRoll(-2*math.Atan2(r.X, -r.Y)) / 2
		return Rotation{X: -math.Sin(half), Y: -math.Cos(half)}.Canonical()
	}
	a := r.Approach()
	a.Roll = reduce(a.Roll, s.Hand())
	if s.Axial() {
		a.Azimuth = 0
		if s.Mirror() {
			a.Roll = math.Abs(a.Roll)
		}
		return FromApproach(a)
	}
	a.Azimuth = reduce(a.Azimuth, s.Around())
	if s.Mirror() {
		ownMirror := math.Abs(a.Azimuth) <= boundary || a.Azimuth >= math.Pi/float64(s.Around())-boundary
		if a.Azimuth < -boundary || ownMirror && a.Roll < -boundary {
			a.Azimuth, a.Roll = reduce(-a.Azimuth, s.Around()), reduce(-a.Roll, s.Hand())
		}
	}
	return FromApproach(a)
}

// poleRoll reduces the roll at tilt 0 or 180°, where turns of the hand and of the surroundings are one and the same.
func (s Symmetry) poleRoll(roll float64) float64 {
	if s.Axial() {
		return 0
	}
	fold := s.Hand() / gcd(s.Hand(), s.Around()) * s.Around()
	roll = reduce(roll, fold)
	if s.Mirror() {
		roll = math.Abs(roll)
	}
	return roll
}

// reduce brings an angle (rad) into (−π/fold, π/fold] by turns of 2π/fold; within boundary of the lower end it gives
// the upper one.
func reduce(a float64, fold int) float64 {
	step := 2 * math.Pi / float64(fold)
	a = math.Remainder(a, step)
	if a <= -step/2+boundary {
		a += step
	}
	return a
}
