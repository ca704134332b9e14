package listen

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
	"holdfast/signals/touch"
	"holdfast/signals/touch/finger"
)

const rate = 48000

// hissOf returns white noise of the given root mean square.
func hissOf(n int, level float64, number int) []float64 {
	r, x := numeric.Stream(7, "hiss", number), make([]float64, n)
	for i := range x {
		x[i] = level * r.NormFloat64()
	}
	return x
}

// knocks returns noise with clips laid over it at the given samples, scaled to a tenth of full scale.
func knocks(n int, level float64, at []int, clips [][]float64) []float64 {
	x := hissOf(n, level, 0)
	for k, place := range at {
		most := 0.0
		for _, v := range clips[k] {
			most = max(most, math.Abs(v))
		}
		for i, v := range clips[k] {
			if place+i < n {
				x[place+i] += 0.1 * v / most
			}
		}
	}
	return x
}

// taps returns clips of one invented finger at places 25 to 80 mm, and the places.
func taps(n int, seed uint64) (clips [][]float64, placeMm []float64) {
	s := finger.Specimens(1, 1)[0]
	for k := range n {
		at := 25 + 55*(float64(k)+0.5)/float64(n)
		clips, placeMm = append(clips, s.Touch(at, 0.02, seed, k)), append(placeMm, at)
	}
	return clips, placeMm
}

// trained returns a model of four zones and positions, learnt from one invented finger.
func trained(t testing.TB) *touch.Model {
	t.Helper()
	clips, at := taps(80, 1)
	recipe := touch.DefaultRecipe(rate)
	e, err := touch.NewExtractor(recipe)
	if err != nil {
		t.Fatal(err)
	}
	d := touch.Labelled{X: touch.NewMatrix(len(clips), e.Count()), Zones: []string{"root", "middle", "pad", "tip"}, PositionMm: at}
	for i, c := range clips {
		if err := e.Extract(d.X.Row(i), c); err != nil {
			t.Fatal(err)
		}
		d.Zone = append(d.Zone, i*4/len(clips))
		d.Session, d.Specimen = append(d.Session, fmt.Sprint(i%4)), append(d.Specimen, "one")
	}
	plan := touch.DefaultPlan()
	plan.Methods = touch.Candidates[:1]
	m, _, err := touch.Train(t.Context(), recipe, d, plan)
	if err != nil {
		t.Fatal(err)
	}
	m.SetSamples([]int{len(clips[0])})
	return m
}

func listener(t testing.TB, m *touch.Model) *Listener {
	t.Helper()
	l, err := New(m, RuleFor(m))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// told is what one touch was told as, its clip copied.
func told(list *[]Touch) func(Touch) {
	return func(t Touch) {
		t.Clip = slices.Clone(t.Clip)
		*list = append(*list, t)
	}
}

// Two knocks a second are both told, at their samples, and as the trained clips themselves are told.
func TestKnocksOfAStreamAreToldAsTheirClips(t *testing.T) {
	m := trained(t)
	clips, place := taps(8, 2)
	var at []int
	for k := range clips {
		at = append(at, 24000+24000*k+37*k)
	}
	l := listener(t, m)
	var list []Touch
	if err := l.Feed(knocks(24000*(len(clips)+2), 2e-5, at, clips), told(&list)); err != nil {
		t.Fatal(err)
	}
	if len(list) != len(clips) {
		t.Fatalf("%d of %d knocks were told", len(list), len(clips))
	}
	right := 0
	for k, touched := range list {
		if d := touched.Onset - int64(at[k]); d < -24 || d > 24 {
			t.Errorf("knock %d begins at sample %d and is placed %d samples off", k, at[k], d)
		}
		if math.Abs(touched.PositionMm-place[k]) < 5 {
			right++
		}
		if len(touched.Probabilities) != 4 || touched.Crowded {
			t.Errorf("knock %d: %+v", k, touched.Telling)
		}
	}
	if right < 7 {
		t.Errorf("%d of 8 positions lie within 5 mm", right)
	}
}

// Whatever the blocks, the answers are those of the whole recording.
func TestBlocksDoNotMatter(t *testing.T) {
	m := trained(t)
	clips, _ := taps(5, 3)
	x := knocks(80000, 3e-4, []int{9000, 24000, 36001, 50000, 78500}, clips)
	whole := listener(t, m)
	var want []Touch
	if err := whole.Feed(x, told(&want)); err != nil {
		t.Fatal(err)
	}
	if err := whole.End(told(&want)); err != nil {
		t.Fatal(err)
	}
	if len(want) != 5 || len(want[4].Clip) >= len(want[0].Clip) {
		t.Fatalf("%d touches of the whole, the last of %d samples", len(want), len(want[len(want)-1].Clip))
	}
	rapid.Check(t, func(r *rapid.T) {
		l := listener(t, m)
		var got []Touch
		for rest := x; len(rest) > 0; {
			n := min(rapid.OneOf(rapid.IntRange(0, 9), rapid.IntRange(100, 20000)).Draw(r, "block"), len(rest))
			if n == 0 {
				n = 1
			}
			if err := l.Feed(rest[:n], told(&got)); err != nil {
				r.Fatal(err)
			}
			rest = rest[n:]
		}
		if err := l.End(told(&got)); err != nil {
			r.Fatal(err)
		}
		if fmt.Sprint(got) != fmt.Sprint(want) {
			r.Fatal("blocks changed the answers")
		}
	})
}

func TestSilenceAndHissAreNoTouch(t *testing.T) {
	m := trained(t)
	step := make([]float64, 2*rate)
	for i := rate; i < len(step); i++ {
		step[i] = 1.0 / (1 << 23) // the least step of 24 bits
	}
	for name, x := range map[string][]float64{
		"silence": make([]float64, 5*rate), "hiss": hissOf(20*rate, 0.05, 1), "quiet hiss": hissOf(5*rate, 1e-5, 2), "one step": step,
	} {
		l := listener(t, m)
		var list []Touch
		if err := l.Feed(x, told(&list)); err != nil {
			t.Fatal(err)
		}
		if err := l.End(told(&list)); err != nil || len(list) > 0 {
			t.Errorf("%s: %d touches, %v", name, len(list), err)
		}
	}
}

// The onset is that of the rule for clips: both functions of signals on the whole recording.
func TestOnsetIsThatOfClips(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		at := rapid.IntRange(3000, 20000).Draw(r, "knock")
		hz := rapid.SampledFrom([]int{8000, 44100, 48000, 96000, 192000}).Draw(r, "rate_hz")
		clips, _ := taps(1, rapid.Uint64Range(1, 50).Draw(r, "seed"))
		rule := DefaultRule(hz, 4000)
		if at < rule.Long {
			at += rule.Long
		}
		x := knocks(at+9000, 1e-4, []int{at}, clips)
		c, err := NewCutter(rule)
		if err != nil {
			r.Fatal(err)
		}
		var onsets []int64
		if err := c.Feed(x, func(c Cut) { onsets = append(onsets, c.Onset) }); err != nil {
			r.Fatal(err)
		}
		if len(onsets) == 0 {
			r.Fatal("nothing was found")
		}
		if want := clipOnset(rule, x); onsets[0] != want {
			r.Fatalf("the stream's first onset is %d, the clip's %d", onsets[0], want)
		}
	})
}

func TestSecondKnockWithinAClipIsMarked(t *testing.T) {
	clips, _ := taps(2, 4)
	c, err := NewCutter(DefaultRule(rate, 4608))
	if err != nil {
		t.Fatal(err)
	}
	var cuts []bool
	mark := func(c Cut) { cuts = append(cuts, c.Crowded) }
	if err := c.Feed(knocks(40000, 1e-4, []int{9000, 12500}, clips), mark); err != nil || !slices.Equal(cuts, []bool{true}) {
		t.Errorf("%v %v", cuts, err)
	}
}

// After a loss the background is learnt anew, and a touch under way is told as far as it came.
func TestLossesCutATouchShort(t *testing.T) {
	clips, _ := taps(2, 5)
	x := knocks(30000, 1e-4, []int{9000, 24000}, clips)
	c, err := NewCutter(DefaultRule(rate, 4608))
	if err != nil {
		t.Fatal(err)
	}
	var cuts []Cut
	keep := func(c Cut) {
		c.Clip = slices.Clone(c.Clip)
		cuts = append(cuts, c)
	}
	if err := c.Feed(x[:10000], keep); err != nil {
		t.Fatal(err)
	}
	c.Skip(5000, keep)
	if err := c.Feed(x[15000:], keep); err != nil {
		t.Fatal(err)
	}
	if len(cuts) != 2 || len(cuts[0].Clip) > 1010 || len(cuts[0].Clip) < 990 || len(cuts[1].Clip) != 4608 || math.Abs(float64(cuts[1].Onset-24000)) > 24 {
		t.Fatalf("%d cuts", len(cuts))
	}
}

func TestFaultsAreTold(t *testing.T) {
	m := trained(t)
	if _, err := New(m, DefaultRule(44100, 4608)); err == nil {
		t.Error("another sampling rate was taken")
	}
	for _, change := range []func(*Rule){
		func(r *Rule) { r.RateHz = 7999 }, func(r *Rule) { r.Short = 0 }, func(r *Rule) { r.Long = r.Short }, func(r *Rule) { r.Threshold = 40 }, func(r *Rule) { r.Threshold = math.NaN() },
		func(r *Rule) { r.Quietest = -1 }, func(r *Rule) { r.Before = -1 }, func(r *Rule) { r.Length = r.Short }, func(r *Rule) { r.Apart = 0 }, func(r *Rule) { r.Length = 1 << 30 },
	} {
		rule := DefaultRule(rate, 4608)
		change(&rule)
		if _, err := NewCutter(rule); err == nil {
			t.Errorf("taken: %+v", rule)
		}
	}
	l := listener(t, m)
	if err := l.Feed([]float64{0, math.NaN()}, func(Touch) {}); err == nil || l.At() != 1 {
		t.Errorf("%v at sample %d", err, l.At())
	}
}

// In the steady state nothing is allocated: no block leaves work for the collector.
func TestBlocksAllocateNothing(t *testing.T) {
	l := listener(t, trained(t))
	block, each := hissOf(480, 1e-3, 3), func(Touch) {}
	d, err := NewDecoder(S24, 2, 2)
	if err != nil {
		t.Fatal(err)
	}
	raw, samples := make([]byte, 6*480), make([]float64, 0, 481)
	q, taken := NewQueue(48000), make([]float64, 0, 48000)
	if n := testing.AllocsPerRun(200, func() {
		if err := l.Feed(block, each); err != nil {
			t.Fatal(err)
		}
		if samples, err = d.Decode(samples[:0], raw); err != nil {
			t.Fatal(err)
		}
		q.Put(block, 0)
		taken, _, _, _ = q.Take(taken)
	}); n > 0 {
		t.Errorf("%g allocations a block", n)
	}
}
