package guide_test

import (
	"math"
	"testing"

	"holdfast/numeric"
	"holdfast/statistics/guide"
)

// Moves that go by command and direction together are found, though both go together as well.
func TestDirectionTellsWhereTheItemLies(t *testing.T) {
	r := numeric.Stream(7, "guide test")
	var list []guide.Example
	truth := func(e *guide.Example) guide.Move {
		return guide.Move{0.004 - 0.012*e.Direction[0] + 0.02*(e.Command-0.4), 0.009 * e.Direction[1], 0, 0.3 * e.Direction[1]}
	}
	noise := 0.0
	for range 800 {
		angle := 0.8 * r.NormFloat64()
		e := guide.Example{Finger: r.IntN(2), Link: -1, Command: math.Min(1, math.Max(0, 0.4+0.1*angle+0.05*r.NormFloat64())), Direction: [2]float64{math.Cos(angle), math.Sin(angle)}}
		e.Move = truth(&e)
		for k := range 2 {
			x := 0.003 * r.NormFloat64()
			e.Move[k] += x
			noise += x * x / 800
		}
		list = append(list, e)
	}
	plain, err := guide.Learn(list, 1)
	if err != nil {
		t.Fatal(err)
	}
	directed, err := guide.LearnByDirection(list, 1)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(directed.After/math.Sqrt(noise)-1) > 0.01 || !(directed.After < 0.85*plain.After) || directed.Before != plain.Before {
		t.Errorf("after %g m by direction, %g without; noise of %g m", directed.After, plain.After, math.Sqrt(noise))
	}
	for _, angle := range []float64{-1, 0, 0.7, 1.2} {
		e := guide.Example{Finger: 1, Link: 3, Command: 0.45, Direction: [2]float64{math.Cos(angle), math.Sin(angle)}}
		m, ok := directed.Foresee(&e)
		for k, want := range truth(&e) {
			if limit := []float64{8e-4, 8e-4, 1e-9, 0.02}[k]; !ok || math.Abs(m[k]-want) > limit {
				t.Errorf("at %g rad, number %d: %g, want %g", angle, k, m[k], want)
			}
		}
	}
	// A direction that nobody tells adds nothing to the mean's move, and one beyond all that was learnt from no more than the outermost.
	a := directed.Advice[0]
	if m, _ := directed.For(a.Finger, -1, a.At); m != a.Move {
		t.Errorf("without a direction: %v, want %v", m, a.Move)
	}
	if a.ByDirection.High[0] > 1 || a.ByDirection.Low[1] < -1 || a.ByDirection.Per[1][guide.MoveY] < 0.008 {
		t.Errorf("%+v", a.ByDirection)
	}
}

// Where directions tell nothing, are the same throughout or are not known, the rule by direction is hardly worse than the plain one.
func TestDirectionThatTellsNothingHarmsLittle(t *testing.T) {
	r := numeric.Stream(8, "guide test")
	for name, direction := range map[string]func() [2]float64{
		"noise":   func() [2]float64 { a := 2 * math.Pi * r.Float64(); return [2]float64{math.Cos(a), math.Sin(a)} },
		"same":    func() [2]float64 { return [2]float64{0.6, 0.8} },
		"unknown": func() [2]float64 { return [2]float64{} },
	} {
		list := made(r, 300, 0.004)
		for i := range list {
			list[i].Direction = direction()
		}
		plain, err := guide.Learn(list, 1)
		if err != nil {
			t.Fatal(err)
		}
		directed, err := guide.LearnByDirection(list, 1)
		if err != nil {
			t.Fatal(err)
		}
		if directed.After > 1.03*plain.After {
			t.Errorf("%s: %g m by direction, %g without", name, directed.After, plain.After)
		}
		for _, a := range directed.Advice {
			for k := range guide.Turn {
				if name != "noise" && (a.ByDirection.Per[0][k] != 0 || a.ByDirection.Per[1][k] != 0) {
					t.Errorf("%s: %+v", name, a.ByDirection)
				}
			}
		}
	}
	if _, err := guide.LearnByDirection(append(made(r, 30, 0.004), guide.Example{Direction: [2]float64{3, 4}}), 1); err == nil {
		t.Error("a direction of length 5 was taken")
	}
}
