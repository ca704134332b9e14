package additive

import (
	"context"
	"math"
	"strings"
	"testing"
)

func TestEffectsFollowTheTruth(t *testing.T) {
	w := newTruth(21)
	d := w.trials(900, 21)
	m := fitted(t, d, everyTerm(), Options{})
	effects, err := m.Effects(EffectOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(effects) != 5 {
		t.Fatalf("%d effects; orientation and its deviations have none, the others one each", len(effects))
	}
	inside, all := 0, 0
	for _, e := range effects {
		mean := 0.0
		want := make([]float64, len(e.Points))
		// The truth's effect, centred over the trials as the model's is.
		at := func(level string, x, y float64) float64 {
			switch e.Term {
			case "closing":
				return 1.5 * math.Sin(3*x)
			case "offset":
				return -0.8*(x/0.01-0.3)*(x/0.01-0.3) - 0.4*(y/0.01+0.2)*(y/0.01+0.2)
			case "strategy":
				return w.strategy[level]
			case "hand":
				return w.hand[level]
			}
			return w.block[level]
		}
		for i := range d.Held {
			var level string
			if e.By != "" {
				level = d.Levels[e.By][i]
			}
			x, y := d.Numbers["closing"][i], 0.0
			if e.Term == "offset" {
				x, y = d.Numbers["offset_x"][i], d.Numbers["offset_y"][i]
			}
			mean += at(level, x, y) / 900
		}
		for i, p := range e.Points {
			want[i] = at(p.Level, p.X, p.Y) - mean
			all++
			if p.Low <= want[i] && want[i] <= p.High {
				inside++
			}
			if !(p.Low <= p.Mean && p.Mean <= p.High && 0 < p.PLow && p.PLow <= p.P && p.P <= p.PHigh && p.PHigh < 1) {
				t.Fatalf("%s: intervals out of order at %+v", e.Term, p)
			}
		}
	}
	if share := float64(inside) / float64(all); share < 0.75 {
		t.Errorf("90 %% bands hold the true effect at %.2f of the points", share)
	}
}

func TestWhatMatters(t *testing.T) {
	w := newTruth(22)
	// Hands do nothing here, and strategies much.
	w.strategy = map[string]float64{"from above": 1, "scoop": 0, "slide": -1}
	clear(w.hand)
	d := w.trials(600, 22)
	m := fitted(t, d, everyTerm(), Options{})
	s, err := m.Matter(context.Background(), d, d.Levels["block"], 5, 1)
	if err != nil {
		t.Fatal(err)
	}
	if s.LogScore <= s.Base || s.LogScore >= 0 {
		t.Errorf("the model scores %.4f, the plain rate %.4f", s.LogScore, s.Base)
	}
	loss := map[string]Loss{}
	for _, l := range s.Terms {
		loss[l.Term] = l
	}
	if l := loss["strategy"]; !l.Clear() || s.Terms[0].Term != "strategy" && s.Terms[0].Term != "orientation" {
		t.Errorf("strategy: %+v", l)
	}
	if l := loss["strategy"]; len(l.With) != 1 || l.With[0] != "strategy × orientation" {
		t.Errorf("left out with strategy: %v", l.With)
	}
	if l := loss["hand"]; l.Clear() || math.Abs(l.Drop) > 0.01 {
		t.Errorf("hand: %+v", l)
	}
	if text := s.Sentence(); !strings.Contains(text, "matters most: without it the log score") {
		t.Error(text)
	}
	again, err := m.Matter(context.Background(), d, d.Levels["block"], 5, 1)
	if err != nil {
		t.Fatal(err)
	}
	if again.LogScore != s.LogScore || again.Terms[0].Drop != s.Terms[0].Drop {
		t.Error("the same seed deals other folds")
	}
}

// Leaving groups out by fitting again at the same scales gives the same scores as dealing them inside.
func TestMatterAgainstReweighing(t *testing.T) {
	w := newTruth(23)
	d := w.trials(120, 23)
	m := fitted(t, d, smallTerms(), Options{})
	groups := make([]string, 120)
	for i := range groups {
		groups[i] = "first"
		if i%2 == 1 {
			groups[i] = "second"
		}
	}
	s, err := m.Matter(context.Background(), d, groups, 2, 1)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for _, side := range []int{0, 1} {
		weights := make([]float64, 120)
		for i := range weights {
			if i%2 != side {
				weights[i] = 1
			}
		}
		part, err := m.Reweigh(context.Background(), d, weights)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 120 {
			if i%2 == side {
				r := part.reader(nil)
				r.read(d, i)
				_, variance := r.moments()
				f := 0.0
				for _, p := range r.parts {
					for j, v := range p.values {
						f += v * part.mode[p.from+j]
					}
				}
				p := estimate(f, math.Sqrt(variance)).P
				want += logTimes(d.Held[i], p) + logTimes(1-d.Held[i], 1-p)
			}
		}
	}
	if math.Abs(s.LogScore-want/120) > 1e-4 {
		t.Errorf("log score %.6f, by fitting the halves %.6f", s.LogScore, want/120)
	}
}
