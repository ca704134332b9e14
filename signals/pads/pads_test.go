package pads_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"holdfast/numeric"
	"holdfast/orient"
	"holdfast/signals/pads"
)

// rig is an array with a known truth: a square grid that passes a share of each pad's change to its four neighbours.
type rig struct {
	side                 int
	pitch                float64 // m
	offset, gain, bend   []float64
	noise, share         float64
	dead, bridgedA, with int // −1: none
	random               *rand.Rand
}

func newRig(seed uint64, side int) *rig {
	r := &rig{side: side, pitch: 0.004, noise: 1, share: 0.08, dead: -1, bridgedA: -1, with: -1, random: numeric.Stream(seed, "pads test")}
	for range side * side {
		r.offset = append(r.offset, 100+20*r.random.Float64())
		r.gain = append(r.gain, 150+60*r.random.Float64())
		r.bend = append(r.bend, 0)
	}
	return r
}

func (r *rig) places() (list []orient.Vec3) {
	for i := range r.side * r.side {
		list = append(list, orient.Vec3{float64(i%r.side) * r.pitch, float64(i/r.side) * r.pitch, 0})
	}
	return list
}

// read is what the array says while forces press.
func (r *rig) read(forces []float64) []float64 {
	n := r.side * r.side
	own := make([]float64, n)
	for i, f := range forces {
		if i != r.dead {
			own[i] = r.gain[i]*f + r.bend[i]*f*f
		}
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = r.offset[i] + own[i] + r.noise*r.random.NormFloat64()
		for _, k := range r.beside(i) {
			if i != r.dead {
				out[i] += r.share * own[k]
			}
		}
	}
	if r.bridgedA >= 0 {
		both := own[r.bridgedA] + own[r.with]
		out[r.bridgedA], out[r.with] = r.offset[r.bridgedA]+both+r.noise*r.random.NormFloat64(), r.offset[r.with]+both+r.noise*r.random.NormFloat64()
	}
	return out
}

func (r *rig) beside(i int) (list []int) {
	x, y := i%r.side, i/r.side
	for _, d := range [][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		if a, b := x+d[0], y+d[1]; a >= 0 && b >= 0 && a < r.side && b < r.side {
			list = append(list, b*r.side+a)
		}
	}
	return list
}

func (r *rig) presses() (list []pads.Press) {
	n := r.side * r.side
	for range 200 {
		list = append(list, pads.Press{Pad: -1, Readings: r.read(make([]float64, n))})
	}
	for i := range n {
		for _, f := range []float64{0.25, 0.5, 1, 1.5, 2, 2.5, 3} {
			forces := make([]float64, n)
			forces[i] = f
			list = append(list, pads.Press{Pad: i, Force: f, Readings: r.read(forces)})
		}
	}
	return list
}

func (r *rig) array(t testing.TB) *pads.Array {
	t.Helper()
	c, err := pads.Calibrate(r.presses())
	if err != nil {
		t.Fatal(err)
	}
	a, err := pads.NewArray(c, r.places())
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestCalibrationFindsWhatIsThere(t *testing.T) {
	r := newRig(1, 4)
	r.bend[6] = -12
	r.dead, r.bridgedA, r.with = 9, 2, 3
	c := r.array(t).Calibration
	for i, p := range c.Pads {
		want := pads.Good
		switch i {
		case r.dead:
			want = pads.Dead
		case r.bridgedA, r.with:
			want = pads.Bridged
		}
		if p.State != want {
			t.Errorf("pad %d is %s, want %s: %+v", i, p.State, want, p)
		}
		if want != pads.Good {
			continue
		}
		// Seven presses with noise 1 on a response of some 180 per N know the gain to a third of a unit.
		if math.Abs(p.Gain-r.gain[i]) > 5 || math.Abs(p.Offset-r.offset[i]) > 0.4 || math.Abs(p.Noise-1) > 0.25 || math.Abs(p.Bend-r.bend[i]) > 2 {
			t.Errorf("pad %d: %+v, want offset %g, gain %g, bend %g", i, p, r.offset[i], r.gain[i], r.bend[i])
		}
	}
	if c.Pads[6].Bend == 0 || c.Pads[7].Bend != 0 {
		t.Errorf("bends %g and %g", c.Pads[6].Bend, c.Pads[7].Bend)
	}
	for _, l := range c.Leaks {
		if slices.Contains([]int{2, 3}, l.From) || slices.Contains([]int{2, 3}, l.To) {
			continue
		}
		if !slices.Contains(r.beside(l.From), l.To) || math.Abs(l.Share-r.share) > 0.01 || l.Low > r.share+0.005 || l.High < r.share-0.005 {
			t.Errorf("leak %+v, want %g between neighbours", l, r.share)
		}
	}
	for _, pair := range [][2]int{{0, 1}, {0, 4}, {15, 14}, {11, 15}} {
		if !slices.ContainsFunc(c.Leaks, func(l pads.Leak) bool { return l.From == pair[0] && l.To == pair[1] }) {
			t.Errorf("the leak from %d to %d was not found", pair[0], pair[1])
		}
	}
}

// A pad that stops at the top of its range is told.
func TestClippingIsTold(t *testing.T) {
	r := newRig(2, 3)
	presses := r.presses()
	for i := range presses {
		if p := &presses[i]; p.Pad == 4 {
			p.Readings[4] = math.Min(p.Readings[4], r.offset[4]+r.gain[4]*1.6)
		}
	}
	c, err := pads.Calibrate(presses)
	if err != nil {
		t.Fatal(err)
	}
	if c.Pads[4].State != pads.Clipping || c.Pads[3].State != pads.Good {
		t.Errorf("%s and %s", c.Pads[4].State, c.Pads[3].State)
	}
}

// A round bump of pressure is found where it is, with its force, and the stated errors hold: pulls of many frames have a
// spread of one.
func TestCentreAndForceWithinTheirErrors(t *testing.T) {
	r := newRig(3, 6)
	a := r.array(t)
	at := orient.Vec3{0.0093, 0.0111, 0}
	forces, total, centre := make([]float64, 36), 0.0, orient.Vec3{}
	for i, p := range r.places() {
		d := p.Add(at.Scale(-1)).Norm()
		if f := 1.2 * math.Exp(-d*d/(2*0.004*0.004)); f > 0.1 {
			forces[i] = f
			total += f
			centre = centre.Add(p.Scale(f))
		}
	}
	centre = centre.Scale(1 / total)
	const frames = 400
	var pulls [3]float64
	for range frames {
		p, err := a.Picture(r.read(forces))
		if err != nil {
			t.Fatal(err)
		}
		list := a.Contacts(p, 6)
		if len(list) != 1 {
			t.Fatalf("%d contacts", len(list))
		}
		c := list[0]
		for k, pull := range []float64{(c.Force - total) / c.Error, (c.Centre[0] - centre[0]) / c.Away[0], (c.Centre[1] - centre[1]) / c.Away[1]} {
			pulls[k] += pull * pull / frames
		}
		if c.Blind {
			t.Fatal("no pad of this array is blind")
		}
	}
	// Noise alone gives 1 ± 0.07; the calibration adds errors that are the same in all frames and not in the stated ones.
	for k, v := range pulls {
		if v < 0.75 || v > 1.5 {
			t.Errorf("mean squared pull %d is %g", k, v)
		}
	}
}

// The same with a calibration that knows the truth: what is stated is what noise does.
func TestErrorsAreThoseOfNoise(t *testing.T) {
	r := newRig(4, 5)
	noise := r.noise
	r.noise = 1e-9
	presses := r.presses()
	r.noise = noise
	for i := range presses {
		if presses[i].Pad < 0 {
			for k := range presses[i].Readings {
				presses[i].Readings[k] += noise * (2*float64(i%2) - 1) * math.Sqrt(199.0/200)
			}
		}
	}
	c, err := pads.Calibrate(presses)
	if err != nil {
		t.Fatal(err)
	}
	a, err := pads.NewArray(c, r.places())
	if err != nil {
		t.Fatal(err)
	}
	forces := make([]float64, 25)
	forces[6], forces[7], forces[11], forces[12] = 1, 0.6, 0.8, 0.5
	const frames = 4000
	var pulls [3]float64
	for range frames {
		p, err := a.Picture(r.read(forces))
		if err != nil {
			t.Fatal(err)
		}
		c := a.Contacts(p, 8)[0]
		for k, pull := range []float64{(c.Force - 2.9) / c.Error, (c.Centre[0] - 0.004*(1+1.1/2.9)) / c.Away[0], (c.Centre[1] - 0.004*(1+1.3/2.9)) / c.Away[1]} {
			pulls[k] += pull * pull / frames
		}
	}
	// The mean of 4000 squares has a standard error of 0.022.
	for k, v := range pulls {
		if math.Abs(v-1) > 0.09 {
			t.Errorf("mean squared pull %d is %g, want 1", k, v)
		}
	}
}

// Empty arrays show a contact as often as was asked for.
func TestFalseContacts(t *testing.T) {
	r := newRig(5, 4)
	r.share = 0
	a := r.array(t)
	const frames, chance = 20000, 0.02
	threshold, shown := pads.Threshold(16, chance), 0
	for range frames {
		p, err := a.Picture(r.read(make([]float64, 16)))
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Contacts(p, threshold)) > 0 {
			shown++
		}
	}
	// Offsets and noise known from 200 readings move the rate by some tenths.
	if rate := float64(shown) / frames; rate < chance*0.5 || rate > chance*1.8 {
		t.Errorf("%g of the frames show a contact, asked for %g", rate, chance)
	}
}

// 1 − (1 − α)^n by Šidák: with the threshold, n independent pads stay below it with the chance 1 − α.
func TestThreshold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 500).Draw(t, "pads")
		chance := rapid.Float64Range(1e-6, 0.5).Draw(t, "chance")
		z := pads.Threshold(n, chance)
		if got := math.Pow(numeric.NormalCDF(z), float64(n)); math.Abs(got-(1-chance)) > 1e-9 {
			t.Fatalf("%g, want %g", got, 1-chance)
		}
	})
}

func TestBlindPadsAreTold(t *testing.T) {
	r := newRig(6, 4)
	r.dead = 5
	a := r.array(t)
	forces := make([]float64, 16)
	forces[4], forces[5], forces[10] = 1, 1, 0.5
	p, err := a.Picture(r.read(forces))
	if err != nil {
		t.Fatal(err)
	}
	list := a.Contacts(p, 8)
	if len(list) != 2 || !list[0].Blind || !list[1].Blind || p.Forces[5] != 0 {
		t.Errorf("%+v, force of the dead pad %g", list, p.Forces[5])
	}
}

// Whatever the truth without noise, forces come back as they were, up to the calibration's largest.
func TestPictureUndoesTheArray(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := newRig(rapid.Uint64().Draw(t, "seed"), 3)
		r.noise, r.share = 1e-7, rapid.Float64Range(0, 0.2).Draw(t, "share")
		if r.share < 0.03 {
			r.share = 0
		}
		for i := range r.bend {
			r.bend[i] = rapid.Float64Range(-20, 20).Draw(t, "bend")
		}
		c, err := pads.Calibrate(r.presses())
		if err != nil {
			t.Fatal(err)
		}
		forces := make([]float64, 9)
		for i := range forces {
			forces[i] = rapid.Float64Range(0, 3).Draw(t, "force")
		}
		p, err := c.Picture(r.read(forces))
		if err != nil {
			t.Fatal(err)
		}
		for i, f := range p.Forces {
			if math.Abs(f-forces[i]) > 1e-4 {
				t.Fatalf("pad %d: %g N, want %g: %+v", i, f, forces[i], c.Pads[i])
			}
		}
	})
}

func TestNonsenseIsRefused(t *testing.T) {
	idle := pads.Press{Pad: -1, Readings: []float64{1, 2}}
	for want, presses := range map[string][]pads.Press{
		"no presses":       nil,
		"no readings":      {{Pad: -1}},
		"has 1 readings":   {idle, {Pad: -1, Readings: []float64{1}}},
		"the array has 2":  {idle, {Pad: 2, Force: 1, Readings: []float64{1, 2}}},
		"above 0":          {idle, {Pad: 0, Force: -1, Readings: []float64{1, 2}}},
		"not a finite":     {idle, {Pad: 0, Force: 1, Readings: []float64{1, math.NaN()}}},
		"2 idle readings":  {idle, idle},
		"different forces": {idle, idle, idle, {Pad: 0, Force: 1, Readings: []float64{5, 2}}, {Pad: 0, Force: 1, Readings: []float64{5, 2}}, {Pad: 0, Force: 1, Readings: []float64{5, 2}}},
		"pad 1: 1 presses": {idle, idle, idle, {Pad: 0, Force: 1, Readings: []float64{5, 2}}},
	} {
		if _, err := pads.Calibrate(presses); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
}
