package design

import (
	"math"
	"math/rand/v2"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
)

// Run is one trial of a plan.
type Run struct {
	Order                         int // place in the plan, from 1
	Block                         int // from 1
	WholePlot                     int // from 1; the slow factors stay put inside one
	Hand, Item, Setting, Strategy string
	Cell                          int // index into the spec's Orientations; −1 for a reference run
	Rotation                      orient.Rotation
	Closing                       float64    // 0…1
	Offset                        [3]float64 // m, setting frame: where to put the item, minus where it is believed to be
	Replicate                     int        // from 1; 0 for a reference run
	Reference                     bool
}

// Draw returns the plan of a spec, in the order in which to run it. The same spec
// always gives the same plan.
//
// Each replicate of all conditions is completed before the next begins. Inside it
// the whole plots (combinations of the slow factors) come in random order; each is
// cut into blocks whose sizes, and whose counts of every strategy and of every
// pair of strategy and closing level, differ by at most one; closing levels are
// evened out as far as that leaves room. Order inside a block is random. A
// reference run stands at each block's start and end. Placement offsets follow one
// scrambled Sobol' sequence per whole plot, rounded to micrometres; reference runs
// have none.
//
// Without more than one combination of slow factors the plan is one whole plot.
// Two whole plots with the same set-up that happen to follow each other are still
// two: take the set-up down and build it again between them.
func Draw(spec Spec) ([]Run, error) {
	if err := spec.Validate(); err != nil {
		return nil, err
	}
	plots, conditions := spec.plots(), spec.conditions()
	runs := make([]Run, 0, int(spec.countRuns()))
	inPlot := (len(conditions) + spec.BlockSize - 1) / spec.BlockSize
	groups := len(conditions) / len(spec.Orientations)
	thorough := (cap(runs)+groups)*inPlot <= dealBudget
	blocks, wholePlot := 0, 0
	var offsets offsetSource
	for replicate := 1; replicate <= spec.Replicates; replicate++ {
		order := numeric.Stream(spec.Seed, "whole plots", replicate).Perm(len(plots))
		for _, p := range order {
			if len(plots) > 1 || wholePlot == 0 {
				wholePlot++
				var err error
				if offsets, err = newOffsetSource(spec.Offset, numeric.Stream(spec.Seed, "offsets", wholePlot)); err != nil {
					return nil, err
				}
			}
			for _, block := range deal(conditions, inPlot, thorough, numeric.Stream(spec.Seed, "blocks", replicate, p)) {
				blocks++
				numeric.Stream(spec.Seed, "order", blocks).Shuffle(len(block), func(i, j int) { block[i], block[j] = block[j], block[i] })
				place := func(r Run) {
					r.Order, r.Block, r.WholePlot = len(runs)+1, blocks, wholePlot
					runs = append(runs, r)
				}
				reference := spec.referenceRun(plots[p])
				for range spec.References {
					place(reference)
				}
				for _, c := range block {
					u := plots[p].with(c.setup)
					place(Run{
						Hand: u.hand, Item: u.item, Setting: u.setting, Strategy: spec.Strategies[c.strategy],
						Cell: c.cell, Rotation: spec.Orientations[c.cell], Closing: spec.ClosingLevels[c.closing],
						Offset: offsets.next(), Replicate: replicate,
					})
				}
				for range spec.References {
					place(reference)
				}
			}
		}
	}
	return runs, nil
}

func (s *Spec) referenceRun(plot setup) Run {
	u := plot.with(setup{s.Hands[0], s.Items[0], s.Settings[0]})
	return Run{
		Hand: u.hand, Item: u.item, Setting: u.setting, Strategy: s.Reference.Strategy,
		Cell: -1, Rotation: s.Reference.Rotation, Closing: s.Reference.Closing, Reference: true,
	}
}

// offsetSource hands out the placement offsets of one whole plot.
type offsetSource struct {
	offset Offset
	points *numeric.Sobol
	drawn  uint32
}

func newOffsetSource(offset Offset, random *rand.Rand) (offsetSource, error) {
	points, err := numeric.NewScrambledSobol(2, random.Uint64())
	if err != nil {
		return offsetSource{}, domain.Internal("drawing placement offsets", err)
	}
	return offsetSource{offset: offset, points: points}, nil
}

func (o *offsetSource) next() [3]float64 {
	u := o.points.At(o.drawn)
	o.drawn++
	switch o.offset.Kind {
	case OffsetGaussian:
		return [3]float64{micrometres(o.offset.Sigma[0] * numeric.NormalQuantile(u[0])), micrometres(o.offset.Sigma[1] * numeric.NormalQuantile(u[1])), 0}
	case OffsetDisc:
		// The root makes equal shares of u equal areas.
		r := o.offset.Radius * math.Sqrt(u[0])
		sin, cos := math.Sincos(2 * math.Pi * u[1])
		return [3]float64{micrometres(r * cos), micrometres(r * sin), 0}
	default:
		return [3]float64{}
	}
}

// micrometres rounds a length in m to whole micrometres, so that a plan is the same
// on machines whose elementary functions differ in the last bit, and in a file that
// gives three decimals of a millimetre.
func micrometres(length float64) float64 { return math.Round(length*1e6) / 1e6 }
