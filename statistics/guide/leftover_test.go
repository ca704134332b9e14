package guide_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/guide"
)

// Over many small tables the intervals hold the true moves as often as they say, or oftener.
func TestIntervalsHoldTheTruth(t *testing.T) {
	r := numeric.Stream(4, "guide test")
	inside, all := 0, 0
	for range 400 {
		var truth [4]guide.Move
		for finger := range truth {
			for _, k := range []int{guide.MoveX, guide.MoveY, guide.Turn} {
				truth[finger][k] = 0.004 * r.NormFloat64()
			}
		}
		var list []guide.Example
		for range 32 {
			e := guide.Example{Finger: r.IntN(4), Link: -1, Command: 0.4}
			for k := range e.Move {
				e.Move[k] = truth[e.Finger][k] + 0.006*r.NormFloat64()
			}
			list = append(list, e)
		}
		rule, err := guide.Learn(list, 1)
		if err != nil {
			t.Fatal(err)
		}
		for i := range rule.Advice {
			a := &rule.Advice[i]
			for _, k := range []int{guide.MoveX, guide.MoveY, guide.Turn} {
				all++
				if math.Abs(a.Move[k]-truth[a.Finger][k]) <= a.Half(k, 0.9) {
					inside++
				}
			}
		}
	}
	// 4800 entries of 1600 fingers; half a point is about one standard error.
	if share := float64(inside) / float64(all); share < 0.89 || share > 0.97 {
		t.Errorf("%.3f of %d intervals of 90 %% hold the truth", share, all)
	}
}

// table has moves that go by a place on the finger as far as asked.
func table(r *rand.Rand, n int, per float64) (list []guide.Example, place []float64) {
	for range n {
		e := guide.Example{Finger: r.IntN(3), Link: -1, Command: 0.5}
		x := r.Float64()
		e.Move = guide.Move{0.01 + per*(x-0.5) + 0.003*r.NormFloat64(), 0.003 * r.NormFloat64()}
		list, place = append(list, e), append(place, x)
	}
	return list, place
}

func TestLeftoverFindsWhatTheRuleDoesNotKnow(t *testing.T) {
	r := numeric.Stream(5, "guide test")
	list, place := table(r, 90, 0.02)
	rule, err := guide.Learn(list, 1)
	if err != nil {
		t.Fatal(err)
	}
	l := rule.Leftover(list, [][]float64{place}, 1)
	// Of the squares 0.02²/12 go by the place, and twice 0.003² is noise.
	if want := 0.02 * 0.02 / 12 / (0.02*0.02/12 + 2*0.003*0.003); l.P != 1.0/2000 || math.Abs(l.Share-want) > 0.1 || l.Examples != 90 {
		t.Errorf("%+v, want a share of about %.2f", l, want)
	}
	double := make([]float64, len(place))
	for i, x := range place {
		double[i] = 3 - 2*x
	}
	if again := rule.Leftover(list, [][]float64{place, double}, 1); math.Abs(again.Share-l.Share) > 1e-12 {
		t.Errorf("the same twice tells more than once: %+v, %+v", again, l)
	}
	if same := rule.Leftover(list, [][]float64{make([]float64, len(list))}, 1); same.P != 1 || same.Share != 0 {
		t.Errorf("a quantity that never differs: %+v", same)
	}
	if few := rule.Leftover(list[:4], [][]float64{place[:4]}, 1); few.P != 1 || few.Examples != 0 {
		t.Errorf("four examples: %+v", few)
	}
}

// Where there is nothing to find, a twentieth of the tables look as if there were.
func TestLeftoverIsNotFooledOftenerThanItSays(t *testing.T) {
	r := numeric.Stream(6, "guide test")
	fooled := 0
	for range 600 {
		list, place := table(r, 40, 0)
		rule, err := guide.Learn(list, 1)
		if err != nil {
			t.Fatal(err)
		}
		if rule.Leftover(list, [][]float64{place}, 1).P < 0.05 {
			fooled++
		}
	}
	if fooled < 15 || fooled > 50 { // 30 expected, with a standard deviation of 5
		t.Errorf("%d of 600 tables without a dependence have p < 0.05", fooled)
	}
}
