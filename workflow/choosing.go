package workflow

import (
	"context"
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/decide"
	"holdfast/statistics/successmap"
)

// ChoiceQuery asks what could be handed to the line.
type ChoiceQuery struct {
	Study     domain.ID
	Condition domain.Condition // empty fields: all
	MinRadius float64          // rad, smallest turn that the region must tolerate; 0: no demand
}

// Choice ranks what could be handed to the line.
type Choice struct {
	Blur     float64 // rad
	Target   float64
	Options  []Option // best lower bound first
	Warnings []string
}

// Option is one condition with its best region.
type Option struct {
	Condition          ConditionRow
	Closing            float64 // 0…1
	Nominal            orient.Rotation
	Region             domain.Region
	Success, Low, High float64
	MeetsTarget        bool
	Reason             string
	draws              []float64 // joint draws of the success averaged over the region
}

// Choose ranks the conditions of a study that have trials by the lower bound of their best region.
func (l *Lab) Choose(ctx context.Context, q ChoiceQuery) (Choice, error) {
	k, err := l.kept(ctx, q.Study)
	if err != nil {
		return Choice{}, err
	}
	rows, err := l.Conditions(ctx, q.Study)
	if err != nil {
		return Choice{}, err
	}
	c := Choice{Blur: k.study.Line.Angle, Target: k.study.Target, Options: []Option{}}
	for _, row := range rows {
		if !matches(q.Condition, row.Condition) {
			continue
		}
		o, err := l.option(ctx, q.Study, row.Condition, q.MinRadius)
		if err != nil {
			return Choice{}, err
		}
		c.Options = append(c.Options, o)
		if row.Trials < fewTrials {
			c.Warnings = append(c.Warnings, fmt.Sprintf("%s with %s has %d trials only; its bounds rest on what is assumed as much as on what was seen.", row.Strategy, row.Item, row.Trials))
		}
	}
	if len(c.Options) == 0 {
		c.Warnings = append(c.Warnings, "There are no trials to choose from yet.")
	}
	if k.study.Line.Position > 0 {
		c.Warnings = append(c.Warnings, fmt.Sprintf("The line's placement error of %.3g mm is covered only as far as the trials' own placement offsets reach; the map is blurred by orientation alone. The look Tolerance says how large both errors may be.", k.study.Line.Position*1e3))
	}
	c.Warnings = joined(c.Warnings)
	slices.SortStableFunc(c.Options, func(a, b Option) int {
		switch {
		case a.Low > b.Low:
			return -1
		case a.Low < b.Low:
			return 1
		}
		return 0
	})
	return c, nil
}

// fewTrials is the number of trials below which a choice is marked as resting on little.
const fewTrials = 50

// matches says whether the condition fits the asked one, whose empty fields fit all.
func matches(asked, c domain.Condition) bool {
	return (asked.Hand == "" || asked.Hand == c.Hand) && (asked.Item == "" || asked.Item == c.Item) &&
		(asked.Setting == "" || asked.Setting == c.Setting) && (asked.Strategy == "" || asked.Strategy == c.Strategy)
}

type optionKey struct {
	fit               fitKey
	blur, target, min float64
}

// A region is searched with so many joint draws of the map.
const (
	choiceDraws = 400
	choiceSeed  = 1
)

// option returns the best region of a condition.
func (l *Lab) option(ctx context.Context, study domain.ID, c domain.Condition, minRadius float64) (Option, error) {
	f, err := l.fit(ctx, study, c)
	if err != nil {
		return Option{}, err
	}
	key := optionKey{f.key, f.study.Line.Angle, f.study.Target, minRadius}
	return l.maps.options.do(ctx, key, func(context.Context) (Option, error) { return l.optionNow(f, minRadius) })
}

func (l *Lab) optionNow(f *fitted, minRadius float64) (Option, error) {
	tilt := tiltMax(f.study.Orientations)
	cover, err := l.candidates(tilt, f.symmetry)
	if err != nil {
		return Option{}, err
	}
	points := cover.Points
	draws, err := f.draws(points)
	if err != nil {
		return Option{}, domain.Internal("drawing from the map", err)
	}
	region, err := decide.Best(points, func(i, j int) float64 { return f.symmetry.Distance(points[i], points[j]) }, draws, decide.Options{
		Spacing: cover.Covering, TiltMax: tilt, MinRadius: minRadius, Target: f.study.Target, Level: IntervalLevel,
	})
	if err != nil {
		return Option{}, err
	}
	o := Option{
		Condition: f.condition, Nominal: points[region.Nominal],
		Region:  domain.Region{Spacing: cover.Covering, Radius: region.Radius, Share: region.Share},
		Success: region.Success, Low: region.Low, High: region.High, MeetsTarget: region.MeetsTarget,
		Reason: region.Describe(f.study.Target),
	}
	o.draws = make([]float64, choiceDraws)
	for _, i := range region.Members {
		o.Region.Points = append(o.Region.Points, points[i])
		for d, p := range draws[i] {
			o.draws[d] += p / float64(len(region.Members))
		}
	}
	for d := range o.draws {
		o.draws[d] = math.Min(math.Max(o.draws[d], 0), 1)
	}
	var why string
	if o.Closing, why, err = f.closing(); err != nil {
		return Option{}, err
	}
	if why != "" {
		o.Reason += " " + why
	}
	return o, nil
}

// candidates spreads orientations over the tilts that were tried.
func (l *Lab) candidates(tilt float64, sym orient.Symmetry) (OrientationPreview, error) {
	n := decide.CandidateCount(tilt, sym)
	c, err := l.layout(domain.OrientationPlan{Kind: "even", TiltMax: tilt, Count: n}, sym, nil)
	// A single point stands for its whole neighbourhood; decide needs a positive spacing.
	c.Covering = math.Max(c.Covering, 1e-6)
	return c, err
}

// draws gives joint draws of the success on the line: draws[i][d] belongs to point i.
func (f *fitted) draws(points []orient.Rotation) ([][]float64, error) {
	var byDraw [][]float64
	var err error
	if blur := f.study.Line.Angle; blur > 0 {
		var b *successmap.Blurred
		if b, err = f.m.Blur(blur); err == nil {
			byDraw, err = b.Draws(choiceDraws, choiceSeed, points)
		}
	} else {
		byDraw, err = f.m.Draws(choiceDraws, choiceSeed, points)
	}
	if err != nil {
		return nil, err
	}
	draws := make([][]float64, len(points))
	for i := range draws {
		draws[i] = make([]float64, len(byDraw))
		for d := range byDraw {
			// A blurred draw is a finite sum of functions and may stand out of 0…1 by its truncation.
			draws[i][d] = math.Min(math.Max(byDraw[d][i], 0), 1)
		}
	}
	return draws, nil
}

// closing picks the closing command whose share held has the best lower bound, and says so when there was a choice.
func (f *fitted) closing() (float64, string, error) {
	tallies := map[float64]*Tally{}
	for i := range f.trials {
		t := &f.trials[i]
		if tallies[t.Closing] == nil {
			tallies[t.Closing] = &Tally{}
		}
		tallies[t.Closing].add(t.Held())
	}
	levels := f.closings()
	best := levels[0]
	for _, c := range levels {
		if err := tallies[c].close(); err != nil {
			return 0, "", err
		}
		if tallies[c].Low > tallies[best].Low {
			best = c
		}
	}
	if len(levels) == 1 {
		return best, "", nil
	}
	t := tallies[best]
	return best, fmt.Sprintf("The map takes %d closing commands together; %.3g is the one whose share held has the best lower bound (%d of %d held).", len(levels), best, t.Held, t.Trials), nil
}
