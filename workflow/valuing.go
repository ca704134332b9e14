package workflow

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"holdfast/domain"
	"holdfast/statistics/value"
)

// ValueQuery asks what picking an item is worth. Empty Retry: as the item's figures say.
type ValueQuery struct {
	Study domain.ID
	Item  domain.ID // may be left out when the study has one
	Retry []domain.RetryStep
}

// Value tells what each condition of an item earns.
type Value struct {
	Study    domain.Study
	Item     domain.ItemEconomics
	Line     domain.LineEconomics
	Retry    []domain.RetryStep
	Shared   float64 // latent correlation that was used
	Assumed  bool    // nobody stated it
	Person   value.Hour
	Rows     []ValueRow // greatest mean net value first
	Warnings []string
}

// ValueRow is one condition with what it earns.
type ValueRow struct {
	Condition  ConditionRow
	Strategies []domain.StrategyKind // of each attempt
	End        value.End
	value.Assessment
}

// tried is what valuing a condition rests on.
type tried struct {
	row      ConditionRow
	low      float64 // of the option, for ranking
	way      value.Way
	counts   value.Counts
	fallback float64 // s an attempt, where no trial was timed
}

// untimed says that no trial's duration was taken.
func (t *tried) untimed() bool { return len(t.counts.HeldSeconds)+len(t.counts.LostSeconds) == 0 }

// Value values an item in a study, for every condition with trials.
func (l *Lab) Value(ctx context.Context, q ValueQuery) (Value, error) {
	k, err := l.kept(ctx, q.Study)
	if err != nil {
		return Value{}, err
	}
	if q.Item == "" {
		q.Item = only(k.study.Items)
	}
	if !slices.Contains(k.study.Items, q.Item) {
		return Value{}, domain.Errorf(domain.KindInvalid, "say which item: the study %s has %v", q.Study, k.study.Items)
	}
	if err := domain.CheckRetry(q.Retry); err != nil {
		return Value{}, domain.Errorf(domain.KindInvalid, "the retry policy %v", err)
	}
	v := Value{Study: k.study, Rows: []ValueRow{}, Retry: q.Retry}
	if v.Item, err = l.ItemEconomics(ctx, q.Item); err != nil {
		return v, err
	}
	if v.Line, err = l.LineEconomics(ctx); err != nil {
		return v, err
	}
	if len(v.Retry) == 0 {
		v.Retry = v.Item.Retry
	}
	v.Shared, v.Assumed = sharedOf(v.Item)
	list, err := l.triedWays(ctx, q.Study, q.Item, v.Item, &v.Warnings, nil)
	if err != nil {
		return v, err
	}
	v.Person = moneyOf(v.Item, v.Line, domain.HandEconomics{}).PersonHour()
	for _, e := range list {
		row, err := l.valueRow(ctx, e, list, &v)
		if err != nil {
			return v, err
		}
		v.Rows = append(v.Rows, row)
	}
	slices.SortStableFunc(v.Rows, func(a, b ValueRow) int {
		switch {
		case a.Net.Mean > b.Net.Mean:
			return -1
		case a.Net.Mean < b.Net.Mean:
			return 1
		}
		return 0
	})
	if v.Item.Revision == 0 {
		v.Warnings = append(v.Warnings, fmt.Sprintf("Nobody has stated yet what picking %s brings and costs; all amounts are 0.", q.Item))
	}
	if v.Line.Revision == 0 {
		v.Warnings = append(v.Warnings, "Nobody has stated yet what the line costs; its amounts are 0.")
	}
	if v.Assumed && len(v.Retry) > 1 {
		v.Warnings = append(v.Warnings, fmt.Sprintf("How attempts at one item go together was not measured; a correlation of %.2g is assumed.", v.Shared))
	}
	if len(v.Rows) == 0 {
		v.Warnings = append(v.Warnings, "There are no trials of this item yet.")
	} else {
		v.Warnings = append(v.Warnings, "Success is that of each condition's best region, blurred by the line's error; how attempts fail is taken from all its trials.")
	}
	v.Warnings = joined(v.Warnings)
	return v, nil
}

// triedWays gathers the ways of picking an item in a study, in the study's order. told, which may be nil, is called after each.
func (l *Lab) triedWays(ctx context.Context, study, item domain.ID, e domain.ItemEconomics, warnings *[]string, told func()) ([]tried, error) {
	rows, err := l.Conditions(ctx, study)
	if err != nil {
		return nil, err
	}
	var list []tried
	for _, row := range rows {
		if row.Item != item || row.Trials == 0 {
			continue
		}
		one, err := l.way(ctx, study, row, e.CycleSeconds)
		if err != nil {
			return nil, err
		}
		if e.CycleSeconds == 0 && one.untimed() {
			*warnings = append(*warnings, fmt.Sprintf("No trial of %s was timed; the study's %.3g s a trial stand in.", row.Strategy, one.fallback))
		}
		list = append(list, one)
		if told != nil {
			told()
		}
	}
	return list, nil
}

// wayKey is all that a way of picking depends on.
type wayKey struct {
	region   optionKey
	study    domain.ID
	fallback float64 // s
}

// way returns what valuing a condition rests on. It is kept apart from the map, which is large: a lab has many more conditions than
// maps are kept, and what weighs them all asks for one after the other.
func (l *Lab) way(ctx context.Context, study domain.ID, row ConditionRow, cycle float64) (tried, error) {
	in, err := l.mapInput(ctx, study, row.Condition)
	if err != nil {
		return tried{}, err
	}
	key := wayKey{optionKey{in.key, in.study.Line.Angle, in.study.Target, 0}, study, cmp.Or(cycle, in.study.TrialSeconds)}
	one, err := l.maps.ways.do(ctx, key, func(ctx context.Context) (tried, error) {
		one := tried{fallback: key.fallback}
		for i := range in.trials {
			one.counts.Add(in.trials[i].Counted, in.trials[i].Duration)
		}
		o, err := l.option(ctx, study, row.Condition, 0)
		if err != nil {
			return one, err
		}
		one.low = o.Low
		one.way, err = value.Posterior(string(row.Strategy), one.counts, o.draws, one.fallback, 0, valueSeed)
		return one, err
	})
	one.row = row
	return one, err
}

// valueSeed draws what a map's own draws do not hold: kinds of failure and durations.
const valueSeed = 1

func sharedOf(e domain.ItemEconomics) (rho float64, assumed bool) {
	if e.Shared == nil {
		return value.DefaultShared, true
	}
	return *e.Shared, false
}

// moneyOf puts the figures of item, line and hand together.
func moneyOf(e domain.ItemEconomics, line domain.LineEconomics, hand domain.HandEconomics) value.Money {
	m := value.Money{
		Good: e.Good, Damaged: e.Damaged, Person: e.PersonItem, Attempt: hand.Attempt(), LineHour: line.Hour, HandHour: hand.Hour(),
		ItemSeconds: e.ItemSeconds, FailSeconds: e.FailSeconds, PersonSeconds: e.WaitSeconds, Demand: e.Demand,
		Alternative: value.PersonAtTheLine{ItemSeconds: e.PersonSeconds, Hour: line.PersonHour},
	}
	for k, o := range value.Failures {
		m.Failed[k] = e.Failed
		if v, ok := e.FailedBy[o]; ok {
			m.Failed[k] = v
		}
	}
	return m
}

// policyOf spells the retry steps out for a condition. Next means the best of the strategies that were tried with the same
// hand in the same setting and have not had their turn; where none is left, the chain ends there.
func policyOf(steps []domain.RetryStep, first int, list []tried, e domain.ItemEconomics) (p value.Policy, ranOut bool) {
	shared, _ := sharedOf(e)
	p = value.Policy{Ways: []int{first}, End: value.ToPerson, Again: value.DefaultAgain(), Shared: shared, Factor: e.RetryFactor}
	used := map[int]bool{first: true}
	for _, s := range steps {
		last := p.Ways[len(p.Ways)-1]
		switch s {
		case domain.RetryPerson:
			return p, ranOut
		case domain.RetryLeave:
			p.End = value.LeaveIt
			return p, ranOut
		case domain.RetrySame:
			p.Ways = append(p.Ways, last)
		case domain.RetryNext:
			next := -1
			for i := range list {
				same := list[i].row.Hand == list[first].row.Hand && list[i].row.Setting == list[first].row.Setting
				if same && !used[i] && (next < 0 || list[i].low > list[next].low) {
					next = i
				}
			}
			if next < 0 {
				ranOut = true
				continue
			}
			used[next] = true
			p.Ways = append(p.Ways, next)
		}
	}
	return p, ranOut
}

func (l *Lab) valueRow(ctx context.Context, e tried, list []tried, v *Value) (ValueRow, error) {
	first := slices.IndexFunc(list, func(o tried) bool { return o.row == e.row })
	hand, err := l.HandEconomics(ctx, e.row.Hand)
	if domain.KindOf(err) == domain.KindNotFound {
		hand, err = domain.HandEconomics{ID: e.row.Hand}, nil // trials of a hand that the catalogue does not describe
	}
	if err != nil {
		return ValueRow{}, err
	}
	if hand.Revision == 0 {
		v.Warnings = append(v.Warnings, fmt.Sprintf("Nobody has stated yet what the hand %s costs; it counts as free.", e.row.Hand))
	}
	p, ranOut := policyOf(v.Retry, first, list, v.Item)
	if ranOut {
		v.Warnings = append(v.Warnings, fmt.Sprintf("After %s no other strategy of %s was tried, so next skips that attempt.", e.row.Strategy, e.row.Hand))
	}
	ways := make([]value.Way, len(list))
	for i := range list {
		ways[i] = list[i].way
	}
	row := ValueRow{Condition: e.row, End: p.End}
	for _, w := range p.Ways {
		row.Strategies = append(row.Strategies, list[w].row.Strategy)
	}
	row.Assessment, err = value.Assess(ctx, ways, p, moneyOf(v.Item, v.Line, hand))
	return row, err
}
