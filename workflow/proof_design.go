package workflow

import (
	"context"
	"fmt"
	"math"
	"sync"

	"holdfast/domain"
	"holdfast/statistics/acceptance"
)

// proofCache keeps what designs do, and lets one trial of a proof run in at a time: whether another one belongs to the run
// depends on all before it.
type proofCache struct {
	mu      sync.Mutex
	plans   map[proofKey]*ProofPlan
	logging sync.Mutex
}

type proofKey struct {
	design domain.ProofDesign
	target float64
	prior  Prior
}

const mostProofPlans = 64

// longestDesign bounds the plans that are drawn: a curve of a longer one takes more than a request should.
const longestDesign = 5000

// DesignProof says what a design of a proof run does: its exact chance of passing and length over the true success, and
// what passing would mean. KindInvalid when the design makes no plan.
func (l *Lab) DesignProof(ctx context.Context, q ProofQuestion) (ProofPlan, error) {
	k, err := l.kept(ctx, q.Study)
	if err != nil {
		return ProofPlan{}, err
	}
	if q.Target == 0 {
		if q.Target = acceptance.Target(q.Design); q.Target == 0 {
			q.Target = k.study.Target
		}
	}
	if !(q.Target >= 0 && q.Target < 1) {
		return ProofPlan{}, invalid("this proof run can not be designed; mend the fields named", domain.FieldError{Field: "target", Value: fmt.Sprint(q.Target), Reason: "must be at least 0 and below 1"})
	}
	prior := Prior{Successes: 1, Failures: 1}
	if q.Prior != nil {
		prior = *q.Prior
	}
	return l.proofPlan(ctx, proofKey{q.Design, q.Target, prior})
}

func roundTo(v, parts float64) float64 { return math.Max(math.Round(v*parts)/parts, 1/parts) }

// ProofSubject is the region of a condition that would be handed over now, or why there is none. minRadius (rad) is the least
// turn that it must tolerate.
func (l *Lab) ProofSubject(ctx context.Context, study domain.ID, c domain.Condition, minRadius float64) (ProofSubject, error) {
	k, err := l.kept(ctx, study)
	if err != nil {
		return ProofSubject{}, err
	}
	if c, err = pick(k.study, c); err != nil {
		return ProofSubject{}, err
	}
	s := ProofSubject{Condition: c}
	t, err := l.thingsOf(ctx, []domain.ID{c.Hand}, []domain.ID{c.Item}, []domain.ID{c.Setting})
	if err != nil {
		return s, err
	}
	hand, item := t.hands[c.Hand], t.items[c.Item]
	s.Cautions = domain.Cautions("page", &hand, &item)
	o, err := l.option(ctx, study, c, minRadius)
	if domain.KindOf(err) == domain.KindNotFound {
		s.Missing = "There is no region to prove yet: " + err.Error() + "."
		return s, nil
	}
	if err != nil {
		return s, err
	}
	s.Nominal, s.Region, s.Closing, s.Line = o.Nominal, o.Region, o.Closing, k.study.Line
	s.Success, s.Low, s.High = o.Success, o.Low, o.High
	// A map can be sure to the last digit; then it says nothing that a beta distribution could.
	if b, err := acceptance.MatchBeta(s.Success, s.Low, (1-IntervalLevel)/2); err == nil {
		s.Prior = &Prior{Successes: roundTo(b.Successes, 100), Failures: roundTo(b.Failures, 100)}
	}
	return s, nil
}

// proofPlan works out what a design does, or gives what was worked out before.
func (l *Lab) proofPlan(ctx context.Context, key proofKey) (ProofPlan, error) {
	l.proofs.mu.Lock()
	kept := l.proofs.plans[key]
	l.proofs.mu.Unlock()
	if kept != nil {
		return *kept, nil
	}
	p, err := newProofPlan(ctx, key)
	if err != nil {
		return p, err
	}
	l.proofs.mu.Lock()
	defer l.proofs.mu.Unlock()
	if l.proofs.plans == nil || len(l.proofs.plans) >= mostProofPlans {
		l.proofs.plans = map[proofKey]*ProofPlan{}
	}
	l.proofs.plans[key] = &p
	return p, nil
}

func newProofPlan(ctx context.Context, key proofKey) (ProofPlan, error) {
	d := key.design
	plan, err := buildProof(d)
	if err != nil {
		return ProofPlan{}, err
	}
	if !(key.prior.Successes > 0 && key.prior.Failures > 0 && key.prior.Successes+key.prior.Failures < 1e6) {
		return ProofPlan{}, invalid("the prior must count more than no successes and failures, and fewer than a million", domain.FieldError{Field: "prior_successes", Value: fmt.Sprintf("%g and %g", key.prior.Successes, key.prior.Failures), Reason: "must both be above 0"})
	}
	p := ProofPlan{Design: d, Longest: plan.Longest(), Accept: plan.Accept, Reject: plan.Reject, Allowed: plan.Accept[plan.Longest()-1], Target: key.target, Prior: key.prior}
	if p.Rule, err = acceptance.Describe(d); err != nil {
		return ProofPlan{}, err
	}
	points := acceptance.ShowAt(d)
	for _, f := range points {
		c := plan.At(f)
		p.Points = append(p.Points, c)
		if f > 0 && (f == d.Good || f == d.Bad || d.Good == 0 && (f == points[2] || f == points[4])) {
			p.Sentences = append(p.Sentences, c.Tell())
		}
	}
	// The curve goes to where hardly anything passes.
	largest := math.Min(1, math.Max(points[len(points)-1], 1.1*plan.Quantile(0.005)))
	const steps = 100
	for i := range steps + 1 {
		if err := ctx.Err(); err != nil {
			return ProofPlan{}, err
		}
		p.Curve = append(p.Curve, plan.At(largest*float64(i)/steps))
	}
	if d.Kind == domain.ProofSequential {
		if err := p.addLines(&plan); err != nil {
			return ProofPlan{}, err
		}
	}
	p.Assurance = plan.Assure(key.prior, key.target)
	return p, nil
}

// buildProof makes the rule of a design, within what is worked out here.
func buildProof(d domain.ProofDesign) (acceptance.Plan, error) {
	plan, err := acceptance.Build(d)
	if err == nil && plan.Longest() > longestDesign {
		err = domain.Errorf(domain.KindInvalid, "this run takes up to %d trials, more than the %d that are worked out here; allow larger risks, or move good and bad apart", plan.Longest(), longestDesign)
	}
	return plan, err
}

// addLines puts Wald's lines and his approximation beside the exact figures.
func (p *ProofPlan) addLines(plan *acceptance.Plan) error {
	d := p.Design
	risks := acceptance.Risks{Good: d.Good, Bad: d.Bad, Producer: d.ProducerRisk, Consumer: d.ConsumerRisk}
	lines, err := acceptance.Wald(risks)
	if err != nil {
		return err
	}
	p.Lines = &lines
	for _, f := range []float64{0, d.Good, lines.S, d.Bad, 1} {
		a, err := lines.Approximate(risks, f)
		if err != nil {
			return err
		}
		p.Approximate, p.Exact = append(p.Approximate, a), append(p.Exact, plan.At(f))
	}
	return nil
}
