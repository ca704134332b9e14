package family

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/statistics/successmap"
)

var twoFingers = orient.Symmetry{HandFold: 2}

// kitchen is an invented family: one bump whose height and tilt follow the item's size, so that items of like size are
// alike. An item with contrary set has its bump elsewhere, whatever its size.
type kitchen struct {
	size     []float64
	contrary []bool
}

func (k kitchen) logOdds(i int, r orient.Rotation) float64 {
	x := math.Log(k.size[i] / 0.05)
	tilt, height := 0.4+0.5*x, 4+1.5*x
	if k.contrary[i] {
		tilt, height = 1.4, 5
	}
	centre := orient.FromApproach(orient.Approach{Tilt: math.Abs(tilt), Azimuth: 0.5, Roll: 0.3})
	return -2 + height*math.Exp(2.5*(math.Cos(twoFingers.Distance(r, centre))-1))
}

func (k kitchen) items(seed uint64, trials []int) []Item {
	items := make([]Item, len(k.size))
	for i := range items {
		rng := numeric.Stream(seed, "kitchen", i)
		items[i] = Item{Name: fmt.Sprintf("item %c", 'a'+i), Features: Features{Shape: "box", Size: k.size[i], Mass: 0.06}}
		for range trials[i] {
			o := successmap.Observation{R: orient.RandomWithin(math.Pi/2, rng), Trials: 1}
			if rng.Float64() < expit(k.logOdds(i, o.R)) {
				o.Held = 1
			}
			items[i].Observations = append(items[i].Observations, o)
		}
	}
	return items
}

// excess returns how much log loss a trial the estimates cost beyond the truth, borrowed and alone.
func (k kitchen) excess(t *testing.T, i int, b *Borrowed) (borrowed, alone float64) {
	t.Helper()
	rng := numeric.Stream(9, "kitchen grid")
	rs := make([]orient.Rotation, 400)
	for j := range rs {
		rs[j] = orient.RandomWithin(math.Pi/2, rng)
	}
	loss := func(est []Estimate) (sum float64) {
		for j, r := range rs {
			p, q := expit(k.logOdds(i, r)), est[j].P
			sum += (p*math.Log(p/q) + (1-p)*math.Log((1-p)/(1-q))) / float64(len(rs))
		}
		return sum
	}
	est := make([]Estimate, len(rs))
	if err := b.Predict(est, rs); err != nil {
		t.Fatal(err)
	}
	for _, e := range est {
		if !(0 <= e.Low && e.Low <= e.P && e.P <= e.High && e.High <= 1) {
			t.Fatalf("the estimate %+v is out of order", e)
		}
	}
	borrowed = loss(est)
	alone = math.NaN()
	if b.Alone(est, rs) {
		alone = loss(est)
	}
	return borrowed, alone
}

func borrow(t *testing.T, items []Item, name string) *Borrowed {
	t.Helper()
	f, err := Fit(t.Context(), items, Options{Symmetry: twoFingers, TiltMax: math.Pi / 2})
	if err != nil {
		t.Fatal(err)
	}
	b, err := f.Borrow(t.Context(), name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestANewItemGainsFromThoseAlike(t *testing.T) {
	k := kitchen{size: []float64{0.045, 0.055, 0.075, 0.05}, contrary: make([]bool, 4)}
	gain := 0.0
	for seed := range uint64(3) {
		b := borrow(t, k.items(seed+40, []int{150, 150, 150, 20}), "item d")
		borrowed, alone := k.excess(t, 3, b)
		gain += (alone - borrowed) / 3
		if b.Own != 20 || b.Trust < 0.5 || b.Worth < 10 || len(b.Donors) != 3 {
			t.Errorf("seed %d: %+v", seed, b)
		}
		share := 0.0
		for _, d := range b.Donors {
			share += d.Share
		}
		if math.Abs(share-1) > 1e-9 || b.OwnShare <= 0 || b.OwnShare >= 1 {
			t.Errorf("seed %d: shares sum to %g, own share %g", seed, share, b.OwnShare)
		}
		if !strings.HasPrefix(b.Sentence, "20 own trials and the worth of about ") {
			t.Errorf("seed %d: %s", seed, b.Sentence)
		}
	}
	if gain < 0.01 {
		t.Errorf("borrowing gains %.4f of log loss a trial with 20 own trials, want at least 0.01", gain)
	}
}

func TestManyOwnTrialsNeedNobody(t *testing.T) {
	k := kitchen{size: []float64{0.045, 0.055, 0.075, 0.05}, contrary: make([]bool, 4)}
	b := borrow(t, k.items(50, []int{150, 150, 150, 300}), "item d")
	if borrowed, alone := k.excess(t, 3, b); borrowed > alone+0.003 {
		t.Errorf("with 300 own trials borrowing costs %.4f of log loss a trial", borrowed-alone)
	}
}

func TestAnItemUnlikeAllOthersIsNotHurt(t *testing.T) {
	k := kitchen{size: []float64{0.045, 0.055, 0.05, 0.05}, contrary: []bool{false, false, false, true}}
	cost := 0.0
	const seeds = 8
	for seed := range uint64(seeds) {
		b := borrow(t, k.items(60+seed, []int{200, 200, 200, 300}), "item d")
		borrowed, alone := k.excess(t, 3, b)
		cost += (borrowed - alone) / seeds
	}
	if cost > 0.002 {
		t.Errorf("bad donors cost %.4f of log loss a trial", cost)
	}
}

func TestAnItemWithoutTrialsRestsOnOthers(t *testing.T) {
	k := kitchen{size: []float64{0.045, 0.055, 0.075, 0.05}, contrary: make([]bool, 4)}
	b := borrow(t, k.items(70, []int{200, 200, 100, 0}), "item d")
	borrowed, alone := k.excess(t, 3, b)
	if !math.IsNaN(alone) || b.OwnShare != 0 || b.Worth < 10 || !strings.HasPrefix(b.Sentence, "No own trials and the worth of ") {
		t.Errorf("%+v", b)
	}
	if borrowed > 0.12 {
		t.Errorf("excess %.3f", borrowed)
	}
	if b.Donors[0].Item == "item c" {
		t.Errorf("the item least alike with fewest trials lends most: %+v", b.Donors)
	}
}

func TestTheOrderOfItemsDoesNotMatter(t *testing.T) {
	k := kitchen{size: []float64{0.045, 0.055, 0.05}, contrary: make([]bool, 3)}
	items := k.items(80, []int{80, 80, 20})
	a := borrow(t, items, "item c")
	slices.Reverse(items)
	b := borrow(t, items, "item c")
	if math.Abs(a.Trust-b.Trust) > 1e-3 || math.Abs(a.Worth-b.Worth) > 1 || a.Donors[0].Item != b.Donors[0].Item {
		t.Errorf("%+v against %+v", a, b)
	}
}

func TestOneItemAloneBorrowsNothing(t *testing.T) {
	k := kitchen{size: []float64{0.05}, contrary: []bool{false}}
	b := borrow(t, k.items(90, []int{100}), "item a")
	if borrowed, alone := k.excess(t, 0, b); borrowed != alone || b.Worth > 1 || b.Trust != 0 || !strings.Contains(b.Sentence, "no other item") {
		t.Errorf("%+v: %g against %g", b, borrowed, alone)
	}
}

func TestBadItemsAreRefused(t *testing.T) {
	one := []successmap.Observation{{R: orient.Identity, Held: 1, Trials: 2}}
	for want, items := range map[string][]Item{
		"no item has trials": {{Name: "a"}},
		"no name":            {{Observations: one}},
		"two items":          {{Name: "a", Observations: one}, {Name: "a"}},
		"item a: its mass":   {{Name: "a", Observations: one, Features: Features{Mass: -1}}},
		"item a: an orient":  {{Name: "a", Observations: []successmap.Observation{{Trials: 1}}}},
	} {
		if _, err := Fit(t.Context(), items, Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want %q, got %v", want, err)
		}
	}
	f, err := Fit(t.Context(), []Item{{Name: "a", Observations: one}}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Borrow(t.Context(), "b"); err == nil {
		t.Error("an unknown item: no error")
	}
}

// drawItems invents features, some of them not known.
func drawItems(t *rapid.T) []Item {
	n := rapid.IntRange(2, 9).Draw(t, "items")
	items := make([]Item, n)
	figure := func(low, high float64) float64 {
		if rapid.IntRange(0, 3).Draw(t, "known") == 0 {
			return 0
		}
		return rapid.Float64Range(low, high).Draw(t, "figure")
	}
	for i := range items {
		items[i] = Item{Name: fmt.Sprint(i), Features: Features{
			Shape: rapid.SampledFrom([]string{"", "box", "ellipsoid", "crescent"}).Draw(t, "shape"),
			Size:  figure(0.01, 0.4), Mass: figure(0.001, 3), Stiffness: figure(10, 1e5), Friction: figure(0.1, 1.5),
		}}
	}
	return items
}

func TestLikenessIsACovariance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		items := drawItems(t)
		l := newLikeness(items)
		names := make([]string, len(items))
		for i := range items {
			names[i] = items[i].Name
		}
		at := []float64{rapid.Float64Range(-1.5, 2).Draw(t, "length"), rapid.Float64Range(-3, 2).Draw(t, "own")}
		k, slope := l.Covariance(names, at)
		n := len(items)
		for i := range n {
			if k[i*n+i] != 1 {
				t.Fatalf("item %d is alike itself by %g", i, k[i*n+i])
			}
			for j := range n {
				if v := k[i*n+j]; v < 0 || v > 1 || v != k[j*n+i] {
					t.Fatalf("items %d and %d: %g and %g", i, j, v, k[j*n+i])
				}
			}
		}
		if !positive(k, n) {
			t.Fatalf("not positive definite: %v", k)
		}
		for h := range at {
			const step = 1e-5
			up, down := slices.Clone(at), slices.Clone(at)
			up[h] += step
			down[h] -= step
			a, _ := l.Covariance(names, up)
			b, _ := l.Covariance(names, down)
			for i := range a {
				if d := (a[i] - b[i]) / (2 * step); math.Abs(d-slope[h][i]) > 1e-7 {
					t.Fatalf("slope %d of entry %d: %g, by differences %g", h, i, slope[h][i], d)
				}
			}
		}
	})
}

// positive says whether the matrix has a Cholesky factor.
func positive(k []float64, n int) bool {
	l := slices.Clone(k)
	for i := range n {
		for j := range i + 1 {
			s := l[i*n+j]
			for q := range j {
				s -= l[i*n+q] * l[j*n+q]
			}
			if i == j {
				if !(s > 0) {
					return false
				}
				l[i*n+i] = math.Sqrt(s)
			} else {
				l[i*n+j] = s / l[j*n+j]
			}
		}
	}
	return true
}

func TestWhatIsNotKnownIsHalfAlike(t *testing.T) {
	items := []Item{
		{Name: "small", Features: Features{Shape: "box", Size: 0.03}}, {Name: "small too", Features: Features{Shape: "box", Size: 0.031}},
		{Name: "large", Features: Features{Shape: "box", Size: 0.2}}, {Name: "unknown", Features: Features{Shape: "box"}},
	}
	k, _ := newLikeness(items).Covariance([]string{"small", "small too", "large", "unknown"}, []float64{0, -3})
	if !(k[1] > k[3] && k[3] > k[2]) {
		t.Errorf("small is alike small too by %.3f, unknown by %.3f, large by %.3f", k[1], k[3], k[2])
	}
}

// Forecasts of trials not shown: a like family helps an item with few trials, own trials help an item unlike the others,
// and the same seed scores the same whatever the workers.
func TestScoresOfTrialsNotShown(t *testing.T) {
	k := kitchen{size: []float64{0.045, 0.05, 0.055, 0.06}, contrary: make([]bool, 4)}
	items := k.items(5, []int{40, 250, 250, 250})
	score := func(o Options, name string) Score {
		f, err := Fit(t.Context(), items, o)
		if err != nil {
			t.Fatal(err)
		}
		s, err := f.Score(t.Context(), name, 5, 1)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := score(Options{Symmetry: twoFingers}, "item a")
	if s.Trials != 40 || s.Folds != 5 || !(s.With < s.Alone) || !(s.SE > 0) || math.Abs(s.Gain-(s.Alone-s.With)) > 1e-15 {
		t.Errorf("a like family does not help: %+v", s)
	}
	if again := score(Options{Symmetry: twoFingers, Workers: 1}, "item a"); again != s {
		t.Errorf("%+v with one worker, %+v with all", again, s)
	}
	k.contrary[0] = true
	items = k.items(5, []int{700, 250, 250, 250})
	if s = score(Options{Symmetry: twoFingers}, "item a"); !(s.Alone < s.New) || s.Gain < -0.01 {
		t.Errorf("the contrary item is forecast by the others as well as by itself, or loses: %+v", s)
	}
	items = k.items(5, []int{9, 250, 0, 0})
	f, err := Fit(t.Context(), items, Options{Symmetry: twoFingers})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Score(t.Context(), "item a", 5, 1); !errors.Is(err, ErrTooFew) {
		t.Errorf("nine trials are scored: %v", err)
	}
}

// An item without others has nobody to borrow from, so that both forecasts are the same.
func TestScoreWithoutOthers(t *testing.T) {
	k := kitchen{size: []float64{0.05}, contrary: make([]bool, 1)}
	f, err := Fit(t.Context(), k.items(3, []int{60}), Options{Symmetry: twoFingers})
	if err != nil {
		t.Fatal(err)
	}
	if s, err := f.Score(t.Context(), "item a", 5, 1); err != nil || s.Gain != 0 || !math.IsNaN(s.New) || s.SE != 0 {
		t.Errorf("%+v, %v", s, err)
	}
}
