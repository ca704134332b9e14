package trialsim

import (
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// Film is a trial as it went, for drawing it again. Everything is in the setting's frame, SI.
type Film struct {
	Rate   float64 // frames a second
	Palm   float64 // m, the palm's radius
	Links  []FilmLink
	Items  []shape.Mesh // outlines in the items' own frames
	Edge   bool
	EdgeAt float64
	Blocks []Block
	Phases []string
	Frames []Frame
}

// FilmLink is a link of a finger: which, and how thick.
type FilmLink struct {
	Finger, Joint int // from 0
	Radius        float64
}

// Frame is one moment of a film.
type Frame struct {
	Time    float64
	Phase   int
	Command float64
	Palm    Pose
	Links   [][2]orient.Vec3 // the capsules' ends
	Items   []Pose
	// Joints are the angles of all fingers in their order (rad; m for those that slide).
	Joints []float64
	// Tensions (N) and Drawn (m, by each finger: cord by cord, finger by finger) are the cords', Pressures (Pa) the chambers'.
	Tensions, Drawn, Pressures []float64
	Contacts                   []Contact
	Grip                       float64     // N, sum of the hand's normal forces on the item
	OnItem, Felt               orient.Vec3 // N
}

// Pose is where a body is.
type Pose struct {
	Place orient.Vec3
	Turn  orient.Rotation
}

// outlineDetail is how finely items are drawn.
const outlineDetail = 8

// Camera makes a film of a trial. Give it to [Bench.Run].
type Camera struct {
	Film Film
	next float64
}

// NewCamera takes so many frames a second.
func NewCamera(rate float64) *Camera { return &Camera{Film: Film{Rate: rate}} }

// Step takes a frame when it is time for one.
func (c *Camera) Step(b *Bench) {
	g := b.Stage
	if len(c.Film.Frames) == 0 {
		c.begin(b)
	}
	if g.Time < c.next-1e-9 && !b.robot.done() && !b.log.over {
		return
	}
	c.next = float64(len(c.Film.Frames)+1) / c.Film.Rate
	c.Film.Frames = append(c.Film.Frames, b.frame())
}

func (c *Camera) begin(b *Bench) {
	s, g := b.scene, b.Stage
	c.Film.Palm, c.Film.Edge, c.Film.EdgeAt, c.Film.Blocks = s.Hand.PalmRadius, s.Setting.Edge, s.Setting.EdgeAt, s.Setting.Blocks
	for i := range g.fingers {
		for j, r := range g.fingers[i].radius {
			if r > 0 {
				c.Film.Links = append(c.Film.Links, FilmLink{Finger: i, Joint: j, Radius: r})
			}
		}
	}
	for i := range g.items {
		c.Film.Items = append(c.Film.Items, g.items[i].solid.Outline(outlineDetail))
	}
	for i := range b.robot.plan.Legs {
		c.Film.Phases = append(c.Film.Phases, b.robot.plan.Legs[i].label())
	}
}

func (b *Bench) frame() Frame {
	g := b.Stage
	phase, _ := b.Phase()
	place, turn := g.Palm()
	f := Frame{Time: g.Time, Phase: phase, Command: b.robot.now.Command, Palm: Pose{place, turn}, Grip: g.Grip, OnItem: g.OnItem, Felt: g.Felt,
		Pressures: append([]float64(nil), g.drive.pressure...)}
	for i := range g.fingers {
		finger := &g.fingers[i]
		finger.state.Update()
		finger.place()
		for j, r := range finger.radius {
			if r > 0 {
				f.Links = append(f.Links, [2]orient.Vec3{finger.from[j], finger.to[j]})
			}
		}
		f.Joints = append(f.Joints, finger.state.Q...)
	}
	for i := range g.drive.cords {
		c := &b.scene.Hand.Cords[i]
		f.Tensions = append(f.Tensions, g.drive.tension(i, b.step))
		for k := range g.fingers {
			drawn := 0.0
			for j, q := range g.fingers[k].state.Q {
				drawn += c.Arms[g.fingers[k].first+j] * q
			}
			f.Drawn = append(f.Drawn, drawn)
		}
	}
	for i := range g.items {
		f.Items = append(f.Items, Pose{g.items[i].Position, g.items[i].Turn})
	}
	for i := range g.pairs {
		if p := &g.pairs[i]; p.load > 0 {
			f.Contacts = append(f.Contacts, p.contact())
		}
	}
	return f
}

// tension is a cord's in the last step of h seconds, N.
func (d *drive) tension(i int, h float64) float64 { return d.rows[d.cords[i].row].Impulse / h }
