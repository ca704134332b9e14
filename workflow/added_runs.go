package workflow

import (
	"slices"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/design"
	"holdfast/statistics/propose"
)

// runs makes planned runs of a proposal, in random order, with the reference runs that begin each block. A batch goes on
// in the last added block while that has room and its set-up; so a robot that asks for one trial at a time makes a
// reference trial once a block, not with every trial.
func (p *proposing) runs(got propose.Proposal) ([]domain.PlannedRun, error) {
	if len(got.Trials) == 0 {
		return nil, nil
	}
	s, before := p.kept.study, p.kept.runs
	last := domain.PlannedRun{}
	if len(before) > 0 {
		last = before[len(before)-1]
	}
	offsets, err := design.AddedOffsets(effortSpec(s).Offset, s.Seed, last.Order, len(got.Trials))
	if err != nil {
		return nil, domain.Internal("drawing placement offsets", err)
	}
	setup := p.setups[got.Setup]
	same := last.Order > 0 && setupKey(domain.Condition{Hand: last.Hand, Item: last.Item, Setting: last.Setting}) == got.Setup
	room := 0
	if same && last.Why != "" {
		room = s.BlockSize
		for _, r := range before {
			if r.Block == last.Block && !r.Reference {
				room--
			}
		}
	}
	cells := newCells(before)
	trials := slices.Clone(got.Trials)
	numeric.Stream(s.Seed, "order of added runs", last.Order).Shuffle(len(trials), func(i, j int) { trials[i], trials[j] = trials[j], trials[i] })
	var runs []domain.PlannedRun
	block, plot := last.Block, last.WholePlot
	if !same {
		plot++
	}
	put := func(r domain.PlannedRun) {
		r.Study, r.Order, r.Block, r.WholePlot = s.ID, last.Order+len(runs)+1, block, plot
		r.Hand, r.Item, r.Setting = setup.Hand, setup.Item, setup.Setting
		runs = append(runs, r)
	}
	for i, t := range trials {
		if room <= 0 {
			block++
			room = s.BlockSize
			for range s.References {
				put(domain.PlannedRun{Strategy: s.Reference.Strategy, Cell: -1, Planned: s.Reference.Orientation, Closing: s.Reference.Closing,
					Reference: true, Why: "Reference run at the start of an added block, so that wear or drift shows."})
			}
		}
		room--
		closing, err := p.closing(t.Arm)
		if err != nil {
			return nil, err
		}
		cell, replicate := cells.of(t.Rotation)
		put(domain.PlannedRun{Strategy: p.conditions[t.Arm].Strategy, Cell: cell, Planned: t.Rotation, Closing: closing, Offset: offsets[i], Replicate: replicate, Why: t.Why})
	}
	return runs, nil
}

// closing is the command to try an arm with: of the study's levels the one whose share held has the best lower bound.
func (p *proposing) closing(arm int) (float64, error) {
	levels := p.kept.study.ClosingLevels
	best, most := levels[0], -1.0
	for _, c := range levels {
		var t Tally
		for i := range p.trials[arm] {
			if p.trials[arm][i].Closing == c {
				t.add(p.trials[arm][i].Held())
			}
		}
		if t.Trials == 0 {
			continue
		}
		if err := t.close(); err != nil {
			return 0, err
		}
		if t.Low > most {
			best, most = c, t.Low
		}
	}
	return best, nil
}

// cells numbers orientations on from those of a plan.
type cells struct {
	at    map[orient.Rotation]int
	count map[int]int // runs of a cell
}

func newCells(runs []domain.PlannedRun) *cells {
	c := &cells{map[orient.Rotation]int{}, map[int]int{}}
	for _, r := range runs {
		if r.Cell >= 0 {
			c.at[r.Planned.Canonical()] = r.Cell
			c.count[r.Cell]++
		}
	}
	return c
}

func (c *cells) of(r orient.Rotation) (cell, replicate int) {
	cell, known := c.at[r.Canonical()]
	if !known {
		cell = len(c.count)
		c.at[r.Canonical()] = cell
	}
	c.count[cell]++
	return cell, c.count[cell]
}
