package api

import (
	"holdfast/domain"
	"holdfast/statistics/handset"
	"holdfast/statistics/value"
	"holdfast/workflow"
)

// texts turns a list of words into plain strings.
func texts[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = string(s)
	}
	return out
}

func fromItemEconomics(e domain.ItemEconomics) ItemEconomics {
	w := ItemEconomics{
		ID: string(e.ID), ValuePerGood: e.Good, CostDamaged: e.Damaged, CostFailed: e.Failed, CostPersonItem: e.PersonItem, PersonS: e.PersonSeconds,
		ItemS: e.ItemSeconds, FailS: e.FailSeconds, WaitS: e.WaitSeconds, CycleS: e.CycleSeconds, DemandPerHour: e.Demand, Share: e.Share,
		Target: e.Target, Confidence: e.Confidence, Retry: texts(e.Retry), Shared: e.Shared, RetryFactor: e.RetryFactor, Note: e.Note, Meta: fromMeta(e.Meta),
	}
	if len(e.FailedBy) > 0 {
		w.CostFailedBy = map[string]float64{}
		for o, v := range e.FailedBy {
			w.CostFailedBy[string(o)] = v
		}
	}
	return w
}

func (e ItemEconomics) domain() domain.ItemEconomics {
	d := domain.ItemEconomics{
		ID: domain.ID(e.ID), Good: e.ValuePerGood, Damaged: e.CostDamaged, Failed: e.CostFailed, PersonItem: e.CostPersonItem, PersonSeconds: e.PersonS,
		ItemSeconds: e.ItemS, FailSeconds: e.FailS, WaitSeconds: e.WaitS, CycleSeconds: e.CycleS, Demand: e.DemandPerHour, Share: e.Share,
		Target: e.Target, Confidence: e.Confidence, Shared: e.Shared, RetryFactor: e.RetryFactor, Note: e.Note,
	}
	for _, s := range e.Retry {
		d.Retry = append(d.Retry, domain.RetryStep(s))
	}
	if len(e.CostFailedBy) > 0 {
		d.FailedBy = map[domain.Outcome]float64{}
		for o, v := range e.CostFailedBy {
			d.FailedBy[domain.Outcome(o)] = v
		}
	}
	return d
}

func fromHandEconomics(e domain.HandEconomics) HandEconomics {
	return HandEconomics{ID: string(e.ID), Price: e.Price, LifeH: e.LifeHours, LifePicks: e.LifePicks, ChangeS: e.ChangeSeconds, Note: e.Note, Meta: fromMeta(e.Meta)}
}

func (e HandEconomics) domain() domain.HandEconomics {
	return domain.HandEconomics{ID: domain.ID(e.ID), Price: e.Price, LifeHours: e.LifeH, LifePicks: e.LifePicks, ChangeSeconds: e.ChangeS, Note: e.Note}
}

func fromLineEconomics(e domain.LineEconomics) LineEconomics {
	return LineEconomics{
		ID: string(e.ID), Currency: e.Currency, LinePerHour: e.Hour, StandingPerHour: e.Standing, PersonPerHour: e.PersonHour, CycleH: e.CycleHours,
		Note: e.Note, Meta: fromMeta(e.Meta),
	}
}

func (e LineEconomics) domain() domain.LineEconomics {
	return domain.LineEconomics{
		ID: domain.ID(e.ID), Currency: e.Currency, Hour: e.LinePerHour, Standing: e.StandingPerHour, PersonHour: e.PersonPerHour, CycleHours: e.CycleH, Note: e.Note,
	}
}

func fromEstimate(e value.Estimate) Estimate { return Estimate{e.Mean, e.Low, e.High} }

func fromValue(v workflow.Value) ItemValue {
	w := ItemValue{
		Item: string(v.Item.ID), Currency: v.Line.Currency, Retry: texts(v.Retry), Shared: v.Shared, SharedAssumed: v.Assumed,
		PersonItemsPerH: v.Person.Items, PersonNetPerHour: v.Person.Net, Rows: each(v.Rows, fromValueRow), Warnings: v.Warnings,
		Target: v.Item.Target, EconomicsRevision: v.Item.Revision,
	}
	if w.Target == 0 {
		w.Target = v.Study.Target
	}
	return w
}

func fromValueRow(r workflow.ValueRow) ValueRow {
	w := ValueRow{
		Condition: fromCondition(r.Condition), Attempts: texts(r.Strategies), End: string(r.End), Success: fromEstimate(r.Success),
		ItemsPerHour: fromEstimate(r.Items), PicksPerHour: fromEstimate(r.Picks), GoodPerHour: fromEstimate(r.Good), NetPerHour: fromEstimate(r.Net),
		Gains: r.Gains, BeatsPerson: r.BeatsPerson, AlwaysBetter: r.BreakEven.Always, ItemHeld: r.Ends.Held, ItemDamaged: r.Ends.Damaged,
		ItemPerson: r.Ends.Person, ItemLeft: r.Ends.Left, AttemptsPerItem: r.Ends.Attempts, ItemS: r.Ends.Seconds, ItemMoney: r.Ends.Money,
		Sensitivity: each(r.Sensitivity, func(b value.Bar) Bar {
			return Bar{b.Input, b.Unit, b.Measured, b.Low, b.Mid, b.High, b.NetLow, b.NetHigh}
		}),
		Chain: []ChainStep{},
	}
	if r.BreakEven.Found {
		w.BreakEven = &r.BreakEven.Success
	}
	for k, s := range r.Ends.Steps {
		w.Chain = append(w.Chain, ChainStep{string(r.Strategies[k]), s.Reached, s.Held, s.Damaged, s.Again, s.GivenUp})
	}
	return w
}

func fromHandSet(s workflow.HandSet, most int) HandSet {
	names := func(hands []int) []string {
		list := make([]string, len(hands))
		for i, h := range hands {
			list[i] = string(s.Hands[h].Hand)
		}
		return list
	}
	option := func(o handset.Set) SetOption { return SetOption{names(o.Hands), o.Value} }
	w := HandSet{
		Currency: s.Line.Currency, MaxHands: most, Confidence: s.Confidence, Trials: s.Trials, NetPerHour: s.Value, ByPeople: s.People,
		RunnersUp: each(s.RunnersUp, option), Curve: each(s.Curve, option), Certificate: s.Certificate(), Evaluated: s.Evaluated, LeftOut: s.LeftOut,
		Warnings: s.Warnings, Worth: each(s.Worth[:min(len(s.Worth), mostWorth)], func(v handset.Worth) SetWorth {
			return SetWorth{string(s.Items[v.Item].Item), string(s.Hands[v.Hand].Hand), v.Gain, v.Perfect, v.Change}
		}),
	}
	for _, h := range s.Hands {
		w.Hands = append(w.Hands, SetHand{Hand: string(h.Hand), Name: h.Name, CostPerHour: h.Cost, ChangePerHour: h.Change})
	}
	for _, h := range s.Answer.Hands {
		w.Hands[h].Kept = true
	}
	for i, it := range s.Items {
		item := SetItem{Item: string(it.Item), Name: it.Name, Share: it.Share, Target: it.Target, PersonNetPerHour: it.Person, Reason: string(s.Reasons[i])}
		if h := s.Assigned[i]; h >= 0 {
			item.Hand = string(s.Hands[h].Hand)
		}
		item.Pairs = each(s.Pairs[i], fromSetPair)
		w.Items = append(w.Items, item)
	}
	return w
}

// mostWorth is how many pairs are listed.
const mostWorth = 20

func fromSetPair(p workflow.SetPair) SetPair {
	w := SetPair{
		State: "not-tested", Study: string(p.Study), Strategy: string(p.Condition.Strategy), Setting: string(p.Condition.Setting),
		Trials: p.Condition.Trials, Held: p.Condition.Held, Success: fromEstimate(p.Success), Reaches: p.Reaches, NetPerHour: p.Net,
	}
	switch {
	case p.Meets:
		w.State = "met"
	case p.Tested:
		w.State = "not-met"
	}
	return w
}
