package trialsim

import (
	"math"
	"slices"
	"testing"

	"holdfast/mechanics/hand"
	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

const degree = math.Pi / 180

// threeFingers is a hand of three fingers of four hinges on one cable over an ellipsoid on a table.
func threeFingers(t testing.TB) *Scene {
	t.Helper()
	s := &Scene{
		Item:    Item{Shape: shape.Ellipsoid{Semi: orient.Vec3{0.035, 0.030, 0.028}}, Rest: orient.Identity, Mass: 0.12, Friction: 1},
		Setting: Setting{Support: motion.Surface{Friction: 0.6, Stiffness: 40000, Damping: 40, Shear: 30000}},
		Gravity: 9.81, Closing: 1,
	}
	s.Hand.Skin = motion.Surface{Friction: 0.6, Stiffness: 40000, Damping: 40, Shear: 30000}
	s.Hand.Motors, s.Hand.PalmRadius = []Motor{{Travel: 0.085, Stiffness: 1000, MostForce: 30}}, 0.034
	s.Hand.Cords = []Cord{{Arms: slices.Repeat([]float64{0.008}, 12)}}
	for i := range 3 {
		phi := 2 * math.Pi * float64(i) / 3
		var joints []hand.Joint
		before := 0.0
		for _, length := range []float64{0.035, 0.030, 0.025, 0.020} {
			const r = 0.008
			mass := 1100 * math.Pi * r * r * (length + 4.0/3*r)
			joints = append(joints, hand.Joint{
				Origin: hand.Vec{Z: before}, Axis: hand.Vec{Y: -1}, Stiffness: 0.15, Damping: 0.01,
				Stops: hand.Stops{Lower: -0.8, Upper: 1.7, Stiffness: 5},
				Link:  hand.SolidCapsule(hand.Vec{}, hand.Vec{Z: length}, r, mass),
			})
			before = length
		}
		chain, err := hand.NewChain(joints)
		if err != nil {
			t.Fatal(err)
		}
		s.Hand.Fingers = append(s.Hand.Fingers, Finger{
			Chain: chain, Turn: orient.RotZ(phi).Mul(orient.RotY(20 * degree)), Root: orient.Vec3{0.016 * math.Cos(phi), 0.016 * math.Sin(phi), 0},
		})
	}
	if err := s.Check(); err != nil {
		t.Fatal(err)
	}
	return s
}

// pickPath travels to the item along a direction, closes, lifts and holds.
type pickPath struct {
	turn       orient.Rotation
	end, along orient.Vec3
	command    float64
}

func (p *pickPath) At(t float64) Flange {
	at := p.end.Add(p.along.Scale(-0.1 * (1 - blend(t/0.4))))
	at[2] += 0.15 * blend((t-0.9)/0.5)
	return Flange{at, p.turn, p.command * blend((t-0.4)/0.5)}
}

const pickSeconds = 1.7

func peerPath(tilt, azimuth, roll float64) *pickPath {
	turn := orient.RotZ(azimuth).Mul(orient.RotY(math.Pi - tilt)).Mul(orient.RotZ(roll))
	low := 0.0
	for i := range 3 {
		phi, rho := 2*math.Pi*float64(i)/3, 0.016+0.110*math.Sin(20*degree)
		tip := turn.Apply(orient.Vec3{rho * math.Cos(phi), rho * math.Sin(phi), 0.110 * math.Cos(20*degree)})
		low = math.Max(low, -tip[2]+0.008)
	}
	along := orient.Vec3{math.Sin(tilt) * math.Cos(azimuth), math.Sin(tilt) * math.Sin(azimuth), -math.Cos(tilt)}
	stand := math.Min(math.Max((low-0.028-0.005)/math.Cos(tilt), 0.050), 0.095)
	return &pickPath{turn: turn, end: orient.Vec3{0, 0, 0.028}.Add(along.Scale(-stand)), along: along, command: 1}
}

// splitmix is the generator of the peer's program, so that both try the same poses.
type splitmix uint64

func (s *splitmix) uniform() float64 {
	*s += 0x9E3779B97F4A7C15
	z := uint64(*s)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return float64((z^z>>31)>>11) / (1 << 53)
}

func pick(g *Stage, path Path, h float64) (height, grip float64) {
	g.Start(path, orient.Vec3{0, 0, 0.028}, orient.Identity)
	n := int(math.Round(pickSeconds / h))
	last := int(math.Round(0.1 / h))
	for i := range n {
		g.Step(path, h)
		if i >= n-last {
			grip += g.Grip / float64(last)
		}
	}
	return g.Item.Position[2], grip
}

func BenchmarkPick(b *testing.B) {
	g := NewStage(threeFingers(b))
	path := peerPath(20*degree, 1, 2)
	b.ReportAllocs()
	for b.Loop() {
		pick(g, path, 1e-3)
	}
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/1700, "µs/step")
}
