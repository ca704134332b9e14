package touch

import (
	"fmt"
	"math"

	"holdfast/numeric"
	"holdfast/numeric/dense"
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
func changes(d Labelled, method *Method, plan Plan, groups []string, folds Folds, steps *steps) ([]Change, error) {
	list := []Change{}
	for _, v := range d.Varied {
		for _, level := range askedLevels(v) {
			if err := steps.next("asking what a change costs: " + v.Name + " " + level); err != nil {
				return nil, err
			}
			list = append(list, changeOf(d, v, level, method, plan, groups, folds))
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

func changeOf(d Labelled, v Varied, level string, method *Method, plan Plan, groups []string, folds Folds) Change {
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
		heard, unheard, err := toldBothWays(d, *method, parts, plan.Workers)
		if err != nil {
			c.Why = err.Error()
			return c
		}
		c.Heard, c.Unheard = interval(pick(heard, clips), own, plan), interval(pick(unheard, clips), own, plan)
	}
	if d.PositionMm != nil {
		heard, unheard, err := errorsBothWays(d, parts, plan.Workers)
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
func toldBothWays(d Labelled, m Method, parts []withoutLevel, workers int) (heard, unheard []float64, err error) {
	heard, unheard = make([]float64, d.X.Rows), make([]float64, d.X.Rows)
	err = bothWays(parts, workers, func(training, held []int, seen bool) error {
		told := make([]int, d.X.Rows)
		if err := tellFold(m, d.X, d.Zone, len(d.Zones), training, held, told); err != nil {
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

func errorsBothWays(d Labelled, parts []withoutLevel, workers int) (heard, unheard []float64, err error) {
	heard, unheard = make([]float64, d.X.Rows), make([]float64, d.X.Rows)
	err = bothWays(parts, workers, func(training, held []int, seen bool) error {
		p, err := FitPosition(d.X.Pick(training), pick(d.PositionMm, training), 1)
		if err != nil {
			return err
		}
		for _, i := range held {
			mm, _ := p.Predict(d.X.Row(i))
			if off := math.Abs(mm - d.PositionMm[i]); seen {
				heard[i] = off
			} else {
				unheard[i] = off
			}
		}
		return nil
	})
	return heard, unheard, err
}

func bothWays(parts []withoutLevel, workers int, tell func(training, held []int, seen bool) error) error {
	failed := make([]error, 2*len(parts))
	dense.InParallel(len(failed), workers, func(k int) {
		p, seen := parts[k/2], k%2 == 0
		training := p.unheard
		if seen {
			training = p.heard
		}
		failed[k] = tell(training, p.held, seen)
	})
	for _, err := range failed {
		if err != nil {
			return err
		}
	}
	return nil
}

// NoiseScore says how held-out clips are told when noise is laid over them. Training parts stay as they are.
type NoiseScore struct {
	RatioDB float64   `json:"snr_db"` // power of the part that is looked at, over that of the noise
	Right   *Interval `json:"right,omitempty"`
	OffMm   *Interval `json:"off_mm,omitempty"`
	Unsure  float64   `json:"unsure"` // share that is told as unlike what was trained on
}

// AgainstNoise tells held-out clips under more and more noise: pieces of a recording of silence where one is given, white noise
// otherwise. d.X holds the features of the clips as they are. The method is that of the model trained on them; the share
// called unsure is by the model's own limit.
func AgainstNoise(m *Model, d Labelled, clips [][]float64, silence, ratiosDB []float64, plan Plan) ([]NoiseScore, error) {
	if len(clips) != d.X.Rows {
		return nil, fmt.Errorf("%d clips and %d rows of features are not of one set", len(clips), d.X.Rows)
	}
	for _, r := range ratiosDB {
		if !(math.Abs(r) <= 200) {
			return nil, fmt.Errorf("a ratio of signal to noise of %g dB is not possible", r)
		}
	}
	e, err := NewExtractor(m.Recipe)
	if err != nil {
		return nil, err
	}
	_, groups := hardest(d)
	folds, err := GroupFolds(groups, plan.Folds, plan.Seed)
	if err != nil {
		return nil, err
	}
	fitted, err := fitFolds(m, d, folds, plan.Workers)
	if err != nil {
		return nil, err
	}
	scores := make([]NoiseScore, len(ratiosDB))
	for k, ratio := range ratiosDB {
		x, failed := NewMatrix(d.X.Rows, d.X.Cols), make([]error, len(clips))
		dense.InParallel(len(clips), plan.Workers, func(i int) {
			failed[i] = e.Clone().Extract(x.Row(i), underNoise(clips[i], silence, ratio, m.Recipe.Samples(), plan.Seed, i))
		})
		for _, err := range failed {
			if err != nil {
				return nil, err
			}
		}
		scores[k] = noiseScore(m, d, x, folds, fitted, groups, ratio, plan)
	}
	return scores, nil
}

// fittedFold is what a fold's training part taught.
type fittedFold struct {
	zone     *Pipeline
	position *PositionModel
	err      error
}

func fitFolds(m *Model, d Labelled, folds Folds, workers int) ([]fittedFold, error) {
	list := make([]fittedFold, len(folds))
	dense.InParallel(len(folds), workers, func(f int) {
		training := folds.training(f, d.X.Rows)
		p := &list[f]
		if m.Method != nil {
			if p.zone, p.err = Fit(*m.Method, d.X.Pick(training), pick(d.Zone, training), len(d.Zones), false); p.err != nil {
				return
			}
		}
		if m.Position != nil {
			p.position, p.err = FitPosition(d.X.Pick(training), pick(d.PositionMm, training), 1)
		}
	})
	for _, p := range list {
		if p.err != nil {
			return nil, p.err
		}
	}
	return list, nil
}

func noiseScore(m *Model, d Labelled, x Matrix, folds Folds, fitted []fittedFold, groups []string, ratioDB float64, plan Plan) NoiseScore {
	s := NoiseScore{RatioDB: ratioDB}
	right, off := make([]float64, x.Rows), make([]float64, x.Rows)
	for f, p := range fitted {
		for _, i := range folds[f] {
			if p.zone != nil && p.zone.Tell(x.Row(i)) == d.Zone[i] {
				right[i] = 1
			}
			if p.position != nil {
				mm, _ := p.position.Predict(x.Row(i))
				off[i] = math.Abs(mm - d.PositionMm[i])
			}
			if m.Novelty.Unlike(x.Row(i)) {
				s.Unsure += 1 / float64(x.Rows)
			}
		}
	}
	if m.Method != nil {
		s.Right = interval(right, groups, plan)
	}
	if m.Position != nil {
		s.OffMm = interval(off, groups, plan)
	}
	return s
}

// underNoise returns a clip with noise laid over it; looked says how many samples from the start count for its power.
func underNoise(clip, silence []float64, ratioDB float64, looked int, seed uint64, number int) []float64 {
	power := 0.0
	n := min(looked, len(clip))
	for _, v := range clip[:n] {
		power += v * v / float64(n)
	}
	r := numeric.Stream(seed, "touch noise", number)
	noise := make([]float64, len(clip))
	of := 0.0
	start := 0
	if len(silence) > 0 {
		start = r.IntN(len(silence))
	}
	for i := range noise {
		if len(silence) > 0 {
			noise[i] = silence[(start+i)%len(silence)]
		} else {
			noise[i] = r.NormFloat64()
		}
		of += noise[i] * noise[i] / float64(len(noise))
	}
	scale := 0.0
	if of > 0 {
		scale = math.Sqrt(power / of * math.Pow(10, -ratioDB/10))
	}
	for i, v := range clip {
		noise[i] = v + scale*noise[i]
	}
	return noise
}
