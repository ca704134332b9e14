package workflow

import (
	"context"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/simfit"
	"holdfast/statistics/successmap"
)

// catching is a simulation that everything is known of: friction and closing help, leaning hurts.
func catching(_ context.Context, theta []float64, t SimulatedTrial, seed uint64) (bool, error) {
	lean := 1 - math.Cos(t.Rotation.Approach().Tilt)
	f := 6*(theta[0]-0.4) + 3*(t.Closing-0.5) - 4*lean + t.Rotation.Direction()[0]
	return numeric.Stream(seed, "outcome").Float64() < 1/(1+math.Exp(-f)), nil
}

func benchOf(t *testing.T, n int, friction float64, simulate func(context.Context, []float64, SimulatedTrial, uint64) (bool, error)) *mapInput {
	t.Helper()
	in := &mapInput{tiltMax: math.Pi / 3}
	rng := numeric.Stream(5, "bench")
	for i := range n {
		s := SimulatedTrial{orient.RandomWithin(in.tiltMax, rng), 0.4 + 0.2*float64(i%2), [3]float64{}}
		held, err := simulate(t.Context(), []float64{friction}, s, uint64(i))
		if err != nil {
			t.Fatal(err)
		}
		outcome := domain.OutcomeDropped
		if held {
			outcome = domain.OutcomeHeld
			in.condition.Held++
		}
		in.condition.Trials++
		in.trials = append(in.trials, domain.CountedTrial{Trial: domain.Trial{Planned: s.Rotation, Closing: s.Closing, Outcome: outcome}, Counted: outcome})
	}
	return in
}

func TestFittedSimulationSavesTrials(t *testing.T) {
	const friction = 0.7
	in := benchOf(t, 80, friction, catching)
	alone, err := successmap.Fit(t.Context(), in.observations(), successmap.Options{})
	if err != nil {
		t.Fatal(err)
	}
	q := SimulationQuery{Parameters: []simfit.Parameter{{Name: "friction", Min: 0.1, Max: 1.5}}, Simulate: catching, Budget: 4000, Seed: 2}
	var first SimulationFit
	for _, workers := range []int{1, 3} {
		got, err := in.fitSimulation(t.Context(), q, alone, workers)
		if err != nil {
			t.Fatal(err)
		}
		if e := got.Fit.Parameters[0]; !(e.Low < friction && friction < e.High) || e.High-e.Low > 0.6 {
			t.Errorf("friction %+v, put in %g", e, friction)
		}
		if got.Fit.Simulated != 3200 || !got.Fit.Agrees() || got.Trust < 0.7 || got.Saved < 40 {
			t.Errorf("%d simulated, agrees %v, trust %.2f, %.0f saved", got.Fit.Simulated, got.Fit.Agrees(), got.Trust, got.Saved)
		}
		if !strings.HasPrefix(got.Sentence, "Nothing in the bench trials speaks against") || !strings.Contains(got.Sentence, "80") || !strings.Contains(got.Sentence, "that were run") {
			t.Errorf("sentence %q", got.Sentence)
		}
		if workers == 1 {
			first = got
		} else if !reflect.DeepEqual(got.Fit, first.Fit) || got.Saved != first.Saved || got.Sentence != first.Sentence {
			t.Error("the answer depends on the number of workers")
		}
	}
}

// A simulation that leans the other way is told, and the map goes without it.
func TestWrongSimulationIsNotLeanedOn(t *testing.T) {
	in := benchOf(t, 120, 0.6, func(ctx context.Context, theta []float64, s SimulatedTrial, seed uint64) (bool, error) {
		f := 5 * s.Rotation.Direction()[0]
		return numeric.Stream(seed, "outcome").Float64() < 1/(1+math.Exp(-f)), nil
	})
	alone, err := successmap.Fit(t.Context(), in.observations(), successmap.Options{})
	if err != nil {
		t.Fatal(err)
	}
	backwards := func(_ context.Context, theta []float64, s SimulatedTrial, seed uint64) (bool, error) {
		f := 3*(theta[0]-0.5) + 4*s.Rotation.Direction()[1]
		return numeric.Stream(seed, "outcome").Float64() < 1/(1+math.Exp(-f)), nil
	}
	got, err := in.fitSimulation(t.Context(), SimulationQuery{Parameters: []simfit.Parameter{{Name: "friction", Min: 0.1, Max: 1.5}}, Simulate: backwards, Budget: 3000}, alone, 2)
	if err != nil {
		t.Fatal(err)
	}
	if got.Fit.Agrees() || got.Trust > 0.5 || !strings.Contains(got.Sentence, "hardly leans on it") {
		t.Errorf("agrees %v, trust %.2f: %s", got.Fit.Agrees(), got.Trust, got.Sentence)
	}
}

func TestSimulationQueriesThatCannotBeAnswered(t *testing.T) {
	in := benchOf(t, 20, 0.6, catching)
	good := SimulationQuery{Parameters: []simfit.Parameter{{Name: "friction", Min: 0.1, Max: 1.5}}, Simulate: catching, Budget: 600}
	none, empty, jammed := good, good, good
	none.Simulate = nil
	empty.Parameters = nil
	jammed.Simulate = func(context.Context, []float64, SimulatedTrial, uint64) (bool, error) {
		return false, errors.New("jammed")
	}
	for says, q := range map[string]SimulationQuery{"no simulation": none, "0 parameters": empty, "jammed": jammed} {
		if _, err := in.fitSimulation(t.Context(), q, nil, 1); domain.KindOf(err) != domain.KindInvalid || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: error %v", says, err)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := in.fitSimulation(ctx, good, nil, 1); err != context.Canceled {
		t.Errorf("cancelled: error %v", err)
	}
}
