package guide_test

import (
	"math"
	"testing"

	"holdfast/numeric"
	"holdfast/numeric/leastsquares"
	"holdfast/statistics/guide"
)

// Every number of an entry is what the formulas of [guide.Learn] say, worked out here from the examples anew: variance within
// fingers about their lines, between them by moments, means and slopes drawn towards none. The finger with two examples has no line.
func TestEntriesAreThoseOfTheFormulas(t *testing.T) {
	r := numeric.Stream(12, "guide test")
	var list []guide.Example
	for finger, n := range []int{25, 9, 2} {
		for range n {
			e := guide.Example{Finger: finger, Link: -1, Command: 0.3 + 0.2*r.Float64()}
			for k := range e.Move {
				e.Move[k] = 0.004*float64(1-finger) + 0.02*float64(k)*(e.Command-0.4) + 0.003*r.NormFloat64()
			}
			list = append(list, e)
		}
	}
	rule, err := guide.Learn(list, 1)
	if err != nil {
		t.Fatal(err)
	}
	if len(rule.Advice) != 3 {
		t.Fatalf("%+v", rule.Advice)
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9*(1e-3+math.Abs(want)) {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	for out := range len(guide.Move{}) {
		var mean, slope, width, count [3]float64
		within, freedom, between := 0.0, 0.0, 0.0
		for finger := range 3 {
			var columns [][]float64
			var y []float64
			for _, e := range list {
				if e.Finger == finger {
					columns, y = append(columns, []float64{1, e.Command - rule.Advice[finger].At}), append(y, e.Move[out])
				}
			}
			if finger == 2 {
				for i := range columns {
					columns[i] = columns[i][:1]
				}
			}
			f, err := leastsquares.Linear(columns, y)
			if err != nil {
				t.Fatal(err)
			}
			mean[finger], count[finger] = f.Coefficients[0], float64(len(y))
			within, freedom = within+f.RSS, freedom+float64(f.DF)
			between += count[finger] * mean[finger] * mean[finger]
			if finger < 2 {
				slope[finger] = f.Coefficients[1]
				for _, c := range columns {
					width[finger] += c[1] * c[1]
				}
			}
		}
		variance := within / freedom
		spread := math.Max(0, (between-3*variance)/(count[0]+count[1]+count[2]))
		for finger, a := range rule.Advice {
			draw := count[finger] * spread / (count[finger]*spread + variance)
			near("move", a.Move[out], draw*mean[finger])
			near("error", a.Error[out], math.Sqrt(draw*variance/count[finger]))
			near("plain error", a.Plain[out], math.Sqrt(variance/count[finger]))
			near("freedom", a.Freedom, freedom)
			want := 0.0
			if t2 := slope[finger] * slope[finger] * width[finger] / variance; t2 > 1 {
				want = slope[finger] * (1 - 1/t2)
			}
			near("per command", a.PerCommand[out], want)
		}
	}
}

// The slopes of a rule by direction are those of least squares with all of them at once, drawn in by 1 − 1/F; an example whose
// direction is not known counts as one at the mean.
func TestSlopesByDirectionAreThoseOfLeastSquares(t *testing.T) {
	r := numeric.Stream(13, "guide test")
	var list []guide.Example
	for n := range 40 {
		angle := 0.7 * r.NormFloat64()
		e := guide.Example{Finger: 0, Link: -1, Command: 0.4 + 0.05*angle + 0.05*r.NormFloat64(), Direction: [2]float64{math.Cos(angle), math.Sin(angle)}}
		e.Move = guide.Move{0.004 - 0.003*e.Direction[0] + 0.01*(e.Command-0.4) + 0.002*r.NormFloat64(), 0.002*e.Direction[1] + 0.002*r.NormFloat64(), 0, 0.002 * r.NormFloat64()}
		if n%5 == 0 {
			e.Direction = [2]float64{}
		}
		list = append(list, e)
	}
	rule, err := guide.LearnByDirection(list, 1)
	if err != nil || len(rule.Advice) != 1 {
		t.Fatalf("%v, %+v", err, rule)
	}
	a := rule.Advice[0]
	var rows [][]float64
	for _, e := range list {
		row := []float64{1, e.Command, 0, 0}
		if e.Direction != [2]float64{} {
			row[2], row[3] = e.Direction[0]-a.ByDirection.At[0], e.Direction[1]-a.ByDirection.At[1]
		}
		rows = append(rows, row)
	}
	for _, out := range []int{guide.MoveX, guide.MoveY, guide.Turn} {
		y, mean, total := make([]float64, len(list)), 0.0, 0.0
		for i, e := range list {
			y[i] = e.Move[out]
			mean += y[i] / float64(len(y))
		}
		for _, v := range y {
			total += (v - mean) * (v - mean)
		}
		f, err := leastsquares.Linear(rows, y)
		if err != nil {
			t.Fatal(err)
		}
		draw := math.Max(0, 1-3*f.SD*f.SD/(total-f.RSS))
		for k, got := range []float64{a.PerCommand[out], a.ByDirection.Per[0][out], a.ByDirection.Per[1][out]} {
			if want := draw * f.Coefficients[k+1]; math.Abs(got-want) > 1e-10 {
				t.Errorf("number %d, slope %d: %g, want %g", out, k, got, want)
			}
		}
	}
}

// Turns are another unit than moves and stay out of how far the hand stands wrong.
func TestTurnsAreNotMetres(t *testing.T) {
	list := made(numeric.Stream(14, "guide test"), 100, 0.004)
	plain, err := guide.Learn(list, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i := range list {
		list[i].Move[guide.Turn] = float64(i % 7)
	}
	turned, err := guide.Learn(list, 1)
	if err != nil {
		t.Fatal(err)
	}
	if turned.Before != plain.Before || turned.After != plain.After {
		t.Errorf("%g m before, %g m after; without turns %g and %g", turned.Before, turned.After, plain.Before, plain.After)
	}
}
