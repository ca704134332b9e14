package workflow

import (
	"context"
	"fmt"
	"sync"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/design"
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

// DrawPlan draws up a study's plan from its stored seed and makes it planned. KindRefused once trials are recorded.
func (l *Lab) DrawPlan(ctx context.Context, study domain.ID) (PlanSummary, error) {
	s, err := l.Store.Study(ctx, study)
	if err != nil {
		return PlanSummary{}, err
	}
	if s.State == domain.StudyRunning || s.State == domain.StudyFinished {
		return PlanSummary{}, domain.Errorf(domain.KindRefused, "the plan of a %s study is fixed; start a new study for another plan", s.State)
	}
	spec, summary, err := l.spec(ctx, s, nil)
	if err != nil {
		return PlanSummary{}, err
	}
	drawn, err := design.Draw(spec)
	if err != nil {
		return PlanSummary{}, err
	}
	runs := make([]domain.PlannedRun, len(drawn))
	for i, r := range drawn {
		runs[i] = domain.PlannedRun{
			Study: s.ID, Order: r.Order, Block: r.Block, WholePlot: r.WholePlot, Hand: domain.ID(r.Hand), Item: domain.ID(r.Item),
			Setting: domain.ID(r.Setting), Strategy: domain.StrategyKind(r.Strategy), Cell: r.Cell, Planned: r.Rotation,
			Closing: r.Closing, Offset: r.Offset, Replicate: r.Replicate, Reference: r.Reference,
		}
	}
	s.State = domain.StudyPlanned
	if _, err := l.putStudy(ctx, s, runs); err != nil {
		return PlanSummary{}, err
	}
	return summary.filled(spec, drawn), nil
}

// spec says what a study's plan must try. The summary that it comes with holds the orientations: those given, or new
// ones when there are none.
func (l *Lab) spec(ctx context.Context, s domain.Study, given []orient.Rotation) (design.Spec, PlanSummary, error) {
	t, err := l.thingsOf(ctx, s.Hands, s.Items, s.Settings)
	if err != nil {
		return design.Spec{}, PlanSummary{}, err
	}
	sym, differ, err := t.shared()
	if err != nil {
		return design.Spec{}, PlanSummary{}, err
	}
	preview, err := l.layout(s.Orientations, sym, given)
	if err != nil {
		return design.Spec{}, PlanSummary{}, err
	}
	spec := effortSpec(s)
	spec.Orientations = preview.Points
	summary := PlanSummary{Study: s.ID, Seed: s.Seed, Orientations: preview}
	if differ {
		summary.Notes = append(summary.Notes, "Hands, items and settings differ in symmetry; the plan uses what all of them share, so that every one is tried in the same orientations.")
	}
	return spec, summary, nil
}

// effortSpec is a study's plan without its orientations.
func effortSpec(s domain.Study) design.Spec {
	spec := design.Spec{
		Hands: words(s.Hands), Items: words(s.Items), Settings: words(s.Settings), Strategies: words(kinds(s)),
		ClosingLevels: s.ClosingLevels, Replicates: s.Replicates, BlockSize: s.BlockSize,
		Offset:     design.Offset{Kind: design.OffsetKind(s.Offset.Kind), Sigma: s.Offset.Sigma, Radius: s.Offset.Radius},
		Slow:       []design.Factor{design.FactorHand, design.FactorSetting, design.FactorItem},
		Reference:  design.Reference{Rotation: s.Reference.Orientation, Strategy: string(s.Reference.Strategy), Closing: s.Reference.Closing},
		References: s.References, Seed: s.Seed, TrialSeconds: s.TrialSeconds, ChangeSeconds: s.ChangeSeconds,
	}
	return spec
}

func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, v := range list {
		out[i] = string(v)
	}
	return out
}

// designRuns gives planned runs back as the design room knows them.
func designRuns(runs []domain.PlannedRun) []design.Run {
	out := make([]design.Run, len(runs))
	for i, r := range runs {
		out[i] = design.Run{
			Order: r.Order, Block: r.Block, WholePlot: r.WholePlot, Hand: string(r.Hand), Item: string(r.Item), Setting: string(r.Setting),
			Strategy: string(r.Strategy), Cell: r.Cell, Rotation: r.Planned, Closing: r.Closing, Offset: r.Offset,
			Replicate: r.Replicate, Reference: r.Reference,
		}
	}
	return out
}

// filled adds what the runs tell.
func (p PlanSummary) filled(spec design.Spec, runs []design.Run) PlanSummary {
	s := design.Summarize(spec, runs)
	p.Runs, p.ReferenceRuns, p.Blocks, p.WholePlots = s.Runs, s.References, s.Blocks, s.WholePlots
	p.Changes, p.Seconds, p.Notes = s.Changes, s.Seconds, append(p.Notes, s.Notes...)
	return p
}

// Plan returns a study's plan with what is done of it; KindNotFound if none is drawn up.
func (l *Lab) Plan(ctx context.Context, study domain.ID) (Plan, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return Plan{}, err
	}
	if len(k.runs) == 0 {
		return Plan{}, domain.Errorf(domain.KindNotFound, "study %s has no plan yet; draw it up first", study)
	}
	record, err := l.record(ctx, study)
	if err != nil {
		return Plan{}, err
	}
	// The orientations are those of the stored runs, so they are not laid out again.
	spec, summary, err := l.spec(ctx, k.study, planned(k.runs))
	if err != nil {
		return Plan{}, err
	}
	p := Plan{Summary: summary.filled(spec, designRuns(k.runs)), Runs: k.runs, Done: make([]bool, len(k.runs))}
	for i, r := range k.runs {
		p.Done[i] = record.done.has(r.Order)
	}
	return p, nil
}

// PreviewOrientations shows the orientations that a plan would try for a hand, an item and a setting.
func (l *Lab) PreviewOrientations(ctx context.Context, plan domain.OrientationPlan, hand, item, setting domain.ID) (OrientationPreview, error) {
	t, err := l.thingsOf(ctx, []domain.ID{hand}, []domain.ID{item}, []domain.ID{setting})
	if err != nil {
		return OrientationPreview{}, err
	}
	sym, _, err := t.shared()
	if err != nil {
		return OrientationPreview{}, err
	}
	return l.layout(plan, sym, nil)
}

// layouts keeps the orientations of the plans that were asked for last: evening out a large covering takes seconds.
type layouts struct {
	mu   sync.Mutex
	kept map[string]OrientationPreview
}

func (l *Lab) layout(p domain.OrientationPlan, sym orient.Symmetry, given []orient.Rotation) (OrientationPreview, error) {
	key := fmt.Sprintf("%#v %#v %v", p, sym, given)
	l.layouts.mu.Lock()
	got, ok := l.layouts.kept[key]
	l.layouts.mu.Unlock()
	if ok {
		return got, nil
	}
	got, err := orientations(p, sym, given)
	if err != nil {
		return got, err
	}
	l.layouts.mu.Lock()
	defer l.layouts.mu.Unlock()
	if l.layouts.kept == nil || len(l.layouts.kept) >= 32 {
		l.layouts.kept = map[string]OrientationPreview{}
	}
	l.layouts.kept[key] = got
	return got, nil
}
