package workflow

import (
	"context"
	"slices"
	"sync"
	"time"

	"holdfast/domain"
	"holdfast/mechanics/firsttouch"
	"holdfast/mechanics/trialsim"
)

// FeelQuery asks for the rule from a hand's first touch to how its wrist should move, as long work.
type FeelQuery struct {
	Hand domain.ID
	// Condition is what the scene of the task is of; without a scene only the hand counts.
	Condition domain.Condition
	Task      firsttouch.Task    // workers and progress are not used; a nil scene: nothing is tried
	Guided    *firsttouch.Guided // learn from these trials; nil: learn in simulation
	// GuidedName is what their table is called.
	GuidedName string
}

// FeelProgress says how far the work is, in simulated trials.
type FeelProgress struct {
	Stage    string
	Done, Of int
	Since    time.Time
}

// FeelAnswer is what came of a question.
type FeelAnswer struct {
	FeelQuery
	Report   *firsttouch.Report
	Strategy *trialsim.Strategy // with the rule; nil without a scene
	// Free is the hand of the scene as it closes on nothing, to draw it by; nil without a scene.
	Free     *trialsim.Closing
	Answered time.Time
}

// FeelState is what is known of a hand's first touches. Answers last as long as the program runs.
type FeelState struct {
	Running   *FeelProgress // nil: nothing is under way for the hand
	Elsewhere bool          // another hand is learning
	Failed    string        // why the last question gave nothing
	Answer    *FeelAnswer   // the newest; nil: none
}

// FeelCondition is a condition that a study of the lab tries with the hand, and how it does.
type FeelCondition struct {
	domain.Condition
	Study   domain.ID
	Closing float64 // the largest level of the study
	TiltMax float64 // rad
}

// feels is the one question that is under way, and the answers by hand.
type feels struct {
	mu      sync.Mutex
	hand    domain.ID // empty: nothing is under way
	running FeelProgress
	cancel  context.CancelFunc
	done    chan struct{}
	failed  map[domain.ID]string
	answers map[domain.ID]*FeelAnswer
}

// FeelConditions lists the conditions that studies try with a hand, each once, in the order of the studies.
// KindNotFound for an unknown hand.
func (l *Lab) FeelConditions(ctx context.Context, hand domain.ID) ([]FeelCondition, error) {
	if _, err := l.Store.Hand(ctx, hand); err != nil {
		return nil, err
	}
	studies, err := l.Store.Studies(ctx)
	if err != nil {
		return nil, err
	}
	var list []FeelCondition
	seen := map[domain.Condition]bool{}
	for _, s := range studies {
		if !slices.Contains(s.Hands, hand) || len(s.ClosingLevels) == 0 {
			continue
		}
		for _, item := range s.Items {
			for _, setting := range s.Settings {
				for _, g := range s.Strategies {
					c := domain.Condition{Hand: hand, Item: item, Setting: setting, Strategy: g.Kind}
					if !seen[c] {
						seen[c] = true
						list = append(list, FeelCondition{c, s.ID, slices.Max(s.ClosingLevels), tiltMax(s.Orientations)})
					}
				}
			}
		}
	}
	return list, nil
}

// StartFeel begins to learn and returns at once; the answer takes the place of the hand's earlier one. KindConflict while
// another question is under way, KindInvalid when the strategy has nothing to feel by.
func (l *Lab) StartFeel(ctx context.Context, q FeelQuery) error {
	if _, err := l.Store.Hand(ctx, q.Hand); err != nil {
		return err
	}
	if q.Task.Scene == nil && q.Guided == nil {
		return domain.Errorf(domain.KindInvalid, "there is neither a condition to learn in nor a table of guided trials")
	}
	f := &l.feels
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.hand != "" {
		return domain.Errorf(domain.KindConflict, "a hand is learning to feel first already; wait for its end, or stop it")
	}
	work, stop := context.WithCancel(context.WithoutCancel(ctx))
	f.hand, f.cancel, f.done = q.Hand, stop, make(chan struct{})
	f.running = FeelProgress{Stage: "beginning", Of: q.trials(), Since: l.Clock.Now()}
	if f.failed == nil {
		f.failed, f.answers = map[domain.ID]string{}, map[domain.ID]*FeelAnswer{}
	}
	delete(f.failed, q.Hand)
	go l.feelBeside(work, q, f.done)
	return nil
}

// trials is how many trials are simulated in all, at least 1.
func (q *FeelQuery) trials() int {
	n := 2 * q.Task.Test
	if q.Guided == nil {
		n += q.Task.Learn
	}
	return max(n, 1)
}

func (l *Lab) feelBeside(ctx context.Context, q FeelQuery, done chan struct{}) {
	defer close(done)
	f := &l.feels
	var told time.Time
	through := 0
	q.Task.Workers = l.Workers
	q.Task.Progress = func(stage string, _, _ int) {
		through++
		f.mu.Lock()
		f.running.Stage, f.running.Done = stage, through
		f.mu.Unlock()
		if now := time.Now(); now.Sub(told) >= progressEvery { // paces what is told only; nothing depends on it
			told = now
			l.changed("feel", "", string(q.Hand))
		}
	}
	answer, err := feel(ctx, q)
	f.mu.Lock()
	if err != nil && ctx.Err() == nil {
		f.failed[q.Hand] = err.Error()
	}
	if err == nil {
		answer.Answered = l.Clock.Now()
		f.answers[q.Hand] = answer
	}
	f.hand = ""
	f.cancel()
	f.mu.Unlock()
	l.changed("feel", "", string(q.Hand))
}

// freeSteps is in how many even steps the hand is closed to draw it.
const freeSteps = 20

// feel answers the question.
func feel(ctx context.Context, q FeelQuery) (*FeelAnswer, error) {
	out := &FeelAnswer{}
	var feeling *firsttouch.Feeling
	var err error
	if scene := q.Task.Scene; scene != nil {
		if feeling, err = firsttouch.NewFeeling(&scene.Strategy); err != nil {
			return nil, err
		}
		if out.Free, err = trialsim.CloseFreely(ctx, &scene.Hand, freeSteps); err != nil {
			return nil, err
		}
	}
	var learnt *firsttouch.Learnt
	if q.Guided != nil {
		q.Task.Learn = 0
		learnt, err = firsttouch.LearnGuided(q.Guided, q.Task.Seed, q.Task.Direction)
	} else {
		learnt, err = q.Task.LearnRule(ctx, feeling)
	}
	if err != nil {
		return nil, err
	}
	out.Report = firsttouch.NewReport(learnt)
	if feeling != nil {
		feeling.Follow(learnt.Rule)
		pairs, err := q.Task.TryBoth(ctx, feeling)
		if err != nil {
			return nil, err
		}
		if err := out.Report.AddGain(&q.Task, pairs); err != nil {
			return nil, err
		}
		out.Strategy = &feeling.Strategy
	}
	out.FeelQuery = q
	return out, nil
}

// Feel returns what is known of a hand's first touches.
func (l *Lab) Feel(hand domain.ID) FeelState {
	f := &l.feels
	f.mu.Lock()
	defer f.mu.Unlock()
	out := FeelState{Failed: f.failed[hand], Answer: f.answers[hand], Elsewhere: f.hand != "" && f.hand != hand}
	if f.hand == hand && hand != "" {
		p := f.running
		out.Running = &p
	}
	return out
}

// StopFeel stops the hand's question and waits for its end; an earlier answer stays. KindNotFound when none is under way.
func (l *Lab) StopFeel(ctx context.Context, hand domain.ID) error {
	f := &l.feels
	f.mu.Lock()
	if f.hand == "" || f.hand != hand {
		f.mu.Unlock()
		return domain.Errorf(domain.KindNotFound, "hand %q is not learning to feel first", hand)
	}
	done := f.done
	f.cancel()
	f.mu.Unlock()
	select {
	case <-done:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// stop ends the question that is under way, if any, and waits for its end.
func (f *feels) stop() {
	f.mu.Lock()
	done := f.done
	if f.hand == "" {
		done = nil
	} else {
		f.cancel()
	}
	f.mu.Unlock()
	if done != nil {
		<-done
	}
}
