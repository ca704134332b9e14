package touch

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestFeaturesByName(t *testing.T) {
	r := smallRecipe()
	r.Features = Features
	e, err := NewExtractor(r)
	if err != nil {
		t.Fatal(err)
	}
	clip := make([]float64, r.Samples())
	for i := range clip {
		s := float64(i) / 16000
		clip[i] = math.Exp(-s/0.004) * math.Sin(2*math.Pi*2000*s)
	}
	x, louder := make([]float64, e.Count()), make([]float64, e.Count())
	if err := e.Clone().Extract(x, clip); err != nil {
		t.Fatal(err)
	}
	for i := range clip {
		clip[i] *= 8
	}
	if err := e.Extract(louder, clip); err != nil {
		t.Fatal(err)
	}
	last := e.Count() - 1
	for i := range x[:last] {
		near(t, "features do not hear loudness", louder[i], x[i], 1e-9)
	}
	near(t, "but for the one that does", louder[last]-x[last], 20*math.Log10(8), 1e-6)
	at := r.Bands*r.Frames + r.Cepstra*r.Frames
	near(t, "centroid, kHz", x[at], 2, 0.25)
	near(t, "decay, ms", math.Exp(x[at+4]), 4, 0.2)
	near(t, "strongest resonance, kHz", x[at+5], 2, 0.02)
	if err := e.Extract(x, []float64{1, math.NaN()}); err == nil {
		t.Error("a sample that is not a number is taken")
	}
	if err := e.Extract(x, nil); err != nil || !finite(x) {
		t.Errorf("silence: %v %v", err, x)
	}
}

func TestExtractDoesNotAllocate(t *testing.T) {
	e, err := NewExtractor(DefaultRecipe(48000))
	if err != nil {
		t.Fatal(err)
	}
	if e.Count() != 320 || e.recipe.Samples() != 2304 {
		t.Errorf("%d features of %d samples", e.Count(), e.recipe.Samples())
	}
	x, clip := make([]float64, 320), make([]float64, 2400)
	for i := range clip {
		clip[i] = math.Sin(float64(i * i))
	}
	if got := testing.AllocsPerRun(5, func() { _ = e.Extract(x, clip) }); got != 0 {
		t.Errorf("%g allocations", got)
	}
}

func TestAlignedClipsMayStartLate(t *testing.T) {
	r := smallRecipe()
	r.Align = true
	e, err := NewExtractor(r)
	if err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(3, 3))
	tap := func(late int) []float64 {
		clip := make([]float64, late+r.Samples()+100)
		for i := range clip {
			clip[i] = 1e-4 * random.NormFloat64()
			if s := float64(i-late) / 16000; s >= 0 {
				clip[i] += math.Exp(-s/0.01) * math.Sin(2*math.Pi*900*s)
			}
		}
		return clip
	}
	early, late, unaligned := make([]float64, e.Count()), make([]float64, e.Count()), make([]float64, e.Count())
	if err := e.Extract(early, tap(300)); err != nil {
		t.Fatal(err)
	}
	if err := e.Extract(late, tap(1077)); err != nil {
		t.Fatal(err)
	}
	r.Align = false
	plain, err := NewExtractor(r)
	if err != nil {
		t.Fatal(err)
	}
	if err := plain.Extract(unaligned, tap(1077)); err != nil {
		t.Fatal(err)
	}
	apart := func(a, b []float64) (s float64) {
		for i := range a {
			s += math.Abs(a[i]-b[i]) / float64(len(a))
		}
		return s
	}
	if a, b := apart(early, late), apart(early, unaligned); a > 1 || b < 3*a {
		t.Errorf("aligned they are %g apart, as they stand %g", a, b)
	}
}

func TestRecipesAreChecked(t *testing.T) {
	for _, change := range []func(*Recipe){
		func(r *Recipe) { r.RateHz = 0 }, func(r *Recipe) { r.Frame = 8 }, func(r *Recipe) { r.Hop = r.Frame + 1 }, func(r *Recipe) { r.Features = nil },
		func(r *Recipe) { r.Features = []string{"pitch"} }, func(r *Recipe) { r.Features = []string{Flux, Flux} }, func(r *Recipe) { r.Cepstra = 99 },
		func(r *Recipe) { r.Floor = []float64{1} }, func(r *Recipe) { r.HighHz = 9000 }, func(r *Recipe) { r.Scale = "bark" }, func(r *Recipe) { r.Floor = make([]float64, 129); r.Floor[3] = -1 },
	} {
		r := smallRecipe()
		change(&r)
		if _, err := NewExtractor(r); err == nil {
			t.Errorf("%+v is taken", r)
		}
	}
}

func TestNoiseFloorTakesNoiseOff(t *testing.T) {
	r := smallRecipe()
	random := rand.New(rand.NewPCG(5, 5))
	silence := make([]float64, 16000)
	for i := range silence {
		silence[i] = 0.1 * random.NormFloat64()
	}
	floor, err := NoiseFloor(r, silence)
	if err != nil {
		t.Fatal(err)
	}
	r.Floor = floor
	e, err := NewExtractor(r)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "noise power", e.noisePower(0, len(floor)), 0.01, 0.0004)
	if _, err := NoiseFloor(r, silence[:300]); err == nil {
		t.Error("300 samples make a floor")
	}
}

func BenchmarkExtract(b *testing.B) {
	e, err := NewExtractor(DefaultRecipe(48000))
	if err != nil {
		b.Fatal(err)
	}
	// Many clips: a branch that always goes the same way for one clip would be learnt by the processor.
	x, clips := make([]float64, e.Count()), make([][]float64, 256)
	for n := range clips {
		clips[n] = make([]float64, 2400)
		for i := range clips[n] {
			clips[n][i] = math.Exp(-float64(i)/400)*math.Sin(float64(i*(n+3))/20) + 0.05*math.Sin(float64(i*i+n))
		}
	}
	n := 0
	for b.Loop() {
		_ = e.Extract(x, clips[n%len(clips)])
		n++
	}
}
