package signals

import (
	"math"
	"math/cmplx"
	"testing"

	"pgregory.net/rapid"
)

func TestTransformAgainstTheSum(t *testing.T) {
	for _, n := range []int{1, 2, 3, 4, 5, 6, 7, 8, 12, 15, 16, 30, 31, 32, 64, 97, 100, 128, 240, 255, 256, 512, 1000, 1024} {
		p := parkMiller(n)
		x := p.take(n)
		tr, err := NewTransform(n)
		if err != nil {
			t.Fatal(err)
		}
		got := make([]complex128, tr.Bins())
		tr.Clone().Forward(got, x)
		for k, g := range got {
			var want complex128
			for i, v := range x {
				want += complex(v, 0) * unit(-k*i, n)
			}
			if cmplx.Abs(g-want) > 1e-13*float64(n+10) {
				t.Errorf("%d samples, bin %d: %v, want %v", n, k, g, want)
			}
		}
	}
}

func TestTransformDoesNotAllocate(t *testing.T) {
	for _, n := range []int{512, 480, 2048} {
		tr, err := NewTransform(n)
		if err != nil {
			t.Fatal(err)
		}
		x, p := make([]float64, n), make([]float64, n/2+1)
		if got := testing.AllocsPerRun(10, func() { tr.Power(p, x) }); got != 0 {
			t.Errorf("%d samples: %g allocations", n, got)
		}
	}
	if _, err := NewTransform(0); err == nil {
		t.Error("no samples are transformed")
	}
}

func TestParseval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-1, 1), 1, 300).Draw(t, "x")
		tr, err := NewTransform(len(x))
		if err != nil {
			t.Fatal(err)
		}
		p := make([]float64, tr.Bins())
		tr.Power(p, x)
		sum, want := 0.0, 0.0
		for k, v := range p {
			if k > 0 && 2*k != len(x) {
				v *= 2
			}
			sum += v
		}
		for _, v := range x {
			want += v * v * float64(len(x))
		}
		if math.Abs(sum-want) > 1e-11*(1+want) {
			t.Errorf("%d samples: %g, want %g", len(x), sum, want)
		}
	})
}

func TestButterworthCorners(t *testing.T) {
	decibel := func(c Cascade, hz float64) float64 { return 20 * math.Log10(cmplx.Abs(c.Response(hz/1000))) }
	half := -10 * math.Log10(2)
	for order := 1; order <= 20; order++ {
		low, err := LowPass(order, 100, 1000)
		if err != nil {
			t.Fatal(err)
		}
		high, err := HighPass(order, 100, 1000)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "low pass at its corner", decibel(low, 100), half, 1e-9)
		near(t, "low pass at 0", decibel(low, 0), 0, 1e-10)
		near(t, "high pass at its corner", decibel(high, 100), half, 1e-9)
		near(t, "high pass at half the rate", decibel(high, 500), 0, 1e-10)
		if order > 8 {
			continue
		}
		band, err := BandPass(order, 80, 200, 1000)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "band pass at its low corner", decibel(band, 80), half, 1e-7)
		near(t, "band pass at its high corner", decibel(band, 200), half, 1e-7)
	}
	for _, err := range []error{
		second(LowPass(0, 1, 10)), second(LowPass(2, 5, 10)), second(HighPass(2, -1, 10)), second(BandPass(2, 3, 2, 10)),
		second(LowPass(2, math.NaN(), 10)), second(BandPass(2, 3, 7, 10)),
	} {
		if err == nil {
			t.Error("an impossible filter is made")
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestForwardBackwardKeepsTimeAndLevel(t *testing.T) {
	c, err := LowPass(4, 50, 1000)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float64, 401)
	for i := range x {
		x[i] = 3 + math.Exp(-float64((i-200)*(i-200))/1000)
	}
	y, err := c.ForwardBackward(x)
	if err != nil {
		t.Fatal(err)
	}
	for i := range y {
		near(t, "symmetric", y[i], y[400-i], 1e-9)
	}
	near(t, "level", y[0], 3, 1e-9)
	if _, err := c.ForwardBackward(x[:15]); err == nil {
		t.Error("too short a record is filtered")
	}
	for _, v := range c.Apply(make([]float64, 5)) {
		near(t, "silence", v, 0, 0)
	}
}

func TestSmoothKeepsPolynomials(t *testing.T) {
	x := make([]float64, 30)
	for i := range x {
		s := float64(i)
		x[i] = 1 - 2*s + .5*s*s
	}
	y, err := Smooth(x, 7, 2, 0)
	if err != nil {
		t.Fatal(err)
	}
	slope, err := Smooth(x, 7, 3, 1)
	if err != nil {
		t.Fatal(err)
	}
	for i := range x {
		near(t, "value", y[i], x[i], 1e-10)
		near(t, "slope", slope[i], float64(i)-2, 1e-10)
	}
	for _, err := range []error{second(Smooth(x, 31, 2, 0)), second(Smooth(x, 4, 2, 0)), second(Smooth(x, 5, 5, 0)), second(SmoothingWeights(5, 2, 0, 3)), second(SmoothingWeights(5, 2, -1, 0))} {
		if err == nil {
			t.Error("an impossible smoothing is made")
		}
	}
}

func TestResonancesOfDampedModes(t *testing.T) {
	const rate, n = 8000.0, 32768
	x := make([]float64, n)
	for i := range x {
		s := float64(i) / rate
		x[i] = math.Exp(-0.01*2*math.Pi*300*s)*math.Sin(2*math.Pi*300*s) + .3*math.Exp(-0.02*2*math.Pi*1100*s)*math.Sin(2*math.Pi*1100*s)
	}
	tr, err := NewTransform(n)
	if err != nil {
		t.Fatal(err)
	}
	p := make([]float64, tr.Bins())
	tr.Power(p, x)
	r := Resonances(p, rate/n, 5, 6)
	if len(r) != 2 {
		t.Fatalf("%+v", r)
	}
	near(t, "first frequency", r[0].FrequencyHz, 300, 0.3)
	near(t, "second frequency", r[1].FrequencyHz, 1100, 2)
	near(t, "first Q", r[0].Q, 50, 1)
	near(t, "second Q", r[1].Q, 25, 1)
	if one := Resonances(p, rate/n, 1, 6); len(one) != 1 || one[0] != r[0] {
		t.Errorf("strongest alone: %+v", one)
	}
}

func TestDecayTime(t *testing.T) {
	const rate = 48000.0
	p := parkMiller(3)
	x := make([]float64, 9600)
	for i := range x {
		s := float64(i) / rate
		x[i] = math.Exp(-s/0.02)*math.Sin(2*math.Pi*700*s) + .01*p.next()
	}
	tau, err := DecayTime(x, rate, 1e-4/3)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "time constant", tau, 0.02, 0.0006)
	if _, err := DecayTime(make([]float64, 50), rate, 0); err == nil {
		t.Error("silence dies away")
	}
	if _, err := DecayTime(nil, rate, 0); err == nil {
		t.Error("nothing dies away")
	}
}

func TestSpectraRefuse(t *testing.T) {
	ok := Segments{RateHz: 100, Length: 16, Overlap: 8, Window: Hann}
	x := make([]float64, 20)
	for _, change := range []func(*Segments){
		func(s *Segments) { s.RateHz = 0 }, func(s *Segments) { s.Length = 1 }, func(s *Segments) { s.Overlap = 16 },
		func(s *Segments) { s.Overlap = -1 }, func(s *Segments) { s.Window = "none" }, func(s *Segments) { s.Length, s.Overlap = 32, 0 },
	} {
		s := ok
		change(&s)
		if _, err := PowerDensity(x, s); err == nil {
			t.Errorf("%+v is computed", s)
		}
	}
	if _, err := CrossSpectra(x, x[1:], ok); err == nil {
		t.Error("records of different length are crossed")
	}
	c, err := CrossSpectra(x, x, ok)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.Coherence(); err == nil {
		t.Error("one segment gives a coherence")
	}
}

func TestBandEnergiesAddUp(t *testing.T) {
	p := []float64{1, 2, 3, 4, 5}
	e := make([]float64, 3)
	BandEnergies(e, p, 10, []float64{0, 20, 30, 100})
	if e[0] != 3 || e[1] != 3 || e[2] != 9 {
		t.Errorf("%v", e)
	}
	if Centroid(make([]float64, 3), 1) != 0 || Bandwidth(make([]float64, 3), 1) != 0 || RollOff(make([]float64, 3), 1, .85) != 0 {
		t.Error("silence has a shape")
	}
}

func TestOnsetsOfNothing(t *testing.T) {
	if k, _ := OnsetByAIC(make([]float64, 50)); k != -1 {
		t.Errorf("silence starts at %d", k)
	}
	if k := OnsetByAverages(make([]float64, 50), 2, 10, 2); k != -1 {
		t.Errorf("silence starts at %d", k)
	}
	if k, _ := OnsetByAIC([]float64{1, 2}); k != -1 {
		t.Errorf("two samples start at %d", k)
	}
	if RobustDeviation(nil) != 0 {
		t.Error("nothing deviates")
	}
}

// Whatever the length, the quick way gives what windowing and transforming one after the other give, to the bit.
func TestWindowedPowerIsThePowerOfTheProduct(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 300).Draw(t, "n")
		tr, err := NewTransform(n)
		if err != nil {
			t.Fatal(err)
		}
		x, w, product := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], w[i] = rapid.Float64Range(-1e3, 1e3).Draw(t, "x"), rapid.Float64Range(0, 1).Draw(t, "w")
			product[i] = x[i] * w[i]
		}
		want, got, most := make([]float64, tr.Bins()), make([]float64, tr.Bins()), 0.0
		tr.Power(want, product)
		top := tr.WindowedPower(got, x, w)
		for k, v := range want {
			if most = max(most, v); got[k] != v {
				t.Fatalf("bin %d of %d samples: %g, want %g", k, n, got[k], v)
			}
		}
		if top != most {
			t.Fatalf("the largest is %g, told as %g", most, top)
		}
	})
}

func TestBanksRefuse(t *testing.T) {
	for _, err := range []error{
		second(NewBank("bark", 4, 512, 8000, 0, 4000, false)), second(NewBank(HTK, 0, 512, 8000, 0, 4000, false)),
		second(NewBank(HTK, 4, 512, 8000, 0, 4001, false)), second(NewBank(HTK, 4, 1, 8000, 0, 4000, false)),
		second(NewBank(HTK, 4, 512, 8000, 50, 20, false)), second(NewCosine(4, 5)), second(NewCosine(0, 0)),
	} {
		if err == nil {
			t.Error("an impossible bank is made")
		}
	}
}

func BenchmarkPower512(b *testing.B) {
	tr, err := NewTransform(512)
	if err != nil {
		b.Fatal(err)
	}
	p := parkMiller(1)
	x, out := p.take(512), make([]float64, 257)
	for b.Loop() {
		tr.Power(out, x)
	}
}
