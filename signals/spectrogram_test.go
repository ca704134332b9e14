package signals_test

import (
	"math"
	"testing"

	"holdfast/signals"
)

// A tone that begins half way stands in its bin from then on, with the square of its amplitude.
func TestSpectrogramTellsWhenAndHowStrong(t *testing.T) {
	const rate, n, bin = 8000.0, 64, 9
	x := make([]float64, 1000)
	for i := 512; i < len(x); i++ {
		x[i] = 0.5 * math.Cos(2*math.Pi*bin*float64(i)/n)
	}
	s := signals.Segments{RateHz: rate, Length: n, Overlap: 32, Window: signals.Hann}
	list, err := signals.Spectrogram(x, s)
	if err != nil {
		t.Fatal(err)
	}
	if want := (len(x)-n)/32 + 1; len(list) != want || len(list[0]) != n/2+1 {
		t.Fatalf("%d segments of %d bins", len(list), len(list[0]))
	}
	for f, p := range list {
		want := 0.25
		if f*32+n <= 512 {
			want = 0
		}
		if f*32 < 512 && f*32+n > 512 {
			continue // the tone begins in it
		}
		if math.Abs(p[bin]-want) > 1e-12 || p[bin+4] > 1e-12 {
			t.Fatalf("segment %d: %g at the tone, %g beside it", f, p[bin], p[bin+4])
		}
	}
}

// Constants and alternating samples have no mirror image and keep their square.
func TestSpectrogramAtTheEdges(t *testing.T) {
	s := signals.Segments{RateHz: 100, Length: 16, Window: signals.Rectangle}
	for bin, sign := range map[int]float64{0: 1, 8: -1} {
		x := make([]float64, 16)
		for i := range x {
			x[i] = 3 * math.Pow(sign, float64(i))
		}
		list, err := signals.Spectrogram(x, s)
		if err != nil || math.Abs(list[0][bin]-9) > 1e-12 {
			t.Errorf("bin %d: %v %v", bin, list, err)
		}
	}
	if _, err := signals.Spectrogram(make([]float64, 15), s); err == nil {
		t.Error("a record shorter than a segment was taken")
	}
}
