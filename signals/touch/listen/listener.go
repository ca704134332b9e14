package listen

import (
	"fmt"

	"holdfast/signals/touch"
)

// Touch is the answer to one touch.
type Touch struct {
	Cut
	touch.Telling
}

// Seconds returns when it began, in seconds since the start of a stream of the given rate.
func (c Cut) Seconds(rateHz int) float64 { return float64(c.Onset) / float64(rateHz) }

// Listener answers the touches of one stream. One goroutine at a time may use it.
type Listener struct {
	model   *touch.Model
	extract *touch.Extractor
	cut     *Cutter
	row     []float64
}

// RuleFor returns the rule that cuts clips as a model was trained on: as long, and from the onset on, or from two hops before
// it where the model's recipe looks for the onset itself.
func RuleFor(model *touch.Model) Rule {
	lead, length := 0, model.Samples
	if length == 0 {
		length = model.Recipe.Samples()
	}
	if model.Recipe.Align {
		lead = 2 * model.Recipe.Hop
	}
	r := DefaultRule(model.Recipe.RateHz, max(length+lead, lead+model.Recipe.RateHz/500))
	r.Lead = lead
	return r
}

// New prepares to answer by a model. The rule's sampling rate must be that of the model.
func New(model *touch.Model, rule Rule) (*Listener, error) {
	if rule.RateHz != model.Recipe.RateHz {
		return nil, fmt.Errorf("the stream comes at %d Hz, and the model was trained at %d Hz; set the sound card or rig to that, or train with clips of this rate", rule.RateHz, model.Recipe.RateHz)
	}
	e, err := touch.NewExtractor(model.Recipe)
	if err != nil {
		return nil, err
	}
	c, err := NewCutter(rule)
	if err != nil {
		return nil, err
	}
	return &Listener{model: model, extract: e, cut: c, row: make([]float64, e.Count())}, nil
}

// At returns the number of the next sample.
func (l *Listener) At() int64 { return l.cut.At() }

// Feed takes the next samples and answers every touch whose clip they complete; see [Cutter.Feed].
func (l *Listener) Feed(block []float64, each func(Touch)) error {
	var failed error
	if err := l.cut.Feed(block, func(c Cut) { failed = firstOf(failed, l.answer(c, each)) }); err != nil {
		return err
	}
	return failed
}

// End answers a touch that is not over; see [Cutter.End].
func (l *Listener) End(each func(Touch)) error {
	var failed error
	l.cut.End(func(c Cut) { failed = l.answer(c, each) })
	return failed
}

// Skip tells that samples were lost; see [Cutter.Skip].
func (l *Listener) Skip(lost int64, each func(Touch)) error {
	var failed error
	l.cut.Skip(lost, func(c Cut) { failed = l.answer(c, each) })
	return failed
}

func (l *Listener) answer(c Cut, each func(Touch)) error {
	if err := l.extract.Extract(l.row, c.Clip); err != nil {
		return err
	}
	each(Touch{c, l.model.Tell(l.row)})
	return nil
}

func firstOf(a, b error) error {
	if a != nil {
		return a
	}
	return b
}
