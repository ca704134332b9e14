package propose

import (
	"math"

	"holdfast/domain"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

// Question is what the trials are to settle.
type Question string

// The questions.
const (
	Best    Question = "best"    // which region of orientations, of which arm, succeeds most
	Border  Question = "border"  // where the success on the line reaches the target
	Rank    Question = "rank"    // in which order the arms stand by their best region
	Measure Question = "measure" // the mean success of one region
)

// Questions lists them in the order in which to offer them.
func Questions() []Question { return []Question{Best, Border, Rank, Measure} }

// Arm is one way of picking: a strategy with a hand, for an item in a setting, with the trials made of it so far.
type Arm struct {
	Name  string
	Group string // what arms compete for, such as the item in its setting; only arms of one group are held against each other
	Setup string // what a person has to change between trials, such as hand, item and setting together

	Observations []successmap.Observation
	Pending      []orient.Rotation // trials that are planned but not made: what they will tell is counted, but not known
	Candidates   []orient.Rotation // where a trial may be made, and regions be centred: an even covering
	Spacing      float64           // rad, covering radius of the candidates
	Symmetry     orient.Symmetry
}

// Problem says what is known and what is asked. Zero values take the defaults named.
type Problem struct {
	Question Question
	Arms     []Arm

	Blur      float64 // rad, root-mean-square error of orientation on the line; 0: none
	Target    float64 // success asked for, 0…1; Border needs it
	MinRadius float64 // rad, smallest radius of a region; default: 1.5 times the spacing, as decide.Best
	Region    []int   // Measure: the candidates of the region; default: the region that would be chosen now
	Measured  int     // Measure: the arm that Region belongs to

	Batch      int     // how many trials to propose; default 8
	FirstCover int     // trials of an arm that are spread evenly before any is placed by what is known; default: [DefaultCover]
	Tolerance  float64 // loss, in shares of success, below which stopping is suggested; default 0.03

	Setup         string  // what is set up now; empty: nothing
	TrialSeconds  float64 // s, one trial
	ChangeSeconds float64 // s, changing the set-up

	Seed    uint64
	Workers int // goroutines; 0: one a processor. The answer does not depend on it.

	Rule Rule // how trials are placed
}

// MaxBatch is the largest number of trials proposed at once.
const MaxBatch = 200

func (p *Problem) filled() (Problem, error) {
	q := *p
	bad := func(format string, args ...any) (Problem, error) {
		return q, domain.Errorf(domain.KindInvalid, "next trials: "+format, args...)
	}
	switch q.Question {
	case Best, Border, Rank, Measure:
	case "":
		q.Question = Best
	default:
		return bad("the question %q is not known; ask best, border, rank or measure", q.Question)
	}
	if len(q.Arms) == 0 {
		return bad("there is nothing to try; name at least one arm")
	}
	for i, a := range q.Arms {
		if len(a.Candidates) == 0 {
			return bad("arm %d (%s) has no candidate orientations", i+1, a.Name)
		}
		if !(a.Spacing > 0) {
			return bad("arm %d (%s): the candidates' spacing is %g rad; it must be positive", i+1, a.Name, a.Spacing)
		}
	}
	if q.Batch == 0 {
		q.Batch = 8
	}
	if q.Batch < 1 || q.Batch > MaxBatch {
		return bad("a batch has 1 to %d trials, not %d", MaxBatch, q.Batch)
	}
	if q.FirstCover < 0 {
		return bad("the first cover has %d trials; it cannot have less than none", q.FirstCover)
	}
	if !(q.Blur >= 0 && q.Blur <= math.Pi/2) {
		return bad("the line's error of orientation is %g rad; it lies between 0 and a quarter turn", q.Blur)
	}
	if !(q.Target >= 0 && q.Target <= 1) || q.Question == Border && !(q.Target > 0 && q.Target < 1) {
		return bad("the target is %g; success lies between 0 and 1, and a border needs one inside", q.Target)
	}
	if q.Tolerance == 0 {
		q.Tolerance = 0.03
	}
	if !(q.Tolerance > 0 && q.Tolerance < 1) {
		return bad("the tolerance is %g; it is a loss of success between 0 and 1", q.Tolerance)
	}
	if q.Question == Rank && len(q.Arms) < 2 {
		return bad("ranking needs two strategies at least, and there is one")
	}
	if len(q.Region) > 0 {
		if q.Measured < 0 || q.Measured >= len(q.Arms) {
			return bad("the region belongs to arm %d of %d", q.Measured+1, len(q.Arms))
		}
		for _, i := range q.Region {
			if i < 0 || i >= len(q.Arms[q.Measured].Candidates) {
				return bad("the region names candidate %d of %d", i, len(q.Arms[q.Measured].Candidates))
			}
		}
	}
	for name, v := range map[string]float64{"a trial": q.TrialSeconds, "a change of set-up": q.ChangeSeconds} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return bad("%s takes %g s; it cannot", name, v)
		}
	}
	return q, nil
}

// trials counts those made.
func (a *Arm) trials() (n float64) {
	for _, o := range a.Observations {
		n += o.Trials
	}
	return n
}
