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

// What is written in closed form is the sum of small blows, on a grid 40 times as fine as the samples.
func TestStruckIsASumOfBlows(t *testing.T) {
	p := Specimens(1, 4)[0]
	for _, o := range Objects {
		contact := p.TouchedBy(o).ContactS()
		if !(contact > 0.0005 && contact < 0.01) {
			t.Errorf("%s touches for %g s", o.Name, contact)
		}
		for _, m := range p.modes {
			x := make([]float64, 600)
			m.struck(x, contact, float64(p.RateHz))
			const blows = 4000
			for i := 0; i < len(x); i += 37 {
				sum, at := 0.0, float64(i)/float64(p.RateHz)
				for k := range blows {
					if u := (float64(k) + 0.5) / blows * contact; u < at {
						w := 2 * math.Pi * m.hz * (at - u)
						sum += math.Pi / 2 / blows * math.Sin(math.Pi*u/contact) * m.gain * math.Exp(-m.damping*w) * math.Sin(w)
					}
				}
				near(t, o.Name, x[i], sum, 1e-4)
			}
		}
	}
}

// The softer what strikes, the longer it touches, and the less of every tone is left. The bound and the largest likelihood hold
// for such fingers as for others.
func TestSoftObjectsAreHeardLess(t *testing.T) {
	p := Specimens(1, 5)[0]
	last, before := math.Inf(1), make([]float64, len(p.modes))
	for _, o := range Objects {
		q := p.At(30e3).TouchedBy(o)
		if c := q.ContactS(); c >= last {
			t.Errorf("%s touches for %g s, and the softer one before for %g", o.Name, c, last)
		}
		for k, tone := range q.tones() {
			if now := rms(tone); now <= before[k] {
				t.Errorf("%s leaves %g of tone %d, and the softer one before %g", o.Name, now, k, before[k])
			} else {
				before[k] = now
			}
		}
		last = q.ContactS()
		l := NewLocator(q)
		near(t, "place", l.Locate(q.Touch(60, 0.001, 1, 1), 20, 90), 60, 6*q.Bound(60, 0.001))
	}
	if _, ok := ObjectNamed("anvil"); ok {
		t.Error("there is an anvil")
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
