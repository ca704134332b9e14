package workflow

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/acceptance"
)

// SignProof fixes a proof run: from here on its rule, its orientations and its prior can not change. KindInvalid when the
// design makes no plan, KindRefused when there is no region to draw its trials from, KindConflict when the ID is taken.
func (l *Lab) SignProof(ctx context.Context, q SignProof) (ProofState, error) {
	if _, err := buildProof(q.Design); err != nil {
		return ProofState{}, err
	}
	k, err := l.kept(ctx, q.Study)
	if err != nil {
		return ProofState{}, err
	}
	subject, err := l.ProofSubject(ctx, q.Study, q.Condition, q.MinRadius)
	if err != nil {
		return ProofState{}, err
	}
	c := subject.Condition
	p := domain.Proof{
		ID: q.ID, Study: q.Study, Condition: c, Design: q.Design, Target: q.Target, Nominal: subject.Nominal, Region: subject.Region,
		Closing: subject.Closing, Line: subject.Line, Prior: [2]float64{1, 1}, Seed: l.drawSeed(), Note: strings.TrimSpace(q.Note),
		SignedBy: strings.TrimSpace(q.SignedBy), SignedAt: l.Clock.Now().UTC().Round(0),
	}
	switch {
	case q.Orientation != nil:
		p.Nominal, p.Region, p.Line = *q.Orientation, domain.Region{}, k.study.Line
		if q.Closing == nil && len(k.study.ClosingLevels) != 1 {
			return ProofState{}, invalid("say how far the hand closes", domain.FieldError{Field: "closing", Reason: fmt.Sprintf("is missing, and the study has %d levels", len(k.study.ClosingLevels))})
		}
		p.Closing = k.study.ClosingLevels[0]
	case subject.Missing != "":
		return ProofState{}, domain.Errorf(domain.KindRefused, "%s Run trials and choose first, or name one orientation to prove", subject.Missing)
	case subject.Region.Radius < q.MinRadius:
		return ProofState{}, domain.Errorf(domain.KindRefused, "no region of orientations tolerates a turn of %.3g°: the best one tolerates %.3g°; ask for less, or try more orientations around it",
			q.MinRadius*180/math.Pi, subject.Region.Radius*180/math.Pi)
	}
	if q.Closing != nil {
		p.Closing = *q.Closing
	}
	if q.Steady {
		p.Line = domain.LineError{}
	}
	if q.Prior != nil {
		p.Prior = [2]float64{q.Prior.Successes, q.Prior.Failures}
	}
	if p.Target == 0 {
		if p.Target = acceptance.Target(q.Design); p.Target == 0 {
			p.Target = k.study.Target
		}
	}
	t, err := l.thingsOf(ctx, []domain.ID{c.Hand}, []domain.ID{c.Item}, []domain.ID{c.Setting})
	if err != nil {
		return ProofState{}, err
	}
	p.Invented = k.study.Invented || t.hands[c.Hand].Invented || t.items[c.Item].Invented || t.settings[c.Setting].Invented
	if p.Rule, err = acceptance.Describe(q.Design); err != nil {
		return ProofState{}, err
	}
	if p.ID, err = l.proofID(ctx, p.ID, c); err != nil {
		return ProofState{}, err
	}
	if err := p.Validate(); err != nil {
		return ProofState{}, err
	}
	p.Digest = p.Sum()
	if err := l.Store.SignProof(ctx, p); err != nil {
		return ProofState{}, err
	}
	l.changed("proof", p.Study, string(p.ID))
	return l.proofState(ctx, p)
}

// proofID leaves a given ID as it is, or makes a new one out of the condition.
func (l *Lab) proofID(ctx context.Context, given domain.ID, c domain.Condition) (domain.ID, error) {
	if given != "" {
		return given, nil
	}
	list, err := l.Store.Proofs(ctx, "")
	if err != nil {
		return "", err
	}
	taken := map[domain.ID]bool{}
	for _, p := range list {
		taken[p.ID] = true
	}
	return free(domain.IDFromName("proof-of-"+string(c.Item)+"-by-"+string(c.Hand)), taken), nil
}

// Proofs returns a study's proof runs, the newest first.
func (l *Lab) Proofs(ctx context.Context, study domain.ID) ([]ProofState, error) {
	list, err := l.Store.Proofs(ctx, study)
	if err != nil {
		return nil, err
	}
	states := make([]ProofState, len(list))
	for i, p := range list {
		if states[len(list)-1-i], err = l.proofState(ctx, p); err != nil {
			return nil, err
		}
	}
	return states, nil
}

// Proof returns one proof run of a study; KindNotFound if there is none.
func (l *Lab) Proof(ctx context.Context, study, id domain.ID) (ProofState, error) {
	p, err := l.proofOf(ctx, study, id)
	if err != nil {
		return ProofState{}, err
	}
	return l.proofState(ctx, p)
}

func (l *Lab) proofOf(ctx context.Context, study, id domain.ID) (domain.Proof, error) {
	p, err := l.Store.Proof(ctx, id)
	if err == nil && p.Study != study {
		err = domain.Errorf(domain.KindNotFound, "there is no proof run %q in study %s", id, study)
	}
	return p, err
}

// GiveUpProof ends a run that can not be carried to its end; it stays on record. KindRefused if it is given up already or
// decided.
func (l *Lab) GiveUpProof(ctx context.Context, study, id domain.ID, by, reason string) (ProofState, error) {
	l.proofs.logging.Lock()
	defer l.proofs.logging.Unlock()
	s, err := l.Proof(ctx, study, id)
	if err != nil {
		return s, err
	}
	var fields []domain.FieldError
	for _, f := range []struct{ field, value string }{{"by", by}, {"reason", reason}} {
		if strings.TrimSpace(f.value) == "" || len(f.value) > 1000 {
			fields = append(fields, domain.FieldError{Field: f.field, Value: f.value, Reason: "must not be empty, and at most 1000 bytes long"})
		}
	}
	if len(fields) > 0 {
		return s, invalid("say who gives the run up and why", fields...)
	}
	if s.Verdict == string(acceptance.Accepted) || s.Verdict == string(acceptance.Rejected) {
		return s, domain.Errorf(domain.KindRefused, "proof run %s is %s; what is decided can not be given up", id, s.Verdict)
	}
	p, err := l.Store.GiveUpProof(ctx, id, strings.TrimSpace(by), strings.TrimSpace(reason), l.Clock.Now())
	if err != nil {
		return s, err
	}
	l.changed("proof", study, string(id))
	return l.proofState(ctx, p)
}

// LogProof records the next trial of a run. repeated says that its key was known and nothing new was stored. A study that
// is finished still takes them: proving comes after choosing. KindRefused when the run is decided or given up, KindConflict
// when the number named is not the next.
func (l *Lab) LogProof(ctx context.Context, study, id domain.ID, n NewProofTrial) (state ProofState, repeated bool, err error) {
	l.proofs.logging.Lock()
	defer l.proofs.logging.Unlock()
	s, err := l.Proof(ctx, study, id)
	if err != nil {
		return s, false, err
	}
	// With a known key the store compares what is sent with what it holds.
	task, err := s.task(n)
	if err != nil {
		return s, false, err
	}
	k, err := l.kept(ctx, study)
	if err != nil {
		return s, false, err
	}
	c := s.Condition
	t, err := l.complete(ctx, k, NewTrial{
		Key: n.Key, Hand: c.Hand, Item: c.Item, Setting: c.Setting, Strategy: c.Strategy, Planned: &task.Orientation, Measured: n.Measured,
		Closing: &task.Closing, Offset: [3]*float64{&task.Offset[0], &task.Offset[1], &task.Offset[2]}, PeakForce: n.PeakForce, Duration: n.Duration,
		Outcome: n.Outcome, VoidReason: n.VoidReason, Operator: n.Operator, Note: n.Note, Recordings: n.Recordings, StartedAt: n.StartedAt,
	})
	if err != nil {
		return s, false, err
	}
	t.Proof = id
	if err := t.Validate(); err != nil {
		return s, false, err
	}
	stored, repeats, err := l.Store.Append(ctx, study, []domain.Trial{t})
	if err != nil {
		return s, false, err
	}
	if k.study.State == domain.StudyDraft || k.study.State == domain.StudyPlanned {
		l.studies.forget(study) // the store set it running
		l.changed("study", study, string(study))
	}
	if !repeats[0] {
		l.changed("trials", study, stored[0].ID.String())
		l.changed("proof", study, string(id))
	}
	state, err = l.proofState(ctx, s.Proof)
	return state, repeats[0], err
}

// task finds what a logged trial carries out: the next task, or that of the trial with its key.
func (s *ProofState) task(n NewProofTrial) (task ProofTask, err error) {
	at := slices.IndexFunc(s.Steps, func(p ProofStep) bool { return p.key == n.Key })
	switch {
	case at >= 0 && (n.Number == 0 || n.Number == at+1):
		return s.Steps[at].ProofTask, nil
	case at >= 0:
		return task, domain.Errorf(domain.KindConflict, "key %q is already used by trial %d of this run; give every trial a key of its own", n.Key, at+1)
	case s.Verdict == verdictGivenUp:
		return task, domain.Errorf(domain.KindRefused, "proof run %s was given up; sign another", s.ID)
	case s.Next == nil:
		return task, domain.Errorf(domain.KindRefused, "proof run %s is %s after %d trials; further trials belong to another run", s.ID, s.Verdict, s.Trials)
	case n.Number != 0 && n.Number != s.Next.Number:
		return task, domain.Errorf(domain.KindConflict, "trial %d is the next one of this run, not %d: somebody logged meanwhile; look at the run again", s.Next.Number, n.Number)
	}
	return *s.Next, nil
}

// proofTask draws what trial number of a run tries: an orientation out of the region, turned and put off as the line will
// be wrong. The same run and number give the same task.
func proofTask(p *domain.Proof, number int) ProofTask {
	rng := numeric.Stream(p.Seed, "proof trial", number)
	t := ProofTask{Number: number, Orientation: p.Nominal, Closing: p.Closing}
	if len(p.Region.Points) > 0 {
		t.Orientation = insideRegion(p, rng)
	}
	if p.Line.Angle > 0 {
		// A turn about each of three axes; together their root mean square is the line's.
		each := p.Line.Angle / math.Sqrt(3)
		v := orient.Vec3{each * rng.NormFloat64(), each * rng.NormFloat64(), each * rng.NormFloat64()}
		if angle := v.Norm(); angle > 0 {
			t.Orientation = t.Orientation.Mul(orient.AboutAxis(v.Scale(1/angle), angle))
		}
	}
	if q, ok := t.Orientation.Normalized(); ok {
		t.Orientation = q.Canonical()
	}
	for i := range 2 {
		t.Offset[i] = math.Round(1e6*p.Line.Position*rng.NormFloat64()) / 1e6
	}
	return t
}

// insideRegion draws evenly from what the region's points stand for: a point, then a turn within its spacing. It does not
// tilt further than the points do, so that a proof never goes where no trial of the study went.
func insideRegion(p *domain.Proof, rng *rand.Rand) orient.Rotation {
	most := 0.0
	for _, q := range p.Region.Points {
		most = math.Max(most, q.Approach().Tilt)
	}
	for range 200 {
		point := p.Region.Points[rng.IntN(len(p.Region.Points))]
		angle := p.Region.Spacing * math.Cbrt(rng.Float64())
		// A ball of rotations is a little less than a ball in space: its shells grow with the sine of half the angle.
		if half := angle / 2; half > 0 && rng.Float64() > math.Pow(math.Sin(half)/half, 2) {
			continue
		}
		if q := point.Mul(orient.RandomTurn(angle, rng)); q.Approach().Tilt <= most {
			return q
		}
	}
	return p.Nominal
}

// proofState follows a run through its trials as they count now.
func (l *Lab) proofState(ctx context.Context, p domain.Proof) (ProofState, error) {
	plan, err := acceptance.Build(p.Design)
	if err != nil {
		return ProofState{}, err
	}
	s := ProofState{Proof: p, Intact: p.Sum() == p.Digest, Accept: plan.Accept, Reject: plan.Reject, Longest: plan.Longest()}
	r, err := l.record(ctx, p.Study)
	if err != nil {
		return s, err
	}
	var counted, entered []bool
	for i := range r.trials {
		t := &r.trials[i]
		if t.Proof != p.ID {
			continue
		}
		step, err := l.proofStep(ctx, &p, t, len(s.Steps)+1)
		if err != nil {
			return s, err
		}
		if t.Counted.Counts() {
			counted = append(counted, t.Held())
		} else {
			s.Void++
		}
		if step.Entered.Counts() {
			entered = append(entered, step.Entered == domain.OutcomeHeld)
		}
		if step.Changed {
			s.Changed++
		}
		s.Steps = append(s.Steps, step)
	}
	prior := acceptance.Beta{Successes: p.Prior[0], Failures: p.Prior[1]}
	judged, err := plan.Judge(counted, prior, IntervalLevel)
	if err != nil {
		return s, err
	}
	s.Verdict, s.Trials, s.Failures, s.Beyond = string(judged.Verdict), judged.Trials, judged.Failures, judged.Beyond
	s.Low, s.High, s.Posterior, s.Reaches = judged.Low, judged.High, judged.Posterior, judged.Posterior.Beyond(p.Target)
	if s.Changed > 0 {
		first, err := plan.Judge(entered, prior, IntervalLevel)
		if err != nil {
			return s, err
		}
		if first.Verdict != judged.Verdict {
			s.AsEntered = string(first.Verdict)
		}
	}
	s.count()
	t, err := l.thingsOf(ctx, []domain.ID{p.Condition.Hand}, []domain.ID{p.Condition.Item}, nil)
	if err != nil {
		return s, err
	}
	hand, item := t.hands[p.Condition.Hand], t.items[p.Condition.Item]
	s.Cautions = domain.Cautions("page", &hand, &item)
	if judged.Verdict == acceptance.GoOn && p.GivenUp.IsZero() {
		task := proofTask(&p, len(s.Steps)+1)
		s.Next = &task
	}
	if judged.Verdict == acceptance.GoOn && !p.GivenUp.IsZero() {
		s.Verdict = verdictGivenUp
	}
	s.Sentence = s.tell()
	return s, nil
}

func (l *Lab) proofStep(ctx context.Context, p *domain.Proof, t *domain.CountedTrial, number int) (ProofStep, error) {
	step := ProofStep{
		ProofTask: ProofTask{Number: number, Orientation: t.Planned, Offset: t.Offset, Closing: t.Closing},
		Trial:     t.Root, Newest: t.ID, Counted: t.Counted, Entered: t.Outcome, Operator: t.Operator, StartedAt: t.StartedAt, Recorded: t.RecordedAt,
		key: t.Key,
	}
	if t.Entries > 1 {
		h, err := l.History(ctx, p.Study, t.Root)
		if err != nil {
			return step, err
		}
		first := h.Entries[0]
		step.Entered, step.Recorded, step.key = first.Outcome, first.RecordedAt, first.Key
	}
	step.Changed = step.Entered != step.Counted
	return step, nil
}

// count fills in how many trials counted and failed up to each step, and which came after the decision.
func (s *ProofState) count() {
	trials, failures := 0, 0
	for i := range s.Steps {
		step := &s.Steps[i]
		if step.Counted.Counts() {
			if step.Beyond = trials == s.Trials; !step.Beyond {
				trials++
				if step.Counted != domain.OutcomeHeld {
					failures++
				}
			}
		}
		step.Trials, step.Failures = trials, failures
	}
}

// tell gives the verdict in words.
func (s *ProofState) tell() string {
	so := fmt.Sprintf("%s in %s", manyOf(s.Failures, "failure"), manyOf(s.Trials, "trial"))
	switch s.Verdict {
	case string(acceptance.Accepted):
		return "Accepted: " + so + "."
	case string(acceptance.Rejected):
		return "Rejected: " + so + "."
	case verdictGivenUp:
		return fmt.Sprintf("Given up by %s with %s: %s", s.GivenUpBy, so, s.Reason)
	}
	if s.Trials == 0 {
		return fmt.Sprintf("Signed; no trial counts yet. At most %s.", manyOf(s.Longest, "trial"))
	}
	return fmt.Sprintf("Go on: %s so far, of at most %d.", so, s.Longest)
}

func manyOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// cardProof is how the newest proof run of a card's condition stands; nil when there is none. A run that was rejected or
// given up is told as well: a card must not look as if nothing had been tried.
func (l *Lab) cardProof(ctx context.Context, c *domain.Card) (*domain.CardProof, error) {
	list, err := l.Store.Proofs(ctx, c.Study)
	if err != nil {
		return nil, err
	}
	for _, p := range slices.Backward(list) {
		if p.Condition != c.Condition {
			continue
		}
		s, err := l.proofState(ctx, p)
		if err != nil {
			return nil, err
		}
		return &domain.CardProof{
			ID: p.ID, Rule: p.Rule, Verdict: s.Verdict, Trials: s.Trials, Failures: s.Failures, Void: s.Void, Corrected: s.Changed,
			Low: s.Low, High: s.High, Level: IntervalLevel, SameRegion: sameRegion(&p, c), SignedBy: p.SignedBy, SignedAt: p.SignedAt, Digest: p.Digest,
		}, nil
	}
	return nil, nil
}

// sameRegion says whether a run was made at the orientations and the closing command of a card.
func sameRegion(p *domain.Proof, c *domain.Card) bool {
	return p.Closing == c.Closing && p.Nominal.AngleTo(c.Nominal) < 1e-6 &&
		slices.EqualFunc(p.Region.Points, c.Region.Points, func(a, b orient.Rotation) bool { return a.AngleTo(b) < 1e-6 })
}
