package tolerance

import (
	"context"
	"errors"
	"math"
	"slices"
	"sort"

	"holdfast/orient"
	"holdfast/statistics/additive"
)

// Trial is one trial as a tolerance reads it.
type Trial struct {
	Pose
	Held    bool
	Closing float64           // closing command, 0 … 1
	Levels  map[string]string // by factor: strategy, item, hand, setting, block, operator
}

// Factors are the names by which Trial.Levels and Condition.Levels are read.
var Factors = []string{additive.Strategy, additive.Item, additive.Hand, additive.Setting, additive.Block, additive.Operator}

// deviating is the factor whose levels have an own deviation on orientations, where it has several.
const deviating = additive.Strategy

// Fitted is an additive model of trials with offsets.
type Fitted struct {
	Model     *additive.Model
	Varied    map[string][]string // levels of the factors that have several, sorted
	Closings  []float64           // closing commands tried, ascending
	HasOffset bool                // placement offsets were varied; otherwise success is taken not to depend on them
}

// Fit fits what a tolerance needs: orientation, placement offset where it was varied, closing command and factors where
// they were, and each strategy's own deviation on orientations. It fails without trials or when ctx ends.
func Fit(ctx context.Context, trials []Trial, symmetry orient.Symmetry, workers int) (*Fitted, error) {
	if len(trials) == 0 {
		return nil, errors.New("there is no trial to learn from: run or import some first")
	}
	f := &Fitted{Varied: map[string][]string{}}
	d := &additive.Data{Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	for i := range trials {
		t := &trials[i]
		held := 0.0
		if t.Held {
			held = 1
		}
		d.Held, d.Trials = append(d.Held, held), append(d.Trials, 1)
		d.Orientations = append(d.Orientations, symmetry.Canonical(t.R))
		d.Numbers[additive.OffsetX], d.Numbers[additive.OffsetY] = append(d.Numbers[additive.OffsetX], t.X), append(d.Numbers[additive.OffsetY], t.Y)
		d.Numbers[additive.Closing] = append(d.Numbers[additive.Closing], t.Closing)
		for _, name := range Factors {
			d.Levels[name] = append(d.Levels[name], named(t.Levels[name]))
		}
	}
	terms := []additive.Term{additive.OrientationTerm(symmetry)}
	if f.HasOffset = differ(d.Numbers[additive.OffsetX]) || differ(d.Numbers[additive.OffsetY]); f.HasOffset {
		terms = append(terms, additive.OffsetTerm("offset", additive.OffsetX, additive.OffsetY))
	}
	f.Closings = slices.Compact(slices.Sorted(slices.Values(d.Numbers[additive.Closing])))
	if len(f.Closings) > 1 {
		terms = append(terms, additive.SmoothTerm(additive.Closing))
	}
	for _, name := range Factors {
		levels := slices.Compact(slices.Sorted(slices.Values(d.Levels[name])))
		if len(levels) < 2 {
			continue
		}
		f.Varied[name] = levels
		terms = append(terms, additive.FactorTerm(name))
		if name == deviating {
			terms = append(terms, additive.FactorByOrientation(name, symmetry))
		}
	}
	var err error
	f.Model, err = additive.Fit(ctx, d, terms, additive.Options{Workers: workers})
	return f, err
}

// named gives trials without a level one of their own.
func named(level string) string {
	if level == "" {
		return additive.NotGiven
	}
	return level
}

func differ(column []float64) bool {
	for _, v := range column {
		if v != column[0] {
			return true
		}
	}
	return false
}

// Condition fixes what a tolerance is asked for. A factor without a level stands for one like those tried: its own
// spread widens the interval.
type Condition struct {
	Closing float64 // 0 … 1
	Levels  map[string]string
}

// Matches says whether a trial was made under the condition's levels.
func (c Condition) Matches(t *Trial) bool {
	for name, level := range c.Levels {
		if named(t.Levels[name]) != level {
			return false
		}
	}
	return true
}

// At returns the model with everything but the pose fixed.
func (f *Fitted) At(c Condition) Model { return fixed{f, c} }

type fixed struct {
	f *Fitted
	c Condition
}

// unnamed is a level that no trial has: the model takes it as one like those tried.
const unnamed = "\x00any"

// drawChunk bounds the memory of the answer while it is turned.
const drawChunk = 512

func (m fixed) LogOdds(ctx context.Context, n int, seed uint64, poses []Pose) ([][]float64, error) {
	draws := m.f.Model.Draw(n, seed)
	out := make([][]float64, n)
	for d := range out {
		out[d] = make([]float64, len(poses))
	}
	for from := 0; from < len(poses); from += drawChunk {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		part := poses[from:min(from+drawChunk, len(poses))]
		rows, err := draws.LogOdds(m.query(part))
		if err != nil {
			return nil, err
		}
		for i := range part {
			for d, v := range rows[i*n : (i+1)*n] {
				out[d][from+i] = v
			}
		}
	}
	return out, nil
}

func (m fixed) query(poses []Pose) *additive.Data {
	q := &additive.Data{Orientations: make([]orient.Rotation, len(poses)), Numbers: map[string][]float64{}, Levels: map[string][]string{}}
	x, y, command := make([]float64, len(poses)), make([]float64, len(poses)), make([]float64, len(poses))
	for i, p := range poses {
		q.Orientations[i], x[i], y[i], command[i] = p.R, p.X, p.Y, m.c.Closing
	}
	q.Numbers[additive.OffsetX], q.Numbers[additive.OffsetY], q.Numbers[additive.Closing] = x, y, command
	for name := range m.f.Varied {
		level, ok := m.c.Levels[name]
		if !ok {
			level = unnamed
		}
		column := make([]string, len(poses))
		for i := range column {
			column[i] = level
		}
		q.Levels[name] = column
	}
	return q
}

// How the best orientation is looked for: the lower bound of the success under the stated errors, roughly averaged over
// a few turns and offsets a candidate, among so many of the tried orientations.
const (
	mostCandidates = 250
	searchDraws    = 200
)

// Best returns the candidate whose success under the errors is surest: the largest 5 % quantile. It fails without
// candidates.
func Best(ctx context.Context, m Model, candidates []orient.Rotation, e Errors, seed uint64) (orient.Rotation, error) {
	if len(candidates) == 0 {
		return orient.Identity, errors.New("no orientation was tried under this condition")
	}
	if len(candidates) > mostCandidates {
		thinned := make([]orient.Rotation, mostCandidates)
		for i := range thinned {
			thinned[i] = candidates[i*len(candidates)/mostCandidates]
		}
		candidates = thinned
	}
	// A sphere through the root mean square: six turns and four offsets with the errors' own second moments.
	var turns []orient.Rotation
	for axis := range 3 {
		for _, sign := range []float64{1, -1} {
			var a orient.Vec3
			a[axis] = sign
			turns = append(turns, orient.AboutAxis(a, e.Angle))
		}
	}
	root := shapeRoot(e)
	reach := math.Sqrt2 * e.Spread()
	offsets := []Pose{{R: candidates[0]}}
	for axis := range 2 {
		for _, sign := range []float64{reach, -reach} {
			offsets = append(offsets, Pose{R: candidates[0], X: sign * root[0][axis], Y: sign * root[1][axis]})
		}
	}
	poses := slices.Clone(offsets)
	for _, c := range candidates {
		for _, t := range turns {
			poses = append(poses, Pose{R: t.Mul(c)})
		}
	}
	draws, err := m.LogOdds(ctx, searchDraws, seed, poses)
	if err != nil {
		return orient.Identity, err
	}
	best, bestLow := 0, math.Inf(-1)
	success := make([]float64, searchDraws)
	for i := range candidates {
		for d, row := range draws {
			success[d] = 0
			for k := range turns {
				for o := 1; o < len(offsets); o++ {
					f := row[len(offsets)+i*len(turns)+k] + row[o] - row[0]
					success[d] += 1 / (1 + math.Exp(-f)) / float64(len(turns)*(len(offsets)-1))
				}
			}
		}
		sort.Float64s(success)
		if low := quantile(success, 0.05); low > bestLow {
			best, bestLow = i, low
		}
	}
	return candidates[best], nil
}
