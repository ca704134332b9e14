// Package peerscene holds the scene on which simulated picks are measured beside a general-purpose physics engine: three
// fingers of four hinges on one cable take an ellipsoid from a table. It tells the same hand, item and motion to our own
// simulation and to the engine, which it builds and runs (see engine.go).
package peerscene

import (
	"math"
	"slices"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/mechanics/trialsim"
	"holdfast/orient"
)

const degree = math.Pi / 180

// Hand is a hand of straight fingers that stand evenly on a circle and lean outwards, all on one cable.
type Hand struct {
	Fingers   int
	Lengths   []float64 // m, of the links
	Stiffness []float64 // N m/rad, of the joints before them
	Arms      []float64 // m, of the cable at the joints
	Damping   float64   // N m s/rad
	Radius    float64   // m, of the links
	Density   float64   // kg/m³
	Circle    float64   // m, on which the fingers stand
	Splay     float64   // rad, by which they lean outwards
}

// Peer is the hand of the scene.
func Peer() Hand {
	return Hand{
		Fingers: 3, Lengths: []float64{0.035, 0.030, 0.025, 0.020}, Stiffness: []float64{0.15, 0.15, 0.15, 0.15},
		Arms: []float64{0.008, 0.008, 0.008, 0.008}, Damping: 0.01, Radius: 0.008, Density: 1100, Circle: 0.016, Splay: 20 * degree,
	}
}

// Surface is what fingers, item and table are made of where nothing else is said: hard, as in the tests of picks.
func Surface() motion.Surface {
	return motion.Surface{Friction: 0.6, Stiffness: 40000, Damping: 40, Shear: 30000}
}

const (
	pull       = 0.085 // m of cable at a command of 1
	itemHeight = 0.028 // m, of the resting item's centre
)

// Scene is the hand over the ellipsoid on the table.
func (h Hand) Scene(surface motion.Surface) (*trialsim.Scene, error) {
	s := &trialsim.Scene{
		Item:    trialsim.Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{0.035, 0.030, itemHeight}}, Rest: orient.Identity, Mass: 0.12, Friction: 1},
		Setting: trialsim.Setting{Support: surface},
		Gravity: 9.81, Closing: 1,
	}
	s.Hand.Skin, s.Hand.PalmRadius = surface, 0.034
	s.Hand.Motors = []trialsim.Motor{{Travel: pull, Stiffness: 1000, MostForce: 30}}
	s.Hand.Cords = []trialsim.Cord{{Arms: slices.Repeat(h.Arms, h.Fingers)}}
	for i := range h.Fingers {
		var joints []hand.Joint
		before := 0.0
		for j, length := range h.Lengths {
			r := h.Radius
			joints = append(joints, hand.Joint{
				Origin: hand.Vec{Z: before}, Axis: hand.Vec{Y: -1}, Stiffness: h.Stiffness[j], Damping: h.Damping,
				Stops: hand.Stops{Lower: -0.8, Upper: 1.7, Stiffness: 5},
				Link:  hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: length}, r, h.Density*math.Pi*r*r*(length+4.0/3*r)),
			})
			before = length
		}
		chain, err := hand.NewChain(joints)
		if err != nil {
			return nil, err
		}
		phi := h.around(i)
		s.Hand.Fingers = append(s.Hand.Fingers, trialsim.Finger{
			Chain: chain, Turn: orient.RotZ(phi).Mul(orient.RotY(h.Splay)),
			Root: orient.Vec3{h.Circle * math.Cos(phi), h.Circle * math.Sin(phi), 0},
		})
	}
	return s, s.Check()
}

func (h Hand) around(finger int) float64 { return 2 * math.Pi * float64(finger) / float64(h.Fingers) }

// Attempt is a motion of the palm and the cable: it travels to its end along a direction, closes, lifts and holds.
type Attempt struct {
	Turn    orient.Rotation // of the palm
	End     orient.Vec3     // m, where it closes
	Along   orient.Vec3     // unit, the direction in which it gets there
	Back    float64         // m, how far it stands back at first
	Lift    float64         // m
	Command float64         // 0…1, closing
	Seconds float64         // from start to end; the last 0.1 s are what the grip is the mean over
}

// When the parts of an attempt end, s.
const (
	arrived = 0.4
	closed  = 0.9
	lifted  = 1.4
	// Seconds is how long an attempt takes.
	Seconds = 1.7
	settled = 0.1 // the last part, over which forces are averaged
)

// Held is the height (m) above which an item counts as held.
const Held = 0.1

// blend goes from 0 to 1 with no speed and no acceleration at both ends.
func blend(u float64) float64 {
	if u <= 0 {
		return 0
	}
	if u >= 1 {
		return 1
	}
	return u * u * u * (10 - 15*u + 6*u*u)
}

// At is the motion as [trialsim.Path] has it.
func (a *Attempt) At(t float64) trialsim.Flange {
	at := a.End.Add(a.Along.Scale(-a.Back * (1 - blend(t/arrived))))
	at[2] += a.Lift * blend((t-closed)/(lifted-closed))
	return trialsim.Flange{Place: at, Turn: a.Turn, Command: a.Command * blend((t-arrived)/(closed-arrived))}
}

// Pose is how the hand comes: tilt from straight down, azimuth about the vertical, roll about its own direction (rad).
type Pose struct{ Tilt, Azimuth, Roll float64 }

// Poses draws poses with tilts up to 60°, the same for a seed at all times.
func Poses(seed uint64, n int) []Pose {
	s := splitmix(seed)
	poses := make([]Pose, n)
	for i := range poses {
		poses[i] = Pose{60 * degree * s.uniform(), 2 * math.Pi * s.uniform(), 2 * math.Pi * s.uniform()}
	}
	return poses
}

// splitmix is a generator that is written in a few lines in any language, so that every program tries the same poses.
type splitmix uint64

func (s *splitmix) uniform() float64 {
	*s += 0x9E3779B97F4A7C15
	z := uint64(*s)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return float64((z^z>>31)>>11) / (1 << 53)
}

// Attempt is the pick at a pose: the open hand goes 5 mm past where its lowest finger meets the table, but the palm stays
// 50 to 95 mm from the item's centre.
func (h Hand) Attempt(p Pose) *Attempt {
	turn := orient.RotZ(p.Azimuth).Mul(orient.RotY(math.Pi - p.Tilt)).Mul(orient.RotZ(p.Roll))
	length := 0.0
	for _, l := range h.Lengths {
		length += l
	}
	low := 0.0
	for i := range h.Fingers {
		phi, rho := h.around(i), h.Circle+length*math.Sin(h.Splay)
		tip := turn.Apply(orient.Vec3{rho * math.Cos(phi), rho * math.Sin(phi), length * math.Cos(h.Splay)})
		low = math.Max(low, -tip[2]+h.Radius)
	}
	along := orient.Vec3{math.Sin(p.Tilt) * math.Cos(p.Azimuth), math.Sin(p.Tilt) * math.Sin(p.Azimuth), -math.Cos(p.Tilt)}
	stand := math.Min(math.Max((low-itemHeight-0.005)/math.Cos(p.Tilt), 0.050), 0.095)
	end := orient.Vec3{0, 0, itemHeight}.Add(along.Scale(-stand))
	return &Attempt{Turn: turn, End: end, Along: along, Back: 0.1, Lift: 0.15, Command: 1, Seconds: Seconds}
}

// Result is how an attempt ended.
type Result struct {
	Height  float64   // m, of the item's centre
	Grip    float64   // N, normal forces of the hand on the item, mean over the last 0.1 s
	Tension float64   // N, of the cable, likewise
	Astray  float64   // m, the palm's largest distance from its path; none on our own stage
	Angles  []float64 // rad
}

// Run makes an attempt on our own stage with steps of h seconds. Angles stay nil: the stage has them.
func Run(g *trialsim.Stage, a *Attempt, h float64) (r Result) {
	g.Start(a, orient.Vec3{0, 0, itemHeight}, orient.Identity)
	n, last := int(math.Round(a.Seconds/h)), int(math.Round(settled/h))
	for i := range n {
		g.Step(a, h)
		if i >= n-last {
			r.Grip += g.Grip / float64(last)
			r.Tension += g.Tension / float64(last)
		}
	}
	r.Height = g.Item.Position[2]
	return r
}
