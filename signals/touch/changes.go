package touch

import (
	"context"
	"math"
)

// Varied is something that differed among clips besides where they were touched: the object, the pressure, the day.
type Varied struct {
	Name  string
	Level []string // by clip; "" where it is not known
}

// Change says how clips of one level of something varied are told by models that heard that level in other groups, and by
// models that never did. The groups that are held out are the same both times; the second training parts are smaller by
// the level's clips.
type Change struct {
	What  string `json:"what"`
	Level string `json:"level"`
	Clips int    `json:"clips"`         // of that level that could be told both ways
	Why   string `json:"why,omitempty"` // why there is nothing to compare

	Heard   *Interval `json:"heard,omitempty"` // share of zones right
	Unheard *Interval `json:"unheard,omitempty"`
	// The same for positions: mean absolute error in mm.
	HeardMm   *Interval `json:"heard_mm,omitempty"`
	UnheardMm *Interval `json:"unheard_mm,omitempty"`
}

// withoutLevel is a fold as a change needs it: clips of a level in a held-out group, and who may teach them.
type withoutLevel struct{ held, heard, unheard []int }

// changes compares for every level of everything varied. The method is the one that was chosen for all.
func changes(ctx context.Context, d Labelled, method *Method, plan Plan, groups []string, folds Folds, steps *steps) ([]Change, error) {
	list := []Change{}
	for _, v := range d.Varied {
		for _, level := range askedLevels(v) {
			if err := steps.next("asking what a change costs: " + v.Name + " " + level); err != nil {
				return nil, err
			}
			list = append(list, changeOf(ctx, d, v, level, method, plan, groups, folds))
			if err := ctx.Err(); err != nil { // and no reason why there is nothing to compare
				return nil, err
			}
		}
	}
	return list, nil
}

// askedLevels returns the levels that are asked about: none when there is only one.
func askedLevels(v Varied) []string {
	if levels := levelsOf(v.Level); len(levels) > 1 {
		return levels
	}
	return nil
}

func levelsOf(level []string) (list []string) {
	seen := map[string]bool{"": true}
	for _, l := range level {
		if !seen[l] {
			seen[l] = true
			list = append(list, l)
		}
	}
	return list
}

func changeOf(ctx context.Context, d Labelled, v Varied, level string, method *Method, plan Plan, groups []string, folds Folds) Change {
	c := Change{What: v.Name, Level: level}
	var parts []withoutLevel
	var clips []int
	for f := range folds {
		var p withoutLevel
		for _, i := range folds[f] {
			if v.Level[i] == level {
				p.held = append(p.held, i)
			}
		}
		p.heard = folds.training(f, d.X.Rows)
		for _, i := range p.heard {
			if v.Level[i] != level && v.Level[i] != "" {
				p.unheard = append(p.unheard, i)
			}
		}
		if len(p.held) > 0 && len(p.unheard) > 0 && len(p.unheard) < len(p.heard) {
			parts, clips = append(parts, p), append(clips, p.held...)
		}
	}
	if c.Clips = len(clips); c.Clips == 0 {
		c.Why = "no two groups have it and another level besides, so it can not be told from the group"
		return c
	}
	own := pick(groups, clips)
	if method != nil {
		heard, unheard, err := toldBothWays(ctx, d, *method, parts, plan.Workers)
		if err != nil {
			c.Why = err.Error()
			return c
		}
		c.Heard, c.Unheard = interval(pick(heard, clips), own, plan), interval(pick(unheard, clips), own, plan)
	}
	if d.PositionMm != nil {
		heard, unheard, err := errorsBothWays(ctx, d, parts, plan.Workers)
		if err != nil {
			c.Why = err.Error()
			return c
		}
		c.HeardMm, c.UnheardMm = interval(pick(heard, clips), own, plan), interval(pick(unheard, clips), own, plan)
	}
	return c
}

func interval(values []float64, groups []string, plan Plan) *Interval {
	i := ByGroupInterval(values, groups, plan.Level, plan.Seed)
	return &i
}

// toldBothWays returns by clip 1 where the zone was told right and 0 where not.
func toldBothWays(ctx context.Context, d Labelled, m Method, parts []withoutLevel, workers int) (heard, unheard []float64, err error) {
	heard, unheard = make([]float64, d.X.Rows), make([]float64, d.X.Rows)
	err = bothWays(ctx, parts, workers, func(training, held []int, seen bool) error {
		told := make([]int, d.X.Rows)
		if err := tellFold(ctx, m, d.X, d.Zone, len(d.Zones), training, held, told); err != nil {
			return err
		}
		for _, i := range held {
			right := 0.0
			if told[i] == d.Zone[i] {
				right = 1
			}
			if seen {
				heard[i] = right
			} else {
				unheard[i] = right
			}
		}
		return nil
	})
	return heard, unheard, err
}

func errorsBothWays(ctx context.Context, d Labelled, parts []withoutLevel, workers int) (heard, unheard []float64, err error) {
	heard, unheard = make([]float64, d.X.Rows), make([]float64, d.X.Rows)
	err = bothWays(ctx, parts, workers, func(training, held []int, seen bool) error {
		p, err := FitPosition(ctx, d.X.Pick(training), pick(d.PositionMm, training), 1)
		if err != nil {
			return err
		}
		return eachUntil(ctx, held, func(i int) {
			if off := math.Abs(p.expected(d.X.Row(i)) - d.PositionMm[i]); seen {
				heard[i] = off
			} else {
				unheard[i] = off
			}
		})
	})
	return heard, unheard, err
}

func bothWays(ctx context.Context, parts []withoutLevel, workers int, tell func(training, held []int, seen bool) error) error {
	return allInParallel(ctx, 2*len(parts), workers, func(k int) error {
		p, seen := parts[k/2], k%2 == 0
		training := p.unheard
		if seen {
			training = p.heard
		}
		return tell(training, p.held, seen)
	})
}
