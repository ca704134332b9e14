package touch

// steps counts the parts of a training for whoever waits for it.
type steps struct {
	tell     func(what string, done, of int) error
	done, of int
}

func newSteps(d Labelled, plan Plan, folds, sets int) *steps {
	s := &steps{tell: plan.Step, of: 1}
	if d.Zone != nil {
		s.of += folds*sets + sets + 3
	} else if sets > 1 {
		s.of += folds*sets + sets
	}
	if d.PositionMm != nil {
		s.of += 3
	}
	for _, v := range d.Varied {
		s.of += len(askedLevels(v))
	}
	if len(plan.Noise.RatiosDB) > 0 {
		s.of += 1 + noiseParts
	}
	return s
}

// next tells which part begins.
func (s *steps) next(what string) error {
	s.done++
	if s.tell == nil {
		return nil
	}
	return s.tell(what, s.done-1, s.of)
}
