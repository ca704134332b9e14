package propose

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"holdfast/orient"
)

// Trial is one proposed trial.
type Trial struct {
	Arm, Candidate int
	Rotation       orient.Rotation // the candidate, setting coordinates
	Cover          bool            // part of a first cover, not placed by what is known
	Why            string          // one sentence
}

// Choice is what would be answered now in one group. Success is that of the region; for Border it is the share of all
// candidates whose success on the line reaches the target.
type Choice struct {
	Group              string
	Arm, Candidate     int // the region's centre; for Border Candidate is −1
	Success, Low, High float64
	Share              float64   // Border: share of candidates that would be said to reach the target
	Order              []int     // Rank: arms, best first
	Tops               []float64 // Rank: expected success of each one's best region, in that order
}

// Loss is what choosing now loses against the truth, as far as it is believed: its mean and its 5 % and 95 % quantiles.
// For Best and Rank it is success given away, for Border the share of orientations on the wrong side, for Measure the
// distance of the stated mean from the true one.
type Loss struct{ Expected, Low, High float64 }

// State is where a question stands.
type State struct {
	Known   bool     // false while an arm has no trial
	Choices []Choice // one a group; for Border one an arm
	Loss    Loss     // mean over the choices
	Enough  bool     // Loss.High is below the tolerance
	Text    string   // the same in words
}

// Proposal is the next batch.
type Proposal struct {
	State
	Setup  string // what to set up; all trials of the batch are made with it
	Trials []Trial
	Why    string // why this set-up, where there was a choice; else empty
}

// Next proposes the next batch, none while all that can be done is to make the trials that are planned. The same problem
// gives the same proposal.
func Next(ctx context.Context, problem Problem) (Proposal, error) {
	p, bs, err := prepare(ctx, problem)
	if err != nil {
		return Proposal{}, err
	}
	state, gaps := p.state(bs)
	out := Proposal{State: state}
	if setup, ok := p.setupToCover(bs); ok {
		out.Setup, out.Trials = setup, p.cover(bs, setup)
		return out, nil
	}
	if !state.Known {
		out.Why = "The trials that are planned come first: only when they are made can more be placed."
		return out, nil
	}
	if p.Rule == ByDraw || p.Rule == TopTwo {
		out.Setup, out.Trials = p.Arms[0].Setup, p.sampled(bs)
		return out, nil
	}
	setups := p.setups()
	best := -1.0
	for _, setup := range setups {
		trials, lowers := p.settle(bs, gaps, setup)
		seconds := float64(p.Batch) * p.TrialSeconds
		if setup != p.Setup {
			seconds += p.ChangeSeconds
		}
		rate := lowers
		if seconds > 0 {
			rate /= seconds
		}
		// The present set-up wins ties; nothing is changed for nothing.
		if len(trials) > 0 && (rate > best || rate == best && setup == p.Setup) {
			best, out.Setup, out.Trials = rate, setup, trials
		}
	}
	if len(out.Trials) == 0 {
		return out, fmt.Errorf("no trial would tell anything about this question")
	}
	if len(setups) > 1 {
		out.Why = "Staying with the present set-up takes most off the expected loss for the time it needs."
		if out.Setup != p.Setup {
			out.Why = "A change of set-up pays: this batch takes most off the expected loss for the time it needs, the change counted."
		}
	}
	return out, nil
}

// Standing says where the question stands, without proposing.
func Standing(ctx context.Context, problem Problem) (State, error) {
	p, bs, err := prepare(ctx, problem)
	if err != nil {
		return State{}, err
	}
	state, _ := p.state(bs)
	return state, nil
}

func prepare(ctx context.Context, problem Problem) (*Problem, []*belief, error) {
	p, err := problem.filled()
	if err != nil {
		return nil, nil, err
	}
	bs := make([]*belief, len(p.Arms))
	for i := range p.Arms {
		if bs[i], err = p.believe(ctx, i); err != nil {
			return nil, nil, err
		}
	}
	return &p, bs, nil
}

func (p *Problem) state(bs []*belief) (State, []gap) {
	var s State
	for a, b := range bs {
		if b.trials == 0 {
			s.Text = fmt.Sprintf("Nothing can be chosen yet: there are no trials of %s.", p.name(a))
			return s, nil
		}
	}
	var verdicts []verdict
	for _, group := range p.groups() {
		var arms []int
		for a := range p.Arms {
			if p.Arms[a].Group == group {
				arms = append(arms, a)
			}
		}
		switch p.Question {
		case Border:
			for _, a := range arms {
				verdicts = append(verdicts, p.settleBorder(bs[a], a))
			}
		case Rank:
			if len(arms) > 1 {
				verdicts = append(verdicts, p.settleRank(group, bs, arms))
			}
		case Measure:
			if len(p.Region) == 0 || slices.Contains(arms, p.Measured) {
				verdicts = append(verdicts, p.settleMeasure(group, bs, arms))
			}
		default:
			verdicts = append(verdicts, p.settleBest(group, bs, arms))
		}
	}
	loss := make([]float64, draws)
	var gaps []gap
	for _, v := range verdicts {
		for d, l := range v.loss {
			loss[d] += l / float64(len(verdicts))
		}
		s.Choices = append(s.Choices, v.choice)
		for _, g := range v.gaps {
			g.weight /= float64(len(verdicts))
			gaps = append(gaps, g)
		}
	}
	s.Known = true
	s.Loss = Loss{mean(loss), quantileOf(loss, lowLevel), quantileOf(loss, 1-lowLevel)}
	s.Enough = s.Loss.High < p.Tolerance
	s.Text = p.describe(s)
	return s, gaps
}

func (p *Problem) groups() []string {
	var list []string
	for _, a := range p.Arms {
		if !slices.Contains(list, a.Group) {
			list = append(list, a.Group)
		}
	}
	return list
}

// setups lists the set-ups, the present one first.
func (p *Problem) setups() []string {
	var list []string
	for _, a := range p.Arms {
		switch {
		case slices.Contains(list, a.Setup):
		case a.Setup == p.Setup:
			list = slices.Insert(list, 0, a.Setup)
		default:
			list = append(list, a.Setup)
		}
	}
	return list
}

// setupToCover returns the first set-up with an arm whose first cover is not complete.
func (p *Problem) setupToCover(bs []*belief) (string, bool) {
	for _, setup := range p.setups() {
		for a := range p.Arms {
			if p.Arms[a].Setup == setup && p.uncovered(bs, a) > 0 {
				return setup, true
			}
		}
	}
	return "", false
}

// describe says in words what would be chosen and what that loses.
func (p *Problem) describe(s State) string {
	var w strings.Builder
	for _, c := range s.Choices {
		text := p.describeChoice(c)
		if c.Group != "" {
			text = "for " + c.Group + ": " + text
		}
		w.WriteString(upperFirst(text) + " ")
	}
	switch p.Question {
	case Border:
		fmt.Fprintf(&w, "Expected on the wrong side of the border: %s of the orientations; at most %s with 95 %% probability.", percent1(s.Loss.Expected), percent1(s.Loss.High))
	case Measure:
		fmt.Fprintf(&w, "The figure is expected to be off by %s; by at most %s with 95 %% probability.", points(s.Loss.Expected), points(s.Loss.High))
	case Rank:
		fmt.Fprintf(&w, "Going by this order is expected to lose %s of success a pair; at most %s with 95 %% probability.", points(s.Loss.Expected), points(s.Loss.High))
	default:
		fmt.Fprintf(&w, "Choosing now is expected to lose %s of success against the best region; at most %s with 95 %% probability.", points(s.Loss.Expected), points(s.Loss.High))
	}
	if p.Question == Rank {
		for _, c := range s.Choices {
			if text := p.rankNeeds(c); text != "" {
				w.WriteString(" " + text)
			}
		}
	}
	if s.Enough {
		fmt.Fprintf(&w, " That is below the tolerance of %s, so you could stop here; the decision is yours.", p.tolerance())
	}
	return w.String()
}

func (p *Problem) describeChoice(c Choice) string {
	switch p.Question {
	case Border:
		return fmt.Sprintf("%s would be said to reach %s over %s of the orientations; the share that does is %s (%s to %s with 90 %% probability).",
			p.name(c.Arm), percent(p.Target), percent(c.Share), percent(c.Success), percent(c.Low), percent(c.High))
	case Rank:
		names := make([]string, len(c.Order))
		for i, a := range c.Order {
			names[i] = p.name(a)
		}
		return fmt.Sprintf("the order now is %s.", strings.Join(names, ", then "))
	case Measure:
		return fmt.Sprintf("the region around %s succeeds in %s (%s to %s with 90 %% probability).", p.place(c.Arm, c.Candidate), percent(c.Success), percent(c.Low), percent(c.High))
	}
	return fmt.Sprintf("would be chosen now: the region around %s, expected success on the line %s, at least %s with 95 %% probability.",
		p.place(c.Arm, c.Candidate), percent(c.Success), percent(c.Low))
}

func (p *Problem) tolerance() string {
	if p.Question == Border {
		return percent1(p.Tolerance)
	}
	return points(p.Tolerance)
}
