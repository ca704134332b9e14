package touch

import (
	"context"
	"math"

	"holdfast/numeric"
)

// Evidence says how well a model tells clips that it was not trained on.
type Evidence struct {
	Clips   int    `json:"clips"`
	HeldOut string `json:"held_out"` // what no fold shares with its training: specimen or session
	Groups  int    `json:"groups"`   // of that kind
	Folds   int    `json:"folds"`

	Features  *FeatureEvidence  `json:"features,omitempty"` // nil: they were given, not chosen
	Zones     *ZoneEvidence     `json:"zones,omitempty"`
	Positions *PositionEvidence `json:"positions,omitempty"`
	Changes   []Change          `json:"changes"` // when the object, the pressure or the day is a new one

	// UnderNoise holds a score for each ratio of Plan.Noise; of models of earlier versions none.
	UnderNoise []NoiseScore `json:"under_noise,omitempty"`
	OwnSNR     *OwnSNR      `json:"own_snr,omitempty"` // nil: of no clip known
}

// ZoneScore is a set of figures of told zones.
type ZoneScore struct {
	Accuracy Interval `json:"accuracy"`
	MacroF1  float64  `json:"macro_f1"`
	Kappa    float64  `json:"kappa"`
	MCC      float64  `json:"mcc"`
}

// ZoneEvidence compares three ways of asking. Only Grouped says what to expect of the next day or finger.
type ZoneEvidence struct {
	Method    string    `json:"method"`
	Chosen    []string  `json:"chosen_by_fold"`
	Grouped   ZoneScore `json:"grouped"`
	Random    ZoneScore `json:"random_split"`
	Guess     ZoneScore `json:"guess"` // the training part's most frequent zone
	Confusion Confusion `json:"confusion"`
	// Temperature by which probabilities were softened, 1: not at all; and the mean probability that is stated of the likeliest zone of
	// held-out clips, before and after. Afterwards it should be about the share that is right.
	Temperature  float64 `json:"temperature"`
	StatedBefore float64 `json:"stated_before"`
	Stated       float64 `json:"stated"`
}

// PositionEvidence is the same for positions; errors are absolute, in mm.
type PositionEvidence struct {
	Grouped   Interval `json:"grouped_mm"`
	Random    Interval `json:"random_split_mm"`
	Guess     Interval `json:"guess_mm"` // the training part's mean position
	Covered   float64  `json:"covered"`  // share of held-out clips within the process's own interval
	Spread    float64  `json:"spread"`   // by which intervals were widened for that
	BiasMm    float64  `json:"bias_mm"`  // mean of told minus true
	Quantile  float64  `json:"p90_mm"`   // nine of ten errors are smaller
	RootMean2 float64  `json:"rmse_mm"`
}

func scoreZones(truth, told []int, zones int, groups []string, plan Plan) ZoneScore {
	c := Confuse(truth, told, zones)
	hit := make([]float64, len(truth))
	for i, z := range truth {
		if told[i] == z {
			hit[i] = 1
		}
	}
	_, _, f1 := c.Macro()
	return ZoneScore{ByGroupInterval(hit, groups, plan.Level, plan.Seed), f1, c.Kappa(), c.MCC()}
}

// trainZones also returns the set of features, by number, that was chosen without each fold, and on all clips.
func trainZones(ctx context.Context, d Labelled, seen []Matrix, plan Plan, groups []string, folds Folds, e *Evidence, steps *steps) (*Method, *Pipeline, []int, int, error) {
	zones := len(d.Zones)
	fail := func(err error) (*Method, *Pipeline, []int, int, error) { return nil, nil, nil, 0, err }
	told, chosen, err := nested(ctx, plan.Methods, seen, d.Zone, zones, folds, innerSplitter(d, plan, groups), plan.Workers, steps)
	if err != nil {
		return fail(err)
	}
	z := &ZoneEvidence{Grouped: scoreZones(d.Zone, told, zones, groups, plan), Confusion: Confuse(d.Zone, told, zones)}
	var byFold []int
	for _, c := range chosen {
		z.Chosen, byFold = append(z.Chosen, plan.Methods[c.method].String()), append(byFold, c.set)
	}
	best, _, err := chooseAmong(ctx, plan.Methods, seen, d.Zone, zones, folds, plan.Workers, func(set int) error {
		return steps.next("zones: choosing a method on all clips" + ofSets(set, len(seen)))
	})
	if err != nil {
		return fail(err)
	}
	d.X = seen[best.set]
	method := plan.Methods[best.method]
	z.Method = method.String()
	if err := steps.next("zones: finding how sure to be"); err != nil {
		return fail(err)
	}
	if err := z.calibrate(ctx, method, d, folds, plan.Workers); err != nil {
		return fail(err)
	}
	if err := steps.next("zones: split by chance, to compare"); err != nil {
		return fail(err)
	}
	// The random split asks the method that was chosen by group: a choice of its own would only flatter it more.
	if told, err = CrossValidate(ctx, method, d.X, d.Zone, zones, RandomFolds(d.Zone, plan.Folds, plan.Seed), plan.Workers); err != nil {
		return fail(err)
	}
	z.Random = scoreZones(d.Zone, told, zones, groups, plan)
	for f := range folds {
		count := make([]float64, zones)
		for _, i := range folds.training(f, d.X.Rows) {
			count[d.Zone[i]]++
		}
		for _, i := range folds[f] {
			told[i] = largest(count)
		}
	}
	z.Guess = scoreZones(d.Zone, told, zones, groups, plan)
	if err := steps.next("zones: learning from all clips"); err != nil {
		return fail(err)
	}
	p, err := Fit(ctx, method, d.X, d.Zone, zones, true)
	if err != nil {
		return fail(err)
	}
	e.Zones = z
	return &method, p, byFold, best.set, nil
}

// trainPositions takes each fold's features by themselves, and those of the model with the rest.
func trainPositions(ctx context.Context, d Labelled, byFold []Matrix, plan Plan, groups []string, folds Folds, e *Evidence, steps *steps) (*PositionModel, error) {
	if err := steps.next("positions: telling groups that are held out"); err != nil {
		return nil, err
	}
	mean, deviation, err := heldOutPositions(ctx, byFold, d.PositionMm, folds, plan.Workers)
	if err != nil {
		return nil, err
	}
	n := d.X.Rows
	z := -numeric.NormalQuantile((1 - plan.Level) / 2)
	off, relative := make([]float64, n), make([]float64, n)
	p := &PositionEvidence{}
	errors := func(told []float64) Interval {
		for i, v := range told {
			off[i] = math.Abs(v - d.PositionMm[i])
		}
		return ByGroupInterval(off, groups, plan.Level, plan.Seed)
	}
	p.Grouped = errors(mean)
	for i, v := range off {
		relative[i] = v / (z * max(deviation[i], 1e-9))
		p.BiasMm += (mean[i] - d.PositionMm[i]) / float64(n)
		p.RootMean2 += v * v / float64(n)
		if relative[i] <= 1 {
			p.Covered += 1 / float64(n)
		}
	}
	p.RootMean2 = math.Sqrt(p.RootMean2)
	p.Quantile = quantileOf(off, 0.9)
	p.Spread = max(1, quantileOf(relative, plan.Level))
	if err := steps.next("positions: split by chance, to compare"); err != nil {
		return nil, err
	}
	chance := RandomFolds(make([]int, n), plan.Folds, plan.Seed)
	if mean, _, err = heldOutPositions(ctx, repeated(d.X, len(chance)), d.PositionMm, chance, plan.Workers); err != nil {
		return nil, err
	}
	p.Random = errors(mean)
	for f := range folds {
		m := meanOf(pick(d.PositionMm, folds.training(f, n)))
		for _, i := range folds[f] {
			mean[i] = m
		}
	}
	p.Guess = errors(mean)
	if err := steps.next("positions: learning from all clips"); err != nil {
		return nil, err
	}
	model, err := FitPosition(ctx, d.X, d.PositionMm, plan.Workers)
	if err != nil {
		return nil, err
	}
	model.Process.Spread = p.Spread
	e.Positions = p
	return model, nil
}
