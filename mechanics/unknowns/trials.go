package unknowns

import (
	"sync"

	"holdfast/mechanics/trialsim"
)

// Trials runs trials of one scene with changing values of some of its quantities. It is safe for concurrent use: benches are
// kept for the next trial and shared by nobody. What comes out depends on nothing but scene, step, values and attempt.
type Trials struct {
	scene trialsim.Scene
	what  []Quantity
	step  float64
	anew  bool // a bench serves one trial only

	mu   sync.Mutex
	idle []*bench
}

// bench owns the scene that its trials change.
type bench struct {
	scene trialsim.Scene
	*trialsim.Bench
}

// NewTrials makes trials of the scene, which is copied and checked. A step (s) of 0 stands for [trialsim.DefaultStep].
func NewTrials(s *trialsim.Scene, step float64, what []Quantity) (*Trials, error) {
	t := &Trials{scene: *s, what: what, step: step}
	for i := range what {
		t.anew = t.anew || what[i].reshapes
	}
	first, err := t.bench(nil)
	if err != nil {
		return nil, err
	}
	t.give(first)
	return t, nil
}

// Run carries an attempt out with a value for each quantity, in their order and units. It fails on values that the scene cannot
// have and on attempts that make no sense.
func (t *Trials) Run(values []float64, a trialsim.Attempt) (trialsim.Result, error) {
	b, err := t.take(values)
	if err != nil {
		return trialsim.Result{}, err
	}
	defer t.give(b)
	return b.Run(a, nil)
}

func (t *Trials) take(values []float64) (*bench, error) {
	if t.anew {
		return t.bench(values)
	}
	t.mu.Lock()
	var b *bench
	if n := len(t.idle); n > 0 {
		b, t.idle = t.idle[n-1], t.idle[:n-1]
	}
	t.mu.Unlock()
	if b == nil {
		return t.bench(values)
	}
	b.scene = t.scene
	return b, t.set(&b.scene, values)
}

func (t *Trials) give(b *bench) {
	if b == nil || t.anew {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.idle = append(t.idle, b)
}

// bench makes a bench with the values; nil: the scene's own.
func (t *Trials) bench(values []float64) (*bench, error) {
	b := &bench{scene: t.scene}
	if err := t.set(&b.scene, values); err != nil {
		return nil, err
	}
	var err error
	b.Bench, err = trialsim.NewBench(&b.scene, t.step)
	return b, err
}

func (t *Trials) set(s *trialsim.Scene, values []float64) error {
	for k := range values {
		if err := t.what[k].set(s, values[k]); err != nil {
			return err
		}
	}
	return nil
}
