package design

import (
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/orient"
)

// MaxRuns is the largest number of runs, reference runs included, in one plan.
const MaxRuns = 200_000

// Factor is something a plan varies that people have to change by hand.
type Factor string

// The factors that may be slow to change.
const (
	FactorHand    Factor = "hand"
	FactorItem    Factor = "item"
	FactorSetting Factor = "setting"
)

// OffsetKind says how the item's placement offset is varied.
type OffsetKind string

// The kinds of placement offset.
const (
	OffsetNone     OffsetKind = "none"     // the item lies where it is believed to be
	OffsetGaussian OffsetKind = "gaussian" // normal along x and along y
	OffsetDisc     OffsetKind = "disc"     // uniform over a disc
)

// Offset is the distribution that placement offsets are drawn from, in the support
// plane of the setting frame.
type Offset struct {
	Kind   OffsetKind
	Sigma  [2]float64 // m, gaussian: standard deviations along x and y
	Radius float64    // m, disc: its radius
}

// Reference is the fixed condition that is repeated at each block's start and end.
// It is run with the hand, item and setting of the block it stands in, and with the
// first listed of those that change from run to run.
type Reference struct {
	Rotation orient.Rotation
	Strategy string
	Closing  float64 // 0…1
}

// Spec says what a plan must try. Every combination of the listed levels is a
// condition, and every condition is run Replicates times.
type Spec struct {
	Hands, Items, Settings, Strategies []string

	Orientations  []orient.Rotation // setting coordinates; a run names its place in this list as Cell
	ClosingLevels []float64         // each 0…1
	Offset        Offset
	Replicates    int
	BlockSize     int       // largest number of runs in a block, reference runs not counted
	Slow          []Factor  // factors that are set up once for a whole plot
	Reference     Reference // ignored when References is 0
	References    int       // reference runs at each block's start, and as many at its end
	Seed          uint64
	TrialSeconds  float64 // s, one run with its reset
	ChangeSeconds float64 // s, changing one hand, item or setting
}

// Validate says which fields break a rule, as a [domain.Error] that names each.
func (s *Spec) Validate() error {
	var fields []domain.FieldError
	fail := func(name string, value any, reason string, args ...any) {
		fields = append(fields, fieldError(name, value, reason, args...))
	}
	between := func(name string, value, low, high float64, unit string) {
		if !(low <= value && value <= high) {
			fail(name, value, "must be between %g and %g%s", low, high, unit)
		}
	}
	for _, l := range []struct {
		name   string
		levels []string
	}{{"hands", s.Hands}, {"items", s.Items}, {"settings", s.Settings}, {"strategies", s.Strategies}} {
		if len(l.levels) == 0 {
			fail(l.name, "", "is empty; name at least one")
		}
		for i, level := range l.levels {
			if level == "" {
				fail(fmt.Sprintf("%s[%d]", l.name, i), "", "is empty; give its name or leave it out")
			}
			if slices.Contains(l.levels[:i], level) {
				fail(fmt.Sprintf("%s[%d]", l.name, i), level, "is named twice; leave one out")
			}
		}
	}
	if len(s.Orientations) == 0 {
		fail("orientations", "", "is empty; list at least one orientation")
	}
	for i, r := range s.Orientations {
		if !(math.Abs(r.Norm()-1) <= 1e-6) {
			fail(fmt.Sprintf("orientations[%d]", i), r, "must be a unit quaternion")
		}
	}
	if len(s.ClosingLevels) == 0 {
		fail("closing_levels", "", "is empty; list at least one level between 0 and 1")
	}
	for i, c := range s.ClosingLevels {
		between(fmt.Sprintf("closing_levels[%d]", i), c, 0, 1, "")
		if slices.Contains(s.ClosingLevels[:i], c) {
			fail(fmt.Sprintf("closing_levels[%d]", i), c, "is listed twice; leave one out, or raise replicates")
		}
	}
	switch s.Offset.Kind {
	case OffsetNone:
	case OffsetGaussian:
		between("offset.sigma_x_mm", s.Offset.Sigma[0]*1e3, 0, 200, " mm")
		between("offset.sigma_y_mm", s.Offset.Sigma[1]*1e3, 0, 200, " mm")
	case OffsetDisc:
		between("offset.radius_mm", s.Offset.Radius*1e3, 0, 200, " mm")
	default:
		fail("offset.kind", s.Offset.Kind, "must be none, gaussian or disc")
	}
	between("replicates", float64(s.Replicates), 1, 1000, "")
	between("block_size", float64(s.BlockSize), 1, 10000, "")
	between("references", float64(s.References), 0, 20, "")
	for i, f := range s.Slow {
		if f != FactorHand && f != FactorItem && f != FactorSetting {
			fail(fmt.Sprintf("slow[%d]", i), f, "must be hand, item or setting")
		}
		if slices.Contains(s.Slow[:i], f) {
			fail(fmt.Sprintf("slow[%d]", i), f, "is named twice; leave one out")
		}
	}
	if s.References > 0 {
		if !(math.Abs(s.Reference.Rotation.Norm()-1) <= 1e-6) {
			fail("reference.orientation", s.Reference.Rotation, "must be a unit quaternion")
		}
		if !slices.Contains(s.Strategies, s.Reference.Strategy) {
			fail("reference.strategy", s.Reference.Strategy, "must be one of the study's strategies")
		}
		between("reference.closing", s.Reference.Closing, 0, 1, "")
	}
	between("trial_s", s.TrialSeconds, 0, 86400, " s")
	between("change_s", s.ChangeSeconds, 0, 86400, " s")
	if len(fields) == 0 {
		if runs := s.countRuns(); runs > MaxRuns {
			fail("replicates", s.Replicates, "gives %.0f runs, and a plan holds at most %d; take fewer replicates, orientations or levels", runs, MaxRuns)
		}
	}
	return invalid("no plan can be drawn up; mend the fields named", fields)
}

// countRuns returns the number of runs with reference runs, as a real number so
// that no product of long lists can overflow.
func (s *Spec) countRuns() float64 {
	plots := float64(s.Replicates)
	inPlot := float64(len(s.Strategies)) * float64(len(s.ClosingLevels)) * float64(len(s.Orientations))
	for _, f := range []Factor{FactorHand, FactorItem, FactorSetting} {
		if levels := float64(len(s.levels(f))); slices.Contains(s.Slow, f) {
			plots *= levels
		} else {
			inPlot *= levels
		}
	}
	blocks := math.Ceil(inPlot / float64(s.BlockSize))
	return plots * (inPlot + blocks*2*float64(s.References))
}

func (s *Spec) levels(f Factor) []string {
	switch f {
	case FactorHand:
		return s.Hands
	case FactorItem:
		return s.Items
	default:
		return s.Settings
	}
}

// setup is one combination of hand, item and setting.
type setup struct{ hand, item, setting string }

// plots lists the combinations of the slow factors; the others stay empty.
func (s *Spec) plots() []setup {
	return s.combine(func(f Factor) bool { return slices.Contains(s.Slow, f) })
}

// mixed lists the combinations of the factors that change from run to run.
func (s *Spec) mixed() []setup {
	return s.combine(func(f Factor) bool { return !slices.Contains(s.Slow, f) })
}

func (s *Spec) combine(takes func(Factor) bool) []setup {
	levels := func(f Factor) []string {
		if takes(f) {
			return s.levels(f)
		}
		return []string{""}
	}
	var out []setup
	for _, h := range levels(FactorHand) {
		for _, i := range levels(FactorItem) {
			for _, p := range levels(FactorSetting) {
				out = append(out, setup{h, i, p})
			}
		}
	}
	return out
}

// with fills the empty parts of a whole plot's set-up from another.
func (u setup) with(v setup) setup {
	if u.hand == "" {
		u.hand = v.hand
	}
	if u.item == "" {
		u.item = v.item
	}
	if u.setting == "" {
		u.setting = v.setting
	}
	return u
}

func fieldError(name string, value any, reason string, args ...any) domain.FieldError {
	return domain.FieldError{Field: name, Value: fmt.Sprint(value), Reason: fmt.Sprintf(reason, args...)}
}
