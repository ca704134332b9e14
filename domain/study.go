package domain

import (
	"fmt"
	"math"

	"holdfast/orient"
)

// OrientationPlan says which orientations a study tries.
type OrientationPlan struct {
	Kind    string    // "rings" or "even"
	TiltMax float64   // rad, even: largest tilt
	Count   int       // even: how many orientations
	Tilts   []float64 // rad, rings: tilt of each ring
	// Azimuths is the number of azimuths on each ring, one number for all rings or one a ring (at tilt 0 they collapse to one).
	Azimuths []int
	Rolls    []float64 // rad, rings: rolls tried at each direction
}

// OffsetPlan says how the item's placement offset is varied on purpose.
type OffsetPlan struct {
	Kind   string     // "none", "gaussian" or "disc"
	Sigma  [2]float64 // m, gaussian: standard deviations along x and y
	Radius float64    // m, disc: radius of a uniform disc
}

// Reference is the fixed condition repeated at each block's start and end, so that wear or drift shows.
type Reference struct {
	Orientation orient.Rotation
	Strategy    StrategyKind
	Closing     float64 // 0…1
}

// LineError is what the line will add to every pick: the errors that the map is blurred by.
type LineError struct {
	Angle    float64 // rad, root mean square of the turn between asked and actual hand orientation
	Position float64 // m, standard deviation of the item's placement along x and along y
}

// StudyState is where a study stands.
type StudyState string

// The states of a study.
const (
	StudyDraft    StudyState = "draft"    // conditions can be edited, no plan yet
	StudyPlanned  StudyState = "planned"  // a plan is drawn up; editing the conditions needs a new plan
	StudyRunning  StudyState = "running"  // at least one trial is recorded; the plan is fixed
	StudyFinished StudyState = "finished" // closed by a person
)

// Study asks: for these items in these settings with these hands, which strategy, approach, roll and closing work?
type Study struct {
	ID            ID
	Name          string
	Question      string
	State         StudyState
	Hands         []ID
	Items         []ID
	Settings      []ID
	Strategies    []Strategy
	Orientations  OrientationPlan
	ClosingLevels []float64 // each 0…1
	Offset        OffsetPlan
	Replicates    int
	BlockSize     int // trials a block, without its reference trials
	Reference     Reference
	References    int // reference trials at each block's start, and as many at its end; 0: none
	Seed          uint64
	TrialSeconds  float64 // s, one trial with its reset
	ChangeSeconds float64 // s, changing a hand, a setting or an item
	Line          LineError
	Target        float64 // success asked for, 0…1
	Aim           Aim
	Note          string
	Meta
}

// Validate says which fields break a rule. Whether the named hands, items and settings exist is the workflow's to check.
func (s *Study) Validate() error {
	var c checks
	c.id("id", s.ID)
	c.name("name", s.Name)
	for _, l := range []struct {
		field string
		ids   []ID
	}{{"hands", s.Hands}, {"items", s.Items}, {"settings", s.Settings}} {
		if len(l.ids) == 0 || len(l.ids) > 50 {
			c.fail(l.field, len(l.ids), "must name 1 to 50")
		}
		seen := map[ID]bool{}
		for i, id := range l.ids {
			if seen[id] {
				c.fail(fmt.Sprintf("%s[%d]", l.field, i), id, "is named twice")
			}
			seen[id] = true
		}
	}
	if len(s.Strategies) == 0 || len(s.Strategies) > 10 {
		c.fail("strategies", len(s.Strategies), "must name 1 to 10")
	}
	seen := map[StrategyKind]bool{}
	for i, g := range s.Strategies {
		g.check(&c, fmt.Sprintf("strategies[%d]", i))
		if seen[g.Kind] {
			c.fail(fmt.Sprintf("strategies[%d].kind", i), g.Kind, "is named twice")
		}
		seen[g.Kind] = true
	}
	s.Orientations.check(&c)
	if len(s.ClosingLevels) == 0 || len(s.ClosingLevels) > 20 {
		c.fail("closing_levels", len(s.ClosingLevels), "must have 1 to 20 levels")
	}
	for i, v := range s.ClosingLevels {
		c.between(fmt.Sprintf("closing_levels[%d]", i), v, 0, 1, "")
	}
	s.Offset.check(&c)
	c.between("replicates", float64(s.Replicates), 1, 1000, "")
	c.between("block_size", float64(s.BlockSize), 1, 10000, "")
	c.between("references", float64(s.References), 0, 20, "")
	if s.References > 0 {
		if math.Abs(s.Reference.Orientation.Norm()-1) > 1e-6 {
			c.fail("reference.orientation", s.Reference.Orientation, "must be a unit quaternion")
		}
		if !seen[s.Reference.Strategy] {
			c.fail("reference.strategy", s.Reference.Strategy, "must be one of the study's strategies")
		}
		c.between("reference.closing", s.Reference.Closing, 0, 1, "")
	}
	c.between("trial_s", s.TrialSeconds, 0, 86400, " s")
	c.between("change_s", s.ChangeSeconds, 0, 86400, " s")
	c.between("line_error.angle_deg", s.Line.Angle*180/math.Pi, 0, 90, "°")
	c.between("line_error.position_mm", s.Line.Position*1e3, 0, 200, " mm")
	c.between("target", s.Target, 0, 1, "")
	s.Aim.check(&c)
	return c.err("study")
}

func (p *OrientationPlan) check(c *checks) {
	const deg = math.Pi / 180
	switch p.Kind {
	case "even":
		c.between("orientations.tilt_max_deg", p.TiltMax/deg, 0, 180, "°")
		c.between("orientations.count", float64(p.Count), 1, 5000, "")
	case "rings":
		if len(p.Tilts) == 0 || len(p.Tilts) > 50 {
			c.fail("orientations.tilts_deg", len(p.Tilts), "must have 1 to 50 rings")
		}
		for i, t := range p.Tilts {
			c.between(fmt.Sprintf("orientations.tilts_deg[%d]", i), t/deg, 0, 180, "°")
		}
		if len(p.Azimuths) != 1 && len(p.Azimuths) != len(p.Tilts) {
			c.fail("orientations.azimuths", len(p.Azimuths), "must have one number, or one for each ring")
		}
		for i, n := range p.Azimuths {
			c.between(fmt.Sprintf("orientations.azimuths[%d]", i), float64(n), 1, 360, "")
		}
		if len(p.Rolls) == 0 || len(p.Rolls) > 360 {
			c.fail("orientations.rolls_deg", len(p.Rolls), "must have 1 to 360 rolls")
		}
		for i, r := range p.Rolls {
			c.between(fmt.Sprintf("orientations.rolls_deg[%d]", i), r/deg, -360, 360, "°")
		}
	default:
		c.fail("orientations.kind", p.Kind, "must be rings or even")
	}
}

func (p *OffsetPlan) check(c *checks) {
	switch p.Kind {
	case "none":
	case "gaussian":
		c.between("offset.sigma_x_mm", p.Sigma[0]*1e3, 0, 200, " mm")
		c.between("offset.sigma_y_mm", p.Sigma[1]*1e3, 0, 200, " mm")
	case "disc":
		c.between("offset.radius_mm", p.Radius*1e3, 0, 200, " mm")
	default:
		c.fail("offset.kind", p.Kind, "must be none, gaussian or disc")
	}
}

// PlannedRun is one line of a study's plan.
type PlannedRun struct {
	Study     ID
	Order     int // position in the plan, from 1
	Block     int // from 1
	WholePlot int // from 1; hand, setting and item stay put inside one
	Hand      ID
	Item      ID
	Setting   ID
	Strategy  StrategyKind
	Cell      int // index of the orientation in the plan's list, from 0; −1 for a reference run
	Planned   orient.Rotation
	Closing   float64    // 0…1
	Offset    [3]float64 // m, in the setting frame: where to put the item, minus where it will be believed to be
	Replicate int        // from 1; 0 for a reference run
	Reference bool
	Why       string // why this run was added to the plan, in a sentence; empty for runs that the plan's seed drew
}

// Condition picks one map out of a study: which trials belong together.
type Condition struct {
	Hand     ID
	Item     ID
	Setting  ID
	Strategy StrategyKind
}
