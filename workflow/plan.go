package workflow

import (
	"context"

	"holdfast/domain"
	"holdfast/orient"
)

// OrientationPreview shows which orientations a plan tries.
type OrientationPreview struct {
	Points     []orient.Rotation
	Folded     int     // left out because symmetry makes them equal to another
	Covering   float64 // rad, largest turn from any orientation within the tilt limit to the nearest point
	Separation float64 // rad, smallest turn between two points
	Symmetry   string  // the symmetry used, in words
}

// PlanSummary tells a plan's size.
type PlanSummary struct {
	Study         domain.ID
	Seed          uint64
	Runs          int // all runs with reference runs
	ReferenceRuns int
	Blocks        int
	WholePlots    int
	Changes       int     // times that a hand, a setting or an item is changed
	Seconds       float64 // s, estimated bench time
	Orientations  OrientationPreview
	Notes         []string
}

// Plan is a study's plan with what is done of it.
type Plan struct {
	Summary PlanSummary
	Runs    []domain.PlannedRun
	Done    []bool // one a run
}

// SampleSizeQuestion asks how many trials are needed.
type SampleSizeQuestion struct {
	Kind       string  // "interval", "compare" or "prove"
	Success    float64 // interval, compare: success expected (of the first strategy)
	Other      float64 // compare: success of the second strategy
	HalfWidth  float64 // interval
	Confidence float64
	Power      float64 // compare
	Prove      float64 // prove: success rate to prove
	Failures   int     // prove: failures allowed
}

// SampleSize is the answer.
type SampleSize struct {
	Trials  int
	Text    string
	Methods []SampleSizeMethod
}

// SampleSizeMethod is one method's answer.
type SampleSizeMethod struct {
	Method string
	Trials float64
	Note   string
}

// DrawPlan draws up a study's plan from its stored seed and makes it planned.
func (l *Lab) DrawPlan(ctx context.Context, study domain.ID) (PlanSummary, error) {
	return PlanSummary{}, notYet
}

// Plan returns a study's plan; KindNotFound if none is drawn up.
func (l *Lab) Plan(ctx context.Context, study domain.ID) (Plan, error) { return Plan{}, notYet }

// PreviewOrientations shows the orientations that a plan would try for a hand, an item and a setting.
func (l *Lab) PreviewOrientations(ctx context.Context, plan domain.OrientationPlan, hand, item, setting domain.ID) (OrientationPreview, error) {
	return OrientationPreview{}, notYet
}

// SampleSize says how many trials are needed.
func (l *Lab) SampleSize(q SampleSizeQuestion) (SampleSize, error) { return SampleSize{}, notYet }
