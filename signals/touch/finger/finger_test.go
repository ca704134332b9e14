package finger

import (
	"math"
	"slices"
	"testing"
)

func TestSlopeIsTheDerivative(t *testing.T) {
	p := Specimens(1, 4)[0]
	for _, place := range []float64{20, 47.3, 88} {
		_, slope := p.Clean(place)
		a, _ := p.Clean(place - 1e-4)
		b, _ := p.Clean(place + 1e-4)
		top := slices.Max(slope)
		for i, v := range slope {
			near(t, "change by mm", (b[i]-a[i])/2e-4, v, 1e-6*top)
		}
	}
}

func TestSameSeedSameTouch(t *testing.T) {
	a, b := Specimens(2, 9), Specimens(3, 9)
	if !slices.Equal(a[1].Touch(50, .1, 3, 7), b[1].Touch(50, .1, 3, 7)) {
		t.Error("the same touch sounds differently")
	}
	if slices.Equal(a[0].Touch(50, .1, 3, 7), a[1].Touch(50, .1, 3, 7)) || slices.Equal(a[0].Touch(50, .1, 3, 7), a[0].Touch(50, .1, 3, 8)) {
		t.Error("different touches sound the same")
	}
}

// With little noise the largest likelihood reaches the bound, and nothing falls below it but by chance: 200 clips give the
// standard deviation to 5 %, so 15 % are three standard errors.
func TestLikelihoodReachesTheBound(t *testing.T) {
	const clips = 200
	for _, place := range []float64{30, 60, 80} {
		p := Specimens(1, 5)[0]
		l := NewLocator(p)
		sum := 0.0
		for i := range clips {
			d := l.Locate(p.Touch(place, 0.05, 11, i), 20, 90) - place
			sum += d * d
		}
		near(t, "error by bound", math.Sqrt(sum/clips)/p.Bound(place, 0.05), 1, 0.15)
	}
}

func TestBoundGrowsWithNoise(t *testing.T) {
	p := Specimens(1, 5)[0]
	near(t, "twice the noise", p.Bound(40, .1)/p.Bound(40, .05), 2, 1e-12)
}
