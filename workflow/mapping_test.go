package workflow

import (
	"fmt"
	"math"
	"testing"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// twins is a condition of a three-fold hand: 40 orientations, each tried three times with one outcome, written as the
// orientation itself or as the two that equal it.
func twins(turn float64) *mapInput {
	in := &mapInput{symmetry: orient.Symmetry{HandFold: 3, Surroundings: orient.Surroundings{Fold: 2}}}
	for i := range 40 {
		outcome := domain.OutcomeHeld
		if i*i%7%2 == 1 {
			outcome = domain.OutcomeDropped
		}
		r := orient.FromApproach(orient.Approach{Tilt: float64(i) * 0.025, Azimuth: float64(i) * 1.7, Roll: float64(i) * 0.9})
		for twin := range 3 {
			in.trials = append(in.trials, domain.CountedTrial{
				Trial:   domain.Trial{Planned: r.Mul(orient.RotZ(turn * float64(twin))), Outcome: outcome, Block: 1},
				Counted: outcome,
			})
			if outcome == domain.OutcomeHeld {
				in.condition.Held++
			}
		}
	}
	return in
}

// A trial at one of several equal orientations must not predict its twin at another, or the map is praised for nothing.
func TestEqualOrientationsAreScoredAndTestedAsOne(t *testing.T) {
	var scores [2]Scores
	var texts [2]string
	for k, turn := range []float64{0, 2 * math.Pi / 3} {
		in := twins(turn)
		names, count := in.orientationGroups()
		if count != 40 || names[0] != names[1] || names[0] != names[2] || names[2] == names[3] {
			t.Fatalf("turn %v: %d groups, %v …", turn, count, names[:4])
		}
		obs := make([]successmap.Observation, len(in.trials))
		for i, trial := range in.trials {
			obs[i] = successmap.Observation{R: trial.Planned, Trials: 1}
			if trial.Held() {
				obs[i].Held = 1
			}
		}
		m, err := successmap.Fit(t.Context(), obs, successmap.Options{Symmetry: in.symmetry, Degree: 4})
		if err != nil {
			t.Fatal(err)
		}
		if scores[k], err = (&fitted{mapInput: in, m: m}).score(t.Context(), obs); err != nil {
			t.Fatal(err)
		}
		texts[k] = fmt.Sprint(in.dispersion())
	}
	if scores[0].Folds == 0 || math.Abs(scores[0].LogLoss-scores[1].LogLoss) > 1e-6 || math.Abs(scores[0].Brier-scores[1].Brier) > 1e-6 {
		t.Errorf("scores differ by the way of writing: %+v and %+v", scores[0], scores[1])
	}
	if texts[0] != texts[1] {
		t.Errorf("dispersion differs by the way of writing: %s and %s", texts[0], texts[1])
	}
}
