package touch

import (
	"context"
	"fmt"
	"math"
	"slices"

	"holdfast/numeric"
	"holdfast/statistics/proportion"
)

// Noise is what is laid over held-out clips: pieces of a recording of silence where one is given, white noise otherwise.
type Noise struct {
	RatiosDB []float64 // power of what is looked at of a clip, over that of the noise; none: nothing is laid over
	Silence  []float64 // samples, at the recipe's rate
	// Clip returns the samples of clip i. Several goroutines may call it at once.
	Clip func(i int) ([]float64, error)
}

// UsualRatiosDB go from noise that hardly matters to as much noise as sound, in dB.
var UsualRatiosDB = []float64{60, 40, 30, 20, 10, 0}

// MostUnderNoise is how many clips are told under noise at most; of more, so many evenly through the list.
const MostUnderNoise = 2000

// noiseParts is in how many steps clips are told under noise.
const noiseParts = 5

func (n *Noise) check() error {
	if len(n.RatiosDB) > 0 && n.Clip == nil {
		return fmt.Errorf("noise can not be laid over clips that are not given")
	}
	for _, r := range n.RatiosDB {
		if !(math.Abs(r) <= 200) {
			return fmt.Errorf("a ratio of signal to noise of %g dB is not possible", r)
		}
	}
	return nil
}

// NoiseScore says how held-out clips are told when noise is laid over them. What taught stays as it is.
type NoiseScore struct {
	RatioDB float64   `json:"snr_db"` // power of the part that is looked at, over that of the noise
	Clips   int       `json:"clips"`
	Right   *Interval `json:"right,omitempty"`  // share of zones
	OffMm   *Interval `json:"off_mm,omitempty"` // mean absolute error
	Unsure  Interval  `json:"unsure"`           // share that is told as unlike what was trained on, by the model's own limit
}

// OwnSNR says by how much clips are above the noise that they were recorded with.
type OwnSNR struct {
	MedianDB float64 `json:"median_db"`
	Clips    int     `json:"clips"` // of which it is known
}

func ownSNR(db []float64) *OwnSNR {
	known := slices.DeleteFunc(slices.Clone(db), math.IsNaN)
	if len(known) == 0 {
		return nil
	}
	slices.Sort(known)
	return &OwnSNR{(known[(len(known)-1)/2] + known[len(known)/2]) / 2, len(known)}
}

// againstNoise tells held-out clips under more and more noise, by what was learnt without their groups from clips as they are. d.X
// holds the features of those. The method is that of the model trained on them.
func againstNoise(ctx context.Context, m *Model, d Labelled, plan Plan, groups []string, folds Folds, steps *steps) ([]NoiseScore, error) {
	ratios := plan.Noise.RatiosDB
	if len(ratios) == 0 {
		return nil, nil
	}
	if err := steps.next("under noise: learning without each group"); err != nil {
		return nil, err
	}
	fitted, err := fitFolds(ctx, m, d, folds, plan.Workers)
	if err != nil {
		return nil, err
	}
	foldOf := make([]int, d.X.Rows)
	for f, held := range folds {
		for _, i := range held {
			foldOf[i] = f
		}
	}
	asked := evenly(d.X.Rows, MostUnderNoise)
	told := make([][]toldUnderNoise, len(asked))
	extractor, err := NewExtractor(m.Recipe)
	if err != nil {
		return nil, err
	}
	for part := range noiseParts {
		from, to := part*len(asked)/noiseParts, (part+1)*len(asked)/noiseParts
		if err := steps.next(fmt.Sprintf("under noise: telling clips, part %d of %d", part+1, noiseParts)); err != nil {
			return nil, err
		}
		err := allInParallel(ctx, to-from, plan.Workers, func(k int) (err error) {
			i := asked[from+k]
			if told[from+k], err = tellUnderNoise(m, d, &fitted[foldOf[i]], extractor.Clone(), plan, i); err != nil {
				return fmt.Errorf("clip %d of %d: %w", i+1, d.X.Rows, err)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	scores := make([]NoiseScore, len(ratios))
	for r, ratio := range ratios {
		scores[r] = noiseScore(m, ratio, r, told, pick(groups, asked), plan)
	}
	return scores, nil
}

// toldUnderNoise is what is said of one clip under one noise.
type toldUnderNoise struct{ right, off, unsure float64 }

// tellUnderNoise tells clip i under each of the plan's noises.
func tellUnderNoise(m *Model, d Labelled, p *fittedFold, e *Extractor, plan Plan, i int) ([]toldUnderNoise, error) {
	clip, err := plan.Noise.Clip(i)
	if err != nil {
		return nil, err
	}
	looked := m.Recipe.Samples()
	if !m.Recipe.Align { // nothing after that is heard
		clip = clip[:min(looked, len(clip))]
	}
	list, row := make([]toldUnderNoise, len(plan.Noise.RatiosDB)), make([]float64, d.X.Cols)
	for r, ratio := range plan.Noise.RatiosDB {
		if err := e.Extract(row, underNoise(clip, plan.Noise.Silence, ratio, looked, plan.Seed, i)); err != nil {
			return nil, err
		}
		t := &list[r]
		if p.zone != nil && p.zone.Tell(row) == d.Zone[i] {
			t.right = 1
		}
		if p.position != nil {
			t.off = math.Abs(p.position.expected(row) - d.PositionMm[i])
		}
		if m.Novelty.Unlike(row) {
			t.unsure = 1
		}
	}
	return list, nil
}

// evenly returns the numbers below n, or so many of them evenly through.
func evenly(n, most int) []int {
	if n <= most {
		return every(n)
	}
	list := make([]int, most)
	for i := range list {
		list[i] = i * n / most
	}
	return list
}

// fittedFold is what a fold's training part taught.
type fittedFold struct {
	zone     *Pipeline
	position *PositionModel
}

func fitFolds(ctx context.Context, m *Model, d Labelled, folds Folds, workers int) ([]fittedFold, error) {
	list := make([]fittedFold, len(folds))
	err := allInParallel(ctx, len(folds), workers, func(f int) (err error) {
		training := folds.training(f, d.X.Rows)
		p := &list[f]
		if m.Method != nil {
			if p.zone, err = Fit(ctx, *m.Method, d.X.Pick(training), pick(d.Zone, training), len(d.Zones), false); err != nil {
				return err
			}
		}
		if m.Position != nil {
			p.position, err = FitPosition(ctx, d.X.Pick(training), pick(d.PositionMm, training), 1)
		}
		return err
	})
	return list, err
}

func noiseScore(m *Model, ratioDB float64, r int, told [][]toldUnderNoise, groups []string, plan Plan) NoiseScore {
	of := func(field func(t *toldUnderNoise) float64) []float64 {
		values := make([]float64, len(told))
		for i := range told {
			values[i] = field(&told[i][r])
		}
		return values
	}
	s := NoiseScore{RatioDB: ratioDB, Clips: len(told), Unsure: shareInterval(of(func(t *toldUnderNoise) float64 { return t.unsure }), groups, plan)}
	if m.Method != nil {
		right := shareInterval(of(func(t *toldUnderNoise) float64 { return t.right }), groups, plan)
		s.Right = &right
	}
	if m.Position != nil {
		s.OffMm = interval(of(func(t *toldUnderNoise) float64 { return t.off }), groups, plan)
	}
	return s
}

// shareInterval returns the share of ones among zeros and ones. On either side it takes the farther of two bounds: that of groups
// drawn anew, and the exact one of so many independent clips, since groups that all agree leave no width of their own.
func shareInterval(hits []float64, groups []string, plan Plan) Interval {
	i := ByGroupInterval(hits, groups, plan.Level, plan.Seed)
	count := 0
	for _, h := range hits {
		count += int(h)
	}
	if exact, err := proportion.ClopperPearson.Interval(count, len(hits), plan.Level); err == nil {
		i.Low, i.High = min(i.Low, exact.Low), max(i.High, exact.High)
	}
	return i
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
