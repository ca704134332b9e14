package simfit

import (
	"context"
	"errors"
	"fmt"
	"math"

	"holdfast/orient"
)

// Condition is what a bench trial was run under.
type Condition struct {
	R          orient.Rotation
	Covariates []float64 // further measured conditions, such as placement offset or command; as many for every condition
}

// Trial is a bench trial.
type Trial struct {
	Condition int // index into the problem's conditions
	Held      bool
}

// Problem is what to fit.
type Problem struct {
	Parameters []Parameter // 1 to 6
	Conditions []Condition
	Trials     []Trial
	Symmetry   orient.Symmetry // of hand and surroundings

	// Simulate runs one trial under a condition with the parameters in their own units, in the order of Parameters. The
	// outcome may depend on nothing but its arguments. It is called by several goroutines at once; an error ends the fit.
	Simulate func(ctx context.Context, theta []float64, condition int, seed uint64) (held bool, err error)
}

// Options steer a fit.
type Options struct {
	Budget   int    // simulated trials; 0: 20,000
	Seed     uint64 // of everything random
	Workers  int    // goroutines; 0: one a processor. The result does not depend on it.
	Progress func(Progress)
}

// Progress says how far a fit is. It is told from one goroutine at a time.
type Progress struct {
	Stage     string // in plain words
	Simulated int    // trials so far
	Budget    int
}

// StandardBudget is the number of simulated trials when none is asked for.
const StandardBudget = 20000

// leastBudget is what four rounds need at least.
const leastBudget = 400

// mostParameters bounds the parameters: beyond it the surrogate's polynomials would need more trials than there are.
const mostParameters = 6

func (p *Problem) check(o Options) error {
	if p.Simulate == nil {
		return errors.New("there is no simulation to fit")
	}
	if len(p.Parameters) == 0 || len(p.Parameters) > mostParameters {
		return fmt.Errorf("%d parameters; between 1 and %d can be fitted together", len(p.Parameters), mostParameters)
	}
	names := map[string]bool{}
	for _, par := range p.Parameters {
		if err := par.check(); err != nil {
			return err
		}
		if names[par.Name] {
			return fmt.Errorf("two parameters are named %s", par.Name)
		}
		names[par.Name] = true
	}
	if len(p.Conditions) == 0 || len(p.Trials) == 0 {
		return errors.New("there is no bench trial to fit to: run or import some first")
	}
	for i, c := range p.Conditions {
		if _, ok := c.R.Normalized(); !ok {
			return fmt.Errorf("condition %d: its orientation is not a quaternion of positive, finite length", i+1)
		}
		if len(c.Covariates) != len(p.Conditions[0].Covariates) {
			return fmt.Errorf("condition %d has %d covariates, the first has %d", i+1, len(c.Covariates), len(p.Conditions[0].Covariates))
		}
		for _, v := range c.Covariates {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return fmt.Errorf("condition %d: a covariate is %g; it must be a finite number", i+1, v)
			}
		}
	}
	for i, t := range p.Trials {
		if t.Condition < 0 || t.Condition >= len(p.Conditions) {
			return fmt.Errorf("trial %d names condition %d of %d", i+1, t.Condition+1, len(p.Conditions))
		}
	}
	if o.Budget < 0 || o.Budget > 0 && o.Budget < leastBudget {
		return fmt.Errorf("a budget of %d simulated trials is too small; give at least %d (0 for %d)", o.Budget, leastBudget, StandardBudget)
	}
	return nil
}
