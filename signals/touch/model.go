package touch

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"

	"holdfast/numeric"
)

// Model is what is kept of training: enough to tell where new clips were touched. Any number of goroutines may ask it.
type Model struct {
	Recipe   Recipe         `json:"recipe"`
	Zones    []string       `json:"zones,omitempty"` // names by number
	Zone     *Pipeline      `json:"zone,omitempty"`
	Method   *Method        `json:"method,omitempty"` // by which zones were learnt
	Position *PositionModel `json:"position,omitempty"`
	// Temperature softens the zones' probabilities, see [Soften]; 0: they are as the method gives them.
	Temperature float64  `json:"temperature,omitempty"`
	Novelty     *Novelty `json:"novelty"`
	Level       float64  `json:"level"` // of position intervals
	// Samples is how long the clips were that it was trained on, by which those of a stream are cut; 0: not known.
	Samples int `json:"clip_samples,omitempty"`
}

// SetSamples keeps the median length of the clips that the model was trained on, or what of it the recipe looks at.
func (m *Model) SetSamples(lengths []int) {
	if len(lengths) == 0 {
		return
	}
	sorted := slices.Sorted(slices.Values(lengths))
	m.Samples = min(sorted[len(sorted)/2], m.Recipe.Samples())
}

// PositionModel tells positions along the finger.
type PositionModel struct {
	PCA     *PCA      `json:"pca"`
	Process *Gaussian `json:"process"`
}

const positionDirections = 20

// FitPosition learns positions in mm from rows of features. Its error is that of ctx once that has ended.
func FitPosition(ctx context.Context, x Matrix, positionMm []float64, workers int) (*PositionModel, error) {
	pca, err := FitPCA(ctx, x, max(1, min(positionDirections, x.Cols, x.Rows-1)))
	if err != nil {
		return nil, err
	}
	reduced := NewMatrix(x.Rows, len(pca.Directions))
	for i := range x.Rows {
		pca.Apply(reduced.Row(i), x.Row(i))
	}
	g, err := FitGaussian(ctx, reduced, positionMm, workers)
	if err != nil {
		return nil, err
	}
	return &PositionModel{pca, g}, nil
}

// Predict returns the expected position and its standard deviation, both in mm.
func (p *PositionModel) Predict(row []float64) (mean, deviation float64) {
	r := make([]float64, len(p.PCA.Directions))
	p.PCA.Apply(r, row)
	return p.Process.Predict(r)
}

// expected returns Predict's mean alone.
func (p *PositionModel) expected(row []float64) float64 {
	r := make([]float64, len(p.PCA.Directions))
	p.PCA.Apply(r, row)
	return p.Process.expected(r)
}

// heldOutPositions returns each clip's expected position and deviation from a model without its fold. Each fold has features
// of its own.
func heldOutPositions(ctx context.Context, x []Matrix, positionMm []float64, folds Folds, workers int) (mean, deviation []float64, err error) {
	mean, deviation = make([]float64, len(positionMm)), make([]float64, len(positionMm))
	err = allInParallel(ctx, len(folds), workers, func(f int) error {
		training := folds.training(f, len(positionMm))
		p, err := FitPosition(ctx, x[f].Pick(training), pick(positionMm, training), 1)
		if err != nil {
			return err
		}
		return eachUntil(ctx, folds[f], func(i int) { mean[i], deviation[i] = p.Predict(x[f].Row(i)) })
	})
	return mean, deviation, err
}

// Telling is what a model says about one clip.
type Telling struct {
	Zone        string  // "" when the model knows no zones
	Probability float64 // of that zone
	// Probabilities of all zones, in the model's order; nil when it knows none.
	Probabilities []float64
	// Position with its interval in mm; NaN when the model knows no positions.
	PositionMm, LowMm, HighMm float64
	Distance                  float64 // from what was trained on, in standard deviations
	Unsure                    bool    // the clip is unlike all that was trained on: do not act on it
}

// Tell says where a clip was touched, from its features.
func (m *Model) Tell(row []float64) Telling {
	t := Telling{PositionMm: math.NaN(), LowMm: math.NaN(), HighMm: math.NaN()}
	if m.Zone != nil {
		p := m.Zone.Probabilities(row)
		Soften(p, m.Temperature)
		k := m.Zone.Tell(row)
		t.Zone, t.Probability, t.Probabilities = m.Zones[k], p[k], p
	}
	if m.Position != nil {
		mean, deviation := m.Position.Predict(row)
		z := -numeric.NormalQuantile((1 - m.Level) / 2)
		t.PositionMm, t.LowMm, t.HighMm = mean, mean-z*deviation, mean+z*deviation
	}
	t.Distance = m.Novelty.Distance(row)
	t.Unsure = t.Distance > m.Novelty.Limit
	return t
}

// Labelled is what a model is trained on: features of clips and what is known of each.
type Labelled struct {
	X                 Matrix
	Zone              []int // nil when zones are not to be learnt
	Zones             []string
	PositionMm        []float64 // nil when positions are not to be learnt
	Session, Specimen []string
	Varied            []Varied // what else differed among clips
	// OwnSNRDB is by how much each clip is above its own noise, in dB, NaN where that is not known; nil: of none.
	OwnSNRDB []float64
}

// ZonesAlong returns the names of zones, those of clips (by clip, with positions in mm, NaN where none is known), in the order of
// their mean positions; zones without any position stand last, by name.
func ZonesAlong(zone []string, positionMm []float64) []string {
	sum, count, seen := map[string]float64{}, map[string]float64{}, map[string]bool{}
	for i, z := range zone {
		seen[z] = true
		if !math.IsNaN(positionMm[i]) {
			sum[z] += positionMm[i]
			count[z]++
		}
	}
	names := slices.Sorted(maps.Keys(seen))
	slices.SortStableFunc(names, func(a, b string) int {
		if count[a] == 0 || count[b] == 0 {
			return cmp.Compare(min(count[b], 1), min(count[a], 1))
		}
		return cmp.Compare(sum[a]/count[a], sum[b]/count[b])
	})
	return names
}

// Plan says how a model is trained and tested.
type Plan struct {
	Methods []Method
	Folds   int     // outer and inner, at most
	Rate    float64 // of ordinary clips to be called unlike what was trained on
	Level   float64 // of intervals
	Seed    uint64
	Workers int
	Noise   Noise // laid over held-out clips; zero: none
	// FeatureSets are sets of the recipe's features that held-out clips choose one of, as they choose a method: by zones where they
	// are learnt, by positions otherwise. None: all of the recipe's features are used.
	FeatureSets [][]string
	// Step is told before each part of the work which it is, how many are done and how many there are; nil: nobody is told.
	// An error that it returns ends the work, and Train returns it.
	Step func(what string, done, of int) error
}

// DefaultPlan tests in five folds and tries Candidates.
func DefaultPlan() Plan {
	return Plan{Methods: Candidates, Folds: 5, Rate: 0.02, Level: 0.90, Seed: 1, Workers: 2}
}

// Train chooses, tests and fits a model. Figures come from nested validation by group; the model that is kept is fitted to
// all clips. Once ctx has ended, its error is returned soon, and nothing else.
func Train(ctx context.Context, recipe Recipe, d Labelled, plan Plan) (*Model, *Evidence, error) {
	if d.Zone == nil && d.PositionMm == nil {
		return nil, nil, fmt.Errorf("the clips have neither zones nor positions to learn")
	}
	if !(plan.Rate > 0 && plan.Rate < 1) || !(plan.Level > 0 && plan.Level < 1) || len(plan.Methods) == 0 || plan.Folds < 2 {
		return nil, nil, fmt.Errorf("the plan is not possible: %d methods, %d folds, rate %g, level %g", len(plan.Methods), plan.Folds, plan.Rate, plan.Level)
	}
	if err := plan.Noise.check(); err != nil {
		return nil, nil, err
	}
	m := &Model{Recipe: recipe, Level: plan.Level}
	kind, groups := hardest(d)
	e := &Evidence{Clips: d.X.Rows, HeldOut: kind, Groups: distinct(groups)}
	folds, err := GroupFolds(groups, plan.Folds, plan.Seed)
	if err != nil {
		return nil, nil, err
	}
	e.Folds = len(folds)
	seen := []Matrix{d.X}
	if len(plan.FeatureSets) > 0 {
		if seen, err = views(recipe, d.X, plan.FeatureSets); err != nil {
			return nil, nil, err
		}
	}
	steps := newSteps(d, plan, len(folds), len(seen))
	labels, zones := make([]int, d.X.Rows), 1
	byFold, set := make([]int, len(folds)), 0 // numbers of sets of features
	if d.Zone != nil {
		labels, zones = d.Zone, len(d.Zones)
		if m.Method, m.Zone, byFold, set, err = trainZones(ctx, d, seen, plan, groups, folds, e, steps); err != nil {
			return nil, nil, err
		}
		m.Zones, m.Temperature = d.Zones, e.Zones.Temperature
	} else if len(seen) > 1 {
		if byFold, set, err = setsByPosition(ctx, d, seen, plan, groups, folds, steps); err != nil {
			return nil, nil, err
		}
	}
	d.X = seen[set]
	if len(plan.FeatureSets) > 0 {
		m.Recipe.Features = plan.FeatureSets[set]
		e.Features = &FeatureEvidence{Model: m.Recipe.Features, ByFold: pick(plan.FeatureSets, byFold), By: "zone"}
		if d.Zone == nil {
			e.Features.By = "mm"
		}
	}
	if d.PositionMm != nil {
		if m.Position, err = trainPositions(ctx, d, pick(seen, byFold), plan, groups, folds, e, steps); err != nil {
			return nil, nil, err
		}
	}
	if err = steps.next("learning what is unlike all clips"); err != nil {
		return nil, nil, err
	}
	if m.Novelty, err = FitNovelty(ctx, d.X, labels, zones); err != nil {
		return nil, nil, err
	}
	distances, err := heldOutDistances(ctx, d.X, labels, zones, folds, plan.Workers)
	if err != nil {
		return nil, nil, err
	}
	m.Novelty.SetLimit(distances, plan.Rate)
	if e.Changes, err = changes(ctx, d, m.Method, plan, groups, folds, steps); err != nil {
		return nil, nil, err
	}
	if e.UnderNoise, err = againstNoise(ctx, m, d, plan, groups, folds, steps); err != nil {
		return nil, nil, err
	}
	e.OwnSNR = ownSNR(d.OwnSNRDB)
	return m, e, nil
}

// hardest returns what is held out: specimens when there are two at least, since the next finger is never the one trained
// on, and sessions otherwise.
func hardest(d Labelled) (string, []string) {
	if distinct(d.Specimen) > 1 {
		return "specimen", d.Specimen
	}
	return "session", d.Session
}

func distinct(list []string) int {
	seen := map[string]bool{}
	for _, s := range list {
		seen[s] = true
	}
	return len(seen)
}

// quantileOf returns the ⌈(n+1)·p⌉-th smallest of the values.
func quantileOf(values []float64, p float64) float64 {
	s := append([]float64(nil), values...)
	sort.Float64s(s)
	return s[min(max(int(math.Ceil(float64(len(s)+1)*p)), 1), len(s))-1]
}
