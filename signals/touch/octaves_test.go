package touch

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"holdfast/signals"
)

// featureOf extracts one feature of a clip.
func featureOf(t *testing.T, r Recipe, feature string, clip []float64) ([]float64, *Extractor) {
	t.Helper()
	r.Features = []string{feature}
	e, err := NewExtractor(r)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, e.Count())
	if err := e.Extract(x, clip); err != nil {
		t.Fatal(err)
	}
	return x, e
}

func tone(r Recipe, hz float64) []float64 {
	clip := make([]float64, r.Samples())
	for i := range clip {
		clip[i] = math.Sin(2 * math.Pi * hz * float64(i) / float64(r.RateHz))
	}
	return clip
}

func TestAToneLandsInItsBinAndOctave(t *testing.T) {
	r := DefaultRecipe(48000)
	step := float64(r.RateHz) / float64(r.Frame)
	for _, bin := range []int{1, 3, 10, 75, 200} {
		hz := step * float64(bin)
		x, e := featureOf(t, r, LogSpectrum, tone(r, hz))
		if from, _ := e.recipe.bins(); from+largest(x) != bin {
			t.Errorf("a tone of %.0f Hz stands in bin %d instead of %d", hz, from+largest(x), bin)
		}
		x, e = featureOf(t, r, OctaveEnergies, tone(r, hz))
		want := 0
		for want+1 < e.octaves.count() && e.octaves.edgesHz[want+1] <= hz {
			want++
		}
		for f := range r.Frames {
			frame := make([]float64, e.octaves.count())
			for b := range frame {
				frame[b] = x[b*r.Frames+f]
			}
			if got := largest(frame); got != want {
				t.Errorf("a tone of %.0f Hz stands in octave %d instead of %d (edges %.0f)", hz, got, want, e.octaves.edgesHz)
			}
		}
	}
}

// Parseval: bands that leave nothing out, both halves of the spectrum counted, hold the energy of the windowed frame.
func TestOctavesHoldAFramesEnergy(t *testing.T) {
	r := DefaultRecipe(48000)
	random := rand.New(rand.NewPCG(8, 1))
	clip := make([]float64, r.Samples())
	for i := range clip {
		clip[i] = random.NormFloat64()
	}
	_, e := featureOf(t, r, OctaveEnergies, clip)
	step, bins := float64(r.RateHz)/float64(r.Frame), e.transform.Bins()
	edges := slices.Concat([]float64{0}, e.octaves.edgesHz, []float64{float64(r.RateHz)})
	energy := make([]float64, len(edges)-1)
	for f := range r.Frames {
		p := e.power[f*bins : (f+1)*bins]
		signals.BandEnergies(energy, p, step, edges)
		sum, want := -p[0]-p[bins-1], 0.0
		for _, v := range energy {
			sum += 2 * v
		}
		for i, w := range e.window {
			v := w * clip[f*r.Hop+i]
			want += v * v * float64(r.Frame)
		}
		near(t, fmt.Sprintf("energy of frame %d, relative", f), sum/want, 1, 1e-12)
	}
}

func TestOctavesTellTheirOwnDecay(t *testing.T) {
	r := DefaultRecipe(48000)
	parts := []struct{ hz, ms float64 }{{501.19, 6}, {3981.07, 4}, {15848.9, 1.5}} // three octaves apart
	clip := make([]float64, r.Samples())
	for i := range clip {
		s := float64(i) / float64(r.RateHz)
		for _, p := range parts {
			clip[i] += math.Exp(-1000*s/p.ms) * math.Sin(2*math.Pi*p.hz*s)
		}
	}
	x, e := featureOf(t, r, OctaveDecays, clip)
	for _, p := range parts {
		b := slices.IndexFunc(e.octaves.edgesHz, func(edge float64) bool { return edge > p.hz }) - 1
		near(t, fmt.Sprintf("decay at %.0f Hz, relative", p.hz), math.Exp(x[b])/p.ms, 1, 0.03)
	}
	// One figure for the clip is none of them.
	whole, _ := featureOf(t, r, Decay, clip)
	for _, p := range parts {
		if math.Abs(math.Exp(whole[0])/p.ms-1) < 0.05 {
			t.Errorf("the clip's own decay of %.2f ms is that at %.0f Hz", math.Exp(whole[0]), p.hz)
		}
	}
}

// Noise would lengthen a decay; its floor is taken off each octave's own.
func TestOctavesTakeTheirNoiseOff(t *testing.T) {
	r := DefaultRecipe(48000)
	random := rand.New(rand.NewPCG(4, 4))
	hiss := func(n int) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = 0.03 * random.NormFloat64()
		}
		return x
	}
	const hz, ms, clips = 1995.26, 4.0, 20
	floor, err := NoiseFloor(r, hiss(48000))
	if err != nil {
		t.Fatal(err)
	}
	off := func(r Recipe, clip []float64) float64 {
		x, e := featureOf(t, r, OctaveDecays, clip)
		b := slices.IndexFunc(e.octaves.edgesHz, func(edge float64) bool { return edge > hz }) - 1
		return math.Abs(math.Exp(x[b])/ms - 1)
	}
	plain, mended := 0.0, 0.0
	for range clips {
		clip := hiss(r.Samples())
		for i := range clip {
			s := float64(i) / float64(r.RateHz)
			clip[i] += math.Exp(-1000*s/ms) * math.Sin(2*math.Pi*hz*s)
		}
		known := r
		known.Floor = floor
		plain, mended = plain+off(r, clip)/clips, mended+off(known, clip)/clips
	}
	if mended > plain/2 {
		t.Errorf("off by %.3f without the floor and by %.3f with it", plain, mended)
	}
}

func TestOctavesNeedABin(t *testing.T) {
	_, e := featureOf(t, DefaultRecipe(48000), OctaveDecays, nil)
	if n, low := e.octaves.count(), e.octaves.edgesHz[0]; n != 8 || math.Abs(low-89.13) > 0.01 {
		t.Errorf("%d octaves from %.2f Hz", n, low)
	}
	_, e = featureOf(t, smallRecipe(), OctaveDecays, nil)
	if top := e.octaves.edgesHz[e.octaves.count()]; top > 8000 {
		t.Errorf("at 16 kHz octaves go up to %.0f Hz", top)
	}
	r := DefaultRecipe(48000)
	r.LowHz, r.HighHz, r.Features = 600, 650, []string{OctaveEnergies}
	if _, err := NewExtractor(r); err == nil {
		t.Error("octaves of a range that holds no middle of one")
	}
}

// What a live stream asks for with all features, to be seen beside its time from a touch to the answer.
func BenchmarkExtractAll(b *testing.B) {
	r := DefaultRecipe(48000)
	r.Features = Features
	e, err := NewExtractor(r)
	if err != nil {
		b.Fatal(err)
	}
	x, clip := make([]float64, e.Count()), tone(r, 1000)
	for i := range clip {
		clip[i] *= math.Exp(-float64(i) / 300)
	}
	for b.Loop() {
		_ = e.Extract(x, clip)
	}
}
