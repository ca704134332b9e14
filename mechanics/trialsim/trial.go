package trialsim

import (
	"errors"
	"math"
	"math/rand/v2"

	"holdfast/mechanics/shape"
	"holdfast/numeric"
	"holdfast/orient"
)

// Attempt is what one trial is asked to do.
type Attempt struct {
	Orientation orient.Rotation
	Closing     float64 // 0…1
	Seed        uint64  // with Number it decides sizes, masses, places: the same both give the same trial
	Number      int
	// Offset is how far the item is put from where it is believed to be on purpose (m along x and y); the scene's error of
	// placement comes on top.
	Offset [2]float64
}

// RandomOrientation is even over the approach directions up to a tilt (rad, 0 to π), and over rolls. Seed and number decide it.
func RandomOrientation(seed uint64, number int, tiltMax float64) orient.Rotation {
	r := numeric.Stream(seed, "simulated orientation", number)
	down := 1 - r.Float64()*(1-math.Cos(tiltMax))
	return orient.FromApproach(orient.Approach{Tilt: math.Acos(down), Azimuth: 2 * math.Pi * r.Float64(), Roll: 2 * math.Pi * r.Float64()})
}

// Outcome is how a trial ended; the words are those of the record of real trials.
type Outcome string

// The outcomes that the physics can have. A trial that the planner refuses is void.
const (
	Held    Outcome = "held"
	Dropped Outcome = "dropped"
	Slipped Outcome = "slipped"
	Missed  Outcome = "missed"
	Pushed  Outcome = "pushed"
	Damaged Outcome = "damaged"
	Stopped Outcome = "stopped"
	Void    Outcome = "void"
)

// Result is what came of a trial.
type Result struct {
	Outcome Outcome
	Reason  string
	// Measured is the orientation that the hand really had, Offset how far the item really lay from where it was believed (m).
	Measured orient.Rotation
	Offset   orient.Vec3
	// Size is the item's as it really was: the geometric mean of its lengths (m); Mass is in kg.
	Size, Mass float64
	Seconds    float64
	// PeakForce is the largest force of one contact of hand or surroundings on the item while the trial lasted (N), PeakPressure
	// the largest under skin (Pa; 0 without moduli), Grip the mean sum of the hand's normal forces over the last tenth of a
	// second of the hold (N; 0 when nothing was held then).
	PeakForce, PeakPressure, Grip float64
	// Contacts are those of hand and item at the end of the hold, when the item's centre of mass was at Centre (m).
	Contacts []Contact
	Centre   orient.Vec3
	Ended    []string // how each phase ended: time, force, contact, touch, distance
	Touch    *Touch   // the first that the hand's pads felt; nil: nothing
	Steps    int
}

// Contact is where two parts push each other.
type Contact struct {
	From, To Part
	Point    orient.Vec3 // m, world
	Normal   orient.Vec3 // unit, from the one to the other
	Force    orient.Vec3 // N, on the second
	Friction float64     // Coulomb's coefficient
	Sliding  bool
}

// Observer is shown the stage after each step.
type Observer interface {
	Step(b *Bench)
}

// Bench runs trials of one scene, one after the other. It belongs to one goroutine; trials do not depend on those before.
type Bench struct {
	Stage   *Stage
	scene   *Scene
	planner *Planner
	robot   robot
	step    float64
	samples []Sample
	filled  shape.Solid // the item of mean size
	log     log
}

// DefaultStep is the time step (s) that trials are run with unless another is asked for.
const DefaultStep = 1e-3

// NewBench makes a bench for a scene with its strategy; both are checked. A step of 0 stands for [DefaultStep].
func NewBench(s *Scene, step float64) (*Bench, error) {
	if err := errors.Join(s.Check(), s.Strategy.Check()); err != nil {
		return nil, err
	}
	if step == 0 {
		step = DefaultStep
	}
	if !(step >= 1e-5 && step <= 4e-3) {
		return nil, errors.New("the time step must lie between 0.01 and 4 ms")
	}
	filled, err := s.Item.filled()
	if err != nil {
		return nil, err
	}
	return &Bench{Stage: NewStage(s), scene: s, planner: NewPlanner(s), step: step, samples: make([]Sample, 1+len(s.Setting.Neighbours)), filled: filled}, nil
}

// Phase returns the number of the phase that the robot is at, from 0, and its name; after the last the number of phases.
func (b *Bench) Phase() (int, string) {
	if l := b.robot.phase(); l != nil {
		return b.robot.leg, l.label()
	}
	return b.robot.leg, ""
}

// Flange returns where the robot has been told to go and the closing command.
func (b *Bench) Flange() Flange { return b.robot.now }

// normal draws from the standard normal, no farther out than three.
func normal(r *rand.Rand) float64 {
	for {
		if x := r.NormFloat64(); math.Abs(x) <= 3 {
			return x
		}
	}
}

// draw lays out the items of a trial and says how the hand is really turned.
func (b *Bench) draw(a *Attempt) (measured orient.Rotation, offset orient.Vec3) {
	r := numeric.Stream(a.Seed, "simulated trial", a.Number)
	s := b.scene
	it := &s.Item
	offset = orient.Vec3{s.Error.X * normal(r), s.Error.Y * normal(r), 0}
	offset[0], offset[1] = offset[0]+a.Offset[0], offset[1]+a.Offset[1]
	axis := orient.Vec3{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
	measured = orient.AboutAxis(axis, s.Error.Angle*normal(r)).Mul(a.Orientation)
	if s.Error.Angle == 0 {
		measured = a.Orientation
	}
	for i := range b.samples {
		p := &b.samples[i]
		scale := 1 + it.SizeSpread*normal(r)
		*p = Sample{
			Solid: b.filled, Mass: it.Mass * scale * scale * scale * (1 + it.MassSpread*normal(r)),
			Friction: it.Friction * (1 + it.FrictionSpread*normal(r)), Stiffness: it.Stiffness * (1 + it.StiffnessSpread*normal(r)),
		}
		if it.SizeSpread > 0 {
			p.Solid = b.filled.Scaled(scale)
		}
		p.Mass, p.Friction = math.Max(p.Mass, it.Mass/20), math.Max(p.Friction, 0)
		p.Turn = orient.RotZ(it.Heading * normal(r)).Mul(it.Rest)
		down := p.Turn.Inverse().Apply(orient.Vec3{0, 0, -1})
		p.Place = orient.Vec3{offset[0], offset[1], p.Solid.Support(down).Dot(down)}
		if i > 0 {
			n := s.Setting.Neighbours[i-1]
			p.Place[0], p.Place[1] = n[0], n[1]
		}
		if it.Centre != (orient.Vec3{}) {
			// What lies there is the shape's middle; the centre of mass lies beside it.
			out := p.Turn.Apply(it.Centre.Scale(scale))
			p.Place[0], p.Place[1] = p.Place[0]+out[0], p.Place[1]+out[1]
		}
	}
	return measured, offset
}

// Run carries one attempt out. The observer, if any, is shown every step. An error means that the attempt makes no sense; an
// orientation that can not be tried gives a void result with its reason.
func (b *Bench) Run(a Attempt, watch Observer) (Result, error) {
	if !(a.Closing >= 0 && a.Closing <= 1) || math.Abs(a.Orientation.Norm()-1) > 1e-6 {
		return Result{}, errors.New("an attempt needs a closing command from 0 to 1 and a unit quaternion")
	}
	measured, offset := b.draw(&a)
	extents := b.samples[0].Solid.Extents()
	result := Result{Measured: measured, Offset: offset, Mass: b.samples[0].Mass, Size: 2 * math.Cbrt(extents[0]*extents[1]*extents[2])}
	// The plan is made for what was asked and for where the item is believed to lie: the origin. The hand's own error of
	// orientation turns the whole hand about the believed middle without anybody knowing.
	plan, err := b.planner.Plan(a.Orientation, a.Closing, 0, 0)
	if err != nil {
		result.Outcome, result.Reason = Void, err.Error()
		var no *Impossible
		if !errors.As(err, &no) {
			return result, err
		}
		return result, nil
	}
	plan.swerve(measured.Mul(a.Orientation.Inverse()))
	b.robot.begin(plan)
	b.Stage.Begin(plan.Start, b.samples)
	b.log.begin(b)
	g := b.Stage
	for !b.robot.done() && !b.log.over {
		g.Advance(b.robot.next(g.Time, b.step, g.Felt), b.step)
		b.robot.feel(g)
		b.log.step(b)
		result.Steps++
		if watch != nil {
			watch.Step(b)
		}
	}
	b.log.judge(b, &result)
	result.Seconds, result.Ended = g.Time, append([]string(nil), b.robot.ended...)
	if b.robot.touch != nil {
		first := b.robot.first
		result.Touch = &first
	}
	return result, nil
}

// swerve turns all poses by what the robot does not know, about the believed middle of the item.
func (p *Plan) swerve(by orient.Rotation) {
	if by == orient.Identity {
		return
	}
	turn := func(f *Flange) {
		f.Place = p.Middle.Add(by.Apply(sub(f.Place, p.Middle)))
		f.Turn = by.Mul(f.Turn)
	}
	turn(&p.Start)
	for i := range p.Legs {
		if p.Legs[i].Do == Move {
			turn(&p.Legs[i].Goal)
		}
	}
}
