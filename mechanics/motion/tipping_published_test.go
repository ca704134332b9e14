package motion

import (
	"fmt"
	"math"
	"testing"

	"holdfast/orient"
)

// D18: pushed above b/(2μ) = 0.125 m a box of base 0.1 m with μ = 0.4 tips instead of sliding; on an incline a box of
// 60 × 150 mm tips beyond atan(b/h) = 21.8014°. Asked within 0.5 %.
func TestBoxTipsOrSlides(t *testing.T) {
	for kind, s := range surfaces(0.4) {
		// Soft corners give way unevenly, and the box tips a little earlier: these are stiff.
		if kind == "compliant" {
			s.Stiffness, s.Damping, s.Shear = 4e5, 600, 3e5
		}
		for _, c := range []struct {
			height float64
			tips   bool
		}{{0.125 * 0.995, false}, {0.125 * 1.005, true}} {
			half := orient.Vec3{0.05, 0.05, 0.1}
			w := boxOn(half, 1, 0, s)
			// Just more than friction: what it gains in speed has a lever too.
			push := 0.4 * g * 1.001
			w.Thing.Force = orient.Vec3{push, 0, 0}
			w.Thing.Torque = orient.Vec3{0, push * (c.height - half[2]), 0}
			run(t, w, 1e-3, 0.6)
			if lean := 2 * math.Asin(math.Abs(w.Thing.Turn.Y)); (lean > 0.5*degree) != c.tips {
				t.Errorf("%s, pushed at %g m: leans by %.3f°", kind, c.height, lean/degree)
			}
		}
	}
	for _, c := range []struct {
		angle float64
		tips  bool
	}{{21.8014 * 0.995, false}, {21.8014 * 1.005, true}} {
		w := boxOn(orient.Vec3{0.03, 0.03, 0.075}, 0.5, c.angle*degree, Surface{Friction: 0.8})
		run(t, w, 1e-3, 1.5)
		lean := 2*math.Asin(math.Abs(w.Thing.Turn.Y))/degree - c.angle
		if (lean > 5) != c.tips {
			t.Errorf("on %.3f° the box leans by %.3f°", c.angle, lean)
		}
	}
}

// D19: spun about its edge at √(3g(R−h/2)/(2R²)) = 3.609598 rad/s a box of 60 × 150 mm just topples: that is 0.056677 J/kg, and
// what is spun faster has as much less while it stands on its edge.
func TestToppling(t *testing.T) {
	const mass, energy = 0.5, 0.056677
	half := orient.Vec3{0.03, 0.05, 0.075}
	for _, c := range []struct {
		share   float64
		topples bool
	}{{0.99, false}, {1.01, true}, {1.2, true}} {
		w := boxOn(half, mass, 0, Surface{Friction: 1})
		spin := 3.609598 * c.share
		w.Thing.Spin = orient.Vec3{0, spin, 0}
		w.Thing.Velocity = w.Thing.Spin.Cross(orient.Vec3{-half[0], 0, half[2]})
		before := w.Thing.Energy()
		within(t, fmt.Sprintf("energy at %g of the spin", c.share), before/mass, energy*c.share*c.share, 1e-5)
		least := before
		const h = 2e-4
		for range int(1.2 / h) {
			run(t, w, h, h)
			if 2*math.Asin(math.Abs(w.Thing.Turn.Y)) < 60*degree { // has not come down on its side
				least = min(least, w.Thing.Energy())
			}
		}
		if lean := 2 * math.Asin(math.Abs(w.Thing.Turn.Y)); (lean > 60*degree) != c.topples {
			t.Errorf("at %g of the spin: leans by %.1f°", c.share, lean/degree)
		}
		if c.topples {
			within(t, fmt.Sprintf("energy taken up at %g of the spin", c.share), (before-least)/mass, energy, 0.005)
		}
	}
}

// D20: a rocking block (G. W. Housner, Bull. Seismol. Soc. Am. 53 (1963) 403; equations from memory): the first quarter
// period from θ₀ is acosh(1/(1−θ₀/α))/p in the linear theory, with p² = 3g/(4R); the landing leaves 0.793103 of the spin and
// 0.629013 of the energy. The exact quarter times are from the recomputed nonlinear periods.
func TestRockingBlock(t *testing.T) {
	half := orient.Vec3{0.03, 0.05, 0.075}
	alpha := math.Atan2(half[0], half[2])
	for _, c := range []struct{ share, linear, period float64 }{{0.2, 0.290513, 0.292973}, {0.5, 0.551965, 0.554318}, {0.8, 0.960807, 0.962398}} {
		w := boxOn(half, 0.5, 0, Surface{Friction: 1})
		lean := c.share * alpha
		w.Thing.Turn = orient.RotY(lean)
		pivot := orient.Vec3{half[0], 0, 0}
		w.Thing.Position = pivot.Add(w.Thing.Turn.Apply(orient.Vec3{-half[0], 0, half[2]}))
		const h = 1e-4
		landed, before, kept := 0.0, 0.0, 0.0
		for n := 1; n < int(1/h); n++ {
			was, energy := w.Thing.Spin[1], w.Thing.Energy()
			if err := w.Step(h); err != nil {
				t.Fatal(err)
			}
			if math.Abs(w.Thing.Spin[1]) < 0.9*math.Abs(was) && math.Abs(was) > 0.1 {
				landed, before, kept = float64(n)*h, was, w.Thing.Energy()/energy
				break
			}
		}
		name := fmt.Sprintf("θ₀ = %g α", c.share)
		within(t, name+": quarter period", landed, c.period/4, 0.01)
		within(t, name+": quarter period of the linear theory", landed, c.linear/4, 0.01)
		within(t, name+": spin left", w.Thing.Spin[1]/before, 0.793103, 0.01)
		within(t, name+": energy left", kept, 0.629013, 0.01)
	}
}
