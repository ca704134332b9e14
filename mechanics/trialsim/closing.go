package trialsim

import (
	"context"
	"errors"
	"fmt"
	"math"

	"holdfast/mechanics/motion"
	"holdfast/mechanics/shape"
	"holdfast/orient"
)

// Closed is how a hand stands at one closing command, when all has come to rest. Places are in the palm's frame: the fingers
// reach along z.
type Closed struct {
	Command float64
	Joints  []float64        // rad (m for those that slide), of all fingers in their order
	Links   [][2]orient.Vec3 // m, the capsules' ends
	Tips    []orient.Vec3    // m, the ends of the fingers
	// Tensions (N) are the cords', Drawn (m) what each finger has taken of them: cord by cord, finger by finger. Pressures (Pa)
	// are the chambers'.
	Tensions, Drawn, Pressures []float64
	// Bent is by how much each finger's last link has turned against rest (rad): in the sense in which it began to, and counted
	// on beyond half a turn.
	Bent []float64
	// Grip is the sum of all normal forces on the item, Fingers those of each finger, OnPalm that of the palm (N).
	Grip    float64
	Fingers []float64
	OnPalm  float64
	// Contacts are those of hand and item.
	Contacts []Contact
	// Rest says that everything had come to rest before the next command; else the values are those after the longest wait.
	Rest bool
}

// Closing is a slow closing of a hand: without gravity, with the palm standing still and its wrist stiff.
type Closing struct {
	Links []FilmLink
	Steps []Closed
}

// Limits of what is asked for.
const (
	mostClosingSteps = 200
	mostSizes        = 40
)

// Times of a slow closing, s: a step of the command is reached within the first and then left to settle, at most for the last.
const (
	closingStep = 1e-3
	commandTime = 0.02
	longestWait = 1.0
	quietSteps  = 5
)

// stillSpeed (rad/s; a hundredth of it in m/s for those that slide) is the speed below which joints count as still.
const stillSpeed = 1e-3

// CloseFreely closes the hand slowly from a command of 0 to 1 in so many even steps, with nothing between its fingers but
// themselves. With pressure fingers it is their bending against pressure.
func CloseFreely(ctx context.Context, h *Hand, steps int) (*Closing, error) {
	c, err := newCloser(h, nil, 0, 0)
	if err != nil {
		return nil, err
	}
	return c.close(ctx, steps)
}

// CloseAround does the same around an item whose middle stands fixed on the palm's axis at a distance (m) from the palm, with
// its own axes along the palm's. Friction is the item's share of the skin's (1: clean and dry).
func CloseAround(ctx context.Context, h *Hand, item shape.Solid, distance, friction float64, steps int) (*Closing, error) {
	if item == nil {
		return nil, errors.New("there is no item to close around")
	}
	c, err := newCloser(h, item, distance, friction)
	if err != nil {
		return nil, err
	}
	return c.close(ctx, steps)
}

// UsualDistance is where (m before the palm) an item's middle stands unless something else is asked for: as deep as the item
// lets it, but not deeper than 0.7 of the way to the tips, where fingers can still close around it.
func UsualDistance(h *Hand, item shape.Solid) float64 {
	tips := 0.0
	for i := range h.Fingers {
		f := &h.Fingers[i]
		state := f.Chain.NewState()
		state.Base.Turn, state.Base.Position = turnOf(f.Turn), vec(f.Root)
		state.Update()
		_, tip, _ := state.Capsule(f.Chain.Joints() - 1)
		tips = math.Max(tips, tip.Z)
	}
	return math.Max(back(item)+palmGap, 0.7*tips)
}

// back is how far (m) a solid reaches from its middle towards the palm.
func back(item shape.Solid) float64 { return -item.Support(orient.Vec3{0, 0, -1})[2] }

// GripMap is the grip (N) on several items, at even steps of the command from 0 to 1.
type GripMap struct {
	Commands  []float64
	Distances []float64   // m, of each item's middle from the palm
	Grip      [][]float64 // by item, then command
	// Fingers counts how many fingers touch the item.
	Fingers [][]int
}

// MapGrip closes the hand around one item after the other, such as one shape in several sizes.
func MapGrip(ctx context.Context, h *Hand, items []shape.Solid, friction float64, steps int) (*GripMap, error) {
	if len(items) == 0 || len(items) > mostSizes {
		return nil, fmt.Errorf("a map of grip takes 1 to %d items; there are %d", mostSizes, len(items))
	}
	m := &GripMap{}
	for _, item := range items {
		if item == nil {
			return nil, errors.New("there is no item to close around")
		}
		distance := UsualDistance(h, item)
		c, err := CloseAround(ctx, h, item, distance, friction, steps)
		if err != nil {
			return nil, err
		}
		m.Distances = append(m.Distances, distance)
		grip, fingers := make([]float64, len(c.Steps)), make([]int, len(c.Steps))
		m.Commands = m.Commands[:0]
		for i := range c.Steps {
			s := &c.Steps[i]
			m.Commands = append(m.Commands, s.Command)
			grip[i] = s.Grip
			for _, f := range s.Fingers {
				if f > 0 {
					fingers[i]++
				}
			}
		}
		m.Grip, m.Fingers = append(m.Grip, grip), append(m.Fingers, fingers)
	}
	return m, nil
}

// closer is a stage with a hand that nobody moves and an item that nothing moves.
type closer struct {
	stage  *Stage
	scene  Scene
	solid  shape.Solid
	sample Sample
	at     Flange
	curls  []curl
}

// curl follows how far a finger's last link has turned.
type curl struct {
	rest, axis orient.Vec3 // where it points at rest; about what it began to turn, zero before it has
	angle      float64
}

func (k *curl) follow(now orient.Vec3) {
	turn := k.rest.Cross(now)
	if k.axis == (orient.Vec3{}) {
		// A degree, so that no tremble decides.
		if size := turn.Norm(); size > math.Pi/180 {
			k.axis = turn.Scale(1 / size)
		} else {
			k.angle = size
			return
		}
	}
	k.angle += math.Remainder(math.Atan2(turn.Dot(k.axis), now.Dot(k.rest))-k.angle, 2*math.Pi)
}

// heavy (kg) is an item that the fingers can not move: 30 N on it for a minute move it by less than a tenth of a micrometre. Lighter
// ones back away slowly, and the grip falls. away (m) is a place far from everything else.
const (
	heavy = 1e12
	away  = 50.0
)

func newCloser(h *Hand, solid shape.Solid, distance, friction float64) (*closer, error) {
	c := &closer{solid: solid}
	s := &c.scene
	s.Hand = *h
	s.Hand.Wrist = Wrist{}
	s.Hand.Chambers = append([]Chamber(nil), h.Chambers...)
	for i := range s.Hand.Chambers {
		// A slow closing waits for the air.
		s.Hand.Chambers[i].Filling, s.Hand.Chambers[i].Venting = 0, 0
	}
	s.Setting.Support = motion.Surface{Friction: 0.5, Stiffness: 1e4, Shear: 1e4}
	s.Item = Item{Shape: solid, Rest: orient.Identity, Mass: heavy, Friction: friction}
	place := orient.Vec3{0, 0, 2 * away}
	if solid == nil {
		s.Item.Shape, s.Item.Friction = shape.Ellipsoid{Semi: orient.Vec3{0.01, 0.01, 0.01}}, 1
	} else {
		place = orient.Vec3{0, 0, away + distance}
		if !(distance >= back(solid)) || math.IsInf(distance, 0) {
			return nil, fmt.Errorf("an item that reaches %.0f mm back from its middle can not stand with it %.0f mm before the palm", back(solid)*1e3, distance*1e3)
		}
	}
	if err := s.Check(); err != nil {
		return nil, err
	}
	c.at = Flange{Place: orient.Vec3{0, 0, away}, Turn: orient.Identity}
	c.sample = s.Item.Average(place, orient.Identity)
	c.stage = NewStage(s)
	return c, nil
}

func (c *closer) close(ctx context.Context, steps int) (*Closing, error) {
	if steps < 1 || steps > mostClosingSteps {
		return nil, fmt.Errorf("a closing in %d steps; 1 to %d can be asked for", steps, mostClosingSteps)
	}
	g := c.stage
	g.Begin(c.at, []Sample{c.sample})
	out := &Closing{}
	for i := range g.fingers {
		for j, r := range g.fingers[i].radius {
			if r > 0 {
				out.Links = append(out.Links, FilmLink{Finger: i, Joint: j, Radius: r})
			}
		}
	}
	c.curls = c.curls[:0]
	for i := range g.fingers {
		c.curls = append(c.curls, curl{rest: g.fingers[i].pointing()})
	}
	for k := range steps + 1 {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		from, to := g.drive.command, float64(k)/float64(steps)
		begun, quiet := g.Time, 0
		for quiet < quietSteps && g.Time-begun < longestWait {
			next := c.at
			next.Command = from + (to-from)*math.Min(1, (g.Time+closingStep-begun)/commandTime)
			g.Advance(next, closingStep)
			for i := range c.curls {
				c.curls[i].follow(g.fingers[i].pointing())
			}
			quiet++
			if g.Time-begun < 2*commandTime || !c.still() {
				quiet = 0
			}
			if !finite(g.v...) {
				return nil, fmt.Errorf("the fingers run away at a closing command of %.3g; the hand's springs and masses do not fit together", next.Command)
			}
		}
		out.Steps = append(out.Steps, c.look(to, quiet >= quietSteps))
	}
	return out, nil
}

// still says that no joint moves to speak of.
func (c *closer) still() bool {
	for i := range c.stage.fingers {
		s := c.stage.fingers[i].state
		for j, v := range s.Speed {
			most := stillSpeed
			if s.Chain().Joint(j).Slides {
				most /= 100
			}
			if math.Abs(v) > most {
				return false
			}
		}
	}
	return true
}

// pointing is where the last link points, as it was last placed.
func (f *finger) pointing() orient.Vec3 {
	way := sub(f.to[f.n-1], f.from[f.n-1])
	if size := way.Norm(); size > 0 {
		return way.Scale(1 / size)
	}
	return orient.Vec3{0, 0, 1}
}

// look takes down how everything stands. The palm is not turned, so its frame is the world's, shifted.
func (c *closer) look(command float64, rest bool) Closed {
	g := c.stage
	palm := c.at.Place
	s := Closed{Command: command, Rest: rest, Fingers: make([]float64, len(g.fingers)), Pressures: append([]float64(nil), g.drive.pressure...)}
	for i := range g.fingers {
		f := &g.fingers[i]
		f.state.Update()
		f.place()
		c.curls[i].follow(f.pointing())
		s.Bent = append(s.Bent, c.curls[i].angle)
		for j, r := range f.radius {
			if r > 0 {
				s.Links = append(s.Links, [2]orient.Vec3{sub(f.from[j], palm), sub(f.to[j], palm)})
			}
		}
		s.Tips = append(s.Tips, sub(f.to[f.n-1], palm))
		s.Joints = append(s.Joints, f.state.Q...)
	}
	for i := range g.drive.cords {
		s.Tensions = append(s.Tensions, g.drive.tension(i, closingStep))
		for k := range g.fingers {
			drawn := 0.0
			for j, q := range g.fingers[k].state.Q {
				drawn += c.scene.Hand.Cords[i].Arms[g.fingers[k].first+j] * q
			}
			s.Drawn = append(s.Drawn, drawn)
		}
	}
	for i := range g.pairs {
		p := &g.pairs[i]
		if p.load <= 0 || c.solid == nil || p.to.Kind != Thing || !p.from.ofHand() {
			continue
		}
		contact := p.contact()
		contact.Point = sub(contact.Point, palm)
		s.Contacts = append(s.Contacts, contact)
		s.Grip += p.load
		if p.from.Kind == Link {
			s.Fingers[p.from.Index] += p.load
		} else {
			s.OnPalm += p.load
		}
	}
	return s
}
