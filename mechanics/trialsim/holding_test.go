package trialsim

import (
	"errors"
	"math"
	"testing"

	"holdfast/orient"
)

// Two pads press a cube of mass m along x with N each, friction μ: along z they bear 2μN together, so 2μN − mg more downwards
// and 2μN + mg upwards (G15; statics), and a third of N can be used by no shear more than μN. Two points have no closure (G7).
func TestHoldOfAPinch(t *testing.T) {
	const n, mu, mass, g = 5.0, 0.5, 0.3, 9.81
	lift := orient.Vec3{0, 0, mass * g / 2}
	r := Result{Mass: mass, Contacts: []Contact{
		{Point: orient.Vec3{-0.02, 0, 0}, Normal: orient.Vec3{1, 0, 0}, Force: lift.Add(orient.Vec3{n, 0, 0}), Friction: mu},
		{Point: orient.Vec3{0.02, 0, 0}, Normal: orient.Vec3{-1, 0, 0}, Force: lift.Add(orient.Vec3{-n, 0, 0}), Friction: mu},
	}}
	h, err := r.Hold(g)
	if err != nil {
		t.Fatal(err)
	}
	if h.Closure || h.MarginUpper > 1e-9 {
		t.Errorf("closure by two points: %+v", h)
	}
	for k, want := range map[int]float64{4: 2*mu*n + mass*g, 5: 2*mu*n - mass*g} {
		if math.Abs(h.Payload[k]-want) > 1e-4*want {
			t.Errorf("payload %d: %g N, want %g", k, h.Payload[k], want)
		}
	}
	if want := mass * g / 2 / (mu * n); math.Abs(h.Use-want) > 1e-9 {
		t.Errorf("uses %g of its friction, want %g", h.Use, want)
	}
	if math.Abs(h.Squeeze-2*n) > 1e-6 {
		t.Errorf("squeeze %g N, want %g", h.Squeeze, 2*n)
	}
	if _, err := (&Result{}).Hold(g); !errors.Is(err, ErrNothingHeld) {
		t.Error(err)
	}
}

// What the three fingers hold in a trial has closure, and its forces keep to their friction.
func TestHoldAfterATrial(t *testing.T) {
	s := threeFingers(t)
	s.Strategy = free()
	b, err := NewBench(s, 0)
	if err != nil {
		t.Fatal(err)
	}
	r, err := b.Run(leaning(0, 3), nil)
	if err != nil || r.Outcome != Held {
		t.Fatal(r.Outcome, err)
	}
	h, err := r.Hold(s.Gravity)
	if err != nil {
		t.Fatal(err)
	}
	if !h.Closure || !(h.MarginLower > 0) || h.Use > 1+1e-6 || !(h.Payload[5] > 0) || h.Contacts != len(r.Contacts) {
		t.Errorf("%+v", h)
	}
}
