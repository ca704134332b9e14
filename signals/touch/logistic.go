package touch

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/optimize"

	"holdfast/numeric/dense"
)

// FitLogistic fits multinomial logistic regression: it minimises Σ −ln p(zone) + ½·l2·Σ weights², intercepts free, equation
// (7) of DESIGN.md. l2 must be positive, which makes the minimum unique in the probabilities. Its error is that of ctx once that
// has ended.
func FitLogistic(ctx context.Context, x Matrix, zone []int, zones int, l2 float64) (*Linear, error) {
	if !(l2 > 0) {
		return nil, fmt.Errorf("logistic regression needs a penalty above 0, and it is %g", l2)
	}
	if _, err := byZone(x, zone, zones); err != nil {
		return nil, err
	}
	p := x.Cols
	at := func(c []float64) *Linear {
		l := &Linear{Weights: make([][]float64, zones), Intercept: c[zones*p:]}
		for k := range zones {
			l.Weights[k] = c[k*p : (k+1)*p]
		}
		return l
	}
	both := func(grad, c []float64) float64 {
		l, loss := at(c), 0.0
		if grad != nil {
			clear(grad)
		}
		s := make([]float64, zones)
		for i := range x.Rows {
			row := x.Row(i)
			l.scores(s, row)
			top, sum := s[largest(s)], 0.0
			for _, v := range s {
				sum += math.Exp(v - top)
			}
			loss += top + math.Log(sum) - s[zone[i]]
			if grad == nil {
				continue
			}
			softmax(s)
			s[zone[i]]--
			for k, d := range s {
				g := grad[k*p : (k+1)*p]
				for j, v := range row {
					g[j] += d * v
				}
				grad[zones*p+k] += d
			}
		}
		w := c[:zones*p]
		if grad != nil {
			for j, v := range w {
				grad[j] += l2 * v
			}
		}
		return loss + 0.5*l2*dense.Dot(w, w)
	}
	problem := optimize.Problem{Func: func(c []float64) float64 { return both(nil, c) }, Grad: func(g, c []float64) { both(g, c) }}
	settings := &optimize.Settings{GradientThreshold: 1e-6, MajorIterations: 500, Converger: &optimize.FunctionConverge{Relative: 1e-12, Iterations: 20}, Recorder: untilEnd{ctx}}
	result, err := optimize.Minimize(problem, make([]float64, zones*(p+1)), settings, &optimize.LBFGS{})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if result == nil {
		return nil, fmt.Errorf("the logistic fit did not settle: %w", err)
	}
	// A line search that can not improve any more ends at the rounding level of the loss; the point stands.
	return at(result.X), nil
}

// untilEnd ends a minimisation when its ctx has ended.
type untilEnd struct{ ctx context.Context }

// Init does nothing.
func (u untilEnd) Init() error { return nil }

// Record is called after every step.
func (u untilEnd) Record(*optimize.Location, optimize.Operation, *optimize.Stats) error {
	return u.ctx.Err()
}
