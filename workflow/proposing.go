package workflow

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/propose"
	"holdfast/statistics/successmap"
)

// NextTrials says where a study's question stands, and which trials to add to its plan.
type NextTrials struct {
	Aim      domain.Aim
	Trials   int // that count, without reference trials and those of proof runs
	Pending  int // planned and not carried out, reference runs not counted
	PlanEnd  int // the plan's last run; what is added follows it
	Known    bool
	Choices  []NextChoice
	Loss     NextLoss
	Worth    float64 // money that a good pick is worth beside a failed one; 0: not known
	Enough   bool    // the loss is surely below the tolerance
	Text     string
	Why      string              // why this set-up, or why nothing is proposed; may be empty
	Runs     []domain.PlannedRun // reference runs included
	Invented bool
}

// NextChoice is what would be answered now.
type NextChoice struct {
	Group              string // what it is chosen for; empty where a study has one item in one setting
	Condition          domain.Condition
	Nominal            *orient.Rotation // nil for a border
	Success, Low, High float64
	Share              float64 // border
	Order              []NextRank
}

// NextRank is a place in an order.
type NextRank struct {
	Condition domain.Condition
	Success   float64 // expected of its best region
}

// NextLoss is what choosing now is expected to lose, with its 5 % and 95 % quantiles.
type NextLoss struct{ Expected, Low, High float64 }

// LossPoint is the loss after so many trials.
type LossPoint struct {
	Trials int
	NextLoss
}

// mostArms bounds the maps that one proposal fits.
const mostArms = 60

// proposing is a study's problem with what its arms stand for.
type proposing struct {
	kept       *keptStudy
	problem    propose.Problem
	conditions []domain.Condition // by arm
	trials     [][]domain.CountedTrial
	all        int
	pending    int
	setups     map[string]domain.Condition
}

// proposalCache keeps proposals and states.
type proposalCache struct {
	next   *shared[fitKey, propose.Proposal]
	states *shared[fitKey, propose.State]
}

func newProposalCache() *proposalCache {
	return &proposalCache{newShared[fitKey, propose.Proposal](16), newShared[fitKey, propose.State](200)}
}

// Propose says which trials to make next, by the study's aim; n is the number of trials, or 0 for the aim's. KindRefused
// when the study is finished.
func (l *Lab) Propose(ctx context.Context, study domain.ID, n int) (NextTrials, error) {
	p, err := l.proposing(ctx, study, n)
	if err != nil {
		return NextTrials{}, err
	}
	if p.kept.study.State == domain.StudyFinished {
		return NextTrials{}, domain.Errorf(domain.KindRefused, "study %s is finished; open it again to add trials", study)
	}
	key := p.key(math.MaxInt)
	got, err := l.proposals.next.do(ctx, key, func(ctx context.Context) (propose.Proposal, error) {
		return propose.Next(ctx, p.problem)
	})
	if err != nil {
		return NextTrials{}, err
	}
	out := NextTrials{
		Aim: p.kept.study.Aim.Filled(), Trials: p.all, Pending: p.pending, Known: got.Known, Loss: NextLoss(got.Loss), Enough: got.Enough,
		Text: got.Text, Why: got.Why, Choices: p.choices(got.State), Invented: p.kept.study.Invented,
	}
	if len(p.kept.runs) > 0 {
		out.PlanEnd = p.kept.runs[len(p.kept.runs)-1].Order
	}
	if out.Worth, err = l.worth(ctx, p.kept.study); err != nil {
		return NextTrials{}, err
	}
	out.Runs, err = p.runs(got)
	return out, err
}

// Extend adds the proposed trials to the study's plan, and returns what it added. after is the last run of the plan that
// the caller saw: KindConflict when the plan has grown since.
func (l *Lab) Extend(ctx context.Context, study domain.ID, n, after int) (NextTrials, error) {
	next, err := l.Propose(ctx, study, n)
	if err != nil {
		return next, err
	}
	if next.PlanEnd != after {
		return next, domain.Errorf(domain.KindConflict, "the plan of %s ends with run %d by now, not %d: somebody added to it; look at it again", study, next.PlanEnd, after)
	}
	if len(next.Runs) == 0 {
		return next, domain.Errorf(domain.KindRefused, "there is nothing to add to the plan of %s. %s", study, next.Why)
	}
	err = l.Store.Extend(ctx, study, after, next.Runs)
	l.studies.forget(study)
	if err != nil {
		return next, err
	}
	l.changed("study", study, string(study))
	return next, nil
}

// LossHistory says what choosing would have lost after fewer trials, oldest first, the present last. It steps through the
// record as it counts now: corrections count from the start.
func (l *Lab) LossHistory(ctx context.Context, study domain.ID) ([]LossPoint, error) {
	p, err := l.proposing(ctx, study, 0)
	if err != nil {
		return nil, err
	}
	points := []LossPoint{}
	for _, n := range lossSteps(p.all) {
		part := p.first(n)
		state, err := l.proposals.states.do(ctx, part.key(n), func(ctx context.Context) (propose.State, error) {
			return propose.Standing(ctx, part.problem)
		})
		if err != nil {
			return nil, err
		}
		if state.Known {
			points = append(points, LossPoint{n, NextLoss(state.Loss)})
		}
	}
	return points, nil
}

// lossSteps are the sizes at which a history looks: the same for every length of record, so that what was looked at once
// is kept, and about a quarter apart.
func lossSteps(all int) []int {
	var steps []int
	for n := 8; n < all; n += max(4, n/16*4) {
		steps = append(steps, n)
	}
	if all > 0 {
		steps = append(steps, all)
	}
	return steps
}

// proposing gathers what a proposal rests on.
func (l *Lab) proposing(ctx context.Context, study domain.ID, n int) (*proposing, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return nil, err
	}
	s := k.study
	aim := s.Aim.Filled()
	if n == 0 {
		n = aim.Batch
	}
	if arms := len(s.Hands) * len(s.Items) * len(s.Settings) * len(s.Strategies); arms > mostArms {
		return nil, domain.Errorf(domain.KindRefused, "study %s has %d combinations of hand, item, setting and strategy; next trials are proposed for at most %d: start smaller studies", study, arms, mostArms)
	}
	r, err := l.record(ctx, study)
	if err != nil {
		return nil, err
	}
	t, err := l.thingsOf(ctx, s.Hands, s.Items, s.Settings)
	if err != nil {
		return nil, err
	}
	p := &proposing{kept: k, setups: map[string]domain.Condition{}, problem: propose.Problem{
		Question: propose.Question(aim.Question), Blur: s.Line.Angle, Target: s.Target, Batch: n, FirstCover: aim.FirstCover, Tolerance: aim.Tolerance,
		TrialSeconds: s.TrialSeconds, ChangeSeconds: s.ChangeSeconds, Seed: s.Seed, Workers: l.Workers,
	}}
	arms := map[domain.Condition]int{}
	for _, h := range s.Hands {
		for _, it := range s.Items {
			for _, w := range s.Settings {
				sym, err := symmetryOf(t.hands[h], t.items[it], t.settings[w])
				if err != nil {
					return nil, err
				}
				cover, err := l.candidates(tiltMax(s.Orientations), sym)
				if err != nil {
					return nil, err
				}
				setup := setupKey(domain.Condition{Hand: h, Item: it, Setting: w})
				for _, g := range s.Strategies {
					c := domain.Condition{Hand: h, Item: it, Setting: w, Strategy: g.Kind}
					arms[c] = len(p.conditions)
					p.conditions = append(p.conditions, c)
					p.setups[setup] = domain.Condition{Hand: h, Item: it, Setting: w}
					name := string(g.Kind)
					if len(s.Hands) > 1 {
						name += " with " + t.hands[h].Name
					}
					p.problem.Arms = append(p.problem.Arms, propose.Arm{
						Name: name, Group: groupName(s, t.items[it].Name, t.settings[w].Name), Setup: setup,
						Candidates: cover.Points, Spacing: cover.Covering, Symmetry: sym,
					})
				}
			}
		}
	}
	p.trials = make([][]domain.CountedTrial, len(p.conditions))
	for i := range r.trials {
		trial := &r.trials[i]
		if a, ok := arms[conditionOf(&trial.Trial)]; ok && trial.Counted.Counts() && !trial.Apart() {
			p.trials[a] = append(p.trials[a], *trial)
			p.problem.Setup = p.problem.Arms[a].Setup
			p.all++
		}
	}
	for i := range p.problem.Arms {
		p.problem.Arms[i].Observations = observationsOf(p.trials[i])
	}
	for _, run := range k.runs {
		c := domain.Condition{Hand: run.Hand, Item: run.Item, Setting: run.Setting, Strategy: run.Strategy}
		if a, ok := arms[c]; ok && !run.Reference && !r.done.has(run.Order) {
			p.problem.Arms[a].Pending = append(p.problem.Arms[a].Pending, run.Planned)
			p.problem.Setup = p.problem.Arms[a].Setup
			p.pending++
		}
	}
	return p, nil
}

func setupKey(c domain.Condition) string {
	return string(c.Hand) + "/" + string(c.Item) + "/" + string(c.Setting)
}

// groupName names what ways of picking compete for, where a study has several.
func groupName(s domain.Study, item, setting string) string {
	switch {
	case len(s.Items) == 1 && len(s.Settings) == 1:
		return ""
	case len(s.Settings) == 1:
		return item
	case len(s.Items) == 1:
		return setting
	}
	return item + " in " + setting
}

func observationsOf(trials []domain.CountedTrial) []successmap.Observation {
	obs := make([]successmap.Observation, len(trials))
	for i := range trials {
		obs[i] = successmap.Observation{R: trials[i].Rotation(), Trials: 1}
		if trials[i].Held() {
			obs[i].Held = 1
		}
	}
	return obs
}

// first is the problem as it was after the first n trials, nothing being planned.
func (p *proposing) first(n int) *proposing {
	type root struct {
		arm int
		id  domain.TrialID
	}
	var roots []root
	for a, list := range p.trials {
		for i := range list {
			roots = append(roots, root{a, list[i].Root})
		}
	}
	slices.SortFunc(roots, func(a, b root) int { return int(a.id - b.id) })
	count := make([]int, len(p.trials))
	for _, r := range roots[:min(n, len(roots))] {
		count[r.arm]++
	}
	q := *p
	q.problem.Arms = slices.Clone(p.problem.Arms)
	for a := range q.problem.Arms {
		q.problem.Arms[a].Observations = q.problem.Arms[a].Observations[:count[a]]
		q.problem.Arms[a].Pending = nil
	}
	return &q
}

// key is the digest of all that an answer depends on.
func (p *proposing) key(step int) (key fitKey) {
	h := sha256.New()
	q := &p.problem
	fmt.Fprintf(h, "%s %v %v %v %d %d %v %q %v %v %d %d\n", q.Question, q.Blur, q.Target, q.MinRadius, q.Batch, q.FirstCover, q.Tolerance, q.Setup, q.TrialSeconds, q.ChangeSeconds, q.Seed, step)
	var b []byte
	put := func(r orient.Rotation, held float64) {
		for _, v := range [5]float64{r.W, r.X, r.Y, r.Z, held} {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
	}
	for i := range q.Arms {
		a := &q.Arms[i]
		fmt.Fprintf(h, "%q %q %q %+v %v %d %d %d\n", a.Name, a.Group, a.Setup, a.Symmetry, a.Spacing, len(a.Candidates), len(a.Observations), len(a.Pending))
		b = b[:0]
		for _, o := range a.Observations {
			put(o.R, o.Held)
		}
		for _, r := range a.Pending {
			put(r, -1)
		}
		h.Write(b)
	}
	copy(key[:], h.Sum(nil))
	return key
}

// choices names what the arms of a state stand for.
func (p *proposing) choices(s propose.State) []NextChoice {
	out := []NextChoice{}
	for _, c := range s.Choices {
		n := NextChoice{Group: c.Group, Condition: p.conditions[c.Arm], Success: c.Success, Low: c.Low, High: c.High, Share: c.Share}
		if c.Candidate >= 0 {
			r := p.problem.Arms[c.Arm].Candidates[c.Candidate]
			n.Nominal = &r
		}
		for i, a := range c.Order {
			n.Order = append(n.Order, NextRank{p.conditions[a], c.Tops[i]})
		}
		out = append(out, n)
	}
	return out
}

// worth is what a good pick earns beside a failed one: as the aim says, else from the figures of the study's only item.
func (l *Lab) worth(ctx context.Context, s domain.Study) (float64, error) {
	if s.Aim.ValuePerPick > 0 || len(s.Items) != 1 {
		return s.Aim.ValuePerPick, nil
	}
	e, err := l.ItemEconomics(ctx, s.Items[0])
	if err != nil || e.Good == 0 {
		return 0, err
	}
	return e.Good + e.Failed, nil
}
