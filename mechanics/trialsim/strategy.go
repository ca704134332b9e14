package trialsim

import (
	"fmt"
	"math"
)

// Motion is what one phase of a strategy does.
type Motion string

// The motions. A phase that closes while it presses or slides says so by its command.
const (
	Move   Motion = "move"   // to a place that the planner works out
	Press  Motion = "press"  // on along the approach direction until a force
	Slide  Motion = "slide"  // along the support until a force or a distance
	Close  Motion = "close"  // the hand alone moves
	Comply Motion = "comply" // the robot gives way to what pushes the hand
	Lift   Motion = "lift"   // straight up
	Hold   Motion = "hold"   // stand still
	Shake  Motion = "shake"  // to and fro sideways
	Adjust Motion = "adjust" // the palm moves by what the first touch of the hand's pads asks for
)

// Motions lists all motions.
var Motions = []Motion{Move, Press, Slide, Close, Comply, Lift, Hold, Shake, Adjust}

// Place names where a move ends. The planner works them out from the family of the item, its believed position, the hand, the
// setting and the orientation.
type Place string

// The places.
const (
	Above  Place = "above"  // back along the approach direction by the standoff, clear of everything
	Grasp  Place = "grasp"  // as deep over the item as palm and support allow, touching neither
	Tips   Place = "tips"   // as Grasp, but until the tips just meet the support
	Behind Place = "behind" // beside the item on the side away from where it will be slid to, tips at the support
	Back   Place = "back"   // as Behind, with the hand pointing straight down
	Top    Place = "top"    // straight above the item with the hand pointing down, tips just off it
	Beyond Place = "beyond" // outside the support's edge, ready to reach for what stands out over it
	Around Place = "around" // around what stands out over the edge
)

// Places lists all places.
var Places = []Place{Above, Grasp, Tips, Behind, Back, Top, Beyond, Around}

// Toward names where a slide goes.
type Toward string

// The ways to slide.
const (
	TowardWall     Toward = "wall"     // to the nearest block across x, else along x
	TowardEdge     Toward = "edge"     // to the support's edge
	TowardApproach Toward = "approach" // where the approach direction points on the support; along x from straight above
)

// Towards lists all ways to slide.
var Towards = []Toward{TowardWall, TowardEdge, TowardApproach}

// Phase is one part of a strategy. Zero fields take the default that their motion has.
type Phase struct {
	Name   string
	Do     Motion
	To     Place  // of a move
	Toward Toward // of a slide
	// Distance (m) is how far a press or slide goes at most, how high a lift goes, how wide a shake swings to each side.
	// A slide to the edge with none goes until the planned share of the item stands out.
	Distance float64
	Speed    float64 // m/s, largest
	Seconds  float64 // s, of a close, comply, hold or shake
	Hertz    float64 // of a shake
	// Command is the closing command at the phase's end as a share of the trial's; it is reached evenly over the phase.
	// Negative: it stays as it is.
	Command float64
	// UntilForce (N) ends a press, slide, move or close as soon as the hand feels it. UntilContact ends it at 0.2 N.
	UntilForce   float64
	UntilContact bool
	// UntilTouch ends a press, slide, move or close as soon as a pad of the hand feels something, which the wrist need not feel.
	UntilTouch bool
	// Adjustments are those of an adjusting phase.
	Adjustments []Adjustment
	// KeepForce (N) is held along the approach direction while the phase lasts, by moving the hand to and fro.
	KeepForce float64
	// MostForce (N) on the hand stops the trial.
	MostForce float64
}

// Strategy is a motion program.
type Strategy struct {
	Name   string
	Kind   string // free, surface-guided, wall-guided, edge-pull, scoop, or a name of one's own
	Phases []Phase
	// Clearance (m) is kept from what must not be touched; negative lets the tips press into the support that far.
	Clearance float64
	// Standoff (m) is how far Above lies behind Grasp.
	Standoff float64
	// Overhang is the share of the item that an edge-pull draws out over the edge; 0 stands for 0.45.
	Overhang float64
	// Nearest and Farthest (m) bound the palm's distance from the item's middle along the approach direction; 0: unbounded.
	// The farthest wins over the clearance: the fingers then bend on the support.
	Nearest, Farthest float64
	// Lean (rad) is the least that the approach direction must lean the way of the first slide; 0: any.
	Lean float64
}

// Check says what of the strategy can not be carried out. An error names the phase, counted from 1.
func (s *Strategy) Check() error {
	if len(s.Phases) == 0 {
		return fmt.Errorf("the strategy has no phases")
	}
	if len(s.Phases) > 40 {
		return fmt.Errorf("the strategy has %d phases; at most 40", len(s.Phases))
	}
	if !(s.Nearest >= 0 && s.Nearest <= 1) || !(s.Farthest >= 0 && s.Farthest <= 1) || s.Farthest > 0 && s.Farthest < s.Nearest {
		return fmt.Errorf("the palm stays %g to %g m from the item's middle; both must lie within 0 to 1 m, the first not above the second", s.Nearest, s.Farthest)
	}
	if !(s.Lean >= 0 && s.Lean <= math.Pi/2) {
		return fmt.Errorf("the hand has to lean by %g rad; 0 to a right angle make sense", s.Lean)
	}
	if !(s.Standoff >= 0 && s.Standoff <= 1) || !(math.Abs(s.Clearance) <= 0.2) || !(s.Overhang >= 0 && s.Overhang < 1) {
		return fmt.Errorf("the strategy's standoff is %g m, its clearance %g m, its overhang %g; they must lie within 0 to 1 m, −0.2 to 0.2 m and 0 to 1", s.Standoff, s.Clearance, s.Overhang)
	}
	if s.Phases[0].Do != Move {
		return fmt.Errorf("phase 1 must be a move: a trial begins where it ends")
	}
	lifts := false
	for i := range s.Phases {
		if err := s.Phases[i].check(); err != nil {
			return fmt.Errorf("phase %d: %w", i+1, err)
		}
		lifts = lifts || s.Phases[i].Do == Lift
	}
	if !lifts {
		return fmt.Errorf("no phase lifts, so nothing can be held")
	}
	return nil
}

func (p *Phase) check() error {
	for _, v := range []struct {
		name  string
		value float64
		most  float64
	}{{"distance", p.Distance, 2}, {"speed", p.Speed, 3}, {"time", p.Seconds, 60}, {"frequency", p.Hertz, 20}, {"force at which it ends", p.UntilForce, 1000},
		{"force that it keeps", p.KeepForce, 1000}, {"largest force", p.MostForce, 10000}} {
		if !(v.value >= 0 && v.value <= v.most) {
			return fmt.Errorf("its %s is %g; it must lie between 0 and %g", v.name, v.value, v.most)
		}
	}
	if !(p.Command <= 1) {
		return fmt.Errorf("its command is %g of the trial's; at most 1", p.Command)
	}
	switch p.Do {
	case Move:
		if !among(p.To, Places) {
			return fmt.Errorf("moves to %q; places are %v", p.To, Places)
		}
	case Slide:
		if !among(p.Toward, Towards) {
			return fmt.Errorf("slides towards %q; there are %v", p.Toward, Towards)
		}
	case Press:
		if p.UntilForce == 0 && !p.UntilContact && !p.UntilTouch {
			return fmt.Errorf("presses without a force or contact at which it ends")
		}
	case Close, Comply, Hold:
		if p.Seconds == 0 {
			return fmt.Errorf("it needs a time")
		}
	case Adjust:
		if len(p.Adjustments) == 0 {
			return fmt.Errorf("adjusts to nothing: it needs adjustments")
		}
		for i := range p.Adjustments {
			if err := p.Adjustments[i].check(); err != nil {
				return fmt.Errorf("adjustment %d: %w", i+1, err)
			}
		}
	case Lift:
		if p.Distance == 0 {
			return fmt.Errorf("lifts by nothing")
		}
	case Shake:
		if p.Seconds == 0 || p.Hertz == 0 || p.Distance == 0 {
			return fmt.Errorf("shakes; that needs a time, a frequency and a distance")
		}
	default:
		return fmt.Errorf("does %q; there are %v", p.Do, Motions)
	}
	return nil
}

func among[T comparable](x T, list []T) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}
