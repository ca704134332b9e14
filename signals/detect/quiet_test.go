package detect

import (
	"math"
	"testing"

	"holdfast/numeric"
	"holdfast/signals"
)

// The degrees of freedom that white noise has in a band are those of simulated windows: two over the relative variance of their power.
func TestFreedomOfWhiteNoise(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		length    int
	}{{40, 400, 10}, {40, 400, 40}, {100, 200, 20}} {
		band, err := signals.BandPass(2, c.low, c.high, 1000)
		if err != nil {
			t.Fatal(err)
		}
		r := numeric.Stream(2, "white freedom", c.length)
		x := make([]float64, 2_000_000)
		for i := range x {
			x[i] = r.NormFloat64()
		}
		heard := band.Apply(x)[1000:]
		n, sum, square := float64(len(heard)/c.length), 0.0, 0.0
		for j := range len(heard) / c.length {
			p := 0.0
			for _, v := range heard[j*c.length : (j+1)*c.length] {
				p += v * v
			}
			sum, square = sum+p, square+p*p
		}
		mean := sum / n
		want := 2 * mean * mean / (square/n - mean*mean)
		if got := whiteFreedom(band, c.length); math.Abs(got/want-1) > 0.03 {
			t.Errorf("%g to %g Hz, %d readings: %.3f, simulated %.3f", c.low, c.high, c.length, got, want)
		}
	}
}

// drawn are powers of windows: chi-square with so many degrees of freedom, over these, each going with the one before as told.
func drawn(seed, n, freedom int, carry float64) []float64 {
	r := numeric.Stream(uint64(seed), "quiet windows")
	parts, out := make([]float64, freedom), make([]float64, n)
	for i := range out {
		for k := range parts {
			fresh := r.NormFloat64()
			if i > 0 {
				fresh = carry*parts[k] + math.Sqrt(1-carry*carry)*fresh
			}
			parts[k] = fresh
			out[i] += fresh * fresh / float64(freedom)
		}
	}
	return out
}

// What is learnt of a quiet start is what its windows were drawn by.
func TestQuietStartIsLearnt(t *testing.T) {
	long := &Slips{}
	if err := long.learn(drawn(1, 20000, 8, 0), 100); err != nil {
		t.Fatal(err)
	}
	if math.Abs(long.Freedom-8) > 0.4 || math.Abs(long.Power-1) > 0.02 || long.Carry > 0.03 || long.Heavy {
		t.Errorf("%+v", long)
	}
	// Steadier than white noise can be is chance.
	steady := &Slips{}
	if err := steady.learn(drawn(1, 20000, 8, 0), 5); err != nil || steady.Freedom != 5 {
		t.Errorf("%v, %+v", err, steady)
	}
	// The power of chi-square windows whose parts go with those before by c goes with the one before by c².
	carried := &Slips{}
	if err := carried.learn(drawn(2, 20000, 8, 0.7), 100); err != nil || math.Abs(carried.Carry-0.49) > 0.03 {
		t.Errorf("%v, %+v", err, carried)
	}
	// A short start takes its power at the upper 95 % limit: of a hundred, some five are below the truth.
	below := 0
	for seed := range 400 {
		short := &Slips{}
		if err := short.learn(drawn(10+seed, 25, 8, 0), 8); err != nil {
			t.Fatal(err)
		}
		if short.Power < 1 {
			below++
		}
	}
	if below < 8 || below > 36 { // 20 expected, with a standard deviation of 4.4; more where the freedom is taken too small
		t.Errorf("%d of 400 powers are below the truth", below)
	}
	heavy := &Slips{}
	if err := heavy.learn(append(drawn(1, 200, 8, 0), 9), 8); err != nil || !heavy.Heavy {
		t.Errorf("%v, %+v", err, heavy)
	}
}

// What goes over from window to window is taken out before summing: windows that go together alarm no more often than allowed.
func TestCarryOverIsTakenOut(t *testing.T) {
	const windows = 100_000
	powers := drawn(3, windows, 8, 0.7)
	o := &Slips{}
	if err := o.learn(powers, 8); err != nil {
		t.Fatal(err)
	}
	const k, length = 0.5, 500.0
	var err error
	if o.Threshold, err = Threshold(k, length, false); err != nil {
		t.Fatal(err)
	}
	o.Cap = math.Inf(1)
	o.sum(powers, 0, k, 0, 1, func(window int) float64 { return float64(window) })
	if got, allowed := float64(len(o.Found)), windows/length; got > 1.5*allowed || got < allowed/4 {
		t.Errorf("%g alarms, %g allowed", got, allowed)
	}
}
