package simfit

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"strings"

	"holdfast/numeric"
	"holdfast/numeric/dense"
)

// enoughEffective is the number of equally weighted places from which on the posterior is not worked out anew around itself.
const enoughEffective = 250

// rounds is the number of times that simulated trials close in on the posterior, each with an equal share of the budget.
const rounds = 4

// Fit runs the simulation within the budget and returns what the bench trials say about its parameters. It fails on an
// unusable problem, when the simulation fails, or when ctx ends.
func Fit(ctx context.Context, p Problem, o Options) (*Result, error) {
	f, err := newFitting(p, o)
	if err != nil {
		return nil, err
	}
	return f.run(ctx)
}

func newFitting(p Problem, o Options) (*fitting, error) {
	if err := p.check(o); err != nil {
		return nil, err
	}
	budget, workers := o.Budget, o.Workers
	if budget == 0 {
		budget = StandardBudget
	}
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	f := &fitting{problem: &p, options: o, budget: budget, workers: workers, tallies: make([]tally, len(p.Conditions))}
	for _, t := range p.Trials {
		f.tallies[t.Condition].trials++
		if t.Held {
			f.tallies[t.Condition].held++
		}
	}
	var err error
	if f.features, err = newFeatures(p.Conditions, p.Symmetry); err != nil {
		return nil, err
	}
	if f.discrepancy, err = newDiscrepancy(p.Conditions, f.tallies, p.Symmetry); err != nil {
		return nil, err
	}
	return f, nil
}

// fitting is a fit under way.
type fitting struct {
	problem         *Problem
	options         Options
	budget, workers int
	tallies         []tally
	features        *features
	discrepancy     *discrepancy
	runs            []run
}

func (f *fitting) tell(stage string) {
	if f.options.Progress != nil {
		f.options.Progress(Progress{Stage: stage, Simulated: len(f.runs), Budget: f.budget})
	}
}

func (f *fitting) run(ctx context.Context) (*Result, error) {
	seed := f.options.Seed
	b := newBasis(len(f.problem.Parameters))
	at := priorFrame(f.problem.Parameters)
	var s *surrogate
	var checked SurrogateCheck
	for round := range rounds {
		fresh, err := f.simulate(ctx, at, round)
		if err != nil {
			return nil, err
		}
		if round == rounds-1 {
			checked = s.check(fresh, seed, round, f.workers)
		}
		f.runs = append(f.runs, fresh...)
		f.tell("learning the simulation's chance of success")
		last := s
		s = newSurrogate(at, b, f.features, f.runs)
		learning := 12
		if last != nil {
			s.sharedVariance, s.ownVariance = last.sharedVariance, last.ownVariance
			learning = 6
		}
		if err := s.fit(ctx, learning, f.workers); err != nil {
			return nil, err
		}
		if round == rounds-1 {
			break
		}
		d := f.discrepancy
		if round < rounds-2 {
			// The first frames are wide enough without it.
			d = d.none()
		}
		post, err := s.posterior(ctx, f.problem, f.tallies, d, at, rough, seed, round, f.workers)
		if err != nil {
			return nil, err
		}
		at = post.next()
	}
	f.tell("working out the posterior")
	post, err := s.posterior(ctx, f.problem, f.tallies, f.discrepancy, at, fine, seed, rounds, f.workers)
	if err != nil {
		return nil, err
	}
	if effective(post.weights) < enoughEffective {
		if post, err = s.posterior(ctx, f.problem, f.tallies, f.discrepancy, post.next(), fine, seed, rounds+1, f.workers); err != nil {
			return nil, err
		}
	}
	f.tell("comparing simulation and bench")
	used := 0
	for i := range s.cells {
		used += len(s.cells[i].held)
	}
	return f.result(post, checked, used), nil
}

// simulate runs one round's trials: every condition gets a stretch of even points, as long as its bench trials weigh.
func (f *fitting) simulate(ctx context.Context, at *frame, round int) ([]run, error) {
	seed := f.options.Seed
	share := f.budget/rounds + min(1, max(0, f.budget%rounds-round))
	places, _, err := at.points(f.problem.Parameters, share, numeric.Stream(seed, "simulated trials' points", round).Uint64())
	if err != nil {
		return nil, err
	}
	list := make([]run, 0, len(places))
	for c, n := range f.allot(len(places), round) {
		for range n {
			list = append(list, run{place: places[len(list)], condition: c})
		}
	}
	stage := fmt.Sprintf("simulating, round %d of %d", round+1, rounds)
	done := len(f.runs)
	failed, err := inBatches(ctx, len(list), f.workers, func(n int) {
		if f.options.Progress != nil {
			f.options.Progress(Progress{Stage: stage, Simulated: done + n, Budget: f.budget})
		}
	}, func(i int) (err error) {
		trialSeed := numeric.Stream(seed, "simulated trial", round, i).Uint64()
		list[i].held, err = f.problem.Simulate(ctx, f.theta(list[i].place), list[i].condition, trialSeed)
		return err
	})
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		return nil, fmt.Errorf("simulated trial with %s under condition %d: %w", f.words(list[failed].place), list[failed].condition+1, err)
	}
	return list, nil
}

// inBatches calls do(0) … do(n−1) by several goroutines, tells after each batch how many are done, and stops with the first
// error, in the order of the calls, or when ctx ends.
func inBatches(ctx context.Context, n, workers int, told func(done int), do func(i int) error) (failed int, err error) {
	const batch = 64
	errs := make([]error, batch)
	for from := 0; from < n; from += batch {
		part := min(batch, n-from)
		clear(errs)
		dense.InParallel(part, workers, func(i int) {
			if errs[i] = ctx.Err(); errs[i] == nil {
				errs[i] = do(from + i)
			}
		})
		for i, err := range errs[:part] {
			if err != nil {
				return from + i, err
			}
		}
		told(from + part)
	}
	return n, ctx.Err()
}

func (f *fitting) theta(place []float64) []float64 {
	theta := make([]float64, len(place))
	for k, par := range f.problem.Parameters {
		theta[k] = par.value(place[k])
	}
	return theta
}

func (f *fitting) words(place []float64) string {
	var list []string
	for k, v := range f.theta(place) {
		list = append(list, fmt.Sprintf("%s %.4g", f.problem.Parameters[k].Name, v))
	}
	return strings.Join(list, ", ")
}

// allot shares n simulated trials among conditions in proportion to their bench trials; what is left over goes to some
// by lot.
func (f *fitting) allot(n, round int) []int {
	counts := make([]int, len(f.tallies))
	left := n
	var tried []int
	for c, t := range f.tallies {
		counts[c] = int(float64(n) * t.trials / float64(len(f.problem.Trials)))
		left -= counts[c]
		if t.trials > 0 {
			tried = append(tried, c)
		}
	}
	order := numeric.Stream(f.options.Seed, "left over simulated trials", round).Perm(len(tried))
	for i := range left {
		counts[tried[order[i%len(order)]]]++
	}
	return counts
}

// SurrogateCheck says how well the surrogate of the round before foretold the last round's simulated trials.
type SurrogateCheck struct {
	Trials float64 // foretold
	Excess float64 // log loss beyond what the forecasts themselves expect, nats a trial; near 0 when they are right
	SE     float64 // its standard error if they are
}

// check foretells fresh simulated trials.
func (s *surrogate) check(fresh []run, seed uint64, round, workers int) SurrogateCheck {
	const draws = 8
	n := s.basis.len()
	list := s.draws(draws, seed, round+100, workers)
	t, phi, scratch := make([]float64, s.basis.d), make([]float64, n), make([]float64, s.ownLen)
	var out SurrogateCheck
	variance := 0.0
	for _, r := range fresh {
		if !s.frame.coordinates(t, r.place) {
			continue
		}
		s.basis.values(phi, t)
		// The logistic function of a normal variable, by that of a normal one with the same slope.
		shrink := 1 / math.Sqrt(1+math.Pi/8*s.ownSpread(r.condition, phi, scratch))
		p := 0.0
		for _, coef := range list {
			p += expit(shrink*dense.Dot(coef[r.condition*n:(r.condition+1)*n], phi)) / draws
		}
		p = math.Min(math.Max(p, 1e-6), 1-1e-6)
		yes, no := -math.Log(p), -math.Log1p(-p)
		loss := no
		if r.held {
			loss = yes
		}
		out.Trials++
		out.Excess += loss - p*yes - (1-p)*no
		variance += p * (1 - p) * (yes - no) * (yes - no)
	}
	if out.Trials > 0 {
		out.Excess /= out.Trials
		out.SE = math.Sqrt(variance) / out.Trials
	}
	return out
}
