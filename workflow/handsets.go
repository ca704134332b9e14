package workflow

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/statistics/handset"
	"holdfast/statistics/value"
)

// HandSetQuery asks which hands to keep.
type HandSetQuery struct {
	MaxHands   int
	Confidence float64 // 0: the strictest that an item's figures ask for
	Trials     int     // further trials of a pair whose worth is told
}

// HandSet is the answer over the whole lab.
type HandSet struct {
	Line       domain.LineEconomics
	Confidence float64
	Trials     int
	Items      []SetItem
	Hands      []SetHand
	Pairs      [][]SetPair      // [item][hand]
	Question   handset.Question // values weighted by the items' shares
	*handset.Answer
	Curve    []handset.Set // the best set of at most 1, 2, … hands
	Worth    []handset.Worth
	Warnings []string
}

// SetItem is an item of the catalogue with its part in the line's hours.
type SetItem struct {
	Item   domain.ID
	Name   string
	Share  float64
	Target float64
	Person float64 // money, an hour while it runs and a person picks, without its share
}

// SetHand is a hand with what keeping it costs.
type SetHand struct {
	Hand   domain.ID
	Name   string
	Cost   float64 // money an hour
	Change float64 // money an hour, once there are other hands
}

// SetPair is what is known of an item with a hand: its best condition.
type SetPair struct {
	Tested    bool
	Study     domain.ID
	Condition ConditionRow
	Success   value.Estimate // over the best region, blurred by the line's error
	Reaches   float64        // probability that it reaches the target
	Net       float64        // money, an hour while it runs, expected, without its share
	Meets     bool           // Reaches ≥ the confidence
}

// mostCurve bounds the numbers of hands for which the best set is told.
const mostCurve = 8

// HandSet chooses the hands over all items whose figures are stated, from the trials of all studies.
func (l *Lab) HandSet(ctx context.Context, q HandSetQuery) (HandSet, error) {
	s := HandSet{Trials: q.Trials}
	var err error
	if s.Line, err = l.LineEconomics(ctx); err != nil {
		return s, err
	}
	figures, err := l.Store.ItemsEconomics(ctx)
	if err != nil {
		return s, err
	}
	items, err := l.Store.Items(ctx)
	if err != nil {
		return s, err
	}
	hands, err := l.Store.Hands(ctx)
	if err != nil {
		return s, err
	}
	if len(figures) == 0 {
		return s, domain.Errorf(domain.KindRefused, "no item has its figures stated yet; say on a study's page Value what picking an item brings and costs")
	}
	if len(hands) == 0 {
		return s, domain.Errorf(domain.KindRefused, "the lab describes no hands yet; add those to choose from")
	}
	if q.MaxHands < 1 || q.MaxHands > 24 {
		return s, domain.Errorf(domain.KindInvalid, "at most %d hands is not understood: take 1 to 24", q.MaxHands)
	}
	if q.Trials < 0 || q.Trials > 1000 {
		return s, domain.Errorf(domain.KindInvalid, "%d further trials is not understood: take 0 to 1000", q.Trials)
	}
	var left int
	if hands, left, err = l.handsToWeigh(ctx, hands, figures); err != nil {
		return s, err
	}
	if left > 0 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("%d hands were never in a study of these items and are left out: at most %d are weighed at once.", left, handset.MostHands))
	}
	costs := make([]domain.HandEconomics, len(hands))
	for h, hand := range hands {
		if costs[h], err = l.HandEconomics(ctx, hand.ID); err != nil {
			return s, err
		}
		if costs[h].Revision == 0 {
			s.Warnings = append(s.Warnings, fmt.Sprintf("Nobody has stated yet what %s costs; it counts as free.", hand.Name))
		}
		s.Hands = append(s.Hands, SetHand{hand.ID, hand.Name, costs[h].Hour(), costs[h].ChangeSeconds / 3600 * s.Line.Standing / s.Line.CycleHours})
	}
	s.Confidence = q.Confidence
	total := 0.0
	for _, f := range figures {
		if q.Confidence == 0 {
			s.Confidence = math.Max(s.Confidence, f.Confidence)
		}
		total += f.Share
	}
	studies, err := l.Store.Studies(ctx)
	if err != nil {
		return s, err
	}
	told, err := l.tellsOfWays(ctx, studies, figures)
	if err != nil {
		return s, err
	}
	question := handset.Question{MaxHands: q.MaxHands, Confidence: s.Confidence}
	for _, h := range s.Hands {
		question.Hands = append(question.Hands, handset.Hand{Name: h.Name, Cost: h.Cost, Change: h.Change})
	}
	for _, f := range figures {
		at := slices.IndexFunc(items, func(it domain.Item) bool { return it.ID == f.ID })
		if at < 0 {
			continue // the check tells of figures without an item
		}
		item := SetItem{Item: f.ID, Name: items[at].Name, Share: f.Share, Target: f.Target}
		if total == 0 {
			item.Share = 1 / float64(len(figures))
		}
		row, lines, err := l.setRow(ctx, studies, &item, f, costs, s.Line, s.Confidence, told)
		if err != nil {
			return s, err
		}
		s.Items, s.Pairs = append(s.Items, item), append(s.Pairs, row)
		pairs := make([]handset.Pair, len(hands))
		for h := range pairs {
			pairs[h] = lines[h]
			pairs[h].Intercept *= item.Share
			pairs[h].Slope *= item.Share
		}
		question.Items = append(question.Items, handset.Item{Name: item.Name, Target: item.Target, Person: item.Share * item.Person})
		question.Pairs = append(question.Pairs, pairs)
	}
	if total == 0 {
		s.Warnings = append(s.Warnings, "No item says what share of the line's hours it takes; all take the same.")
	} else if math.Abs(total-1) > 0.005 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("The items' shares of the line's hours sum to %.3g instead of 1.", total))
	}
	if left := len(items) - len(s.Items); left > 0 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("%d of %d items have no figures and are left out.", left, len(items)))
	}
	if s.Answer, err = handset.Choose(ctx, question); err != nil {
		return s, err
	}
	for k := 1; k <= min(len(hands), mostCurve); k++ {
		question.MaxHands = k
		a, err := handset.Choose(ctx, question)
		if err != nil {
			return s, err
		}
		s.Curve = append(s.Curve, a.Set)
	}
	question.MaxHands = q.MaxHands
	if q.Trials > 0 {
		if s.Worth, err = handset.WhichTrials(ctx, question, s.Answer, q.Trials); err != nil {
			return s, err
		}
	}
	s.Question, s.Warnings = question, joined(s.Warnings)
	return s, nil
}

// defaultTarget is the success asked for where neither the item nor a study says. Common practice, no source.
const defaultTarget = 0.9

// handsToWeigh returns all hands when they are few enough to be weighed, else those that a study tries on an item with
// figures, and how many are left out: where nothing was tried, nothing speaks for keeping a hand.
func (l *Lab) handsToWeigh(ctx context.Context, hands []domain.Hand, figures []domain.ItemEconomics) (weighed []domain.Hand, left int, err error) {
	if len(hands) <= handset.MostHands {
		return hands, 0, nil
	}
	studies, err := l.Store.Studies(ctx)
	if err != nil {
		return nil, 0, err
	}
	tried := map[domain.ID]bool{}
	for _, st := range studies {
		if slices.ContainsFunc(figures, func(f domain.ItemEconomics) bool { return slices.Contains(st.Items, f.ID) }) {
			for _, h := range st.Hands {
				tried[h] = true
			}
		}
	}
	for _, h := range hands {
		if tried[h.ID] {
			weighed = append(weighed, h)
		}
	}
	if len(weighed) == 0 {
		weighed = hands[:handset.MostHands] // none was tried: any of them may stand for what trials could tell
	}
	return weighed, len(hands) - len(weighed), nil
}

// tellsOfWays returns what is to be called after each way of picking that was weighed: events of the topic handset then say how far
// the work is.
func (l *Lab) tellsOfWays(ctx context.Context, studies []domain.Study, figures []domain.ItemEconomics) (func(), error) {
	all := 0
	for _, st := range studies {
		rows, err := l.Conditions(ctx, st.ID)
		if err != nil {
			return nil, err
		}
		for _, row := range rows {
			if row.Trials > 0 && slices.ContainsFunc(figures, func(f domain.ItemEconomics) bool { return f.ID == row.Item }) {
				all++
			}
		}
	}
	done, last := 0, time.Now() // paces what is told only; nothing depends on it
	return func() {
		done++
		if now := time.Now(); now.Sub(last) >= progressEvery/2 {
			last = now
			l.changed("handset", "", fmt.Sprintf("%d of %d", done, all))
		}
	}, nil
}

// setRow gathers an item's pairs with all hands; each takes the study and condition that earn most there. The line's hour costs the
// same whatever is kept, and the hand's own hour counts once in the set's cost, so the pair's figure leaves the latter out.
func (l *Lab) setRow(ctx context.Context, studies []domain.Study, item *SetItem, f domain.ItemEconomics, hands []domain.HandEconomics, line domain.LineEconomics, confidence float64, told func()) ([]SetPair, []handset.Pair, error) {
	item.Person = moneyOf(f, line, domain.HandEconomics{}).PersonHour().Net
	row, lines := make([]SetPair, len(hands)), make([]handset.Pair, len(hands))
	type found struct {
		study domain.Study
		ways  []tried
	}
	var all []found
	var ignored []string
	for _, st := range studies {
		if !slices.Contains(st.Items, f.ID) {
			continue
		}
		ways, err := l.triedWays(ctx, st.ID, f.ID, f, &ignored, told)
		if err != nil {
			return nil, nil, err
		}
		if len(ways) > 0 {
			all = append(all, found{st, ways})
		}
		if f.Target == 0 {
			item.Target = math.Max(item.Target, st.Target)
		}
	}
	if item.Target == 0 {
		item.Target = defaultTarget
	}
	item.Target = math.Min(item.Target, 0.9999)
	var pooled []value.Attempts
	for _, s := range all {
		for at := range s.ways {
			way := &s.ways[at]
			pooled = append(pooled, way.way.Mean())
			h := slices.IndexFunc(hands, func(e domain.HandEconomics) bool { return e.ID == way.row.Hand })
			if h < 0 {
				continue
			}
			net := l.netAt(s.ways, at, f, line, hands[h])
			a, b := betaOf(way.way.Held, item.Target)
			intercept, slope := secant(net, item.Target)
			worth := intercept + slope*a/(a+b)
			reaches := numeric.BetaSurvival(a, b, item.Target)
			meets := reaches >= confidence
			// Only what meets the target can be used, so it goes before what is worth more and does not.
			if was := &row[h]; was.Tested && (was.Meets && !meets || was.Meets == meets && worth <= was.Net) {
				continue
			}
			row[h] = SetPair{Tested: true, Study: s.study.ID, Condition: way.row, Success: value.Summarise(way.way.Held), Net: worth, Reaches: reaches, Meets: meets}
			lines[h] = handset.Pair{Held: way.row.Held, Trials: way.row.Trials, A: a, B: b, Intercept: intercept, Slope: slope}
		}
	}
	for h := range hands {
		if row[h].Tested {
			continue
		}
		guess, ok := stranger(pooled, f)
		if !ok {
			lines[h] = handset.Pair{Intercept: item.Person} // how long it takes is not known: nothing can be promised
			continue
		}
		p := value.Policy{Ways: []int{0}, End: value.ToPerson, Again: value.DefaultAgain(), Factor: 1}
		m := moneyOf(f, line, hands[h])
		m.HandHour = 0
		lines[h].Intercept, lines[h].Slope = secant(func(success float64) float64 {
			guess.Held = success
			return value.Chain([]value.Attempts{guess}, p, m).PerHour(m).Net
		}, item.Target)
	}
	return row, lines, nil
}

// netAt gives the net value an hour as a function of the success of the first attempt, with all else at its mean.
func (l *Lab) netAt(ways []tried, first int, f domain.ItemEconomics, line domain.LineEconomics, hand domain.HandEconomics) func(float64) float64 {
	p, _ := policyOf(f.Retry, first, ways, f)
	means := make([]value.Attempts, len(ways))
	for i := range ways {
		means[i] = ways[i].way.Mean()
	}
	m := moneyOf(f, line, hand)
	m.HandHour = 0
	return func(success float64) float64 {
		means[first].Held = success
		return value.Chain(means, p, m).PerHour(m).Net
	}
}

// secant takes the straight line through the values at the target and at certainty: between them a pair may be used.
func secant(net func(float64) float64, target float64) (intercept, slope float64) {
	atTarget, atOne := net(target), net(1)
	slope = (atOne - atTarget) / (1 - target)
	return atOne - slope, slope
}

// stranger describes an attempt with a hand that was not tried on the item: as those that were, or as its figures say.
func stranger(pooled []value.Attempts, f domain.ItemEconomics) (value.Attempts, bool) {
	var a value.Attempts
	n := float64(len(pooled))
	for _, p := range pooled {
		a.HeldSeconds += p.HeldSeconds / n
		a.LostSeconds += p.LostSeconds / n
		for k := range p.Lost {
			a.Lost[k] += p.Lost[k] / n
		}
	}
	if n > 0 {
		return a, true
	}
	for k := range a.Lost {
		a.Lost[k] = 1 / float64(len(a.Lost))
	}
	a.HeldSeconds, a.LostSeconds = f.CycleSeconds, f.CycleSeconds
	return a, f.CycleSeconds > 0
}

// betaOf gives the beta distribution with the mean of the draws of a success probability, and their share that reaches the target:
// what decides whether the region of a map may be used, and for how much. Where no such distribution exists it has their mean and
// spread.
func betaOf(draws []float64, target float64) (a, b float64) {
	mean, spread, reached := 0.0, 0.0, 0.0
	for _, p := range draws {
		mean += p
		if p >= target {
			reached++
		}
	}
	n := float64(len(draws))
	mean = math.Min(math.Max(mean/n, 1e-6), 1-1e-6)
	for _, p := range draws {
		spread += (p - mean) * (p - mean) / (n - 1)
	}
	// All of the draws say no more than that fewer than one in as many would tell otherwise.
	reached = math.Min(math.Max(reached, 0.5), n-0.5) / n

	const least, most = 1e-3, 1e6 // trials that the distribution may be worth
	size := most
	if spread > 0 {
		size = math.Min(math.Max(mean*(1-mean)/spread-1, least), most)
	}
	short := func(size float64) float64 {
		return numeric.BetaSurvival(size*mean, size*(1-mean), target) - reached
	}
	if math.Abs(short(size)) > 0.5/n {
		// The chance falls and may rise again as the distribution narrows; of those that fit, the one nearest to the spread.
		const step = 1.25
		off := math.Inf(1)
		from, to := size, size
		for at, was := least, short(least); at < most; at *= step {
			now := short(at * step)
			if far := math.Abs(math.Log(at * math.Sqrt(step) / size)); was*now <= 0 && far < off {
				off, from, to = far, at, at*step
			}
			was = now
		}
		for rising := short(to) > short(from); to/from > 1+1e-9; {
			if middle := math.Sqrt(from * to); short(middle) > 0 == rising {
				to = middle
			} else {
				from = middle
			}
		}
		size = to
	}
	return size * mean, size * (1 - mean)
}
