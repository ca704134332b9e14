package workflow

import (
	"context"
	"fmt"
	"math"

	"holdfast/domain"
	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/simfit"
	"holdfast/statistics/successmap"
)

// SimulationQuery asks what the bench trials of a condition say about a simulation of it.
type SimulationQuery struct {
	Study      domain.ID
	Condition  domain.Condition
	Parameters []simfit.Parameter // of the simulation, in its units
	// Simulate runs one trial with the parameters' values; what it returns may depend on nothing but its arguments. It is called
	// by several goroutines at once.
	Simulate func(ctx context.Context, theta []float64, t SimulatedTrial, seed uint64) (held bool, err error)
	Budget   int    // simulated trials; 0: 20,000
	Seed     uint64 // of everything random
	Progress func(simfit.Progress)
	// OffsetsHidden says that nobody knows where the items lay, so that the simulation's own error of position stands for it.
	OffsetsHidden bool
}

// SimulatedTrial is what a simulated trial is asked to repeat of a bench trial.
type SimulatedTrial struct {
	Rotation orient.Rotation // as measured, else as planned
	Closing  float64         // 0…1
	Offset   [3]float64      // m, where the item lay, as far as the bench knows
}

// BenchTrial is a bench trial with its outcome.
type BenchTrial struct {
	SimulatedTrial
	Held bool
}

// SimulationFit is a simulation fitted to a condition's bench trials, and what it is worth as the map's prior mean.
type SimulationFit struct {
	Condition ConditionRow
	Fit       *simfit.Result
	Simulated int                   // trials in all
	Prior     *successmap.PriorMean // the fitted simulation's map
	Map       *successmap.Map       // of the bench trials, with the fitted simulation as prior mean
	Trust     float64               // 0 … 1: that the simulation speaks for the bench, from the maps' evidence
	Saved     float64               // bench trials that the map without the simulation would need in addition
	Sentence  string
	Warnings  []string
	Mark      int64
	Invented  bool
}

// priorShare is the share of the budget that is kept for the map of the fitted simulation, and priorGrid the number of
// orientations that maps are compared at.
const (
	priorShare = 0.2
	priorGrid  = 200
)

// FitSimulation fits a simulation's parameters to the bench trials of a condition, says where both disagree, and what the
// fitted simulation saves in bench trials. It takes the budget times a simulated trial; nothing of it is kept. KindNotFound
// when no trial counts, KindInvalid for unusable parameters.
func (l *Lab) FitSimulation(ctx context.Context, q SimulationQuery) (SimulationFit, error) {
	in, err := l.mapInput(ctx, q.Study, q.Condition)
	if err != nil {
		return SimulationFit{}, err
	}
	alone, err := l.fit(ctx, q.Study, in.condition.Condition)
	if err != nil {
		return SimulationFit{}, err
	}
	out, err := in.fitSimulation(ctx, q, alone.m, l.Workers)
	out.Mark, out.Invented = in.mark, in.study.Invented
	return out, err
}

func (in *mapInput) fitSimulation(ctx context.Context, q SimulationQuery, alone *successmap.Map, workers int) (SimulationFit, error) {
	bench := make([]BenchTrial, len(in.trials))
	for i := range in.trials {
		t := &in.trials[i]
		bench[i] = BenchTrial{SimulatedTrial{t.Rotation(), t.Closing, t.Offset}, t.Held()}
		if q.OffsetsHidden {
			bench[i].Offset = [3]float64{}
		}
	}
	out, err := fitToBench(ctx, bench, in.symmetry, in.tiltMax, q, alone, workers)
	out.Condition, out.Warnings = in.condition, joined(out.Warnings, in.notes())
	return out, err
}

// FitSimulation fits a simulation to bench trials that lie in no lab; see [Lab.FitSimulation]. Study and condition of the query
// do not matter. tiltMax (rad) says up to which tilt maps are compared; workers 0: one a processor.
func FitSimulation(ctx context.Context, bench []BenchTrial, symmetry orient.Symmetry, tiltMax float64, q SimulationQuery, workers int) (SimulationFit, error) {
	if len(bench) == 0 {
		return SimulationFit{}, domain.Errorf(domain.KindInvalid, "there is no bench trial to fit to: run or import some first")
	}
	alone, err := successmap.Fit(ctx, benchObservations(bench), successmap.Options{Symmetry: symmetry, Workers: workers})
	if err != nil {
		return SimulationFit{}, fitError(ctx, err)
	}
	return fitToBench(ctx, bench, symmetry, tiltMax, q, alone, workers)
}

func benchObservations(bench []BenchTrial) []successmap.Observation {
	obs := make([]successmap.Observation, len(bench))
	for i, t := range bench {
		obs[i] = successmap.Observation{R: t.Rotation, Trials: 1}
		if t.Held {
			obs[i].Held = 1
		}
	}
	return obs
}

func fitToBench(ctx context.Context, bench []BenchTrial, symmetry orient.Symmetry, tiltMax float64, q SimulationQuery, alone *successmap.Map, workers int) (SimulationFit, error) {
	out := SimulationFit{Condition: ConditionRow{Trials: len(bench)}}
	for _, t := range bench {
		if t.Held {
			out.Condition.Held++
		}
	}
	if q.Simulate == nil {
		return out, domain.Errorf(domain.KindInvalid, "there is no simulation to fit")
	}
	budget := q.Budget
	if budget == 0 {
		budget = simfit.StandardBudget
	}
	forMap := int(priorShare * float64(budget))
	tell := func(p simfit.Progress) {
		if q.Progress != nil {
			p.Budget = budget
			q.Progress(p)
		}
	}
	problem, asked := simulationProblem(bench, symmetry, q)
	var err error
	out.Fit, err = simfit.Fit(ctx, problem, simfit.Options{Budget: budget - forMap, Seed: q.Seed, Workers: workers, Progress: tell})
	switch {
	case ctx.Err() != nil:
		return out, ctx.Err()
	case err != nil:
		return out, domain.Errorf(domain.KindInvalid, "the simulation cannot be fitted: %v", err)
	}
	tell(simfit.Progress{Stage: "mapping the fitted simulation", Simulated: out.Fit.Simulated})
	simulated, err := simulatedMap(ctx, symmetry, tiltMax, q, out.Fit, asked, forMap, workers)
	if err != nil {
		return out, err
	}
	out.Simulated, out.Prior = out.Fit.Simulated+forMap, simulated.PriorMean()
	obs := benchObservations(bench)
	tell(simfit.Progress{Stage: "weighing the fitted simulation", Simulated: out.Simulated})
	if out.Map, err = successmap.Fit(ctx, obs, successmap.Options{Symmetry: symmetry, Workers: workers, Prior: out.Prior}); err != nil {
		return out, fitError(ctx, err)
	}
	grid := make([]orient.Rotation, priorGrid)
	rng := numeric.Stream(q.Seed, "orientations to compare maps at")
	for i := range grid {
		grid[i] = orient.RandomWithin(tiltMax, rng)
	}
	if out.Saved, err = successmap.TrialsSaved(ctx, out.Map, alone, obs, grid); err != nil {
		return out, fitError(ctx, err)
	}
	out.Trust = out.Map.Summary().PriorTrust
	out.Sentence = out.words()
	out.Warnings = joined(out.Fit.Warnings)
	return out, nil
}

// simulationProblem puts trials that were run under the very same conditions together, and returns what is simulated for each.
func simulationProblem(bench []BenchTrial, symmetry orient.Symmetry, q SimulationQuery) (simfit.Problem, []SimulatedTrial) {
	p := simfit.Problem{Parameters: q.Parameters, Symmetry: symmetry}
	var asked []SimulatedTrial
	known := map[SimulatedTrial]int{}
	for _, t := range bench {
		c, ok := known[t.SimulatedTrial]
		if !ok {
			c = len(asked)
			known[t.SimulatedTrial] = c
			asked = append(asked, t.SimulatedTrial)
		}
		p.Trials = append(p.Trials, simfit.Trial{Condition: c, Held: t.Held})
	}
	columns := varying(asked)
	for _, s := range asked {
		c := simfit.Condition{R: s.Rotation}
		values := s.covariates()
		for _, k := range columns {
			c.Covariates = append(c.Covariates, values[k])
		}
		p.Conditions = append(p.Conditions, c)
	}
	p.Simulate = func(ctx context.Context, theta []float64, c int, seed uint64) (bool, error) {
		return q.Simulate(ctx, theta, asked[c], seed)
	}
	return p, asked
}

func (s SimulatedTrial) covariates() [4]float64 {
	return [4]float64{s.Closing, s.Offset[0], s.Offset[1], s.Offset[2]}
}

// varying lists the covariates that are not the same in all trials.
func varying(asked []SimulatedTrial) (columns []int) {
	for k := range asked[0].covariates() {
		for _, s := range asked {
			if s.covariates()[k] != asked[0].covariates()[k] {
				columns = append(columns, k)
				break
			}
		}
	}
	return columns
}

// simulatedMap is the map of n trials of the fitted simulation, spread over the orientations of the bench's map, with closing
// commands and offsets as the bench had them.
func simulatedMap(ctx context.Context, symmetry orient.Symmetry, tiltMax float64, q SimulationQuery, fit *simfit.Result, asked []SimulatedTrial, n, workers int) (*successmap.Map, error) {
	rng := numeric.Stream(q.Seed, "orientations of the fitted simulation")
	trials := make([]SimulatedTrial, n)
	for i := range trials {
		trials[i] = asked[rng.IntN(len(asked))]
		trials[i].Rotation = orient.RandomWithin(tiltMax, rng)
	}
	held, err := fit.Outcomes(ctx, n, q.Seed, workers, func(ctx context.Context, theta []float64, i int, seed uint64) (bool, error) {
		return q.Simulate(ctx, theta, trials[i], seed)
	})
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, domain.Errorf(domain.KindInvalid, "the simulation failed: %v", err)
	}
	obs := make([]successmap.Observation, n)
	for i := range obs {
		obs[i] = successmap.Observation{R: trials[i].Rotation, Trials: 1}
		if held[i] {
			obs[i].Held = 1
		}
	}
	m, err := successmap.Fit(ctx, obs, successmap.Options{Symmetry: symmetry, Workers: workers})
	if err != nil {
		return nil, fitError(ctx, err)
	}
	return m, nil
}

// words say whether simulation and bench agree and what that is worth.
func (s *SimulationFit) words() string {
	agrees := "Nothing in the bench trials speaks against the fitted simulation."
	if !s.Fit.Agrees() {
		agrees = "The bench trials speak against the simulation at any parameters."
		if len(s.Fit.Disagreements) > 0 {
			agrees = s.Fit.Disagreements[0].Sentence
		}
	}
	switch saved := math.Round(s.Saved); {
	case s.Trust < 0.5:
		return agrees + fmt.Sprintf(" The map hardly leans on it (trust %.2f).", s.Trust)
	case saved < 1:
		return agrees + " As the map's prior mean it saves no trials."
	case saved > 10*float64(s.Condition.Trials):
		return agrees + fmt.Sprintf(" As the map's prior mean it is worth more than ten times the %d trials that were run, by the map's own belief.", s.Condition.Trials)
	default:
		return agrees + fmt.Sprintf(" As the map's prior mean it is worth about %.0f trials beside the %d that were run, by the map's own belief.", saved, s.Condition.Trials)
	}
}
