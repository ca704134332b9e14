package motion

import (
	"fmt"
	"math"
	"testing"

	"holdfast/orient"
)

// The expected figures of this file were recomputed from the stated elementary equations; identifiers D1 to D20 are those
// of the project's table of reference values. g = 9.81 m/s².
const g = 9.81

const degree = math.Pi / 180

var down = orient.Vec3{0, 0, -g}

// incline is a ground that falls towards +x by the angle (rad), through the origin.
func incline(angle float64, s Surface) Ground {
	return Ground{Normal: orient.Vec3{math.Sin(angle), 0, math.Cos(angle)}, Surface: s}
}

func corners(half orient.Vec3) (list []Ball) {
	for i := range 8 {
		c := half
		for k := range 3 {
			if i>>k&1 == 1 {
				c[k] = -c[k]
			}
		}
		list = append(list, Ball{Centre: c})
	}
	return list
}

// boxOn is a box at rest on the incline.
func boxOn(half orient.Vec3, mass, angle float64, s Surface) *World {
	w := &World{Gravity: down, Grounds: []Ground{incline(angle, s)}, Thing: Thing{Body: SolidBox(mass, half), Balls: corners(half)}}
	w.Thing.Turn = orient.RotY(angle)
	w.Thing.Position = w.Grounds[0].Normal.Scale(half[2])
	return w
}

// ballOn is a ball of radius r with the inertia share·m·r² on the incline.
func ballOn(r, mass, share, angle float64, s Surface) *World {
	i := share * mass * r * r
	w := &World{Gravity: down, Grounds: []Ground{incline(angle, s)},
		Thing: Thing{Body: Body{Mass: mass, Inertia: orient.Vec3{i, i, i}, Turn: orient.Identity}, Balls: []Ball{{Radius: r}}}}
	w.Thing.Position = w.Grounds[0].Normal.Scale(r)
	if s.Stiffness > 0 {
		w.Thing.Position = w.Grounds[0].Normal.Scale(r - mass*g*math.Cos(angle)/s.Stiffness) // at rest
	}
	return w
}

func run(t testing.TB, w *World, h, seconds float64) {
	t.Helper()
	for n := range int(math.Round(seconds / h)) {
		if err := w.Step(h); err != nil {
			t.Fatal(err)
		}
		if w.Change > 1e-4 {
			t.Fatalf("step %d: the last of %d sweeps still changed a velocity by %g m/s", n, w.Sweeps, w.Change)
		}
	}
}

func within(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.9g, want %.9g within %.2g %%", what, got, want, 100*relative)
	}
}

// surfaces are the two kinds of touch that a check holds for.
func surfaces(friction float64) map[string]Surface {
	return map[string]Surface{
		"rigid":     {Friction: friction},
		"compliant": {Friction: friction, Stiffness: 20000, Damping: 60, Shear: 15000},
	}
}

// D1: a box on an incline sticks below atan μ and slides above; stuck, it does not creep.
func TestInclineSticksBelowTheFrictionAngle(t *testing.T) {
	for _, mu := range []float64{0.2, 0.3, 0.5, 0.8} {
		for kind, s := range surfaces(mu) {
			for _, h := range []float64{1e-3, 2e-3} {
				half := orient.Vec3{0.05, 0.04, 0.01}
				stuck := boxOn(half, 0.2, math.Atan(mu)-0.2*degree, s)
				run(t, stuck, h, 4)
				at := stuck.Thing.Position
				run(t, stuck, h, 1)
				if v, moved := stuck.Thing.Velocity.Norm(), minus(stuck.Thing.Position, at).Norm(); v > 1e-6 || moved > 1e-7 {
					t.Errorf("μ %g, %s, %g s: creeps at %.2g m/s, %.2g m in the last second", mu, kind, h, v, moved)
				}
				free := boxOn(half, 0.2, math.Atan(mu)+0.2*degree, s)
				run(t, free, h, 1)
				speed := free.Thing.Velocity.Norm()
				run(t, free, h, 4)
				a := math.Atan(mu) + 0.2*degree
				within(t, fmt.Sprintf("μ %g, %s, %g s: speed gained in 4 s", mu, kind, h), free.Thing.Velocity.Norm()-speed, 4*g*(math.Sin(a)-mu*math.Cos(a)), 0.01)
			}
		}
	}
}

// D3: a block on 30° with μ = 0.3: 2.356287 m/s², 1.178144 m in the first second.
func TestSlidingBlock(t *testing.T) {
	for kind, s := range surfaces(0.3) {
		w := boxOn(orient.Vec3{0.05, 0.05, 0.01}, 0.5, 30*degree, s)
		from := w.Thing.Position
		run(t, w, 1e-3, 1)
		within(t, kind+" speed", w.Thing.Velocity.Norm(), 2.356287, 0.005)
		within(t, kind+" way", minus(w.Thing.Position, from).Norm(), 1.178144, 0.005)
	}
}

// D4: v²/(2μg) = 0.254842 m in every heading: the cone is round.
func TestFrictionIsTheSameInEveryHeading(t *testing.T) {
	for kind, s := range surfaces(0.2) {
		for heading := 0.0; heading < 90; heading += 22.5 {
			w := boxOn(orient.Vec3{0.1, 0.1, 0.005}, 0.3, 0, s)
			w.Thing.Velocity = orient.Vec3{math.Cos(heading * degree), math.Sin(heading * degree), 0}
			from := w.Thing.Position
			run(t, w, 1e-3, 0.7)
			way := minus(w.Thing.Position, from)
			within(t, fmt.Sprintf("%s, heading %g°", kind, heading), way.Norm(), 0.254842, 0.01)
			if off := math.Abs(way[1]*math.Cos(heading*degree) - way[0]*math.Sin(heading*degree)); off > 1e-3*0.25 {
				t.Errorf("%s, heading %g°: %g m aside", kind, heading, off)
			}
		}
	}
}

// D13: semi-implicit steps fall g·t·h/2 too far.
func TestFreeFallErrs(t *testing.T) {
	w := &World{Gravity: down, Thing: Thing{Body: SolidBox(1, orient.Vec3{1, 1, 1})}}
	run(t, w, 1e-3, 1)
	within(t, "error", -w.Thing.Position[2]-g/2, 4.905e-3, 1e-9)
}

// D14: a ball dropped from 1 m: third bounce e⁶ m high; in all √(2h/g)(1+e)/(1−e) seconds and h(1+e²)/(1−e²) metres up and
// down; it comes to rest.
func TestBouncing(t *testing.T) {
	for _, c := range []struct{ e, third, rest, way float64 }{{0.5, 0.015625, 1.354571, 1.666667}, {0.8, 0.262144, 4.063713, 4.555556}, {0.9, 0.531441, 8.578949, 9.526316}} {
		w := ballOn(0.02, 0.1, 0.4, 0, Surface{Friction: 0.5, Restitution: c.e})
		w.Thing.Position[2] += 1
		const h = 1e-4
		var peaks []float64
		rising, rest, way := false, 0.0, 0.0
		for n := 1; n <= int(10/h); n++ {
			from := w.Thing.Position[2]
			if err := w.Step(h); err != nil {
				t.Fatal(err)
			}
			way += math.Abs(w.Thing.Position[2] - from)
			up := w.Thing.Velocity[2] > 0
			if rising && !up {
				peaks = append(peaks, w.Thing.Position[2]-0.02)
			}
			rising = up
			if w.Thing.Velocity.Norm() > 1e-9 {
				rest = float64(n) * h
			}
		}
		if len(peaks) < 3 {
			t.Fatalf("e %g: %d bounces", c.e, len(peaks))
		}
		within(t, fmt.Sprintf("e %g: third peak", c.e), peaks[2], c.third, 0.01)
		within(t, fmt.Sprintf("e %g: time to rest", c.e), rest, c.rest, 0.01)
		within(t, fmt.Sprintf("e %g: way", c.e), way, c.way, 0.01)
		if v := w.Thing.Velocity.Norm(); v > 1e-9 {
			t.Errorf("e %g: still moves at %g m/s", c.e, v)
		}
	}
}

// D15: a spring and a damper side by side give back exp(−z/s·(π − atan2(2zs, 1−2z²))) of the speed when they may not pull
// (s = √(1−z²)). The step is a hundredth of the touch: this checks the law, not the step.
func TestDampedTouchGivesBack(t *testing.T) {
	for _, c := range []struct{ z, want float64 }{{0.1, 0.744079}, {0.2, 0.571740}, {0.3, 0.450975}, {0.5, 0.298436}} {
		const k, m = 1000.0, 0.1
		omega := math.Sqrt(k / m)
		for _, h := range []float64{1e-5, 5e-6} {
			w := ballOn(0.02, m, 0.4, 0, Surface{Stiffness: k, Damping: 2 * c.z * m * omega})
			w.Gravity, w.Thing.Position[2] = orient.Vec3{}, 0.02
			w.Thing.Velocity = orient.Vec3{0, 0, -0.5}
			run(t, w, h, 0.05)
			within(t, fmt.Sprintf("z %g, %g s", c.z, h), w.Thing.Velocity[2]/0.5, c.want, 400*h)
		}
	}
}

// D16: a free body with I = (1, 2, 3) that spins about its middle axis turns over after 10.377305 s and then every 20.754610 s.
func TestFreeBodyTurnsOver(t *testing.T) {
	for _, c := range []struct{ h, relative float64 }{{1e-3, 1e-5}, {4e-3, 1e-4}} {
		w := &World{Thing: Thing{Body: Body{Mass: 1, Inertia: orient.Vec3{1, 2, 3}, Turn: orient.Identity, Spin: orient.Vec3{0.01, 1, 0}}}}
		energy, before := w.Thing.Energy(), 1.0
		var turns []float64 // s
		for n := 1; n < int(60/c.h); n++ {
			if err := w.Step(c.h); err != nil {
				t.Fatal(err)
			}
			own := w.Thing.Turn.Inverse().Apply(w.Thing.Spin)
			if own[1]*before < 0 {
				turns = append(turns, (float64(n)-own[1]/(own[1]-before))*c.h)
			}
			before = own[1]
		}
		if len(turns) != 3 {
			t.Fatalf("step %g s: turns over at %v s", c.h, turns)
		}
		within(t, "turns over", turns[0], 10.377305, c.relative)
		within(t, "turns back", turns[1]-turns[0], 20.754610, c.relative)
		within(t, "turns over again", turns[2]-turns[1], 20.754610, c.relative)
		within(t, "energy", w.Thing.Energy(), energy, 1e-4)
	}
}

// D2: regularised friction lets what rests on an incline creep (0.35 mm/s at 10° and μ = 0.5 with a width of 1 mm/s); a true
// cone holds it. Soft or rigid, it must stay for a minute of rest to rounding.
func TestNothingCreepsOnAnIncline(t *testing.T) {
	for name, s := range map[string]Surface{
		"rigid": {Friction: 0.5},
		"soft":  {Friction: 0.5, Stiffness: 5000, Damping: 20, Shear: 4000},
	} {
		w := boxOn(orient.Vec3{0.03, 0.02, 0.01}, 0.2, 10*degree, s)
		run(t, w, 1e-3, 1) // springs take up the load
		at := w.Thing.Position
		run(t, w, 1e-3, 60)
		if way := w.Thing.Position.Add(at.Scale(-1)).Norm(); !(way < 1e-9) {
			t.Errorf("%s: creeps by %g m in a minute", name, way)
		}
	}
}

// D17, Painlevé's rod (Champneys & Várkonyi 2016): a uniform rod that slides on one end with its angle θ to the floor. From
// μ = (1 + 3 cos²θ)/(3 sin θ cos θ) on, pressing harder no longer parts it from the floor, and rigid bodies in continuous time
// have no answer. A step has one on either side: the rod is braked at once.
func TestPainlevesRod(t *testing.T) {
	for angle, want := range map[float64]float64{30: 2.501851, 45: 1.666667, 60: 1.347151, 63.435: 4. / 3, 70: 1.401119, 80: 2.125530} {
		const half, mass = 0.1, 0.3
		sin, cos := math.Sincos(angle * degree)
		rod := Body{Mass: mass, Inertia: orient.Vec3{1e-9, mass * half * half / 3, mass * half * half / 3}, Turn: orient.Identity}
		normal := orient.Vec3{0, 0, 1}
		frame := [3]orient.Vec3{normal, {1, 0, 0}, {0, 1, 0}}
		rod.Turn = orient.RotY(-angle * degree) // its far end up, at +x
		mobility := rod.Mobility()
		foot := orient.Vec3{-half * cos, 0, -half * sin}
		contact := func(friction float64) Contact {
			c := Contact{Friction: friction}
			c.Sides[0].J, c.Sides[0].B = make([]float64, 18), make([]float64, 18)
			rod.Side(&c.Sides[0], 0, foot, &frame, 1, &mobility)
			return c
		}
		c := contact(0)
		c.begin([]float64{0, 0, 0, 0, 0, 0})
		within(t, fmt.Sprintf("friction at %g°", angle), c.own.nn/math.Abs(c.own.n1), want, 1e-5)
		for _, share := range []float64{0.5, 0.9, 1.1, 1.5} {
			for _, speed := range []float64{-2, -0.01, 0.01, 2} {
				contacts := []Contact{contact(share * want)}
				v := []float64{speed, 0, -9.81e-3, 0, 0, 0} // after a step of weight
				if _, change := (Solver{}).Solve(v, contacts, nil); change > 1e-9 {
					t.Errorf("%g°, %g of it, %g m/s: the last sweep still changed a velocity by %g m/s", angle, share, speed, change)
				}
				p, g := contacts[0].Impulse, contacts[0].slack(v)
				held := math.Hypot(p[1], p[2])
				if !(p[0] > 0) || math.Abs(g[0]) > 1e-8 || held > share*want*p[0]*(1+1e-9) || math.Abs(g[1]) > 1e-8 && p[1]*g[1] > 0 {
					t.Errorf("%g°, %g of it, %g m/s: impulse %v leaves %v", angle, share, speed, p, g)
				}
			}
		}
	}
}
