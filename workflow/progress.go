package workflow

import (
	"context"
	"slices"

	"holdfast/domain"
	"holdfast/statistics/design"
	"holdfast/statistics/proportion"
)

// IntervalLevel is the confidence level of every interval that the use cases give.
const IntervalLevel = 0.90

// Tally counts trials, with the exact interval of the share held at [IntervalLevel].
type Tally struct {
	Trials, Held int
	Low, High    float64
}

func (t *Tally) add(held bool) {
	t.Trials++
	if held {
		t.Held++
	}
}

// close works out the interval.
func (t *Tally) close() error {
	i, err := proportion.ClopperPearson.Interval(t.Held, t.Trials, IntervalLevel)
	t.Low, t.High = i.Low, i.High
	return err
}

// Progress tells how a study goes.
type Progress struct {
	Study       domain.ID
	Planned     int
	Done        int
	SecondsLeft float64 // s
	Tally       Tally   // without reference trials
	Blocks      []BlockProgress
	Drift       string  // what the reference trials say, in one sentence
	DriftP      float64 // two-sided p-value of a trend of the reference trials over blocks; 1 when it can not be tested
	Uninspected int     // held trials of items whose damage shows late, not yet inspected
}

// BlockProgress is one block's tally.
type BlockProgress struct {
	Block     int
	Planned   int
	Done      int
	Tally     Tally // without reference trials
	Reference Tally
}

// Progress tells how a study goes.
func (l *Lab) Progress(ctx context.Context, study domain.ID) (Progress, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return Progress{}, err
	}
	r, err := l.record(ctx, study)
	if err != nil {
		return Progress{}, err
	}
	late, err := l.lateItems(ctx, k.study.Items)
	if err != nil {
		return Progress{}, err
	}
	p := Progress{Study: study, Planned: len(k.runs), Done: r.done.count()}
	_, p.SecondsLeft = k.left(r.done)

	blocks := map[int]*BlockProgress{}
	block := func(n int) *BlockProgress {
		if blocks[n] == nil {
			blocks[n] = &BlockProgress{Block: n}
		}
		return blocks[n]
	}
	for _, run := range k.runs {
		b := block(run.Block)
		b.Planned++
		if r.done.has(run.Order) {
			b.Done++
		}
	}
	references := map[referenceKey]*design.ReferenceBlock{}
	for i := range r.trials {
		t := &r.trials[i]
		if !t.Counted.Counts() || t.Proof != "" {
			continue
		}
		b := block(t.Block)
		if t.Reference {
			b.Reference.add(t.Held())
			addReference(references, t)
			continue
		}
		b.Tally.add(t.Held())
		p.Tally.add(t.Held())
		if t.Held() && late[t.Item] && t.Inspection == "" {
			p.Uninspected++
		}
	}
	if err := p.close(blocks); err != nil {
		return Progress{}, err
	}
	return p, p.drift(references)
}

// referenceKey says which reference trials are counted together: those of one block with the same set-up.
type referenceKey struct {
	block   int
	stratum string
}

func addReference(all map[referenceKey]*design.ReferenceBlock, t *domain.CountedTrial) {
	key := referenceKey{t.Block, string(t.Hand) + " · " + string(t.Item) + " · " + string(t.Setting)}
	if all[key] == nil {
		all[key] = &design.ReferenceBlock{Block: t.Block, Stratum: key.stratum}
	}
	all[key].Trials++
	if t.Held() {
		all[key].Held++
	}
}

// close works out the intervals and puts the blocks in order.
func (p *Progress) close(blocks map[int]*BlockProgress) error {
	if err := p.Tally.close(); err != nil {
		return err
	}
	for _, b := range blocks {
		if err := b.Tally.close(); err != nil {
			return err
		}
		if err := b.Reference.close(); err != nil {
			return err
		}
		p.Blocks = append(p.Blocks, *b)
	}
	slices.SortFunc(p.Blocks, func(a, b BlockProgress) int { return a.Block - b.Block })
	return nil
}

func (p *Progress) drift(references map[referenceKey]*design.ReferenceBlock) error {
	list := make([]design.ReferenceBlock, 0, len(references))
	for _, b := range references {
		list = append(list, *b)
	}
	slices.SortFunc(list, func(a, b design.ReferenceBlock) int {
		if a.Block != b.Block {
			return a.Block - b.Block
		}
		if a.Stratum < b.Stratum {
			return -1
		}
		return 1
	})
	if len(list) == 0 {
		p.Drift, p.DriftP = "There are no reference trials yet, so drift can not be seen.", 1
		return nil
	}
	d, err := design.ReferenceDrift(list)
	p.Drift, p.DriftP = d.Sentence, d.P
	return err
}

// lateItems says which items may show damage only hours later.
func (l *Lab) lateItems(ctx context.Context, items []domain.ID) (map[domain.ID]bool, error) {
	late := map[domain.ID]bool{}
	for _, id := range items {
		it, err := l.Store.Item(ctx, id)
		if err != nil {
			return nil, err
		}
		late[id] = it.LateDamage > 0
	}
	return late, nil
}
