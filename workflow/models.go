package workflow

import (
	"cmp"
	"context"
	"encoding/hex"
	"math"
	"slices"
	"sync"
	"time"

	"holdfast/domain"
	"holdfast/statistics/proportion"
	"holdfast/statistics/simfit"
)

// ModelQuery asks for a simulation to be fitted to a condition's bench trials as long work, and its result to be kept.
type ModelQuery struct {
	SimulationQuery                   // its Progress is not used
	Words           map[string]string // what each parameter is, in plain words
}

// ModelProgress says how far a fit is.
type ModelProgress struct {
	Stage     string
	Simulated int // trials so far
	Budget    int
	Since     time.Time
}

// ModelState is what is known of the simulation of a condition.
type ModelState struct {
	Condition ConditionRow
	Running   *ModelProgress   // nil: no fit is under way
	Elsewhere bool             // a fit of another condition or study is under way
	Failed    string           // why the last fit of the condition gave nothing; empty: it did, or none was begun
	Fit       *domain.ModelFit // the newest; nil: none
	Stale     bool             // trials were added or changed since
	Invented  bool
}

// models is the one fit that is under way; the others wait, because each takes all processors.
type models struct {
	mu      sync.Mutex
	running *modelWork
	failed  map[domain.ID]string
}

type modelWork struct {
	id       domain.ID
	progress ModelProgress
	cancel   context.CancelFunc
	done     chan struct{}
}

// StartModelFit begins to fit and returns at once. Its result takes the place of the condition's earlier one; the map stands on
// its trials alone again until it is chosen. KindConflict while another fit is under way, KindNotFound when no trial counts.
func (l *Lab) StartModelFit(ctx context.Context, q ModelQuery) error {
	in, err := l.mapInput(ctx, q.Study, q.Condition)
	if err != nil {
		return err
	}
	q.Condition = in.condition.Condition
	work, stop := context.WithCancel(context.WithoutCancel(ctx))
	w := &modelWork{id: domain.ModelFitID(q.Study, q.Condition), cancel: stop, done: make(chan struct{})}
	w.progress = ModelProgress{Stage: "beginning", Budget: q.Budget, Since: l.Clock.Now()}
	l.models.mu.Lock()
	defer l.models.mu.Unlock()
	if l.models.running != nil {
		stop()
		return domain.Errorf(domain.KindConflict, "a model is being fitted already; wait for its end, or stop it")
	}
	l.models.running = w
	if l.models.failed == nil {
		l.models.failed = map[domain.ID]string{}
	}
	delete(l.models.failed, w.id)
	go l.fitModel(work, w, q)
	return nil
}

// progressEvery is how often at most open pages are told to look again.
const progressEvery = time.Second

func (l *Lab) fitModel(ctx context.Context, w *modelWork, q ModelQuery) {
	defer close(w.done)
	defer w.cancel()
	var told time.Time
	q.Progress = func(p simfit.Progress) {
		l.models.mu.Lock()
		w.progress.Stage, w.progress.Simulated, w.progress.Budget = p.Stage, p.Simulated, p.Budget
		l.models.mu.Unlock()
		if now := time.Now(); now.Sub(told) >= progressEvery { // paces what is told only; nothing depends on it
			told = now
			l.changed("model", q.Study, string(w.id))
		}
	}
	err := l.keepModel(ctx, q)
	l.models.mu.Lock()
	l.models.running = nil
	if err != nil && ctx.Err() == nil {
		l.models.failed[w.id] = err.Error()
	}
	l.models.mu.Unlock()
	l.changed("model", q.Study, string(w.id))
}

func (l *Lab) keepModel(ctx context.Context, q ModelQuery) error {
	in, err := l.mapInput(ctx, q.Study, q.Condition)
	if err != nil {
		return err
	}
	alone, err := l.fit(ctx, q.Study, q.Condition)
	if err != nil {
		return err
	}
	found, err := in.fitSimulation(ctx, q.SimulationQuery, alone.m, l.Workers)
	if err != nil {
		return err
	}
	kept := in.modelFit(&found, q)
	kept.FittedAt = l.Clock.Now()
	before, err := l.Store.ModelFit(ctx, kept.ID)
	if err != nil && domain.KindOf(err) != domain.KindNotFound {
		return err
	}
	kept.Revision = before.Revision
	_, err = l.Store.PutModelFit(ctx, kept)
	return err
}

// Of the trials that the model finds unlikely so many are told, and only those likelier to end the other way.
const (
	mostUnlikely = 12
	unlikely     = 0.5
)

func (in *mapInput) modelFit(found *SimulationFit, q ModelQuery) domain.ModelFit {
	f := found.Fit
	out := domain.ModelFit{
		ID: domain.ModelFitID(q.Study, q.Condition), Study: q.Study, Condition: q.Condition, Trials: found.Condition.Trials, Held: found.Condition.Held,
		Simulated: found.Simulated, Correlation: f.Correlation, Differs: f.Discrepancy.Probability, Trust: found.Trust, Saved: found.Saved,
		Sentence: found.Sentence, Warnings: found.Warnings, Evidence: hex.EncodeToString(in.key[:]), OffsetsKnown: !q.OffsetsHidden, Seed: q.Seed,
		Tilts: modelBands(f.Tilts), Azimuths: modelBands(f.Azimuths), Meta: domain.Meta{Invented: in.study.Invented},
	}
	out.Prior.Symmetry, out.Prior.Degree, out.Prior.Coefficients = found.Prior.Coefficients()
	for _, e := range f.Parameters {
		out.Quantities = append(out.Quantities, domain.FittedQuantity{
			Name: e.Name, Words: q.Words[e.Name], Mean: e.Mean, Low: e.Low, High: e.High, PriorLow: e.PriorLow, PriorHigh: e.PriorHigh, Told: e.Told,
		})
	}
	for _, r := range f.Disagreements {
		out.Disagreements = append(out.Disagreements, domain.ModelRegion{Sentence: r.Sentence, Chance: r.P})
	}
	for i := range in.trials {
		t := &in.trials[i]
		chance := f.Predictions[i].P
		if !t.Held() {
			chance = 1 - chance
		}
		if chance < unlikely {
			out.Unlikely = append(out.Unlikely, domain.UnlikelyTrial{Trial: t.Root, Rotation: t.Rotation(), Outcome: t.Counted, Chance: chance})
		}
	}
	slices.SortStableFunc(out.Unlikely, func(a, b domain.UnlikelyTrial) int { return cmp.Compare(a.Chance, b.Chance) })
	out.Unlikely = out.Unlikely[:min(len(out.Unlikely), mostUnlikely)]
	return out
}

func modelBands(list []simfit.Band) []domain.ModelBand {
	out := make([]domain.ModelBand, len(list))
	for i, b := range list {
		trials, held := int(math.Round(b.Trials)), int(math.Round(b.Held))
		out[i] = domain.ModelBand{From: b.From, To: b.To, Trials: trials, Held: held, Expected: b.Expected, ExpectedLow: b.Low, ExpectedHigh: b.High, ObservedHigh: 1}
		if o, err := proportion.ClopperPearson.Interval(held, trials, IntervalLevel); err == nil {
			out[i].ObservedLow, out[i].ObservedHigh = o.Low, o.High
		}
	}
	return out
}

// Model returns what is known of the simulation of a condition. KindNotFound when no trial counts.
func (l *Lab) Model(ctx context.Context, study domain.ID, c domain.Condition) (ModelState, error) {
	in, err := l.mapInput(ctx, study, c)
	if err != nil {
		return ModelState{}, err
	}
	id := domain.ModelFitID(study, in.condition.Condition)
	out := ModelState{Condition: in.condition, Invented: in.study.Invented}
	l.models.mu.Lock()
	switch w := l.models.running; {
	case w != nil && w.id == id:
		p := w.progress
		out.Running = &p
	case w != nil:
		out.Elsewhere = true
	}
	out.Failed = l.models.failed[id]
	l.models.mu.Unlock()
	f, err := l.Store.ModelFit(ctx, id)
	switch {
	case err == nil:
		out.Fit, out.Stale = &f, f.Evidence != hex.EncodeToString(in.key[:])
	case domain.KindOf(err) != domain.KindNotFound:
		return out, err
	}
	return out, nil
}

// StopModelFit stops the condition's fit and waits for its end; what was kept before stays. KindNotFound when none is under way.
func (l *Lab) StopModelFit(ctx context.Context, study domain.ID, c domain.Condition) error {
	in, err := l.mapInput(ctx, study, c)
	if err != nil {
		return err
	}
	id := domain.ModelFitID(study, in.condition.Condition)
	l.models.mu.Lock()
	w := l.models.running
	l.models.mu.Unlock()
	if w == nil || w.id != id {
		return domain.Errorf(domain.KindNotFound, "no model of this condition is being fitted")
	}
	w.cancel()
	select {
	case <-w.done:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// StopWork stops the fit, the training and the learning by touch that are under way, if any, and waits for its end, so that the store can be closed.
func (l *Lab) StopWork() {
	l.touches.stop()
	l.feels.stop()
	l.models.mu.Lock()
	w := l.models.running
	l.models.mu.Unlock()
	if w != nil {
		w.cancel()
		<-w.done
	}
}

// UseModelFit says whether the condition's fitted simulation is the prior mean of its map. KindNotFound when there is no fit.
func (l *Lab) UseModelFit(ctx context.Context, study domain.ID, c domain.Condition, use bool) error {
	in, err := l.mapInput(ctx, study, c)
	if err != nil {
		return err
	}
	f, err := l.Store.ModelFit(ctx, domain.ModelFitID(study, in.condition.Condition))
	if domain.KindOf(err) == domain.KindNotFound {
		return domain.Errorf(domain.KindNotFound, "no model was fitted to these trials yet; fit one first")
	}
	if err != nil || f.InUse == use {
		return err
	}
	f.InUse = use
	if _, err := l.Store.PutModelFit(ctx, f); err != nil {
		return err
	}
	l.changed("model", study, string(f.ID))
	return nil
}
